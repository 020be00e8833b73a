#pragma once

#include <string>
#include <vector>

#include "publish/text_pages.h"

namespace tallyboard {

// A numbered balloon on the scan, in its pixels as seen.
struct Balloon { int number = 0; double x = 0, y = 0; std::string says; };

// A circulated scan with the findings marked on it.
struct ScanSection {
    Image picture;              // no pixels: the overlay alone, on the same outline
    int width = 0, height = 0;  // the picture's size as seen, in pixels
    std::string source;         // whose picture it is: printed, since a scan may be under copyright
    std::vector<Balloon> balloons;
};

// On a new page of `pages`, which fill `document`: the picture as large as it will go, balloons with leaders beside their places, never
// on one another; below it what each says. Numbers at one place share a balloon. Places outside the picture are told, not drawn.
void add_scan(TextPages& pages, Document& document, const ScanSection& section);

Document scan_document(const std::string& title, const ScanSection& section);

}  // namespace tallyboard
