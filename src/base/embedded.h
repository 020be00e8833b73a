#pragma once

#include <string_view>

// Files built into the program by src/CMakeLists.txt (DATA symbol=file): TALLYBOARD_EMBEDDED(kinds_xml) defines a
// function kinds_xml() that gives the bytes of the file.
#define TALLYBOARD_EMBEDDED(symbol)                                                                      \
    extern "C" const char tallyboard_data_##symbol##_begin[];                                            \
    extern "C" const char tallyboard_data_##symbol##_end[];                                              \
    static std::string_view symbol() {                                                                   \
        return {tallyboard_data_##symbol##_begin,                                                        \
                static_cast<std::size_t>(tallyboard_data_##symbol##_end - tallyboard_data_##symbol##_begin)}; \
    }
