#include "publish/pdf_finish.h"

#define POINTERHOLDER_TRANSITION 4
#include <qpdf/QPDF.hh>
#include <qpdf/QPDFEFStreamObjectHelper.hh>
#include <qpdf/QPDFEmbeddedFileDocumentHelper.hh>
#include <qpdf/QPDFFileSpecObjectHelper.hh>
#include <qpdf/QPDFWriter.hh>

#include <fmt/format.h>

namespace tallyboard::detail {
namespace {

std::string escaped(std::string_view text) {
    std::string result;
    for (const char c : text) {
        switch (c) {
            case '&': result += "&amp;"; break;
            case '<': result += "&lt;"; break;
            case '>': result += "&gt;"; break;
            default: result += static_cast<unsigned char>(c) < 0x20 ? ' ' : c;
        }
    }
    return result;
}

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

void mend_fonts(QPDF& pdf) {
    QPDFObjectHandle map;
    for (QPDFObjectHandle object : pdf.getAllObjects()) {
        if (!object.isDictionary() || !object.getKey("/Subtype").isNameAndEquals("/Type0")) continue;
        if (!map.isInitialized()) map = pdf.makeIndirectObject(QPDFObjectHandle::newStream(&pdf, identity_map()));
        object.replaceKey("/ToUnicode", map);
        object.getKey("/DescendantFonts").getArrayItem(0).getKey("/CIDSystemInfo").replaceKey("/Ordering", QPDFObjectHandle::newString("Identity"));
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
    for (const Attachment& attachment : document.attachments) {
        auto stream = QPDFEFStreamObjectHelper::createEFStream(pdf, attachment.bytes);
        stream.setSubtype("text/xml");
        auto file = QPDFFileSpecObjectHelper::createFileSpec(pdf, attachment.name, stream);
        file.setDescription(attachment.says);
        QPDFObjectHandle object = file.getObjectHandle();
        object.replaceKey("/AFRelationship", QPDFObjectHandle::newName("/Source"));
        files.replaceEmbeddedFile(attachment.name, file);
        associated.appendItem(object);
    }
    if (!document.attachments.empty()) pdf.getRoot().replaceKey("/AF", associated);
}

}  // namespace

std::string finished_pdf(const std::string& bytes, const Document& document) {
    QPDF pdf;
    pdf.setSuppressWarnings(true);
    pdf.processMemoryFile("document", bytes.data(), bytes.size());
    mend_fonts(pdf);
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
