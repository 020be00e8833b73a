// Which design a board is, among a folder of drawings, boards and families: fingerprints find the likely ones, comparing tells.
#pragma once

#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "compare/compare.h"
#include "xml/read.h"

namespace tallyboard {

// What a circuit is like, for finding others like it: a hash of each part (its kind and value or type) and of each part's
// surroundings (kinds that its pins meet), sorted. The same on every machine; names, order and notation do not matter.
using Fingerprint = std::vector<std::uint32_t>;
Fingerprint fingerprint_of(const Circuit& circuit);
// What two have in common as a share of what both have together, 0 … 1 (Jaccard 1901, on multisets).
double similarity(const Fingerprint& a, const Fingerprint& b);

// One drawing or board of the folder.
struct ArchiveEntry {
    std::string file;                 // relative to the folder, with slashes
    std::uint64_t size = 0;
    std::int64_t modified = 0;        // nanoseconds, of the file system's own clock
    std::string digest;               // SHA-256 of the bytes
    CircuitRole role = CircuitRole::drawing;
    std::string title, serial;
    Fingerprint fingerprint;
};

struct ArchiveFamily { std::string file, title; std::vector<std::string> files; };  // base first, then members; relative to the folder

struct Archive {
    std::string folder;
    std::vector<ArchiveEntry> entries;     // in order of file
    std::vector<ArchiveFamily> families;   // likewise
    std::vector<std::string> remarks;      // files that cannot be read, a folder that keeps no cache
    std::size_t reread = 0;                // files that the cache did not know, or no longer
};

// The name of the cache in the folder. It may be deleted at any time; it is used for a file only where path, size and time of change
// are those of the cache, and where a file changed just before the cache was written its digest too.
inline constexpr std::string_view archive_cache_name = ".tallyboard-index";

// Indexes every .xml file of the folder and those below it, from the cache where it holds; writes the cache anew where it did not.
// A folder that cannot be written works without. CommandError for what is no folder.
Archive open_archive(const std::string& folder, const KindTable& kinds, const std::function<void(double)>& progress = {});

// A design of the folder held against a board.
struct DesignMatch {
    std::string file;                 // the drawing or board compared with, relative to the folder
    std::string family;               // the family's file, where it belongs to one
    std::string title;
    double alike = 0;                 // of the fingerprints
    Comparison comparison;            // of that circuit, as the drawing, with the board
    std::size_t parts = 0;            // of that circuit
};

// The designs most like the board: the `most` best by fingerprint, one a family, then compared and put in order of cost by part. The
// board's own file, where it lies in the folder, is left out.
std::vector<DesignMatch> likely_designs(const Archive& archive, const Circuit& board, const KindTable& kinds, std::size_t most = 3);

}  // namespace tallyboard
