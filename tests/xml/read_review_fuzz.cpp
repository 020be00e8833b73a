// libFuzzer target: any bytes are read as a review, a family, kinds and devices, or refused with a place.
#include <cstdint>
#include <cstdlib>
#include <string>

#include "xml/read.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace tallyboard;
    SourceText text("f.xml", std::string(reinterpret_cast<const char*>(data), size));
    auto refused_well = [](auto&& read) {
        try {
            read();
        } catch (const InputError& error) {
            if (error.diagnostics().empty()) std::abort();
        }
    };
    refused_well([&] { read_review(text); });
    refused_well([&] { read_family(text); });
    refused_well([&] { KindTable kinds = built_in_kinds(); add_kinds(text, kinds); });
    refused_well([&] { std::vector<Device> devices; add_devices(text, devices); });
    return 0;
}
