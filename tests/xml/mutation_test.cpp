// Damaged files: each is refused with a place in it, or read as something that can be written and read again.
#include <catch2/catch.hpp>

#include <random>

#include "support/text_circuit.h"
#include "xml/csv.h"
#include "xml/every_element.h"
#include "xml/same_circuit.h"
#include "xml/write_circuit.h"

using namespace tallyboard;

namespace {

struct Outcome { std::size_t read = 0, refused = 0; };

void check_told(const InputError& error, const std::string& bytes) {
    REQUIRE_FALSE(error.diagnostics().empty());
    SourceText text("m.xml", bytes);
    TextPosition last = text.position(bytes.size());
    for (const Diagnostic& d : error.diagnostics()) {
        bool counted = d.message.starts_with("and ") && d.at.line == 0;
        bool placed = d.at.line >= 1 && d.at.line <= last.line && d.at.column >= 1;
        if (!(counted || placed) || d.message.empty() || d.message.find('\n') != std::string::npos) FAIL(format(d) << bytes);
    }
}

void try_one(const std::string& root, const std::string& bytes, Outcome& outcome) {
    try {
        SourceText text("m.xml", bytes);
        if (root == "review") read_review(text);
        else if (root == "family") read_family(text);
        else if (root == "kinds") { KindTable kinds = built_in_kinds(); add_kinds(text, kinds); }
        else if (root == "devices") { std::vector<Device> devices; add_devices(text, devices); }
        else if (root == "csv") read_csv(text, CircuitRole::drawing, built_in_kinds());
        else {
            Circuit circuit = read_circuit(text, built_in_kinds());
            std::string written = write_circuit(circuit);
            try {
                Circuit again = read_circuit(SourceText("again.xml", written), built_in_kinds());
                if (test::lines_of(circuit) != test::lines_of(again)) FAIL("not the same again:\n" << bytes << "\n" << written);
            } catch (const InputError& error) {
                FAIL("not readable again:\n" << bytes << "\n" << written << error.what());
            }
        }
        ++outcome.read;
    } catch (const InputError& error) {
        check_told(error, bytes);
        ++outcome.refused;
    }
}

const std::vector<std::pair<std::string, std::string>>& texts() {
    static const std::vector<std::pair<std::string, std::string>> all{
        {"circulated", test::full_drawing}, {"as-found", test::full_board}, {"review", test::full_review}, {"family", test::full_family},
        {"kinds", test::full_kinds}, {"devices", test::full_devices},
        {"csv", "ref,kind,value,pin,net\r\nR1,resistor,\"4,7k\",a,A\r\n,,,b,\"B\"\r\nQ1,npn,BC109,c,\r\n"}};
    return all;
}

}  // namespace

TEST_CASE("a file cut off at any byte is refused with a place in it") {
    for (const auto& [root, bytes] : texts()) {
        Outcome outcome;
        std::size_t whole = bytes.find_last_not_of("\r\n") + 1;
        for (std::size_t length = 0; length < whole; ++length) try_one(root, bytes.substr(0, length), outcome);
        if (root != "csv") CHECK(outcome.read == 0);
    }
}

TEST_CASE("bytes exchanged at random never break the reader") {
    std::mt19937 random(20260304);
    const std::string likely = "<>&\"'=/ -?.;#@\n\t0123456789abcdefghijklmnopqrstuvwxyzABC\xC2\xB5\xFF";
    Outcome outcome;
    for (int round = 0; round < 12000; ++round) {
        const auto& [root, bytes] = texts()[random() % texts().size()];
        std::string damaged = bytes;
        for (std::size_t n = 1 + random() % 3; n > 0; --n) {
            std::size_t at = random() % damaged.size();
            switch (random() % 4) {
                case 0: damaged[at] = static_cast<char>(random() % 256); break;
                case 1: damaged[at] = likely[random() % likely.size()]; break;
                case 2: damaged.erase(at, 1 + random() % 4); break;
                default: damaged.insert(at, 1, likely[random() % likely.size()]); break;
            }
        }
        try_one(root, damaged, outcome);
    }
    CHECK(outcome.read > 500);
    CHECK(outcome.refused > 5000);
}

TEST_CASE("attributes exchanged between elements never break the reader") {
    std::mt19937 random(7);
    Outcome outcome;
    for (int round = 0; round < 12000; ++round) {
        const auto& [root, bytes] = texts()[random() % 2];
        // Every quoted value is a piece; some of them take another's text or vanish with their attribute.
        std::string damaged = bytes;
        std::vector<std::pair<std::size_t, std::size_t>> values;
        for (std::size_t at = damaged.find("=\"", 60); at != std::string::npos; at = damaged.find("=\"", at)) {
            std::size_t end = damaged.find('"', at + 2);
            values.emplace_back(at + 2, end);
            at = end + 1;
        }
        auto [from, from_end] = values[random() % values.size()];
        auto [to, to_end] = values[random() % values.size()];
        damaged.replace(to, to_end - to, bytes.substr(from, from_end - from));
        try_one(root, damaged, outcome);
    }
    CHECK(outcome.read > 200);
    CHECK(outcome.refused > 5000);
}
