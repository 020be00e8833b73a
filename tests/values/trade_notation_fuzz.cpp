// libFuzzer target: reading any bytes as any quantity ends with a value or a reason, and a number printed reads back.
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <string_view>

#include "values/date.h"
#include "values/value.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace tallyboard;
    if (size < 2) return 0;
    ValueHabits habits;
    habits.capacitor = static_cast<CapacitorHabit>(data[0] % 3);
    habits.polarised = (data[0] & 8) != 0;
    habits.marking = (data[0] & 16) != 0;
    habits.thousands_comma = (data[0] & 32) != 0;
    if ((data[0] & 64) != 0) habits.year = 1952;
    const auto quantity = static_cast<Quantity>(data[1] % 9);
    const std::string_view text(reinterpret_cast<const char*>(data) + 2, size - 2);
    if (const auto value = read_value(text, quantity, habits)) {
        const std::string printed = trade_text(value->number, quantity);
        const bool usual = value->number > Decimal{} && value->number.to_double() > 1e-14 && value->number.to_double() < 1e9;
        if (usual && quantity != Quantity::ratio && value->number.exponent() > -20) {
            const auto again = read_value(printed, quantity);
            if (!again || again->number != value->number) std::abort();
        }
    }
    (void)read_tolerance(text).has_value();
    (void)read_date(text).has_value();
    (void)read_date_code(text, habits.year).has_value();
    return 0;
}
