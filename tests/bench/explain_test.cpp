#include "bench/explain.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "bench/injected_faults.h"
#include "bench/minimax.h"
#include "support/program.h"
#include "support/text_circuit.h"

using namespace tallyboard;

namespace {

ExplainOptions usual() {
    ExplainOptions options;
    options.solve.devices = built_in_devices();
    return options;
}

const char* divider = R"(
  <part ref="R1" kind="resistor" value="100k" tol="0%" pins="V M"/>
  <part ref="R2" kind="resistor" value="100k" tol="0%" pins="M 0V"/>
  <part ref="C1" kind="capacitor" value="100n" pins="M 0V"/>
  <setup><supply plus="V" minus="0V" voltage="10V"/></setup>
)";

std::string with_readings(const std::string& readings) { return std::string(divider) + "<bench>" + readings + "</bench>"; }

const Explanation* find(const Circuit& circuit, const Diagnosis& d, const std::string& ref, Taken how) {
    for (const Explanation& e : d.explanations)
        if (circuit[e.faults.front().part].ref == ref && e.faults.front().how == how) return &e;
    return nullptr;
}

Circuit sample(const std::string& path) {
    return read_circuit(SourceText(path, test::file_bytes(std::string(TALLYBOARD_SOURCE_DIR "/samples/") + path)), built_in_kinds());
}

}  // namespace

TEST_CASE("a healthy divider accuses no one") {
    Circuit circuit = test::board(with_readings(R"(<reading what="voltage" at="M" to="0V" is="5.01V" within="50mV"/>)"));
    Diagnosis d = explain(circuit, usual());
    CHECK(d.readings);
    CHECK(d.healthy);
    CHECK(d.explanations.empty());
}

TEST_CASE("a divider that reads two thirds names each part that could do it, with the value it would need") {
    Circuit circuit = test::board(with_readings(R"(<reading what="voltage" at="M" to="0V" is="6.667V" within="10mV"/>)"));
    Diagnosis d = explain(circuit, usual());
    REQUIRE_FALSE(d.healthy);
    // 10 V × R2/(R1+R2) = 6.667 V: R2 = 200 kΩ or R1 = 50 kΩ.
    const Explanation* r2 = find(circuit, d, "R2", Taken::value);
    const Explanation* r1 = find(circuit, d, "R1", Taken::value);
    REQUIRE(r2);
    REQUIRE(r1);
    CHECK(r2->fits);
    CHECK(*r2->faults.front().value == Approx(200e3).epsilon(0.01));
    CHECK(*r1->faults.front().value == Approx(50e3).epsilon(0.01));
    CHECK_FALSE(find(circuit, d, "R2", Taken::open));
    CHECK_FALSE(find(circuit, d, "C1", Taken::leak));
    for (const Explanation& e : d.explanations) CHECK(e.fits);
}

TEST_CASE("a low middle is a leaking capacitor, a resistor too low below or too high above") {
    Circuit circuit = test::board(with_readings(R"(<reading what="voltage" at="M" to="0V" is="3.333V" within="10mV"/>)"));
    Diagnosis d = explain(circuit, usual());
    const Explanation* leak = find(circuit, d, "C1", Taken::leak);
    REQUIRE(leak);
    CHECK(*leak->faults.front().value == Approx(100e3).epsilon(0.02));
    CHECK(find(circuit, d, "R2", Taken::value));
    CHECK(find(circuit, d, "R1", Taken::value));
}

TEST_CASE("an open and a short are told as such") {
    Circuit open = test::board(with_readings(R"(<reading what="voltage" at="M" to="0V" is="10V" within="20mV"/>)"));
    Diagnosis d = explain(open, usual());
    CHECK(find(open, d, "R2", Taken::open));
    CHECK(find(open, d, "R1", Taken::shorted));
    Circuit grounded = test::board(with_readings(R"(<reading what="voltage" at="M" to="0V" is="0V" within="20mV"/>)"));
    d = explain(grounded, usual());
    CHECK(find(grounded, d, "R1", Taken::open));
    CHECK(find(grounded, d, "C1", Taken::shorted));
}

TEST_CASE("where no single part explains the readings, that is said, and pairs that do are named") {
    // M reads 8 V, and the current is five times what R1 could draw at that: two parts must be off.
    Circuit circuit = test::board(with_readings(R"(
        <reading what="voltage" at="M" to="0V" is="8V" within="10mV"/>
        <reading what="current" through="V" is="400uA" within="1uA"/>)"));
    Diagnosis d = explain(circuit, usual());
    CHECK_FALSE(d.healthy);
    for (const Explanation& e : d.explanations) CHECK_FALSE(e.fits);
    REQUIRE_FALSE(d.pairs.empty());
    bool both = false;
    for (const Explanation& e : d.pairs) {
        REQUIRE(e.faults.size() == 2);
        both |= circuit[e.faults[0].part].ref != circuit[e.faults[1].part].ref;
    }
    CHECK(both);
}

TEST_CASE("a reading that only the meter's loading explains is no fault, and is said to be so") {
    Circuit circuit = test::board(R"(
      <part ref="R1" kind="resistor" value="1M" tol="1%" pins="V M"/>
      <part ref="R2" kind="resistor" value="1M" tol="1%" pins="M 0V"/>
      <setup><supply plus="V" minus="0V" voltage="10V"/></setup>
      <bench><meter id="coil" input="20k/V" error="2%"/>
      <reading what="voltage" at="M" to="0V" is="1.43V" meter="coil" range="10V"/></bench>)");
    // 500 kΩ behind 200 kΩ: 5 V × 200/700 = 1.43 V.
    Diagnosis d = explain(circuit, usual());
    CHECK(d.healthy);
    REQUIRE(d.loading.size() == 1);
    CHECK(d.loading.front().find("only because the meter loads it") != std::string::npos);
}

TEST_CASE("tolerances let the other parts move, and 0 % does not") {
    std::string parts = R"(
      <part ref="R1" kind="resistor" value="10k" tol="TOL" pins="V M"/>
      <part ref="R2" kind="resistor" value="10k" tol="TOL" pins="M 0V"/>
      <setup><supply plus="V" minus="0V" voltage="10V"/></setup>
      <bench><reading what="voltage" at="M" to="0V" is="5.3V" within="10mV"/></bench>)";
    auto with_tolerance = [&](const std::string& tol) {
        std::string text = parts;
        for (std::size_t at; (at = text.find("TOL")) != std::string::npos;) text.replace(at, 3, tol);
        return text;
    };
    Circuit loose = test::board(with_tolerance("10%")), exact = test::board(with_tolerance("0%"));
    CHECK(explain(loose, usual()).healthy);
    Diagnosis d = explain(exact, usual());
    CHECK_FALSE(d.healthy);
    CHECK(find(exact, d, "R2", Taken::value));
}

TEST_CASE("readings within their spans are nothing to explain, and where they strain the tolerances together a hint is given") {
    // A chain of four: each tap may be as far out as it is, but not the outer ones up while the middle is down.
    const char* text = R"(
      <part ref="R1" kind="resistor" value="10k" tol="1%" pins="V A"/>  <part ref="R2" kind="resistor" value="10k" tol="1%" pins="A B"/>
      <part ref="R3" kind="resistor" value="10k" tol="1%" pins="B C"/>  <part ref="R4" kind="resistor" value="10k" tol="1%" pins="C 0V"/>
      <setup><supply plus="V" minus="0V" voltage="10V"/></setup>
      <bench><reading what="voltage" at="A" to="0V" is="7.53V" within="1mV"/> <reading what="voltage" at="B" to="0V" is="4.952V" within="1mV"/>
             <reading what="voltage" at="C" to="0V" is="2.53V" within="1mV"/></bench>)";
    Circuit circuit = test::board(text);
    Diagnosis d = explain(circuit, usual());
    CHECK(d.healthy);
    CHECK(d.healthy_misfit > 1);
    CHECK(d.explanations.empty());
    CHECK_FALSE(d.further);
    for (const Explanation& e : d.hints) CHECK(e.fits);
}

TEST_CASE("the answer does not depend on the number of threads") {
    Circuit circuit = sample("tern-t12/tern-t12-00731.board.xml");
    ExplainOptions one = usual(), three = usual();
    one.threads = 1, three.threads = 3;
    Diagnosis a = explain(circuit, one), b = explain(circuit, three);
    REQUIRE(a.explanations.size() == b.explanations.size());
    for (std::size_t i = 0; i < a.explanations.size(); ++i) {
        CHECK(a.explanations[i].misfit == b.explanations[i].misfit);
        CHECK(a.explanations[i].faults.front().part == b.explanations[i].faults.front().part);
    }
}

TEST_CASE("the worst misfit of a linear model is the least there is") {
    // Two readings pull one variable apart: x = 1 and x = 3, equal weights. Best x = 2, worst misfit 1.
    auto fit = detail::fit_minimax({1, 3}, {1, 1}, {{1}, {1}}, {-10}, {10}, {0});
    REQUIRE(fit.solved);
    CHECK(fit.misfit == Approx(1));
    CHECK(fit.x[0] == Approx(2));
    // Bounds hold.
    fit = detail::fit_minimax({1, 3}, {1, 1}, {{1}, {1}}, {-10}, {1.5}, {0});
    CHECK(fit.x[0] == Approx(1.5));
    CHECK(fit.misfit == Approx(1.5));
}

TEST_CASE("faults put into the replay amplifier are found") {
    Circuit circuit = sample("tern-t12/tern-t12-00731.board.xml");
    SolveOptions options = usual().solve;
    options.when = When::found;
    std::vector<test::InjectedFault> all = test::injected_faults(circuit, options), some;
    for (std::size_t i = 0; i < all.size(); i += 9) some.push_back(all[i]);
    REQUIRE(some.size() >= 8);
    test::Findings found = test::find_faults(circuit, some, options);
    for (const std::string& name : found.missed) UNSCOPED_INFO("missed: " << name);
    CHECK(found.outside >= 4);
    CHECK(found.named == found.outside);
    std::vector<std::size_t> sizes = found.suspects;
    std::sort(sizes.begin(), sizes.end());
    CHECK(sizes[sizes.size() / 2] <= 3);
}

TEST_CASE("units without a fault are not accused") {
    CHECK(test::fault_free_accused(sample("tern-t12/tern-t12-00731.board.xml"), 25, usual().solve) == 0);
}

TEST_CASE("three hundred faults put into the samples are found among few suspects", "[long]") {
    std::vector<std::size_t> suspects;
    for (const char* path : {"tern-t12/tern-t12-00731.board.xml", "corrie-22/corrie-22-1186.board.xml", "dunlin-d4/dunlin-d4-2093.board.xml"}) {
        Circuit circuit = sample(path);
        test::Findings found = test::find_faults(circuit, test::evenly(test::injected_faults(circuit, usual().solve), 100), usual().solve);
        INFO(path << "\n" << test::summary(found));
        CHECK(found.faults == 100);
        CHECK(found.named == found.outside);
        CHECK(found.accused.empty());
        CHECK(found.named_further == found.before_further.size());
        CHECK(test::fault_free_accused(circuit, 100, usual().solve) == 0);
        suspects.insert(suspects.end(), found.suspects.begin(), found.suspects.end());
    }
    CHECK(test::quantile(suspects, 0.5) <= 3);
    CHECK(test::quantile(suspects, 0.9) <= 6);
}
