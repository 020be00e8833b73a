#pragma once

#include <initializer_list>
#include <optional>
#include <string_view>
#include <vector>

#include "solve/models/valves.h"
#include "solve/plan.h"

namespace tallyboard::detail {

// What each kind is made of: one function a kind, which puts prototypes into the part being planned, or says why there is no
// model. The table of kinds is find()'s.
struct KindModels {
    PartBuilder& b;
    using Make = void (KindModels::*)();
    // The function of a kind; none: it has no model.
    static Make find(std::string_view kind);

    std::vector<int> both() const;
    std::vector<int> at(std::initializer_list<std::string_view> pins) const;
    static std::optional<double> si(const std::optional<Value>& value);
    void put_value(double value);
    void put_resistance(double ohms, bool takes_value);
    void put_wire(int a, int c);
    void resistor();
    void capacitor();
    void coil();
    void speaker();
    void lamp();
    void battery();
    void wire();
    void crystal();
    void nothing();
    const Control* set_control(std::string_view otherwise);
    void toggle();
    void changeover();
    void selector();
    void jack_break();
    void potentiometer();
    void put_diode(std::string_view kind, std::vector<int> terminals);
    void diode();
    void led();
    void bridge();
    void zener();
    void neon();
    void bipolar(std::string_view kind, double polarity);
    void npn();
    void pnp();
    void junction_fet(std::string_view kind, double polarity);
    void njfet();
    void pjfet();
    void mosfet(std::string_view kind, double polarity);
    void nmos();
    void pmos();
    std::optional<KorenValues> koren(const Parameters& p, bool pentode);
    void triode();
    void pentode();
    void opamp();
    void say_defaults(const Parameters& p);
    void transformer();
};

}  // namespace tallyboard::detail
