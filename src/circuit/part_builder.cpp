#include "circuit/part_builder.h"

#include <algorithm>

#include "base/number_text.h"
#include "base/text.h"
#include "circuit/unknown_kind.h"
#include "circuit/written.h"

namespace tallyboard {

PartBuilder::PartBuilder(CircuitBuilder& whole, const PartRow& row)
    : whole_(whole), diagnoses_(whole.diagnoses_), row_(row) {}

bool PartBuilder::build() {
    part_.ref = row_.ref.text;
    part_.package = row_.package.text;
    part_.taper = row_.taper.text;
    part_.note = row_.note.text;
    part_.span = row_.span;
    part_.ref_span = row_.ref.span;
    part_.value_span = row_.value.span;
    part_.model_span = row_.model.span;
    part_.kind_span = row_.kind.span;
    part_.pins_span = row_.pins.span;
    auto kind = row_.kind ? whole_.circuit_.kinds.find(row_.kind.text) : std::nullopt;
    if (kind) {
        part_.kind = *kind;
        kind_ = &whole_.circuit_.kinds[*kind];
    } else if (row_.kind) {
        diagnoses_.error(row_.kind.at(), unknown_kind(diagnoses_, row_.kind.at(), row_.kind.text, whole_.circuit_.kinds));
    }
    part_.fit = read_word<Fit>(diagnoses_, row_.fit, "fit", {{"yes", Fit::yes}, {"no", Fit::no}, {"optional", Fit::optional}})
                    .value_or(Fit::yes);
    part_.tol = read_written_tolerance(diagnoses_, row_.tol);
    part_.on = row_.on.text;
    if (row_.on && whole_.circuit_.role == CircuitRole::board)
        diagnoses_.warning(row_.on.at(), "on= on a part belongs to a drawing; a board says it once, on <as-found>");
    for (const DoneRow& row : row_.done) done(row);
    if (row_.stands) stands(*row_.stands);
    for (const OnScanRow& row : row_.on_scan) on_scan(row);
    bool usable = false;
    if (kind_) {
        value();
        for (const FoundRow& row : row_.found) found(row);
        model();
        sizes();
        track();
        usable = pins();
        for (const WindingRow& row : row_.windings) winding(row);
    }
    whole_.circuit_.parts.push_back(std::move(part_));
    return usable;
}

ValueHabits PartBuilder::habits(bool marking) const {
    const Circuit& circuit = whole_.circuit_;
    ValueHabits habits;
    habits.capacitor = circuit.defaults.capacitor;
    habits.polarised = kind_->polarised;
    habits.marking = marking;
    if (circuit.about.made && circuit.about.made->earliest) habits.year = circuit.about.made->earliest->year();
    habits.thousands_comma = whole_.decimal_points_ > 0 && whole_.decimal_commas_ == 0;
    return habits;
}

// Assumptions that a drawing makes throughout are told once, where they first occur; the others each time.
void PartBuilder::remarks_of(const Value& value, std::size_t offset) {
    for (const ValueRemark& remark : value.remarks) {
        if (remark.always) diagnoses_.warning(offset, remark.says);
        else if (whole_.habits_told_.insert(remark.habit).second)
            diagnoses_.note(offset, remark.habit.empty() ? remark.says : remark.habit + " (first: " + part_.ref + ")");
    }
}

void PartBuilder::value() {
    if (!row_.value || row_.value.text == "?") return;
    if (row_.value.text.empty()) {
        diagnoses_.error(row_.value.at(), "the value is empty; write ? or leave it out where it is not known");
        return;
    }
    if (kind_->quantity == Quantity::none) {
        if (row_.model) {
            diagnoses_.error(row_.value.at(), kind_->says + " has a type number alone: write it in model, and no value");
            return;
        }
        part_.model = collapsed(row_.value.text);
        part_.model_span = row_.value.span;
        return;
    }
    Result<Value> value = read_value(row_.value.text, kind_->quantity, habits(false));
    if (value) {
        remarks_of(*value, row_.value.at());
        part_.value = *value;
    } else if (kind_->value_or_model && !row_.model) {
        part_.model = collapsed(row_.value.text);
        part_.model_span = row_.value.span;
    } else {
        diagnoses_.error(row_.value.at(), value.error());
    }
}

// The type number as written; on kinds without a quantity else what is marked on the part. Both and unlike: a warning.
void PartBuilder::model() {
    if (row_.model) {
        part_.model = row_.model.text == "?" ? std::string() : collapsed(row_.model.text);
        if (row_.model.text.empty())
            diagnoses_.error(row_.model.at(), "the model is empty; write ? or leave it out where it is not known");
    }
    if (kind_->quantity != Quantity::none) return;
    const KindTable& kinds = whole_.circuit_.kinds;
    for (const FoundRow& row : row_.found) {
        if (!row.marking || row.marking.text.empty()) continue;
        std::string marked = collapsed(row.marking.text);
        if (part_.model.empty()) {
            part_.model = marked;
            continue;
        }
        // A marking may hold more than the type: maker, date code. One word of it that fits is enough.
        std::vector<std::string> words = split_words(marked);
        words.push_back(marked);
        bool alike = std::any_of(words.begin(), words.end(), [&](const std::string& word) {
            return kinds.same_type(part_.model, word) || kinds.same_type(word, part_.model);
        });
        if (!alike)
            diagnoses_.warning(row.marking.at(), part_.ref + " is marked " + marked + " but written as " + part_.model +
                                                     "; what is written counts");
    }
}

// What a coil, head, speaker, lamp or battery has beside its value.
void PartBuilder::sizes() {
    struct Size { const Written& row; Quantity quantity; std::optional<Value>& to; };
    for (const Size& size : {Size{row_.resistance, Quantity::resistance, part_.resistance},
                             Size{row_.inductance, Quantity::inductance, part_.inductance},
                             Size{row_.capacitance, Quantity::capacitance, part_.capacitance}}) {
        if (!size.row) continue;
        if (size.quantity == kind_->quantity && row_.value) {
            diagnoses_.error(size.row.at(), "the " + std::string(quantity_name(size.quantity)) + " of " + kind_->says +
                                                " is its value; write it once");
            continue;
        }
        if (size.row.text == "?") continue;
        size.to = read_amount(diagnoses_, size.row, size.quantity);
    }
}

void PartBuilder::track() {
    bool has_wiper = std::any_of(kind_->pins.begin(), kind_->pins.end(), [](const KindPin& pin) { return pin.name == "wiper"; });
    for (const auto& [field, name] : {std::pair{&row_.taper, "taper"}, std::pair{&row_.half, "half"}})
        if (*field && !has_wiper)
            diagnoses_.error(field->at(), std::string(name) + " belongs to a potentiometer, not to " + kind_->says);
    read_word<int>(diagnoses_, row_.taper, "taper", {{"linear", 0}, {"log", 1}, {"reverse-log", 2}});
    if (!row_.half) return;
    Result<double> share = read_share(row_.half.text);
    if (!share) diagnoses_.error(row_.half.at(), share.error());
    else if (!(*share > 0 && *share < 1))
        diagnoses_.error(row_.half.at(), "the share of the track at half turn lies between 0% and 100%");
    else part_.half = *share;
}

void PartBuilder::found(const FoundRow& row) {
    Found found;
    found.marking = collapsed(row.marking.text);
    found.condition = collapsed(row.condition.text);
    found.date_code = row.date_code.text;
    found.meter = row.meter.text;
    found.note = collapsed(row.note.text);
    found.span = row.span;
    found.where = read_word<FoundWhere>(diagnoses_, row.where, "place of measuring",
                                        {{"out", FoundWhere::out}, {"lifted", FoundWhere::lifted}, {"in", FoundWhere::in}})
                      .value_or(FoundWhere::unsaid);
    found.status = read_word<FoundStatus>(diagnoses_, row.status, "status",
                                          {{"original", FoundStatus::original}, {"replaced", FoundStatus::replaced},
                                           {"added", FoundStatus::added}, {"unknown", FoundStatus::unknown}})
                       .value_or(FoundStatus::unsaid);
    if (row.meter) whole_.found_meters_.push_back(row.meter);
    marking(row, found);
    measured(row, found);
    part_.found.push_back(std::move(found));
}

// What a marking that cannot be decoded says is kept; it is only not known as a number.
void PartBuilder::marking(const FoundRow& row, Found& found) {
    if (!row.marking || row.marking.text.empty() || kind_->quantity == Quantity::none) return;
    Result<Value> value = read_value(row.marking.text, kind_->quantity, habits(true));
    if (!value) {
        if (!kind_->value_or_model) diagnoses_.warning(row.marking.at(), "the marking is not decoded: " + value.error());
        return;
    }
    for (const ValueRemark& remark : value->remarks)
        if (remark.always) diagnoses_.warning(row.marking.at(), remark.says);
    found.marked = *value;
    if (!part_.value) return;
    const auto& others = value->other_readings;
    bool alike = value->number == part_.value->number ||
                 std::find(others.begin(), others.end(), part_.value->number) != others.end();
    if (!alike)
        diagnoses_.warning(row.marking.at(), part_.ref + " is marked " + trade_text(value->number, value->quantity) +
                                                 " but written as " + part_.value->text + "; what is written counts");
}

void PartBuilder::measured(const FoundRow& row, Found& found) {
    if (!row.measured || row.measured.text == "?") return;
    found.measured_text = collapsed(row.measured.text);
    if (kind_->quantity == Quantity::none) {
        diagnoses_.error(row.measured.at(), "nothing is measured on " + kind_->says + " by itself; write it in note");
        return;
    }
    if (auto value = read_amount(diagnoses_, row.measured, kind_->quantity, habits(false))) found.measured = value->si();
}

void PartBuilder::done(const DoneRow& row) {
    auto what = read_word<DoneWhat>(diagnoses_, row.what, "work",
                                    {{"replaced", DoneWhat::replaced}, {"removed", DoneWhat::removed},
                                     {"added", DoneWhat::added}, {"adjusted", DoneWhat::adjusted},
                                     {"cleaned", DoneWhat::cleaned}});
    whole_.date(row.on);
    Done done{what.value_or(DoneWhat::replaced), collapsed(row.with.text), std::string(row.on.text), collapsed(row.why.text),
              std::string(row.by.text), std::nullopt, row.span};
    if (row.with && kind_ && kind_->quantity != Quantity::none) {
        Result<Value> value = read_value(row.with.text, kind_->quantity, habits(false));
        // Adjusting may turn a control as well as change a value.
        bool is_share = done.what == DoneWhat::adjusted && read_share(row.with.text).has_value();
        if (value) done.value = *value;
        else if (!kind_->value_or_model && !is_share) diagnoses_.error(row.with.at(), value.error());
    }
    part_.done.push_back(std::move(done));
}

void PartBuilder::winding(const WindingRow& row) {
    if (kind_->pattern != PinPattern::windings) {
        diagnoses_.error(row.span.begin, "<winding> belongs to a transformer, not to " + kind_->says);
        return;
    }
    Winding winding;
    winding.name = row.name.text;
    winding.span = row.span;
    if (winding.name.size() != 1 || std::string_view("pstuv").find(winding.name) == std::string_view::npos) {
        diagnoses_.error(row.name ? row.name.at() : row.span.begin, "a winding is called p, s, t, u or v");
        return;
    }
    for (const Winding& other : part_.windings)
        if (other.name == winding.name) {
            diagnoses_.error(row.name.at(), "the winding " + winding.name + " is given twice, first on " +
                                                diagnoses_.line_words(other.span.begin));
            return;
        }
    for (const std::string& word : split_words(row.turns.text)) {
        winding.turns.push_back(read_double(word).value_or(0));
        if (winding.turns.back() <= 0) diagnoses_.error(row.turns.at(), "\"" + word + "\" is no number of turns");
    }
    for (const std::string& word : split_words(row.resistance.text)) {
        Result<Value> ohms = read_value(word, Quantity::resistance);
        if (ohms) winding.ohms.push_back(ohms->si());
        else diagnoses_.error(row.resistance.at(), ohms.error());
    }
    if (auto henries = read_si(diagnoses_, row.inductance, Quantity::inductance)) winding.henries = *henries;
    if (row.turns && row.resistance && winding.ohms.size() != winding.turns.size())
        diagnoses_.error(row.resistance.at(), "one resistance for each number of turns: " +
                                                  counted(winding.turns.size(), "figure") + ", not " +
                                                  std::to_string(winding.ohms.size()));
    std::size_t taps = 0;
    for (const Pin& pin : part_.pins)
        if (pin.name.substr(0, 1) == winding.name)
            taps = std::max(taps, static_cast<std::size_t>(read_integer(pin.name.substr(1)).value_or(0)));
    if (row.turns && taps > winding.turns.size() + 1)
        diagnoses_.error(row.turns.at(), "one figure between each two taps: tap " + winding.name + std::to_string(taps) +
                                             " needs " + std::to_string(taps - 1) + ", not " +
                                             std::to_string(winding.turns.size()));
    part_.windings.push_back(std::move(winding));
}

void PartBuilder::stands(const StandsRow& row) {
    Stands stands;
    stands.span = row.span;
    auto x = read_number(diagnoses_, row.x, "x"), y = read_number(diagnoses_, row.y, "y");
    stands.x = x.value_or(0);
    stands.y = y.value_or(0);
    for (const auto& [number, field] : {std::pair{x, &row.x}, std::pair{y, &row.y}})
        if (number && (*number > max_coordinate || *number < -max_coordinate))
            diagnoses_.error(field->at(), "no sheet reaches so far");
    stands.quarter = static_cast<int>(read_whole(diagnoses_, row.quarter, "quarter", 0, 3).value_or(0));
    stands.flipped = read_yes_no(diagnoses_, row.flipped, "answer").value_or(false);
    stands.sheet = static_cast<int>(read_whole(diagnoses_, row.sheet, "sheet", 1, max_sheets).value_or(1));
    part_.stands = stands;
}

void PartBuilder::on_scan(const OnScanRow& row) {
    OnScan on{read_number(diagnoses_, row.x, "x").value_or(0), read_number(diagnoses_, row.y, "y").value_or(0),
              std::string(row.scan.text), row.span};
    if (row.scan) whole_.scans_named_.push_back(row.scan);
    part_.on_scan.push_back(std::move(on));
}

}  // namespace tallyboard
