#include "xml/schema.h"

#include <catch2/catch.hpp>

#include <cstdlib>
#include <fstream>
#include <map>
#include <set>

#include "support/program.h"
#include "xml/edit.h"
#include "xml/every_element.h"
#include "xml/read.h"
#include "xml/start_tag.h"

using namespace tallyboard;

namespace {

const std::string xsd_path = TALLYBOARD_SOURCE_DIR "/schema/tallyboard-circuit-1.xsd";

// What the XSD says of one type, in the words of ElementRule.
struct XsdType {
    std::map<std::string, bool> attributes;               // required?
    std::map<std::string, std::string> children;          // name, type
    std::map<std::string, std::set<std::string>> words;   // enumerations by attribute
    bool text = false;
};

std::string attribute(const StartTag& tag, std::string_view bytes, std::string_view name) {
    for (const Attribute& a : tag.attributes)
        if (a.name == name) return std::string(bytes.substr(a.value.span.begin, a.value.span.end - a.value.span.begin));
    return "";
}

// The XSD is written in one pattern throughout, so a walk over its start tags is enough.
struct Xsd {
    std::map<std::string, XsdType> types;
    std::vector<std::string> roots;
    std::set<std::string> undocumented;

    explicit Xsd(const std::string& bytes) {
        XsdType* type = nullptr;
        std::string name;  // of the attribute or element last begun
        for (std::size_t at = bytes.find("<xs:"); at != std::string::npos; at = bytes.find("<xs:", at + 1)) {
            StartTag tag = scan_start_tag(bytes, at);
            std::string what(tag.name.substr(3)), own = attribute(tag, bytes, "name");
            if (what == "complexType") {
                type = &types[own];
                type->text = attribute(tag, bytes, "mixed") == "true";
            } else if (what == "element") {
                name = own;
                std::string its_type = attribute(tag, bytes, "type").substr(2);
                if (type) type->children[own] = its_type;
                else roots.push_back(own);
                undocumented.insert("element " + own);
            } else if (what == "attribute" && type) {
                name = own;
                type->attributes[own] = attribute(tag, bytes, "use") == "required";
                std::string simple = attribute(tag, bytes, "type");
                if (simple == "t:yesNo") type->words[own] = {"yes", "no"};
                undocumented.insert("attribute " + own);
            } else if (what == "enumeration" && type) {
                type->words[name].insert(attribute(tag, bytes, "value"));
            } else if (what == "documentation") {
                undocumented.erase("element " + name);
                undocumented.erase("attribute " + name);
            }
        }
    }
};

const Xsd& xsd() {
    static const Xsd read(test::file_bytes(xsd_path));
    return read;
}

const std::vector<std::pair<std::string, std::string>>& samples() {
    static const std::vector<std::pair<std::string, std::string>> all{
        {"circulated", test::full_drawing}, {"as-found", test::full_board}, {"review", test::full_review},
        {"family", test::full_family},      {"kinds", test::full_kinds},   {"devices", test::full_devices}};
    return all;
}

// Reads a file of any root; the errors.
std::vector<Diagnostic> errors_of(const std::string& root, const std::string& bytes) {
    try {
        SourceText text(root + ".xml", bytes);
        if (root == "review") read_review(text);
        else if (root == "family") read_family(text);
        else if (root == "kinds") { KindTable kinds = built_in_kinds(); add_kinds(text, kinds); }
        else if (root == "devices") { std::vector<Device> devices; add_devices(text, devices); }
        else read_circuit(text, built_in_kinds());
    } catch (const InputError& error) {
        return error.diagnostics();
    }
    return {};
}

template <class Do>
void walk(const Element& element, const ElementRule& rule, Do&& look) {
    look(element, rule);
    for (const Element& child : element.children)
        for (const ChildRule& c : rule.children)
            if (c.name == child.name) walk(child, rule_of(c.type), look);
}

bool has_xmllint() { return std::system("command -v xmllint >/dev/null 2>&1") == 0; }

bool valid_by_xsd(const std::string& bytes) {
    test::ScratchFolder folder;
    std::ofstream(folder.path() / "f.xml", std::ios::binary) << bytes;
    std::string line = "xmllint --nonet --noout --schema '" + xsd_path + "' '" + (folder.path() / "f.xml").string() + "' >/dev/null 2>&1";
    return std::system(line.c_str()) == 0;
}

}  // namespace

TEST_CASE("the program and the XSD allow the same elements and attributes") {
    CHECK(xsd().roots == root_names());
    std::set<std::string> types;
    for (const ElementRule& rule : element_rules()) {
        INFO(rule.type);
        types.insert(rule.type);
        REQUIRE(xsd().types.count(rule.type));
        const XsdType& type = xsd().types.at(rule.type);
        std::map<std::string, bool> attributes;
        for (const AttributeRule& a : rule.attributes) attributes[a.name] = a.required;
        CHECK(type.attributes == attributes);
        std::map<std::string, std::string> children;
        for (const ChildRule& c : rule.children) children[c.name] = c.type;
        CHECK(type.children == children);
        CHECK(type.text == rule.text);
    }
    CHECK(types.size() == xsd().types.size());
}

TEST_CASE("everything in the XSD is documented") { CHECK(xsd().undocumented.empty()); }

TEST_CASE("the samples between them use every element and attribute and read without errors") {
    std::set<std::string> unused;
    for (const ElementRule& rule : element_rules())
        for (const AttributeRule& a : rule.attributes) unused.insert(rule.type + "/" + a.name);
    for (const auto& [root, bytes] : samples()) {
        for (const Diagnostic& d : errors_of(root, bytes)) FAIL_CHECK(format(d));
        SourceText text(root, bytes);
        XmlDocument document = read_document(text);
        walk(document.root, rule_of(root), [&](const Element& element, const ElementRule& rule) {
            for (const Attribute& a : element.attributes) unused.erase(rule.type + "/" + std::string(a.name));
        });
    }
    CHECK(unused == std::set<std::string>{});
}

TEST_CASE("the program and the XSD know the same words") {
    std::size_t tried = 0;
    for (const auto& [root, bytes] : samples()) {
        SourceText text(root + ".xml", bytes);
        XmlDocument document = read_document(text);
        walk(document.root, rule_of(root), [&](const Element& element, const ElementRule& rule) {
            for (const Attribute& a : element.attributes) {
                const auto& words = xsd().types.at(rule.type).words;
                auto known = words.find(std::string(a.name));
                if (known == words.end()) continue;
                auto errors_at = [&](const std::string& word) {
                    std::size_t count = 0;
                    for (const Diagnostic& d : errors_of(root, spliced(text, {{a.value.span, word}})))
                        count += d.message.starts_with("unknown ") || d.message.starts_with("a winding is") ||
                                 d.message.starts_with("quarter is");
                    return count;
                };
                INFO(rule.type << "/" << a.name);
                for (const std::string& word : known->second) CHECK(errors_at(word) == 0);
                CHECK(errors_at("zzz") > 0);
                ++tried;
            }
        });
    }
    CHECK(tried > 60);
}

TEST_CASE("xmllint finds the samples and the files built in valid, and the same slips wrong") {
    if (!has_xmllint()) {
        WARN("xmllint is not installed; the XSD is not tried");
        return;
    }
    for (const auto& [root, bytes] : samples()) CHECK(valid_by_xsd(bytes));
    for (std::string file : {"kinds.xml", "devices.xml"}) CHECK(valid_by_xsd(test::file_bytes(TALLYBOARD_SOURCE_DIR "/schema/" + file)));
    std::string head = "<circulated xmlns='urn:tallyboard:circuit:1'>", foot = "</circulated>";
    for (std::string slip : {"<prat/>", "<part ref='R1'/>", "<part ref='R1' kind='resistor' colour='red'/>", "<net name='0V' role='earthy'/>",
                             "<part ref='R 1' kind='resistor'/>", "stray text", "<part ref='R1' kind='resistor' fit='maybe'/>"}) {
        INFO(slip);
        CHECK_FALSE(valid_by_xsd(head + slip + foot));
        CHECK_FALSE(errors_of("circulated", head + slip + foot).empty());
    }
}
