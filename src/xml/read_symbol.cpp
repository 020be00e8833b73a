#include "xml/read_symbol.h"

#include <algorithm>
#include <cmath>

#include "base/number_text.h"
#include "base/text.h"
#include "circuit/unknown_kind.h"
#include "circuit/written.h"

namespace tallyboard {
namespace {

constexpr double max_reach = 1000;   // grid units from a symbol's origin: far beyond any symbol
constexpr std::size_t max_shapes = 2000;

class SymbolReader {
public:
    SymbolReader(const Element& element, const Kind& kind, Diagnoses& diagnoses)
        : element_(element), kind_(kind), diagnoses_(diagnoses) {}

    Symbol read() {
        symbol_.habit = element_["habit"].text;
        for (const Element& e : element_.children) {
            if (symbol_.shapes.size() == max_shapes) {
                diagnoses_.error(e.span.begin, "a symbol has at most " + std::to_string(max_shapes) + " shapes");
                break;
            }
            if (e.name == "at") pin(e);
            else if (e.name == "line") line(e);
            else if (e.name == "circle")
                symbol_.shapes.push_back(SymbolCircle{at(e, "x"), at(e, "y"), at(e, "r"), weight(e), yes(e, "filled")});
            else if (e.name == "arc")
                symbol_.shapes.push_back(SymbolArc{at(e, "x"), at(e, "y"), at(e, "r"), at(e, "from"), at(e, "to"), weight(e)});
            else if (e.name == "text")
                symbol_.shapes.push_back(SymbolText{at(e, "x"), at(e, "y"), e["size"] ? at(e, "size") : 1.0,
                                                    std::string(e["says"].text)});
        }
        return std::move(symbol_);
    }

private:
    double at(const Element& e, std::string_view attribute) {
        auto number = read_number(diagnoses_, e[attribute], attribute);
        if (number && std::fabs(*number) > max_reach)
            diagnoses_.error(e[attribute].at(), "no symbol reaches so far");
        return number.value_or(0);
    }
    bool yes(const Element& e, std::string_view attribute) {
        return read_yes_no(diagnoses_, e[attribute], "answer").value_or(false);
    }
    Weight weight(const Element& e) {
        return read_word<Weight>(diagnoses_, e["weight"], "weight",
                                 {{"thin", Weight::thin}, {"normal", Weight::normal}, {"heavy", Weight::heavy}})
            .value_or(Weight::normal);
    }

    void pin(const Element& e) {
        SymbolPin pin;
        pin.x = at(e, "x");
        pin.y = at(e, "y");
        pin.leaves = read_word<char>(diagnoses_, e["leaves"], "way out", {{"l", 'l'}, {"r", 'r'}, {"u", 'u'}, {"d", 'd'}}).value_or('l');
        pin.name = e["pin"].text;
        auto index = kind_.pin(pin.name);
        if (index) pin.name = kind_.pins[*index].name;
        else if (e["pin"] && kind_.pattern == PinPattern::fixed)
            diagnoses_.error(e["pin"].at(), kind_.says + " has no pin \"" + pin.name + "\"");
        symbol_.pins.push_back(std::move(pin));
    }

    void line(const Element& e) {
        SymbolLine line;
        line.weight = weight(e);
        line.closed = yes(e, "closed");
        line.filled = yes(e, "filled");
        for (const std::string& word : split_words(e["points"].text)) {
            std::vector<std::string> xy = split(word, ',');
            auto x = read_double(xy.front()), y = read_double(xy.back());
            if (xy.size() != 2 || !x || !y || std::fabs(*x) > max_reach || std::fabs(*y) > max_reach)
                diagnoses_.error(e["points"].at(), "\"" + word + "\" is no point; write x,y");
            else line.points.emplace_back(*x, *y);
        }
        if (e["points"] && line.points.size() < 2) diagnoses_.error(e["points"].at(), "a line has two points or more");
        symbol_.shapes.push_back(std::move(line));
    }

    const Element& element_;
    const Kind& kind_;
    Diagnoses& diagnoses_;
    Symbol symbol_;
};

}  // namespace

Symbol read_symbol(const Element& element, const Kind& kind, Diagnoses& diagnoses) {
    return SymbolReader(element, kind, diagnoses).read();
}

bool copy_symbols(const Element& kind_element, Kind& kind, const KindTable& kinds, Diagnoses& diagnoses) {
    bool any = false;
    for (const Element& e : kind_element.children) {
        if (e.name != "symbol" || !e["like"]) continue;
        auto id = kinds.find(e["like"].text);
        if (!id) {
            diagnoses.error(e["like"].at(), unknown_kind(diagnoses, e["like"].at(), e["like"].text, kinds));
            continue;
        }
        const Kind& like = kinds[*id];
        if (like.pins.size() != kind.pins.size() || like.pattern != kind.pattern) {
            diagnoses.error(e["like"].at(), "the symbol of " + like.says + " does not fit: it has " +
                                                counted(like.pins.size(), "pin") + ", this kind " + std::to_string(kind.pins.size()));
            continue;
        }
        bool by_name = std::all_of(like.pins.begin(), like.pins.end(), [&](const KindPin& p) {
            return std::any_of(kind.pins.begin(), kind.pins.end(), [&](const KindPin& own) { return own.name == p.name; });
        });
        for (Symbol symbol : like.symbols) {
            if (!by_name)
                for (SymbolPin& pin : symbol.pins)
                    if (auto at = like.pin(pin.name)) pin.name = kind.pins[*at].name;
            kind.symbols.push_back(std::move(symbol));
            any = true;
        }
    }
    return any;
}

}  // namespace tallyboard
