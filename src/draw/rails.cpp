#include "base/text.h"
#include "draw/prepare.h"

namespace tallyboard::detail {

namespace {

bool begins_minus(std::string_view name) { return !name.empty() && (name[0] == '-' || name.substr(0, 3) == "\xE2\x88\x92"); }

bool sounds_like_ground(std::string_view name) {
    const std::string plain = ascii_lower(name);
    return plain == "0v" || plain == "gnd" || plain == "ground" || plain == "earth" || plain == "chassis" || plain == "agnd";
}

bool sounds_like_supply(std::string_view name) {
    const std::string plain = ascii_lower(name);
    if (plain.size() > 1 && (name[0] == '+' || begins_minus(name)) && plain.find_first_of("0123456789") != std::string::npos) return true;
    return plain == "ht" || plain == "b+" || plain == "vcc" || plain == "vdd" || plain == "vee" || plain == "vss" ||
           (plain.size() == 3 && plain.substr(0, 2) == "ht" && is_digit(plain[2]));
}

// Electrolytics that end on the net with that pin while their other end is on `other` (any where -1).
int electrolytic_ends(const Model& model, int net, std::string_view pin_name, auto&& other_is) {
    int count = 0;
    for (auto [i, p] : model.nets[net].pins) {
        const Item& item = model.items[i];
        if (item.kind != "electrolytic" || item.pins.size() != 2 || item.pins[p].kind_pin != pin_name) continue;
        if (other_is(item.pins[1 - p].net)) ++count;
    }
    return count;
}

// Without a role or a supply to tell: the net called so, else the one most pins and most minus ends are on.
int guess_ground(const Model& model) {
    for (int n = 0; n < static_cast<int>(model.nets.size()); ++n)
        if (sounds_like_ground(model.nets[n].name)) return n;
    int most = -1, most_minus = -1;
    std::size_t pins = 5;
    int minus = 0;
    for (int n = 0; n < static_cast<int>(model.nets.size()); ++n) {
        if (model.nets[n].pins.size() > pins) pins = model.nets[n].pins.size(), most = n;
        const int ends = electrolytic_ends(model, n, "minus", [](int) { return true; });
        if (ends > minus) minus = ends, most_minus = n;
    }
    return most == most_minus ? most : -1;
}

// A supply behind a dropper that feeds many parts is a rail too, whatever the file says of it; one that feeds a stage or two
// stays a line above them.
void find_decoupled(Model& model) {
    constexpr std::size_t many = 7;
    for (bool found = true; found;) {
        found = false;
        for (std::size_t n = 0; n < model.nets.size(); ++n) {
            ModelNet& net = model.nets[n];
            if (net.rail || net.pins.size() < many) continue;
            TieForm form = TieForm::none;
            for (auto [i, p] : net.pins) {
                const Item& item = model.items[i];
                if (item.kind != "resistor" || item.pins.size() != 2 || item.pins[1 - p].net < 0) continue;
                const ModelNet& other = model.nets[item.pins[1 - p].net];
                if (other.rail && (other.form == TieForm::up || other.form == TieForm::down)) form = other.form;
            }
            const auto to_ground = [&](int other) { return other >= 0 && is_ground(model.nets[other].form); };
            const char* pin = form == TieForm::down ? "minus" : "plus";
            if (form == TieForm::none || electrolytic_ends(model, static_cast<int>(n), pin, to_ground) == 0) continue;
            net.rail = true;
            net.form = form;
            found = true;
        }
    }
}

// The circuit's own ground needs no name, nor does a lone earth; others of their form do.
void name_grounds(Model& model, const Circuit& circuit) {
    const auto main = circuit.ground();
    for (const TieForm form : {TieForm::ground, TieForm::earth}) {
        int plain = -1;
        for (int n = 0; n < static_cast<int>(model.nets.size()); ++n) {
            if (model.nets[n].form != form) continue;
            if (plain < 0 || (main && static_cast<int>(main->index) == n)) {
                if (plain >= 0) model.nets[plain].named = true;
                plain = n;
            } else {
                model.nets[n].named = true;
            }
        }
    }
}

}  // namespace

void find_rails(Model& model, const Circuit& circuit) {
    const auto ground_like = [&](int n) { return n >= 0 && is_ground(model.nets[n].form); };
    bool any_ground = false;
    for (std::size_t n = 0; n < circuit.nets.size(); ++n)
        if (circuit.nets[n].role == NetRole::ground || circuit.nets[n].role == NetRole::earth) {
            model.nets[n].rail = true;
            model.nets[n].form = circuit.nets[n].role == NetRole::earth ? TieForm::earth : TieForm::ground;
            any_ground = any_ground || circuit.nets[n].role == NetRole::ground;
        }
    if (!any_ground) {
        const auto told = circuit.ground();
        const int guess = told ? static_cast<int>(told->index) : guess_ground(model);
        if (guess >= 0 && (circuit.nets[guess].role == NetRole::unsaid || told)) {
            model.nets[guess].rail = true;
            model.nets[guess].form = TieForm::ground;
        }
    }
    const auto make_rail = [&](int n, bool down) {
        if (is_ground(model.nets[n].form)) return;
        model.nets[n].rail = true;
        model.nets[n].form = down ? TieForm::down : TieForm::up;
    };
    bool told = false;
    for (int n = 0; n < static_cast<int>(circuit.nets.size()); ++n)
        if (circuit.nets[n].role == NetRole::supply) {
            const bool down = begins_minus(model.nets[n].name) ||
                              electrolytic_ends(model, n, "minus", ground_like) > electrolytic_ends(model, n, "plus", ground_like);
            make_rail(n, down);
            told = true;
        }
    if (circuit.setup)
        for (const Supply& supply : circuit.setup->supplies) {
            const int plus = static_cast<int>(supply.plus.index), minus = static_cast<int>(supply.minus.index);
            if (ground_like(minus) && !ground_like(plus)) make_rail(plus, false);
            if (ground_like(plus) && !ground_like(minus)) make_rail(minus, true);
            told = true;
        }
    const auto guess_by_name = [&] {
        for (int n = 0; n < static_cast<int>(model.nets.size()); ++n)
            if (circuit.nets[n].role == NetRole::unsaid && sounds_like_supply(model.nets[n].name))
                make_rail(n, begins_minus(model.nets[n].name));
    };
    if (!told) guess_by_name();
    find_decoupled(model);
    name_grounds(model, circuit);
}

}  // namespace tallyboard::detail
