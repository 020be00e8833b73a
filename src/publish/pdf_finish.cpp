#include "publish/pdf_finish.h"

#include "base/digest.h"
#include "lettering/lettering.h"
#include "publish/escaped.h"

#define POINTERHOLDER_TRANSITION 4
#include <qpdf/QPDF.hh>
#include <qpdf/QPDFEFStreamObjectHelper.hh>
#include <qpdf/QPDFEmbeddedFileDocumentHelper.hh>
#include <qpdf/QPDFFileSpecObjectHelper.hh>
#include <qpdf/QPDFWriter.hh>

#include <fmt/format.h>

#include <algorithm>
#include <set>

namespace tallyboard::detail {
namespace {

// The library writes text as UTF-16 codes, so the map from code to character is the identity.
std::string identity_map() {
    std::string map =
        "/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap\n"
        "/CIDSystemInfo << /Registry (Adobe) /Ordering (UCS) /Supplement 0 >> def\n"
        "/CMapName /Adobe-Identity-UCS def\n/CMapType 2 def\n1 begincodespacerange\n<0000> <FFFF>\nendcodespacerange\n";
    for (int block = 0; block < 256; block += 100) {
        const int count = std::min(100, 256 - block);
        map += fmt::format("{} beginbfrange\n", count);
        for (int high = block; high < block + count; ++high) map += fmt::format("<{0:02X}00> <{0:02X}FF> <{0:02X}00>\n", high);
        map += "endbfrange\n";
    }
    return map + "endcmap\nCMapName currentdict /CMap defineresource pop\nend\nend\n";
}

// Where the glyph of each code stands: two bytes a code, up to the highest.
std::string glyph_map(const std::string& font) {
    std::string map;
    for (const auto& [character, glyph] : glyph_numbers(font)) {
        map.resize(2 * static_cast<std::size_t>(character) + 2, '\0');
        map[2 * character] = static_cast<char>(glyph >> 8);
        map[2 * character + 1] = static_cast<char>(glyph & 0xFF);
    }
    return map;
}

// Six capitals that tell one subset from another, before the font's name.
std::string subset_tag(const std::string& font) {
    std::string tag;
    for (const char digit : sha256(font).substr(0, 6)) tag += static_cast<char>('A' + (digit <= '9' ? digit - '0' : digit - 'a' + 10));
    return tag + "+";
}

// The library embeds fonts badly (it fails where a table ends on a multiple of its buffer, and its ToUnicode map is malformed),
// so it is told not to, and they are put in here.
void add_fonts(QPDF& pdf, const std::map<std::string, std::string>& fonts) {
    QPDFObjectHandle text_map;
    for (QPDFObjectHandle font : pdf.getAllObjects()) {
        if (!font.isDictionary() || !font.getKey("/Subtype").isNameAndEquals("/Type0")) continue;
        QPDFObjectHandle letters = font.getKey("/DescendantFonts").getArrayItem(0);
        QPDFObjectHandle descriptor = letters.getKey("/FontDescriptor");
        const std::string name = font.getKey("/BaseFont").getName().substr(1);
        const std::string& file = fonts.at(name);

        QPDFObjectHandle stream = QPDFObjectHandle::newStream(&pdf, file);
        stream.getDict().replaceKey("/Length1", QPDFObjectHandle::newInteger(static_cast<long long>(file.size())));
        descriptor.replaceKey("/FontFile2", pdf.makeIndirectObject(stream));
        letters.replaceKey("/CIDToGIDMap", pdf.makeIndirectObject(QPDFObjectHandle::newStream(&pdf, glyph_map(file))));
        letters.getKey("/CIDSystemInfo").replaceKey("/Ordering", QPDFObjectHandle::newString("Identity"));
        if (!text_map.isInitialized()) text_map = pdf.makeIndirectObject(QPDFObjectHandle::newStream(&pdf, identity_map()));
        font.replaceKey("/ToUnicode", text_map);
        const QPDFObjectHandle tagged = QPDFObjectHandle::newName("/" + subset_tag(file) + name);
        font.replaceKey("/BaseFont", tagged);
        letters.replaceKey("/BaseFont", tagged);
        descriptor.replaceKey("/FontName", tagged);
    }
}

// A link goes to its place at the zoom the reader has chosen.
void keep_zoom(QPDF& pdf) {
    for (QPDFObjectHandle object : pdf.getAllObjects())
        if (object.isArray() && object.getArrayNItems() == 5 && object.getArrayItem(1).isNameAndEquals("/XYZ"))
            object.setArrayItem(4, QPDFObjectHandle::newNull());
}

std::string metadata_of(const Document& document) {
    std::string xmp =
        "<?xpacket begin=\"\xEF\xBB\xBF\" id=\"W5M0MpCehiHzreSzNTczkc9d\"?>\n"
        "<x:xmpmeta xmlns:x=\"adobe:ns:meta/\"><rdf:RDF xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\">\n"
        "<rdf:Description rdf:about=\"\" xmlns:dc=\"http://purl.org/dc/elements/1.1/\" xmlns:xmp=\"http://ns.adobe.com/xap/1.0/\">\n"
        "<dc:format>application/pdf</dc:format>\n";
    xmp += fmt::format("<dc:title><rdf:Alt><rdf:li xml:lang=\"x-default\">{}</rdf:li></rdf:Alt></dc:title>\n", escaped(document.title));
    if (!document.author.empty())
        xmp += fmt::format("<dc:creator><rdf:Seq><rdf:li>{}</rdf:li></rdf:Seq></dc:creator>\n", escaped(document.author));
    if (!document.subject.empty())
        xmp += fmt::format("<dc:description><rdf:Alt><rdf:li xml:lang=\"x-default\">{}</rdf:li></rdf:Alt></dc:description>\n",
                           escaped(document.subject));
    xmp += fmt::format("<dc:language><rdf:Bag><rdf:li>{}</rdf:li></rdf:Bag></dc:language>\n", escaped(document.language));
    if (!document.date.empty()) xmp += fmt::format("<xmp:CreateDate>{0}</xmp:CreateDate>\n<xmp:ModifyDate>{0}</xmp:ModifyDate>\n", escaped(document.date));
    return xmp + "<xmp:CreatorTool>tallyboard</xmp:CreatorTool>\n</rdf:Description></rdf:RDF></x:xmpmeta>\n<?xpacket end=\"r\"?>";
}

void add_metadata(QPDF& pdf, const Document& document) {
    QPDFObjectHandle root = pdf.getRoot();
    QPDFObjectHandle stream = QPDFObjectHandle::newStream(&pdf, metadata_of(document));
    stream.getDict().replaceKey("/Type", QPDFObjectHandle::newName("/Metadata"));
    stream.getDict().replaceKey("/Subtype", QPDFObjectHandle::newName("/XML"));
    root.replaceKey("/Metadata", pdf.makeIndirectObject(stream));
    root.replaceKey("/Lang", QPDFObjectHandle::newUnicodeString(document.language));
    QPDFObjectHandle preferences = root.getKey("/ViewerPreferences");
    if (!preferences.isDictionary()) preferences = QPDFObjectHandle::newDictionary();
    preferences.replaceKey("/DisplayDocTitle", QPDFObjectHandle::newBool(true));
    root.replaceKey("/ViewerPreferences", preferences);
}

void add_attachments(QPDF& pdf, const Document& document) {
    QPDFEmbeddedFileDocumentHelper files(pdf);
    QPDFObjectHandle associated = QPDFObjectHandle::newArray();
    std::set<std::string> names;
    for (const Attachment& attachment : document.attachments) {
        std::string name = attachment.name;
        for (int n = 2; !names.insert(name).second; ++n) name = fmt::format("{}-{}", n, attachment.name);  // one of that name is there
        auto stream = QPDFEFStreamObjectHelper::createEFStream(pdf, attachment.bytes);
        stream.setSubtype("text/xml");
        auto file = QPDFFileSpecObjectHelper::createFileSpec(pdf, name, stream);
        file.setDescription(attachment.says);
        QPDFObjectHandle object = file.getObjectHandle();
        object.replaceKey("/AFRelationship", QPDFObjectHandle::newName("/Source"));
        files.replaceEmbeddedFile(name, file);
        associated.appendItem(object);
    }
    if (!document.attachments.empty()) pdf.getRoot().replaceKey("/AF", associated);
}

}  // namespace

std::string finished_pdf(const std::string& bytes, const Document& document, const std::map<std::string, std::string>& fonts) {
    QPDF pdf;
    pdf.setSuppressWarnings(true);
    pdf.processMemoryFile("document", bytes.data(), bytes.size());
    add_fonts(pdf, fonts);
    keep_zoom(pdf);
    add_metadata(pdf, document);
    add_attachments(pdf, document);
    QPDFWriter writer(pdf);
    writer.setOutputMemory();
    writer.setDeterministicID(true);
    writer.setMinimumPDFVersion("1.7");
    writer.setObjectStreamMode(qpdf_o_generate);
    writer.setRecompressFlate(true);
    writer.write();
    const auto buffer = writer.getBufferSharedPointer();
    return {reinterpret_cast<const char*>(buffer->getBuffer()), buffer->getSize()};
}

}  // namespace tallyboard::detail
