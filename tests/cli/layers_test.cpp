// The architecture: a folder includes only what its row names. The table is the one of DEVELOPERS.md.
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <map>
#include <set>
#include <string>

#include "base/text.h"

namespace fs = std::filesystem;
using namespace tallyboard;

namespace {

// Row: `folder` | what it is | what it may include: folders, with "and below" for all that those may include.
std::map<std::string, std::set<std::string>> allowed_includes() {
    std::ifstream file(TALLYBOARD_SOURCE_DIR "/DEVELOPERS.md");
    REQUIRE(file.good());
    std::map<std::string, std::set<std::string>> direct, all;
    std::map<std::string, bool> below;
    for (std::string line; std::getline(file, line);) {
        if (!line.starts_with("| `")) continue;
        std::vector<std::string> cells = split(line, '|');
        if (cells.size() < 5) continue;
        std::string folder(trimmed(cells[1]));
        if (!folder.ends_with("/`")) continue;
        folder = folder.substr(1, folder.size() - 3);
        std::set<std::string>& uses = direct[folder];
        for (std::string word : split_words(cells[3])) {
            while (!word.empty() && (word.back() == ',' || word.back() == '`')) word.pop_back();
            if (word.starts_with('`')) word.erase(0, 1);
            if (word != "and" && word != "below" && word != "nothing") uses.insert(word);
        }
    }
    for (auto& [folder, uses] : direct) {
        std::vector<std::string> queue(uses.begin(), uses.end());
        std::set<std::string>& reached = all[folder];
        while (!queue.empty()) {
            std::string next = queue.back();
            queue.pop_back();
            if (!reached.insert(next).second) continue;
            INFO("row of " << folder << " names " << next);
            REQUIRE(direct.count(next) == 1);
            for (const std::string& more : direct[next]) queue.push_back(more);
        }
        INFO(folder << " must not reach itself");
        REQUIRE(reached.count(folder) == 0);
    }
    return all;
}

}  // namespace

TEST_CASE("a folder includes only what its row in DEVELOPERS.md allows") {
    auto allowed = allowed_includes();
    REQUIRE(allowed.size() >= 15);
    fs::path src = TALLYBOARD_SOURCE_DIR "/src";
    std::size_t files = 0;
    for (const auto& entry : fs::recursive_directory_iterator(src)) {
        std::string extension = entry.path().extension().string();
        if (extension != ".h" && extension != ".cpp") continue;
        fs::path inside = fs::relative(entry.path(), src);
        if (inside == "main.cpp") continue;
        ++files;
        std::string folder = inside.begin()->string();
        INFO(inside.string());
        REQUIRE(allowed.count(folder) == 1);
        std::ifstream file(entry.path());
        bool first = true;
        for (std::string line; std::getline(file, line);) {
            if (!line.starts_with("#include \"")) continue;
            std::string included = line.substr(10, line.find('"', 10) - 10);
            INFO(line);
            // A .cpp includes its own header first, so that every header is known to stand alone.
            if (first && extension == ".cpp") {
                fs::path own = inside;
                own.replace_extension(".h");
                if (fs::exists(src / own)) CHECK(included == own.string());
            }
            first = false;
            std::string target = included.substr(0, included.find('/'));
            CHECK((target == folder || allowed[folder].count(target) == 1));
        }
    }
    CHECK(files > 50);
}

TEST_CASE("the packages for numbers, XML and pages appear in one folder each") {
    std::map<std::string, std::string> home = {{"Eigen/", "solve"}, {"pugixml.hpp", "xml"}, {"expat.h", "xml"},
                                               {"hpdf.h", "publish"}, {"qpdf/", "publish"}, {"CLI/", "cli"},
                                               {"nlohmann/", "cli"}, {"ft2build.h", "lettering"}};
    fs::path src = TALLYBOARD_SOURCE_DIR "/src";
    for (const auto& entry : fs::recursive_directory_iterator(src)) {
        std::string extension = entry.path().extension().string();
        if (extension != ".h" && extension != ".cpp") continue;
        fs::path inside = fs::relative(entry.path(), src);
        std::ifstream file(entry.path());
        for (std::string line; std::getline(file, line);) {
            if (!line.starts_with("#include <")) continue;
            for (const auto& [package, folder] : home) {
                if (line.compare(10, package.size(), package) != 0) continue;
                INFO(inside.string() << ": " << line);
                CHECK(inside.begin()->string() == folder);
                CHECK(extension == ".cpp");
            }
        }
    }
}

// Two types of one name in one namespace are one type to the linker, whatever their members: it keeps one of the two destructors.
TEST_CASE("no two headers define a type of one name in one namespace") {
    std::map<std::string, std::string> defined;
    for (const auto& entry : fs::recursive_directory_iterator(TALLYBOARD_SOURCE_DIR "/src")) {
        if (entry.path().extension() != ".h") continue;
        std::ifstream file(entry.path());
        std::string space;
        for (std::string line; std::getline(file, line);) {
            std::vector<std::string> words = split_words(line);
            if (words.size() >= 2 && words[0] == "namespace" && !line.starts_with(" ")) space = words[1];
            const bool type = !line.starts_with(" ") && words.size() >= 2 && (words[0] == "struct" || words[0] == "class");
            if (!type || line.find('{') == std::string::npos) continue;
            const std::string name = space + "::" + words[1];
            const auto [known, added] = defined.emplace(name, entry.path().string());
            INFO(name << " in " << known->second << " and " << entry.path().string());
            CHECK(added);
        }
    }
    CHECK(defined.size() > 100);
}
