// Sessions on a terminal, by a pseudo-terminal: what is typed, Ctrl-C and Ctrl-D, colours.
#include <catch2/catch.hpp>
#include <csignal>
#include <poll.h>
#include <pty.h>
#include <string>
#include <sys/ioctl.h>
#include <sys/wait.h>
#include <unistd.h>
#include <vector>

#include "support/program.h"

using namespace tallyboard;

namespace {

// The program on a terminal of its own, in a folder.
class OnTerminal {
public:
    OnTerminal(const std::filesystem::path& folder, const std::vector<std::string>& words, const std::vector<std::string>& environment = {}) {
        const winsize size{24, 100, 0, 0};
        process_ = ::forkpty(&master_, nullptr, nullptr, &size);
        if (process_ == 0) {
            if (::chdir(folder.c_str()) != 0) ::_exit(99);
            ::setenv("TERM", "xterm", 1);
            ::unsetenv("NO_COLOR");
            for (const std::string& one : environment) ::putenv(const_cast<char*>(one.c_str()));
            std::vector<char*> arguments{const_cast<char*>(TALLYBOARD_PROGRAM)};
            for (const std::string& word : words) arguments.push_back(const_cast<char*>(word.c_str()));
            arguments.push_back(nullptr);
            ::execv(TALLYBOARD_PROGRAM, arguments.data());
            ::_exit(99);
        }
        INFO("a pseudo-terminal is needed: a devpts file system on /dev/pts");
        REQUIRE(process_ > 0);
    }
    ~OnTerminal() {
        if (running_) ::kill(process_, SIGKILL), ::waitpid(process_, nullptr, 0);
        ::close(master_);
    }
    OnTerminal(const OnTerminal&) = delete;
    OnTerminal& operator=(const OnTerminal&) = delete;

    void type(const std::string& keys) { REQUIRE(::write(master_, keys.data(), keys.size()) == static_cast<ssize_t>(keys.size())); }
    void resize(unsigned short columns) {
        const winsize size{24, columns, 0, 0};
        REQUIRE(::ioctl(master_, TIOCSWINSZ, &size) == 0);
    }
    // Reads until `words` have come, or the program has ended, or twenty seconds have gone.
    bool shows(const std::string& words) {
        while (seen_.find(words, from_) == std::string::npos)
            if (!read_some()) return false;
        from_ = seen_.find(words, from_) + words.size();
        return true;
    }
    // Everything to the end; the exit status, or 128 and the signal.
    int ends() {
        while (read_some()) {}
        int status = 0;
        REQUIRE(::waitpid(process_, &status, 0) == process_);
        running_ = false;
        return WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
    }
    const std::string& seen() const { return seen_; }

private:
    bool read_some() {
        pollfd ready{master_, POLLIN, 0};
        if (::poll(&ready, 1, 20000) <= 0) return false;
        char buffer[4096];
        const ssize_t got = ::read(master_, buffer, sizeof buffer);
        if (got <= 0) return false;   // the other side is closed: EIO
        seen_.append(buffer, static_cast<std::size_t>(got));
        return true;
    }

    int master_ = -1;
    pid_t process_ = -1;
    bool running_ = true;
    std::string seen_;
    std::size_t from_ = 0;
};

struct Bench {
    test::ScratchFolder folder;
    Bench() { std::filesystem::copy(TALLYBOARD_SOURCE_DIR "/tests/cases/trace-over-a-pipe", folder.path(), std::filesystem::copy_options::recursive); }
    std::vector<std::string> trace() const { return {"trace", "b.xml", "--drawing", "d.xml"}; }
    std::size_t tests() const {
        const std::string bytes = test::file_bytes(folder.path() / "b.xml");
        std::size_t count = 0;
        for (std::size_t at = 0; (at = bytes.find("<test ", at)) != std::string::npos; ++at) ++count;
        return count;
    }
};

void answer_the_first(OnTerminal& terminal) {
    REQUIRE(terminal.shows("1. "));
    terminal.type("y\r");
    REQUIRE(terminal.shows("2. "));
}

}  // namespace

TEST_CASE("a trace on a terminal takes answers, and Ctrl-D ends it with all of them saved") {
    Bench bench;
    OnTerminal terminal(bench.folder.path(), bench.trace());
    answer_the_first(terminal);
    terminal.resize(40);
    terminal.type("s\r");
    REQUIRE(terminal.shows("2. "));
    terminal.type("\x1b[A\x1b[A\r");   // arrow keys: history gives the answer "y" again
    REQUIRE(terminal.shows("3. "));
    terminal.type("\x04");
    REQUIRE(terminal.shows("Saved."));
    CHECK(terminal.ends() == 0);
    CHECK(bench.tests() == 2);
}

TEST_CASE("Ctrl-C ends a trace at once, and what was answered stands in the file") {
    Bench bench;
    OnTerminal terminal(bench.folder.path(), bench.trace());
    answer_the_first(terminal);
    terminal.type("\x03");
    CHECK(terminal.ends() == 128 + SIGINT);
    CHECK(bench.tests() == 1);
    CHECK(test::run_program("check b.xml", bench.folder.path()).status == 0);
}

TEST_CASE("over a dumb pipe a trace asks and takes answers line by line, without a control sign") {
    Bench bench;
    test::Run run = test::run_program("trace b.xml --drawing d.xml", bench.folder.path(), "y\nwhat\nn\nq\n");
    CHECK(run.status == 0);
    CHECK(run.output.find("1. ") != std::string::npos);
    CHECK(run.output.find("Type y, p, n, s, u, +, ? or q.") != std::string::npos);
    CHECK(run.output.find("Saved.") != std::string::npos);
    CHECK((run.output + run.errors).find('\x1b') == std::string::npos);
    CHECK(bench.tests() == 2);
    // A pipe that ends without q is the end too.
    CHECK(test::run_program("trace b.xml --drawing d.xml", bench.folder.path(), "s\n").status == 0);
}

TEST_CASE("colours stand on a terminal alone, and not where NO_COLOR is set or the terminal is dumb") {
    test::ScratchFolder folder;
    std::filesystem::copy(TALLYBOARD_SOURCE_DIR "/tests/cases/first-comparison", folder.path(), std::filesystem::copy_options::recursive);
    const std::vector<std::string> words{"compare", "d.xml", "b.xml"};
    const auto coloured = [&](const std::vector<std::string>& environment) {
        OnTerminal terminal(folder.path(), words, environment);
        CHECK(terminal.ends() == 1);
        return terminal.seen().find("\x1b[") != std::string::npos;
    };
    CHECK(coloured({}));
    CHECK_FALSE(coloured({"NO_COLOR=1"}));
    CHECK_FALSE(coloured({"TERM=dumb"}));
    CHECK(test::run_program("compare d.xml b.xml", folder.path()).output.find('\x1b') == std::string::npos);
}
