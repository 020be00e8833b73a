#pragma once

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <stdexcept>
#include <string>
#include <sys/wait.h>

namespace tallyboard::test {

inline std::string file_bytes(const std::filesystem::path& path) {
    std::ifstream file(path, std::ios::binary);
    if (!file) throw std::runtime_error("cannot read " + path.string());
    return {std::istreambuf_iterator<char>(file), {}};
}

// A folder that is gone at the end of the test.
class ScratchFolder {
public:
    ScratchFolder() {
        std::string pattern = (std::filesystem::temp_directory_path() / "tallyboard-test-XXXXXX").string();
        if (!::mkdtemp(pattern.data())) throw std::runtime_error("cannot make a scratch folder");
        path_ = pattern;
    }
    ~ScratchFolder() {
        std::error_code ignored;
        std::filesystem::remove_all(path_, ignored);
    }
    ScratchFolder(const ScratchFolder&) = delete;
    ScratchFolder& operator=(const ScratchFolder&) = delete;
    const std::filesystem::path& path() const { return path_; }

private:
    std::filesystem::path path_;
};

struct Run { int status = 0; std::string output, errors; };

// Runs the program in `folder` with `words` as a shell splits them; input from `input`, `environment` as NAME=VALUE words, where given.
inline Run run_program(const std::string& words, const std::filesystem::path& folder, const std::string& input = "",
                       const std::string& environment = "") {
    ScratchFolder streams;
    std::filesystem::path in = streams.path() / "in", out = streams.path() / "out", err = streams.path() / "err";
    std::ofstream(in, std::ios::binary) << input;
    std::string line = "cd '" + folder.string() + "' && " + environment + " '" TALLYBOARD_PROGRAM "' " + words + " <'" + in.string() + "' >'" +
                       out.string() + "' 2>'" + err.string() + "'";
    int status = std::system(line.c_str());
    return {WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status), file_bytes(out), file_bytes(err)};
}

}  // namespace tallyboard::test
