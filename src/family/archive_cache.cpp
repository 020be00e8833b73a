#include "family/archive_cache.h"

#include <charconv>
#include <fmt/format.h>
#include <system_error>

#include "base/digest.h"
#include "base/file.h"
#include "base/text.h"

namespace tallyboard {
namespace fs = std::filesystem;
namespace {

constexpr std::string_view first_line = "tallyboard index 1\n";
constexpr std::size_t most_bytes = std::size_t{1} << 30;   // an archive of a million boards

// A file that changed within this time before the cache was written may have changed again within the clock's step.
constexpr std::int64_t unsure_nanoseconds = 2'000'000'000;

// Fields stand between tabs; what would break a line is written as XML writes it.
std::string field(std::string_view text) {
    std::string out;
    for (char c : text) {
        if (c == '&') out += "&amp;";
        else if (c == '\t' || c == '\n' || c == '\r') out += ' ';
        else out += c;
    }
    return out;
}
std::string text_of(std::string_view written) {
    std::string out(written);
    for (std::size_t at = 0; (at = out.find("&amp;", at)) != std::string::npos; ++at) out.erase(at + 1, 4);
    return out;
}

template <class Number>
bool read_number(std::string_view text, Number& out, int base = 10) {
    auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), out, base);
    return error == std::errc() && end == text.data() + text.size();
}

std::string stamp_text(char what, const std::string& file, std::uint64_t size, std::int64_t modified, const std::string& digest) {
    return fmt::format("{}\t{}\t{}\t{}\t{}", what, field(file), size, modified, digest);
}

bool read_hashes(std::string_view text, Fingerprint& out) {
    if (text.size() % 8 != 0) return false;
    out.resize(text.size() / 8);
    for (std::size_t i = 0; i < out.size(); ++i) if (!read_number(text.substr(8 * i, 8), out[i], 16)) return false;
    return true;
}

std::vector<std::string_view> fields_of(std::string_view line) {
    std::vector<std::string_view> out;
    for (std::size_t from = 0;;) {
        std::size_t tab = line.find('\t', from);
        out.push_back(line.substr(from, tab - from));
        if (tab == std::string_view::npos) return out;
        from = tab + 1;
    }
}

}  // namespace

bool ArchiveCache::holds(const ArchiveStamp& stamp, const fs::path& path) const {
    auto found = known_.find(stamp.file);
    if (found == known_.end()) return false;
    const ArchiveStamp& known = found->second.stamp;
    if (known.size != stamp.size || known.modified != stamp.modified) return false;
    return known.modified + unsure_nanoseconds < written_ || sha256(read_file(path.string()).bytes()) == known.digest;
}

void ArchiveCache::take(const std::string& file, Archive& archive, std::vector<ArchiveStamp>& others) {
    Known& known = known_.at(file);
    if (known.is_circuit) archive.entries.push_back(std::move(known.entry));
    else others.push_back(known.stamp);
    if (known.is_family) archive.families.push_back(std::move(known.family));
}

ArchiveCache read_archive_cache(const std::string& folder) {
    ArchiveCache cache;
    fs::path path = fs::path(folder) / archive_cache_name;
    std::error_code error;
    if (!fs::is_regular_file(path, error)) return cache;
    auto damaged = [&] {
        cache.known_.clear();
        cache.remarks.push_back(fmt::format("{} is damaged and made anew", path.string()));
        return cache;
    };
    SourceText text = read_file(path.string(), most_bytes);
    std::string_view bytes = text.bytes();
    std::size_t end = bytes.rfind("\nend\t");
    if (!bytes.starts_with(first_line) || end == std::string_view::npos || bytes.substr(end + 5) != sha256(bytes.substr(0, end + 1)) + "\n") return damaged();
    cache.written_ = fs::last_write_time(path).time_since_epoch().count();
    for (std::size_t at = first_line.size(); at < end + 1;) {
        std::size_t line_end = bytes.find('\n', at);
        std::vector<std::string_view> fields = fields_of(bytes.substr(at, line_end - at));
        at = line_end + 1;
        if (fields.size() < 5 || fields[0].size() != 1) return damaged();
        ArchiveCache::Known known;
        ArchiveStamp& stamp = known.stamp;
        stamp.file = text_of(fields[1]);
        stamp.digest = std::string(fields[4]);
        if (!read_number(fields[2], stamp.size) || !read_number(fields[3], stamp.modified)) return damaged();
        char what = fields[0][0];
        if (what == 'd' || what == 'b') {
            if (fields.size() != 8) return damaged();
            known.is_circuit = true;
            known.entry = {stamp.file, stamp.size, stamp.modified, stamp.digest, what == 'd' ? CircuitRole::drawing : CircuitRole::board, text_of(fields[5]), text_of(fields[6]), {}};
            if (!read_hashes(fields[7], known.entry.fingerprint)) return damaged();
        } else if (what == 'f') {
            if (fields.size() < 7) return damaged();
            known.is_family = true;
            known.family = {stamp.file, text_of(fields[5]), {}};
            for (std::size_t i = 6; i < fields.size(); ++i) known.family.files.push_back(text_of(fields[i]));
        }
        cache.known_.emplace(stamp.file, std::move(known));
    }
    return cache;
}

std::string write_archive_cache(const Archive& archive, const std::vector<ArchiveStamp>& others) {
    std::string out(first_line);
    for (const ArchiveEntry& entry : archive.entries) {
        out += stamp_text(entry.role == CircuitRole::drawing ? 'd' : 'b', entry.file, entry.size, entry.modified, entry.digest);
        out += fmt::format("\t{}\t{}\t", field(entry.title), field(entry.serial));
        for (std::uint32_t hash : entry.fingerprint) out += fmt::format("{:08x}", hash);
        out += '\n';
    }
    std::map<std::string, const ArchiveFamily*> families;
    for (const ArchiveFamily& family : archive.families) families[family.file] = &family;
    for (const ArchiveStamp& other : others) {
        auto family = families.find(other.file);
        out += stamp_text(family == families.end() ? 'o' : 'f', other.file, other.size, other.modified, other.digest);
        if (family != families.end()) {
            out += "\t" + field(family->second->title);
            for (const std::string& file : family->second->files) out += "\t" + field(file);
        }
        out += '\n';
    }
    out += "end\t" + sha256(out) + "\n";
    fs::path path = fs::path(archive.folder) / archive_cache_name;
    try {
        write_file(path.string(), out);
    } catch (const CommandError& error) {
        return fmt::format("the index is not kept: {}", error.what());
    }
    return "";
}

}  // namespace tallyboard
