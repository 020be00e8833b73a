#include "xml/schema.h"

#include <algorithm>
#include <map>
#include <stdexcept>

#include "base/text.h"

namespace tallyboard {
namespace {

// type | attributes (! required) | children (? once, ! exactly once, * any number; NAME:TYPE where they differ) | "text"
struct Row { const char *type, *attributes, *children, *more; };

constexpr Row rows[] = {
    {"circulated", "", "about? defaults? net* kind* device* part* scan* revision* setup? bench* continuity*", ""},
    {"as-found", "complete on", "about? defaults? net* kind* device* part* scan* setup? bench* continuity*", ""},
    {"review", "drawing board", "about? decision* pair*", ""},
    {"family", "", "about? base! member*", ""},
    {"kinds", "", "kind*", ""},
    {"devices", "", "device*", ""},

    {"about", "", "title?:line maker?:line model?:line serial?:line made?:line source?:line by?:line date?:line note?:line", ""},
    {"line", "", "", "text"},
    {"defaults", "capacitor resistor-tol capacitor-tol", "", ""},
    {"net", "name! role note", "", ""},
    {"scan", "file! note", "", ""},
    {"revision", "letter! date by", "", "text"},

    {"part", "ref! kind! value model tol package fit on taper half resistance inductance capacitance pins note",
     "found* done* stands? on-scan* winding*", ""},
    {"found", "marking measured where status condition date-code meter note", "", ""},
    {"done", "what! with on why by", "", ""},
    {"stands", "x! y! quarter flipped sheet", "", ""},
    {"on-scan", "x! y! scan", "", ""},
    {"winding", "name! turns resistance inductance", "", ""},

    {"setup", "", "supply* source?:signal load?:signal control*", ""},
    {"supply", "name plus! minus! voltage! resistance", "", ""},
    {"signal", "net! return! resistance", "", ""},
    {"control", "ref! at!", "", ""},
    {"bench", "note", "meter* reading*", ""},
    {"meter", "id! input error burden test note", "", ""},
    {"reading", "what! at to through is! meter range within without when note", "", ""},
    {"continuity", "", "test*", ""},
    {"test", "from! to! beeps! note", "", ""},

    {"decision", "finding! is! by on", "", "text"},
    {"pair", "drawing! board!", "", ""},
    {"base", "file!", "", ""},
    {"member", "file! review made serial seen note", "", ""},

    {"device", "model kind! source note is n vz izt nz beta-f beta-r idss vp igs k vth mu ex kg1 kg2 kp kvb a0 gbw vos ib "
               "headroom-high headroom-low iout rout isupply set-supply set-gbw rset r spread-low spread-high spread-vbe", "", ""},
    {"kind", "name! says quantity value-or-model polarised conductor letters pattern",
     "pin* exchange* section* synonyms*:line symbol*", ""},
    {"pin", "name! others role may-be-left-out", "", ""},
    {"exchange", "pins! with", "", ""},
    {"section", "kind! pins! of", "", ""},
    {"symbol", "habit like", "at* line*:stroke circle* arc* text*:letters", ""},
    {"at", "pin! x! y! leaves", "", ""},
    {"stroke", "points! weight closed filled", "", ""},
    {"circle", "x! y! r! weight filled", "", ""},
    {"arc", "x! y! r! from! to! weight", "", ""},
    {"letters", "x! y! says! size", "", ""},
};

ChildRule child_rule(std::string word) {
    ChildRule rule;
    if (auto colon = word.find(':'); colon != std::string::npos) {
        rule.type = word.substr(colon + 1);
        word.resize(colon);
    }
    rule.once = word.back() != '*';
    rule.required = word.back() == '!';
    word.pop_back();
    rule.name = word;
    if (rule.type.empty()) rule.type = word;
    return rule;
}

std::vector<ElementRule> read_rows() {
    std::vector<ElementRule> rules;
    for (const Row& row : rows) {
        ElementRule rule{row.type, {}, {}, std::string_view(row.more) == "text"};
        for (std::string& word : split_words(row.attributes)) {
            bool required = word.back() == '!';
            if (required) word.pop_back();
            rule.attributes.push_back({word, required});
        }
        for (std::string& word : split_words(row.children)) rule.children.push_back(child_rule(std::move(word)));
        rules.push_back(std::move(rule));
    }
    return rules;
}

std::string tag(std::string_view name) { return "<" + std::string(name) + ">"; }

// The elements that may hold one called `name`: for those that stand in the wrong place.
std::vector<std::string> homes_of(std::string_view name) {
    std::vector<std::string> homes;
    for (const ElementRule& rule : element_rules())
        for (const ChildRule& child : rule.children)
            if (child.name == name) homes.push_back(tag(rule.type));
    return homes;
}

template <class Rules>
std::vector<std::string> names_of(const Rules& rules) {
    std::vector<std::string> names;
    for (const auto& rule : rules) names.push_back(rule.name);
    return names;
}

class Checker {
public:
    explicit Checker(Diagnoses& diagnoses) : diagnoses_(diagnoses) {
        for (const ElementRule& rule : element_rules()) by_type_.emplace(rule.type, &rule);
    }

    void check(const Element& element, const ElementRule& rule) {
        attributes(element, rule);
        if (element.has_text && !rule.text)
            diagnoses_.error(element.text_begin, "text does not belong in " + tag(element.name));
        std::map<std::string_view, std::size_t> seen;
        for (const Element& child : element.children) {
            auto known = std::find_if(rule.children.begin(), rule.children.end(),
                                      [&](const ChildRule& c) { return c.name == child.name; });
            if (known == rule.children.end()) {
                unknown_child(child, element, rule);
                continue;
            }
            if (auto [first, added] = seen.emplace(child.name, child.span.begin); known->once && !added)
                diagnoses_.error(child.span.begin, tag(child.name) + " may stand once in " + tag(element.name) +
                                                       "; the first is on " + diagnoses_.line_words(first->second));
            check(child, *by_type_.at(known->type));
        }
        for (const ChildRule& child : rule.children)
            if (child.required && !seen.count(child.name))
                diagnoses_.error(element.span.begin, tag(element.name) + " needs a " + tag(child.name));
    }

private:
    void attributes(const Element& element, const ElementRule& rule) {
        for (const Attribute& attribute : element.attributes) {
            bool known = std::any_of(rule.attributes.begin(), rule.attributes.end(),
                                     [&](const AttributeRule& a) { return a.name == attribute.name; });
            if (known) continue;
            std::string nearest = diagnoses_.nearest(attribute.name_span.begin, attribute.name, [&] { return names_of(rule.attributes); });
            diagnoses_.error(attribute.name_span.begin,
                             tag(element.name) + " has no attribute \"" + std::string(attribute.name) + "\"" +
                                 (nearest.empty() ? "" : "; did you mean \"" + nearest + "\"?"));
        }
        for (const AttributeRule& a : rule.attributes)
            if (a.required && !element[a.name])
                diagnoses_.error(element.span.begin, tag(element.name) + " needs the attribute " + a.name);
    }

    void unknown_child(const Element& child, const Element& parent, const ElementRule& rule) {
        std::vector<std::string> homes = homes_of(child.name);
        std::string words = homes.empty() ? "unknown element " + tag(child.name) + " in " + tag(parent.name)
                                          : tag(child.name) + " does not stand in " + tag(parent.name);
        std::string nearest = diagnoses_.nearest(child.span.begin, child.name, [&] { return names_of(rule.children); });
        if (!nearest.empty()) words += "; did you mean " + tag(nearest) + "?";
        else if (!homes.empty()) words += " but in " + join_words(homes, "or");
        diagnoses_.error(child.span.begin, words);
    }

    Diagnoses& diagnoses_;
    std::map<std::string_view, const ElementRule*> by_type_;
};

}  // namespace

const std::vector<ElementRule>& element_rules() {
    static const std::vector<ElementRule> rules = read_rows();
    return rules;
}

const ElementRule& rule_of(std::string_view type) {
    for (const ElementRule& rule : element_rules())
        if (rule.type == type) return rule;
    throw std::logic_error("no element type " + std::string(type));
}

const std::vector<std::string>& root_names() {
    static const std::vector<std::string> names{"circulated", "as-found", "review", "family", "kinds", "devices"};
    return names;
}

void check_structure(const Element& root, Diagnoses& diagnoses) { Checker(diagnoses).check(root, rule_of(root.name)); }

}  // namespace tallyboard
