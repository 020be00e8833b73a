#pragma once

#include <string>

#include "publish/document.h"

namespace tallyboard {

// The document as a PDF 1.7 file: fonts embedded and cut down, text that can be searched and copied, bookmarks, links between
// anchors, metadata (Info and XMP), language, attachments. The same document gives the same bytes. std::logic_error for what can only be a mistake
// of ours: a length that is no number, a link to an anchor that does not exist.
std::string write_pdf(const Document& document);

// Sheets by themselves: one page each, bookmarks by their titles. Links to places in other documents are left out.
struct PdfOptions {
    std::string title = {}, author = {}, subject = {}, date = {};
    std::vector<Attachment> attachments = {};
};
std::string write_pdf(const std::vector<Sheet>& sheets, const PdfOptions& options = {});

}  // namespace tallyboard
