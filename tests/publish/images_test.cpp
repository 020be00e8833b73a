#include <catch2/catch.hpp>

#include "publish/images.h"
#include "publish/pdf.h"
#include "publish/scan_page.h"
#include "publish/tools.h"

#include <png.h>
#include <turbojpeg.h>

#include <cstring>
#include <vector>

using namespace tallyboard;
using namespace tallyboard::test;

namespace {

// Red at the top left, then green, blue, white to the right and down.
std::vector<unsigned char> four_fields(int width, int height, int channels) {
    std::vector<unsigned char> pixels;
    for (int y = 0; y < height; ++y)
        for (int x = 0; x < width; ++x) {
            const bool right = x >= width / 2, low = y >= height / 2;
            const unsigned char rgba[4] = {static_cast<unsigned char>(right == low ? (right ? 255 : 255) : 0),
                                           static_cast<unsigned char>(right ? 255 : 0), static_cast<unsigned char>(low ? 255 : 0), 128};
            pixels.insert(pixels.end(), rgba, rgba + channels);
        }
    return pixels;
}

std::string png(int width, int height, unsigned format) {
    png_image image{};
    image.version = PNG_IMAGE_VERSION;
    image.width = static_cast<png_uint_32>(width);
    image.height = static_cast<png_uint_32>(height);
    image.format = format;
    const auto pixels = four_fields(width, height, format & PNG_FORMAT_FLAG_ALPHA ? 4 : 3);
    png_alloc_size_t size = 0;
    png_image_write_to_memory(&image, nullptr, &size, 0, pixels.data(), 0, nullptr);
    std::string bytes(size, '\0');
    REQUIRE(png_image_write_to_memory(&image, bytes.data(), &size, 0, pixels.data(), 0, nullptr));
    bytes.resize(size);
    return bytes;
}

std::string jpeg(int width, int height) {
    const auto pixels = four_fields(width, height, 3);
    tjhandle encoder = tjInitCompress();
    unsigned char* data = nullptr;
    unsigned long size = 0;
    REQUIRE(tjCompress2(encoder, pixels.data(), width, 0, height, TJPF_RGB, &data, &size, TJSAMP_444, 95, 0) == 0);
    std::string bytes(reinterpret_cast<char*>(data), size);
    tjFree(data);
    tjDestroy(encoder);
    return bytes;
}

// The JPEG with an EXIF block that says how the camera was held.
std::string held(const std::string& plain, int orientation) {
    std::string exif("Exif\0\0II*\0\x08\0\0\0\x01\0\x12\x01\x03\0\x01\0\0\0", 24);
    exif += static_cast<char>(orientation);
    exif += std::string(7, '\0');
    const std::size_t length = exif.size() + 2;
    return plain.substr(0, 2) + "\xFF\xE1" + static_cast<char>(length >> 8) + static_cast<char>(length & 0xFF) + exif + plain.substr(2);
}

ScanSection scan_of(Image image) {
    ScanSection section;
    section.width = image.seen_width();
    section.height = image.seen_height();
    section.picture = std::move(image);
    section.source = "Scan from a private collection.";
    for (int i = 1; i <= 6; ++i) section.balloons.push_back({i, section.width * 0.15 * i, section.height * 0.5, "R" + std::to_string(i) + " was 10k, found 12k"});
    section.balloons.push_back({7, section.width * 0.15, section.height * 0.5, "at the place of 1"});
    section.balloons.push_back({8, -5, 3, "off the picture"});
    return section;
}

}  // namespace

TEST_CASE("PNG pictures are decoded to pixels") {
    const Result<Image> plain = read_image(png(40, 30, PNG_FORMAT_RGB));
    REQUIRE(plain);
    CHECK(plain->width == 40);
    CHECK(plain->height == 30);
    CHECK(plain->rgb.size() == 40u * 30 * 3);
    CHECK(plain->alpha.empty());
    CHECK(plain->rgb.substr(0, 3) == std::string("\xFF\0\0", 3));
    const Result<Image> glass = read_image(png(40, 30, PNG_FORMAT_RGBA));
    REQUIRE(glass);
    CHECK(glass->alpha.size() == 40u * 30);
}

TEST_CASE("JPEG pictures keep their bytes and the way they were held") {
    const std::string bytes = jpeg(64, 48);
    const Result<Image> plain = read_image(bytes);
    REQUIRE(plain);
    CHECK(plain->jpeg == bytes);
    CHECK(plain->upright == 1);
    const Result<Image> turned = read_image(held(bytes, 6));
    REQUIRE(turned);
    CHECK(turned->upright == 6);
    CHECK(turned->seen_width() == 48);
    CHECK(turned->seen_height() == 64);
    CHECK(read_image(held(bytes, 99))->upright == 1);
}

TEST_CASE("a picture cut short anywhere, or damaged, is refused in words") {
    for (const std::string& bytes : {png(40, 30, PNG_FORMAT_RGB), jpeg(64, 48)}) {
        for (const double share : {0.05, 0.3, 0.6, 0.9}) {
            const Result<Image> half = read_image(bytes.substr(0, static_cast<std::size_t>(static_cast<double>(bytes.size()) * share)));
            CHECK_FALSE(half);
            if (!half) CHECK(half.error().size() > 10);
        }
        std::string damaged = bytes;
        for (std::size_t i = damaged.size() / 2; i < damaged.size() / 2 + 8; ++i) damaged[i] = static_cast<char>(damaged[i] ^ 0x5A);
        const Result<Image> result = read_image(damaged);  // a JPEG may decode all the same: then it is a picture
        if (result) CHECK(result->width > 0);
    }
    CHECK(read_image("").error() == "the picture's file is empty");
    CHECK(read_image("GIF89a").error() == "neither a PNG nor a JPEG picture");
    CHECK_FALSE(read_image("\xFF\xD8"));
    CHECK_FALSE(read_image("\x89PNG\r\n\x1a\n"));
}

TEST_CASE("random damage to a picture never does harm") {
    const std::string good[] = {png(40, 30, PNG_FORMAT_RGBA), held(jpeg(64, 48), 6)};
    unsigned seed = 7;
    const auto random = [&] { return seed = seed * 1664525u + 1013904223u, seed >> 8; };
    for (int n = 0; n < 2000; ++n) {
        std::string bytes = good[n % 2];
        for (unsigned k = 0; k < 1 + n % 5u; ++k) bytes[random() % bytes.size()] = static_cast<char>(random());
        const Result<Image> image = read_image(bytes);
        if (image) CHECK(image->width * image->height > 0);
    }
}

TEST_CASE("a picture too large is refused before its memory is taken") {
    std::string bytes = png(40, 30, PNG_FORMAT_RGB);
    const unsigned char huge[] = {0, 1, 0, 0, 0, 1, 0, 0};
    std::memcpy(&bytes[16], huge, 8);  // 65,536 by 65,536; the block's check sum no longer holds, which libpng tells or we do
    CHECK_FALSE(read_image(bytes));
}

TEST_CASE("a marked scan shows the picture upright with balloons beside their places") {
    for (const int orientation : {1, 3, 6, 8}) {
        const std::string pdf = write_pdf(scan_document("Scan", scan_of(*read_image(held(jpeg(320, 200), orientation)))));
        CHECK(with_file(pdf, "a.pdf", "qpdf --check a.pdf").status == 0);
        CHECK(with_file(pdf, "a.pdf", "pdfimages -list a.pdf").output.find("jpeg") != std::string::npos);
    }
    const std::string text = pdf_text(write_pdf(scan_document("Scan", scan_of(*read_image(png(320, 200, PNG_FORMAT_RGBA))))));
    CHECK(text.find("1, 7") != std::string::npos);  // one place, one balloon
    CHECK(text.find("Outside the picture: 8.") != std::string::npos);
    CHECK(text.find("private collection") != std::string::npos);
}

TEST_CASE("the overlay alone has the balloons and no picture") {
    ScanSection section = scan_of(*read_image(png(320, 200, PNG_FORMAT_RGB)));
    section.picture = {};
    const std::string pdf = write_pdf(scan_document("Overlay", section));
    CHECK(with_file(pdf, "a.pdf", "pdfimages -list a.pdf | tail -n +3").output.empty());
    CHECK(pdf_text(pdf).find("R5 was 10k") != std::string::npos);
}

TEST_CASE("write marked scans to look at", "[.scan]") {
    for (const int orientation : {1, 6, 8, 3})
        std::ofstream("scan" + std::to_string(orientation) + ".pdf", std::ios::binary) << write_pdf(scan_document("Scan", scan_of(*read_image(held(jpeg(320, 200), orientation)))));
}
