#include "cli/fault_words.h"

#include <fmt/format.h>

#include "base/text.h"

namespace tallyboard {

std::string fault_text(const Circuit& circuit, const Fault& fault) {
    const Part& part = circuit[fault.part];
    const Kind& kind = circuit.kind_of(part);
    switch (fault.how) {
        case Taken::open: return part.ref + " open";
        case Taken::shorted: {
            if (!fault.pins || part.pins.size() <= 2) return part.ref + " short";
            return fmt::format("{} short from {} to {}", part.ref, part.pins[fault.pins->first].name, part.pins[fault.pins->second].name);
        }
        case Taken::leak: return fmt::format("{} leaking, about {}", part.ref, engineering_text(fault.value.value_or(0), Quantity::resistance, 2));
        case Taken::value:
            return fmt::format("{} of about {}{}", part.ref, engineering_text(fault.value.value_or(0), kind.quantity, 3),
                               part.nominal() ? " instead of " + part.nominal()->text : "");
    }
    return part.ref;
}

std::string explanation_text(const Circuit& circuit, const Explanation& explanation) {
    std::string out;
    for (const Fault& fault : explanation.faults) out += (out.empty() ? "" : " and ") + fault_text(circuit, fault);
    return out;
}

std::string faults_sentence(const Circuit& circuit, const Diagnosis& diagnosis) {
    std::vector<std::string> faults;
    for (const Explanation& one : diagnosis.explanations)
        if (one.fits) faults.push_back(explanation_text(circuit, one));
    if (diagnosis.healthy || faults.empty()) return {};
    if (faults.size() == 1) return "One fault of this unit alone explains every reading: " + faults.front() + ".";
    return "Each of these faults of this unit alone explains every reading: " + join(faults, "; ") + ".";
}

}  // namespace tallyboard
