#pragma once

#include <string_view>
#include <unordered_map>
#include <unordered_set>

#include "circuit/circuit.h"
#include "circuit/diagnoses.h"
#include "circuit/rows.h"

namespace tallyboard {

// Makes a Circuit of rows and checks everything that has to do with meaning: references, kinds, pins, values, packages, places,
// continuity. What a row must have and lacks is the reader's to tell; such rows are passed over here. Order of calls: about and
// defaults, then nets and parts in file order, then finish, once.
class CircuitBuilder {
public:
    // `text` and the texts behind the rows must outlive the builder.
    CircuitBuilder(const SourceText& text, CircuitRole role, KindTable kinds, Diagnoses& diagnoses);

    // Room for so many parts; large files are read in half the time.
    void expect(std::size_t parts);
    void about(const AboutRow& row);
    void defaults(const DefaultsRow& row);
    void scan(const Written& file, Span span);
    void revision(Revision revision, const Written& date);
    void board_is(const Written& complete, const Written& on);
    // A number of the sheet with both a comma and a choice: "4,700" is settled by how the sheet's other values are written.
    void look_at_commas(std::string_view value);

    void net(const NetRow& row);
    void part(const PartRow& row);
    // The rest, then the whole: the circuit without its text. Where errors were told it is not to be used.
    Circuit finish(const BenchRows& rows);

private:
    friend class PartBuilder;
    friend class BenchBuilder;

    NetId net_named(std::string_view name, Span span);
    // A name as references and packages are: told where it breaks the rules.
    bool is_reference(const Written& name, std::string_view what);
    bool is_net_name(std::string_view name, std::size_t offset);
    void date(const Written& written);
    void check_packages();
    void gather_pins();

    const SourceText& text_;
    Diagnoses& diagnoses_;
    Circuit circuit_;
    std::unordered_map<std::string_view, NetId> nets_;
    std::unordered_map<std::string_view, PartId> parts_;
    std::unordered_set<std::uint32_t> broken_;  // parts told to be wrong: nothing is concluded from them
    std::unordered_map<std::string_view, Span> packages_;
    std::unordered_set<std::string> habits_told_;
    std::vector<Written> found_meters_;  // named by <found>, checked when all meters are known
    std::vector<Written> scans_named_;  // by <on-scan>, checked when all scans are known
    int decimal_points_ = 0, decimal_commas_ = 0;
};

}  // namespace tallyboard
