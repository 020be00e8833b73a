// solve: what a circuit does when it is set up and switched on: operating point, readings as a given meter shows them,
// small-signal response from source to load. Nodal analysis; docs/solving.md says how each kind of part is taken.
// Start reading here. Inside, everything is SI in plain doubles. It knows nothing of XML, of comparing or of drawing.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include "circuit/circuit.h"

namespace tallyboard {

struct SolveOptions {
    When when = When::found;
    // Built-in devices, then those of files given by the user: a later one counts before an earlier one, and the circuit's own
    // <device> elements before all. An empty list leaves transistors and valves without parameters: they are then unmodelled.
    std::vector<Device> devices;
    std::vector<double> hz;  // for solve(); empty: third-octaves from 20 Hz to 20 kHz
};

// One part taken otherwise than the file has it: for suspects, tolerances and trials.
enum class Taken { open, shorted, value, leak };
struct Departure {
    PartId part;
    Taken taken = Taken::value;
    double amount = 0;  // value: SI, in place of the nominal value; leak: ohms across the part; else unused
    // shorted, leak: between these pins (indices in Part::pins); none: between all of the part's pins (leak: the first two).
    std::optional<std::pair<std::uint32_t, std::uint32_t>> pins;
};

// A value that production spreads: the part's nominal value and the tolerance it is worked with.
struct Spread {
    PartId part;
    double nominal = 0;    // SI
    Tolerance tolerance;
};
// How specimens of one device type differ: data of schema/devices.xml, not tolerances of a reading. Shares are of what spreads most:
// the current gain of a bipolar transistor, IDSS of a junction FET (VP goes with its root), the threshold of a MOSFET, the current of
// a valve at given voltages.
struct DeviceSpread {
    PartId part;
    std::string ref;       // of the section, where a package was split
    double low = 1, high = 1;
    double vbe = 0;        // bipolar: how far the base's voltage at a given current lies from the type's, either way, V
};
// One specimen out of them; as it stands: the type's own.
struct Specimen { double share = 1, vbe = 0; };

// The tolerance a part is worked with: its `tol`, else what its value or marking says, else the file's <defaults>, else by the
// unit's date as the trade takes it (resistor ±20 % before 1955, ±10 % to 1970 and undated, ±5 % after; capacitor ±20 %;
// electrolytic -20/+80 %; potentiometers ±20 %, inductors and transformers none unless written). Nothing written and no rule: {0, 0}.
Tolerance working_tolerance(const Circuit& circuit, const Part& part);

// A part that has no model, or whose value is not known, and what that hides.
struct Unmodelled {
    PartId part;
    std::string ref;       // of the section, where a package was split
    std::string why;       // "an integrated circuit has no model", "its value is not known"
    bool at_dc = true;     // hides direct voltages too; false: the response alone (a capacitor without a value)
};

struct SupplyCurrent {
    std::string name;                // a supply's name, or a battery's reference
    std::optional<double> amperes;   // positive when it delivers
};

// The circuit at rest. What cannot be told is empty: what depends on a part without a model, what floats.
struct OperatingPoint {
    bool converged = false;
    std::string resists;   // not converged: the net that resists …
    std::string says;      // … and what was tried, in a sentence; converged with help: which
    int iterations = 0;
    std::vector<std::optional<double>> net_volts;                  // by NetId, against Circuit::ground()
    std::vector<SupplyCurrent> supplies;                           // supplies as set up, then batteries in file order
    std::vector<std::vector<std::optional<double>>> pin_amperes;   // [part][pin]: into that pin
};

struct ResponsePoint {
    double hz = 0;
    std::optional<double> db, deg;  // load voltage over source EMF; degrees in (-180, 180]
};

// What a part's value does to a quantity: change of the quantity for a rise of the value by its own amount (d q / d ln value).
struct Effect {
    PartId part;
    double slope = 0;
};

// What a reading should be. Volts, ohms or amperes; empty: cannot be told, `why_not` says why.
struct Expectation {
    std::optional<double> expected;   // as that meter shows it, its loading included
    std::optional<double> unloaded;   // as a meter that draws nothing would
    std::optional<double> low, high;  // expected, each part's tolerance at its worse end by the sign of its effect
    std::vector<Effect> effects;      // on `expected`, by part in file order, zero ones left out
    std::string why_not;
};

// A reading made ready to be worked out again and again with parts taken otherwise: the way to try suspects. Values alone
// (Taken::value) are cheapest. Not to be shared between threads; copies of the work are cheap to make from the Solver.
class ReadingModel {
public:
    ReadingModel(ReadingModel&&) noexcept;
    ReadingModel& operator=(ReadingModel&&) noexcept;
    ~ReadingModel();
    // As Expectation::expected; empty where it cannot be told.
    std::optional<double> expected(std::span<const Departure> departures = {});
    // What each part's value does to the answer that expected() gave last, with the values it was asked with: by part in file
    // order, those without effect included; and each leak's ohms, in the order of the departures. Costs about one step of solving.
    struct Slopes { std::vector<Effect> values; std::vector<double> leaks; };
    Slopes slopes();

private:
    friend class Solver;
    struct State;
    explicit ReadingModel(std::unique_ptr<State> state);
    std::unique_ptr<State> state_;
};

// A whole circuit made ready to be worked out again and again with other values: for production spreads. Not to be shared
// between threads.
class UnitModel {
public:
    UnitModel(UnitModel&&) noexcept;
    UnitModel& operator=(UnitModel&&) noexcept;
    ~UnitModel();
    struct Unit {
        OperatingPoint point;
        std::vector<ResponsePoint> response;   // at the frequencies asked for, in their order
    };
    // `values`: one for each of Solver::spreads(), SI, in its order; empty: the nominal ones. `specimens`: one for each of
    // Solver::device_spreads(); empty: the types themselves. Every answer starts from the nominal
    // operating point, so that it does not depend on those before.
    Unit unit(std::span<const double> values, std::span<const double> hz, std::span<const Specimen> specimens = {});

private:
    friend class Solver;
    struct State;
    explicit UnitModel(std::unique_ptr<State> state);
    std::unique_ptr<State> state_;
};

// One circuit in one state, read once: its parts' models and parameters. Keeps a reference to the circuit. Every answer is
// deterministic, never NaN, and found in a bounded number of steps; const members may be called from several threads.
class Solver {
public:
    Solver(const Circuit& circuit, const SolveOptions& options);
    Solver(Solver&&) noexcept;
    ~Solver();

    OperatingPoint operating_point(std::span<const Departure> departures = {}) const;
    // At the frequencies given (Hz, above 0), in their order. Empty db and deg where it cannot be told; why_no_response() says.
    std::vector<ResponsePoint> response(std::span<const double> hz, std::span<const Departure> departures = {}) const;
    std::string why_no_response() const;  // empty: there is a response

    Expectation expectation(const Reading& reading) const;
    ReadingModel reading_model(const Reading& reading) const;
    UnitModel unit_model(std::span<const Departure> departures = {}) const;

    const std::vector<Spread>& spreads() const;         // in file order; parts without a spread left out
    const std::vector<DeviceSpread>& device_spreads() const;  // by section, in file order
    const std::vector<Unmodelled>& unmodelled() const;  // in file order
    const std::vector<std::string>& remarks() const;    // defaults and assumptions used, once each

private:
    friend class ReadingModel;
    struct State;
    std::unique_ptr<const State> state_;
};

// Everything at once, as `tallyboard solve` tells it.
struct ToldReading {
    const Reading* reading = nullptr;  // in circuit.bench
    Expectation expectation;
};
struct Solution {
    OperatingPoint dc;
    std::vector<ToldReading> readings;       // those of the state asked for, in file order
    std::vector<ResponsePoint> response;     // empty where no source or no load is set up
    std::string why_no_response;
    std::vector<Unmodelled> unmodelled;
    std::vector<std::string> remarks;
};
Solution solve(const Circuit& circuit, const SolveOptions& options);

// 20, 25, 31.5 … 20000 Hz (ISO 266 preferred numbers).
std::vector<double> third_octaves();
// `count` frequencies from `low` to `high` in equal steps of ratio.
std::vector<double> log_frequencies(double low, double high, int count);

}  // namespace tallyboard
