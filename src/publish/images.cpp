#include "publish/images.h"

#include <fmt/format.h>
#include <png.h>
#include <turbojpeg.h>

#include <cstring>
#include <memory>
#include <vector>

namespace tallyboard {
namespace {

Failure too_large(long long width, long long height) {
    return {fmt::format("the picture is {} × {} pixels; at most {} million are taken", width, height, most_pixels / 1'000'000)};
}

// libpng's simplified interface reads every colour type, depth and interlacing, and returns where others abort.
Result<Image> read_png(std::string_view bytes) {
    png_image png{};
    png.version = PNG_IMAGE_VERSION;
    const std::unique_ptr<png_image, decltype(&png_image_free)> guard(&png, png_image_free);
    if (!png_image_begin_read_from_memory(&png, bytes.data(), bytes.size())) return Failure{fmt::format("no sound PNG: {}", png.message)};
    if (static_cast<long long>(png.width) * png.height > most_pixels) return too_large(png.width, png.height);
    const bool transparent = png.format & PNG_FORMAT_FLAG_ALPHA;
    png.format = PNG_FORMAT_RGBA;
    const std::size_t pixels = static_cast<std::size_t>(png.width) * png.height;
    std::vector<png_byte> rgba(pixels * 4);
    if (!png_image_finish_read(&png, nullptr, rgba.data(), 0, nullptr)) return Failure{fmt::format("no sound PNG: {}", png.message)};
    if (png.warning_or_error) return Failure{fmt::format("no sound PNG: {}", png.message)};

    Image image;
    image.width = static_cast<int>(png.width);
    image.height = static_cast<int>(png.height);
    image.rgb.resize(pixels * 3);
    if (transparent) image.alpha.resize(pixels);
    for (std::size_t i = 0; i < pixels; ++i) {
        std::memcpy(&image.rgb[i * 3], &rgba[i * 4], 3);
        if (transparent) image.alpha[i] = static_cast<char>(rgba[i * 4 + 3]);
    }
    return image;
}

// The orientation a camera wrote into the EXIF block, 1 … 8; 1 where there is none. Every offset is checked: the block is as foreign as
// the rest of the file. Source: EXIF 2.3, tag 0x0112 of the first directory.
int exif_orientation(std::string_view bytes) {
    const auto byte = [&](std::size_t at) { return at < bytes.size() ? static_cast<unsigned char>(bytes[at]) : 0u; };
    for (std::size_t at = 2; at + 4 <= bytes.size() && byte(at) == 0xFF && byte(at + 1) != 0xDA;) {
        const std::size_t length = byte(at + 2) << 8 | byte(at + 3);
        if (byte(at + 1) == 0xE1 && length >= 16 && bytes.substr(at + 4, 6) == std::string_view("Exif\0\0", 6)) {
            const std::size_t tiff = at + 10, end = std::min(at + 2 + length, bytes.size());
            const bool little = byte(tiff) == 'I';
            const auto two = [&](std::size_t p) { return little ? byte(p) | byte(p + 1) << 8 : byte(p) << 8 | byte(p + 1); };
            const auto four = [&](std::size_t p) {
                return static_cast<std::size_t>(little ? two(p) | two(p + 2) << 16 : two(p) << 16 | two(p + 2));
            };
            const std::size_t directory = tiff + four(tiff + 4);
            for (std::size_t i = 0, count = directory + 2 <= end ? two(directory) : 0; i < count; ++i) {
                const std::size_t entry = directory + 2 + 12 * i;
                if (entry + 12 > end) break;
                if (two(entry) != 0x0112) continue;
                const unsigned orientation = two(entry + 8);
                return orientation >= 1 && orientation <= 8 ? static_cast<int>(orientation) : 1;
            }
            return 1;
        }
        at += 2 + length;
    }
    return 1;
}

Result<Image> read_jpeg(std::string_view bytes) {
    const std::unique_ptr<void, decltype(&tjDestroy)> decoder(tjInitDecompress(), tjDestroy);
    if (!decoder) throw std::bad_alloc();
    const auto* data = reinterpret_cast<const unsigned char*>(bytes.data());
    const auto failure = [&] { return Failure{fmt::format("no sound JPEG: {}", tjGetErrorStr2(decoder.get()))}; };
    Image image;
    int sampling = 0, colours = 0;
    if (tjDecompressHeader3(decoder.get(), data, bytes.size(), &image.width, &image.height, &sampling, &colours) != 0) return failure();
    if (static_cast<long long>(image.width) * image.height > most_pixels) return too_large(image.width, image.height);
    // Printers' four-colour pictures are decoded as such; the PDF takes their bytes like any other's.
    const int format = colours == TJCS_CMYK || colours == TJCS_YCCK ? TJPF_CMYK : TJPF_RGB;
    std::vector<unsigned char> pixels(static_cast<std::size_t>(image.width) * static_cast<std::size_t>(image.height) * static_cast<std::size_t>(tjPixelSize[format]));
    if (tjDecompress2(decoder.get(), data, bytes.size(), pixels.data(), image.width, 0, image.height, format, TJFLAG_STOPONWARNING) != 0) return failure();
    image.jpeg = bytes;
    image.upright = exif_orientation(bytes);
    return image;
}

}  // namespace

Result<Image> read_image(std::string_view bytes) {
    if (bytes.substr(0, 8) == "\x89PNG\r\n\x1a\n") return read_png(bytes);
    if (bytes.substr(0, 2) == "\xFF\xD8") return read_jpeg(bytes);
    if (bytes.empty()) return Failure{"the picture's file is empty"};
    return Failure{"neither a PNG nor a JPEG picture"};
}

}  // namespace tallyboard
