#include "consequence/severity.h"

#include <array>
#include <cmath>

namespace tallyboard {

namespace {

constexpr double never = 1e300;

constexpr auto table = std::to_array<Thresholds>({
    {Judged::level, 0.3, 1, 3,
     "level discrimination is 0.5 to 1 dB (Jesteadt, Wier, Green, JASA 1977; Zwicker and Fastl, Psychoacoustics); 3 dB is half power"},
    {Judged::left_against_right, 0.5, 1, 2, "shift of the stereo image"},
    {Judged::equaliser, 0.2, 0.5, 1.5, "broad tilts are heard below 1 dB (IEC 60098, IEC 60094 curves)"},
    {Judged::direct_voltage, 0.03, 0.08, 0.20, "headroom; part tolerances alone give about 5 %"},
    {Judged::current, 0.05, 0.15, 0.30, "valves of one type spread by 20 to 30 %"},
    {Judged::dissipation, never, 0.60, 1.00, "derating practice, 50 to 60 % of the rating (MIL-HDBK-338 class)"},
    {Judged::capacitor_voltage, never, 0.90, 1.00, "the rated direct voltage"},
    {Judged::reverse_voltage, never, 0.90, 1.00,
     "as the rated voltage: the oxide on an aluminium cathode foil bears about 1 V the wrong way round (datasheets; IEC 60384-4 class)"},
});

}  // namespace

std::span<const Thresholds> thresholds() { return table; }

Grade grade_of(Judged judged, double size) {
    for (const Thresholds& row : table) {
        if (row.judged != judged) continue;
        const double amount = std::fabs(size);
        // A size that stands at a step to within rounding has reached it.
        const auto reaches = [&](double step) { return amount >= step * (1 - 1e-9); };
        return reaches(row.major) ? Grade::major : reaches(row.audible) ? Grade::audible
             : reaches(row.slight) ? Grade::slight : Grade::nothing;
    }
    return Grade::unknown;
}

std::string_view grade_word(Grade grade) {
    switch (grade) {
        case Grade::nothing: return "nothing";
        case Grade::slight: return "slight";
        case Grade::audible: return "audible";
        case Grade::major: return "major";
        case Grade::unknown: return "not known";
    }
    return {};
}

}  // namespace tallyboard
