#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>

#include "solve_support.h"
#include "support/random_circuits.h"

using namespace tallyboard;
using namespace tallyboard::test;

namespace {

// Kirchhoff's current law from the pin currents told: at every net that is no supply's, source's or load's the sum is 0.
void check_kirchhoff(const Circuit& circuit, const OperatingPoint& point) {
    std::vector<bool> driven(circuit.nets.size(), false);
    if (circuit.setup) {
        for (const Supply& supply : circuit.setup->supplies) driven[supply.plus.index] = driven[supply.minus.index] = true;
        if (circuit.setup->source) driven[circuit.setup->source->net.index] = driven[circuit.setup->source->back.index] = true;
        if (circuit.setup->load) driven[circuit.setup->load->net.index] = driven[circuit.setup->load->back.index] = true;
    }
    if (circuit.ground()) driven[circuit.ground()->index] = true;
    for (std::size_t n = 0; n < circuit.nets.size(); ++n) {
        if (driven[n]) continue;
        double sum = 0, size = 0;
        bool told = point.net_volts[n].has_value();
        for (PinId pin : circuit.nets[n].pins) {
            const auto amperes = point.pin_amperes[pin.part.index][pin.pin];
            told = told && amperes.has_value();
            sum += amperes.value_or(0);
            size += std::fabs(amperes.value_or(0));
        }
        INFO("net " << net_name(circuit, NetId{static_cast<std::uint32_t>(n)}));
        if (told) CHECK(std::fabs(sum) <= 1e-7 * size + 1e-12);
    }
}

bool finite(const std::optional<double>& value) { return !value || std::isfinite(*value); }

}  // namespace

TEST_CASE("random circuits come to rest or say honestly where not, obey Kirchhoff, and nothing is NaN") {
    int converged = 0, told = 0;
    constexpr int cases = 500;
    for (int seed = 1; seed <= cases; ++seed) {
        const Draft draft = random_circuit(recipe_of_case(static_cast<std::uint64_t>(seed), 12 + static_cast<std::size_t>(seed % 60)));
        const Circuit circuit = read_draft(draft, CircuitRole::drawing);
        INFO("seed " << seed);
        const Solver it = solver(circuit);
        const OperatingPoint point = it.operating_point();
        if (point.converged) ++converged;
        else CHECK_FALSE(point.resists.empty());
        for (const auto& v : point.net_volts) CHECK(finite(v));
        for (const auto& s : point.supplies) CHECK(finite(s.amperes));
        if (point.converged) check_kirchhoff(circuit, point);
        const auto response = it.response(std::vector<double>{20, 1000, 20000});
        for (const ResponsePoint& p : response) CHECK((finite(p.db) && finite(p.deg)));
        if (response[1].db) ++told;
    }
    CHECK(told >= cases * 9 / 10);  // the others have no source
    CHECK(converged >= cases * 99 / 100);
}

TEST_CASE("circuits thrown together without sense never hang, never show NaN, and obey Kirchhoff where they rest") {
    int converged = 0;
    constexpr int cases = 2000;
    for (int seed = 1; seed <= cases; ++seed) {
        Random random(static_cast<std::uint64_t>(seed));
        Draft draft = tiny_circuit(random, 3 + random.below(8));
        std::vector<std::string> nets;
        for (const DraftPart& part : draft.parts)
            for (const DraftPin& pin : part.pins)
                if (is_net(pin.net) && std::find(nets.begin(), nets.end(), pin.net) == nets.end()) nets.push_back(pin.net);
        if (nets.size() < 3) continue;
        const char* const volts_written[] = {"9V", "-15V", "250V", "0V", "1.5V"};
        const std::string supply = volts_written[random.below(5)];
        draft.more = "<setup><supply name=\"S\" plus=\"" + nets[0] + "\" minus=\"" + nets[1] + "\" voltage=\"" + supply + "\"/>" +
                     "<source net=\"" + nets[2] + "\" return=\"" + nets[1] + "\"/><load net=\"" + nets[nets.size() - 1] +
                     "\" return=\"" + nets[1] + "\" resistance=\"10k\"/></setup>";
        const Circuit circuit = read_draft(draft, CircuitRole::board);
        INFO("seed " << seed << "\n" << xml_text(draft, CircuitRole::board));
        const Solver it = solver(circuit);
        const OperatingPoint point = it.operating_point();
        converged += point.converged ? 1 : 0;
        if (!point.converged) CHECK_FALSE(point.says.empty());
        for (const auto& v : point.net_volts) CHECK(finite(v));
        if (point.converged) check_kirchhoff(circuit, point);
        for (const ResponsePoint& p : it.response(std::vector<double>{20, 1000, 20000})) CHECK((finite(p.db) && finite(p.deg)));
        const Expectation ohms = it.expectation(resistance(circuit, nets[0], nets[2]));
        CHECK((finite(ohms.expected) && finite(ohms.low) && finite(ohms.high)));
        if (!ohms.expected) CHECK_FALSE(ohms.why_not.empty());
        if (ohms.expected && ohms.low && ohms.high) CHECK((*ohms.low <= *ohms.expected * (1 + 1e-6) && *ohms.expected <= *ohms.high * (1 + 1e-6)));
    }
    // The others are short circuits and outputs that fight each other.
    CHECK(converged >= cases / 2);
}
