// A review session is killed at every stage, at once and some time after an answer: what was answered is in the file.
#include <catch2/catch.hpp>

#include <csignal>
#include <fcntl.h>
#include <map>
#include <sys/wait.h>
#include <unistd.h>

#include "base/source_text.h"
#include "review/decisions.h"
#include "support/draft.h"
#include "support/program.h"
#include "xml/read.h"

using namespace tallyboard;
using namespace tallyboard::test;

namespace {

constexpr int differences = 8;

// A row of resistors, no two alike; on the board the first ones have other values.
std::string row(const char* root, bool found) {
    std::string text = "<" + std::string(root) + " xmlns=\"urn:tallyboard:circuit:1\">\n";
    for (int i = 1; i <= differences + 4; ++i) {
        const int ohms = 100 + 7 * i + (found && i <= differences ? 300 : 0);
        text += "  <part ref=\"R" + std::to_string(i) + "\" kind=\"resistor\" value=\"" + std::to_string(ohms) + "\" pins=\"N" + std::to_string(i) + " N" +
                std::to_string(i + 1) + "\"/>\n";
    }
    return text + "</" + root + ">\n";
}

// The program with a pipe to it and one from it.
class Session {
public:
    explicit Session(const std::filesystem::path& folder) {
        int in[2], out[2];
        REQUIRE(::pipe2(in, O_CLOEXEC) == 0);
        REQUIRE(::pipe2(out, O_CLOEXEC) == 0);
        pid_ = ::fork();
        REQUIRE(pid_ >= 0);
        if (pid_ == 0) {
            const bool ready = ::chdir(folder.c_str()) == 0 && ::dup2(in[0], STDIN_FILENO) >= 0 && ::dup2(out[1], STDOUT_FILENO) >= 0;
            if (ready)
                ::execl(TALLYBOARD_PROGRAM, "tallyboard", "review", "d.xml", "b.xml", "--review", "r.xml", "--step", "--by", "E. Vance", "--date", "2026-03-04",
                        static_cast<char*>(nullptr));
            ::_exit(127);
        }
        ::close(in[0]);
        ::close(out[1]);
        to_ = in[1];
        from_ = out[0];
    }
    ~Session() {
        kill();
        ::close(to_);
        ::close(from_);
    }
    Session(const Session&) = delete;
    Session& operator=(const Session&) = delete;

    // Waits for the next question; the id asked about, empty where the program has ended.
    std::string question() {
        std::string text;
        char c;
        while (text.find("Decision [") == std::string::npos) {
            if (::read(from_, &c, 1) != 1) return {};
            text += c;
        }
        const std::size_t of = text.rfind(" of " + std::to_string(differences) + "  ");
        if (of == std::string::npos) return {};
        const std::size_t begin = text.find("  ", of) + 2;
        return text.substr(begin, text.find(' ', begin) - begin);
    }
    void answer(const std::string& line) {
        const std::string sent = line + "\n";
        CHECK(::write(to_, sent.data(), sent.size()) == static_cast<ssize_t>(sent.size()));
    }
    void kill() {
        if (pid_ <= 0) return;
        ::kill(pid_, SIGKILL);
        ::waitpid(pid_, nullptr, 0);
        pid_ = -1;
    }

private:
    pid_t pid_ = -1;
    int to_ = -1, from_ = -1;
};

// Answers `answered` questions, each after the one before was taken; then one more that may or may not have been taken when the
// program is killed `microseconds` later.
void kill_after(int answered, int microseconds) {
    static const char* const keys[] = {"d", "s", "r", "m", "p", "t", "x"};
    static const DecisionIs meant[] = {DecisionIs::drawing, DecisionIs::specimen, DecisionIs::repair, DecisionIs::modification,
                                       DecisionIs::production, DecisionIs::tracing, DecisionIs::rejected};
    INFO(answered << " answers, killed " << microseconds << " microseconds after the next");
    ScratchFolder folder;
    std::ofstream(folder.path() / "d.xml") << row("circulated", false);
    std::ofstream(folder.path() / "b.xml") << row("as-found", true);
    std::map<std::string, DecisionIs> taken;
    std::string last;
    {
        Session session(folder.path());
        for (int i = 0; i < answered; ++i) {
            const std::string id = session.question();
            REQUIRE_FALSE(id.empty());
            session.answer(keys[i % 7]);
            taken[id] = meant[i % 7];
        }
        last = session.question();   // asked only after the answers before were taken
        if (answered < differences) {
            REQUIRE_FALSE(last.empty());
            session.answer(keys[answered % 7]);
            ::usleep(static_cast<useconds_t>(microseconds));
        }
        session.kill();
    }
    const Review review = read_review(SourceText("r.xml", file_bytes(folder.path() / "r.xml")));
    CHECK(review.decisions.size() == differences);
    for (const auto& [id, is] : taken) {
        INFO(id);
        const Decision* decision = decision_on(review, id);
        REQUIRE(decision);
        CHECK(decision->is == is);
        CHECK(decision->by == "E. Vance");
    }
    for (const Decision& decision : review.decisions) {
        if (taken.count(decision.finding)) continue;
        const bool in_flight = decision.finding == last && decision.is == meant[answered % 7];
        CHECK((decision.is == DecisionIs::open || in_flight));
    }
    // The next session goes on where this one ended.
    if (answered < differences) {
        Session again(folder.path());
        const std::string id = again.question();
        CHECK(taken.count(id) == 0);
    }
}

}  // namespace

TEST_CASE("no answer is lost when a review session is killed, whenever that is") {
    for (int answered = 0; answered <= differences; ++answered)
        for (int microseconds : {0, 100, 400, 2000}) kill_after(answered, microseconds);
}

TEST_CASE("no answer is lost at 500 moments of being killed", "[long]") {
    Random random(11);
    for (int i = 0; i < 500; ++i) kill_after(static_cast<int>(random.below(differences)), static_cast<int>(random.below(1500)));
}
