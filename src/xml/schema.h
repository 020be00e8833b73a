#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "circuit/diagnoses.h"
#include "xml/document.h"

namespace tallyboard {

// What may stand where: the same as schema/tallyboard-circuit-1.xsd, which a test compares with this. Elements of one name that
// differ by where they stand (<source> of a board and of a signal) are told apart by type.
struct AttributeRule { std::string name; bool required = false; };
struct ChildRule { std::string name, type; bool once = false, required = false; };
struct ElementRule {
    std::string type;
    std::vector<AttributeRule> attributes;
    std::vector<ChildRule> children;
    bool text = false;   // character data belongs in it
};

const std::vector<ElementRule>& element_rules();
const ElementRule& rule_of(std::string_view type);
// The names a root element may have.
const std::vector<std::string>& root_names();

// Tells every unknown element and attribute, those that lack, those that occur more often than once, and stray text. Children that
// are wrong are not looked into; readers pass over what they do not know.
void check_structure(const Element& root, Diagnoses& diagnoses);

}  // namespace tallyboard
