#pragma once

#include <string_view>
#include <vector>

#include "xml/document.h"

namespace tallyboard {

// The bytes of one start tag.
struct StartTag {
    std::string_view name;              // with its prefix
    std::vector<Attribute> attributes;  // names with their prefixes, values as places only; xmlns ones left out
    std::size_t attributes_end = 0;     // behind the last attribute, xmlns ones too, else behind the name
    std::size_t end = 0;                // behind the >
    bool empty = false;                 // <a/>
};

// Names and places in the start tag that begins at `begin`, which an XML parser must have found well-formed.
StartTag scan_start_tag(std::string_view bytes, std::size_t begin);

}  // namespace tallyboard
