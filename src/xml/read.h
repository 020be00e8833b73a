// xml: circuit files as text: reading with every fault of a file told in one go, writing, and edits in place that leave all
// other bytes as they were. Start here for reading; edit.h for corrections.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/file.h"
#include "circuit/circuit.h"

namespace tallyboard {

// What the program knows by itself, from the files under schema/ built into it.
const KindTable& built_in_kinds();
const std::vector<Device>& built_in_devices();

// Adds the kinds (devices) of a <kinds> (<devices>) file. InputError with all that is wrong in it.
void add_kinds(const SourceText& text, KindTable& kinds);
void add_devices(const SourceText& text, std::vector<Device>& devices);

// Reads a <circulated> or <as-found> file. `expected`: the role it must have, where the caller needs one.
// InputError: every error of the file in the order of its text, warnings left out. Warnings and assumptions of a file that
// can be used stand in Circuit::remarks. Near-linear in the file's size.
Circuit read_circuit(SourceText text, const KindTable& kinds, std::optional<CircuitRole> expected = {});

// What a decision of a review file may be.
enum class DecisionIs { drawing, specimen, repair, modification, production, tracing, rejected, open };
std::string_view decision_word(DecisionIs is);

struct Decision { std::string finding; DecisionIs is = DecisionIs::open; std::string by, on, note; Span span; };
struct ReviewPair { std::string drawing, board; Span span; };
struct Review {
    SourceText source;
    std::string drawing, board;       // file paths as written, relative to the review file
    std::vector<Decision> decisions;
    std::vector<ReviewPair> pairs;
    Span root_span;
    std::size_t children_end = 0;     // where a new child is inserted
};
Review read_review(SourceText text);

struct FamilyMember { std::string file, review, serial, seen, note; std::optional<Date> made; Span span; };
struct Family {
    SourceText source;
    std::string title, base;          // base: the drawing's path as written
    std::vector<FamilyMember> members;
    Span root_span;
    std::size_t children_end = 0;
};
Family read_family(SourceText text);

// The root element's local name ("circulated", "as-found", "review", "family", "kinds", "devices"), for commands that take any file.
// InputError if it is no XML of ours.
std::string root_of(const SourceText& text);

}  // namespace tallyboard
