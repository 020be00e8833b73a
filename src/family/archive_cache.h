#pragma once

#include <filesystem>
#include <map>
#include <string>
#include <vector>

#include "family/archive.h"

namespace tallyboard {

// By what a file of the folder is known again.
struct ArchiveStamp { std::string file; std::uint64_t size = 0; std::int64_t modified = 0; std::string digest; };

// The folder's cache as it was left: one line a file, the last a digest of all before it. Text, so that it can be looked at.
class ArchiveCache {
public:
    // Whether what the cache says of this file still holds.
    bool holds(const ArchiveStamp& stamp, const std::filesystem::path& path) const;
    // Moves what it says of the file: an entry or a family; else a file that is neither.
    void take(const std::string& file, Archive& archive, std::vector<ArchiveStamp>& others);
    std::size_t size() const { return known_.size(); }
    std::vector<std::string> remarks;

private:
    friend ArchiveCache read_archive_cache(const std::string& folder);
    struct Known { ArchiveStamp stamp; bool is_circuit = false, is_family = false; ArchiveEntry entry; ArchiveFamily family; };
    std::map<std::string, Known> known_;
    std::int64_t written_ = 0;     // when, by the file system's clock
};

// Empty where there is none or it is damaged; a damaged one is told and made anew.
ArchiveCache read_archive_cache(const std::string& folder);

// Writes it whole or not at all. Returns why it could not; empty: written.
std::string write_archive_cache(const Archive& archive, const std::vector<ArchiveStamp>& others);

}  // namespace tallyboard
