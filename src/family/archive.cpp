#include "family/archive.h"

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fmt/format.h>
#include <map>
#include <set>

#include "base/digest.h"
#include "base/file.h"
#include "base/text.h"
#include "family/archive_cache.h"

namespace tallyboard {
namespace fs = std::filesystem;
namespace {

// Less alike than this share of the best is another design; comparing unlike circuits takes long and tells nothing.
constexpr double worth_comparing = 0.6;
// Enough to put designs in order; the version is told by a full comparison.
constexpr double candidate_effort = 0.1;

// FNV-1a, 32 bits (Fowler, Noll, Vo): the same everywhere, which std::hash is not.
std::uint32_t hashed(std::string_view text, std::uint32_t start = 2166136261u) {
    for (unsigned char c : text) start = (start ^ c) * 16777619u;
    return start;
}

std::string type_text(const std::string& model) {
    std::string out;
    for (char c : model) if (!is_blank(c) && c != '-') out += ascii_upper(c);
    return out;
}

// What a part's pins meet, the drawn names aside: per net whether it is small, and of which kinds.
std::string surroundings_text(const Circuit& circuit, const Part& part, const std::vector<std::string>& nets) {
    std::vector<std::string> pins;
    for (const Pin& pin : part.pins) pins.push_back(pin.state == PinState::traced ? nets[pin.net.index] : "?");
    std::sort(pins.begin(), pins.end());
    return circuit.kind_of(part).name + "|" + join(pins, "|");
}

std::string net_text(const Circuit& circuit, const Net& net) {
    if (net.pins.size() > 8) return "rail";
    std::vector<std::string> kinds;
    for (PinId pin : net.pins) kinds.push_back(circuit.kind_of(circuit[pin.part]).name);
    std::sort(kinds.begin(), kinds.end());
    return join(kinds, ",");
}

std::int64_t modified_of(const fs::path& path) { return fs::last_write_time(path).time_since_epoch().count(); }

// The folder's .xml files, relative, in order.
std::vector<std::string> files_of(const fs::path& folder) {
    std::vector<std::string> out;
    std::error_code error;
    for (fs::recursive_directory_iterator at(folder, fs::directory_options::skip_permission_denied, error), end; at != end; at.increment(error)) {
        if (error) throw CommandError(folder.string(), error.message());
        if (at->is_regular_file(error) && at->path().extension() == ".xml") out.push_back(at->path().lexically_relative(folder).generic_string());
    }
    if (error) throw CommandError(folder.string(), error.message());
    std::sort(out.begin(), out.end());
    return out;
}

ArchiveFamily family_entry(const std::string& file, const SourceText& text) {
    Family family = read_family(text);
    ArchiveFamily out{file, family.title, {}};
    auto add = [&](const std::string& named) {
        out.files.push_back((fs::path(file).parent_path() / named).lexically_normal().generic_string());
    };
    add(family.base);
    for (const FamilyMember& member : family.members) add(member.file);
    return out;
}

// Reads one file into the archive; what is no circuit or family is passed over, what cannot be read is told.
void read_entry(const fs::path& folder, ArchiveStamp stamp, const KindTable& kinds, Archive& out, std::vector<ArchiveStamp>& others) {
    try {
        SourceText text = read_file((folder / stamp.file).string());
        stamp.digest = sha256(text.bytes());
        std::string root = root_of(text);
        if (root == "family") out.families.push_back(family_entry(stamp.file, text));
        if (root != "circulated" && root != "as-found") {
            others.push_back(stamp);
            return;
        }
        Circuit circuit = read_circuit(std::move(text), kinds);
        out.entries.push_back({stamp.file, stamp.size, stamp.modified, stamp.digest, circuit.role, circuit.about.title, circuit.about.serial, fingerprint_of(circuit)});
    } catch (const InputError&) {
        // Not kept in the cache either: told every time until it is put right.
        out.remarks.push_back(fmt::format("{} is passed over; `tallyboard check` tells what is wrong with it", stamp.file));
    } catch (const CommandError& error) {
        out.remarks.push_back(fmt::format("{} is passed over: {}", stamp.file, error.what()));
    }
}

// The board's circuit as a drawing: what is not traced is not drawn.
Circuit as_drawing(Circuit circuit) {
    circuit.role = CircuitRole::drawing;
    for (Part& part : circuit.parts)
        for (Pin& pin : part.pins) if (pin.state == PinState::untraced) pin.state = PinState::undrawn;
    return circuit;
}

}  // namespace

Fingerprint fingerprint_of(const Circuit& circuit) {
    std::vector<std::string> nets;
    for (const Net& net : circuit.nets) nets.push_back(net_text(circuit, net));
    Fingerprint out;
    for (const Part& part : circuit.parts) {
        const Kind& kind = circuit.kind_of(part);
        if (part.fit == Fit::no || kind.conductor) continue;
        const Value* value = part.nominal();
        std::string worth = value ? trade_text(value->number, kind.quantity) : type_text(part.model);
        out.push_back(hashed("part|" + kind.name + "|" + worth));
        out.push_back(hashed("around|" + surroundings_text(circuit, part, nets)));
    }
    std::sort(out.begin(), out.end());
    return out;
}

double similarity(const Fingerprint& a, const Fingerprint& b) {
    std::size_t i = 0, j = 0, common = 0;
    while (i < a.size() && j < b.size()) {
        if (a[i] == b[j]) ++common, ++i, ++j;
        else if (a[i] < b[j]) ++i;
        else ++j;
    }
    std::size_t together = a.size() + b.size() - common;
    return together == 0 ? 0 : static_cast<double>(common) / static_cast<double>(together);
}

Archive open_archive(const std::string& folder, const KindTable& kinds, const std::function<void(double)>& progress) {
    if (!fs::is_directory(folder)) throw CommandError(folder, "is no folder");
    ArchiveCache cache = read_archive_cache(folder);
    Archive out;
    out.folder = folder;
    out.remarks = cache.remarks;
    std::vector<ArchiveStamp> others;
    std::vector<std::string> files = files_of(folder);
    for (std::size_t i = 0; i < files.size(); ++i) {
        fs::path path = fs::path(folder) / files[i];
        ArchiveStamp stamp{files[i], fs::file_size(path), modified_of(path), ""};
        if (cache.holds(stamp, path)) cache.take(files[i], out, others);
        else {
            ++out.reread;
            read_entry(folder, stamp, kinds, out, others);
            if (progress) progress(static_cast<double>(i) / static_cast<double>(files.size()));
        }
    }
    // What is gone from the folder goes from the cache too.
    if (out.reread > 0 || cache.size() != files.size())
        if (std::string trouble = write_archive_cache(out, others); !trouble.empty()) out.remarks.push_back(trouble);
    return out;
}

std::vector<DesignMatch> likely_designs(const Archive& archive, const Circuit& board, const KindTable& kinds, std::size_t most) {
    Fingerprint wanted = fingerprint_of(board);
    const std::string own_digest = sha256(board.source.bytes());   // the board's own file says nothing
    std::map<std::string, const ArchiveFamily*> family_of;
    for (const ArchiveFamily& family : archive.families) for (const std::string& file : family.files) family_of.emplace(file, &family);
    std::vector<std::pair<double, std::size_t>> order;
    for (std::size_t i = 0; i < archive.entries.size(); ++i) order.push_back({similarity(wanted, archive.entries[i].fingerprint), i});
    std::sort(order.begin(), order.end(), [](const auto& a, const auto& b) { return a.first != b.first ? a.first > b.first : a.second < b.second; });
    std::vector<DesignMatch> out;
    std::set<const ArchiveFamily*> taken;
    for (const auto& [alike, i] : order) {
        if (out.size() == most || alike == 0 || alike < worth_comparing * order.front().first) break;
        const ArchiveEntry& entry = archive.entries[i];
        if (entry.digest == own_digest) continue;
        DesignMatch match{entry.file, "", entry.title, alike, {}, 0};
        if (auto found = family_of.find(entry.file); found != family_of.end()) {
            if (!taken.insert(found->second).second) continue;
            match.family = found->second->file;
            match.file = found->second->files.front();
            if (!found->second->title.empty()) match.title = found->second->title;
        }
        Circuit drawing = as_drawing(read_circuit(read_file((fs::path(archive.folder) / match.file).string()), kinds));
        CompareOptions options;
        options.effort = candidate_effort;
        match.comparison = compare(drawing, board, options);
        match.parts = match.comparison.drawing_parts;
        out.push_back(std::move(match));
    }
    std::stable_sort(out.begin(), out.end(), [](const DesignMatch& a, const DesignMatch& b) {
        return static_cast<std::size_t>(a.comparison.cost) * std::max<std::size_t>(b.parts, 1) < static_cast<std::size_t>(b.comparison.cost) * std::max<std::size_t>(a.parts, 1);
    });
    return out;
}

}  // namespace tallyboard
