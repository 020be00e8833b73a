#include "circuit/latest_date.h"

#include "base/text.h"

namespace tallyboard {

void LatestDate::consider(const std::string& date) {
    const Result<Date> read = read_date(date);
    if (!read || !read->latest) return;
    if (!day_ || *read->latest > *day_) day_ = read->latest, text_ = date;
}

void LatestDate::consider(const Circuit& circuit) {
    consider(circuit.about.date);
    // "traced from the copper side, 2026-03-02": a day at the end of a phrase.
    for (const std::string& word : split_words(circuit.about.source)) {
        std::string bare = word;
        while (!bare.empty() && !is_digit(bare.back())) bare.pop_back();
        while (!bare.empty() && !is_digit(bare.front())) bare.erase(0, 1);
        if (bare.size() == 10) consider(bare);
    }
    for (const Revision& revision : circuit.revisions) consider(revision.date);
    for (const Part& part : circuit.parts)
        for (const Done& done : part.done) consider(done.on);
}

}  // namespace tallyboard
