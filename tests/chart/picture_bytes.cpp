// Rows of bytes as files, for tests.
#include <png.h>

#include <cstdint>
#include <cstdio>
#include <cstdlib>
// after <cstdio>, whose FILE its header uses
#include <jpeglib.h>

#include <string>
#include <vector>

#include "synthetic_chart.hpp"

namespace gapwright::testing {
namespace {

// A JPEG of grey 128, or of that in all four inks, written after `prepare` has set it up.
template <typename Prepare>
std::string flat_jpeg(int width, int height, int components, J_COLOR_SPACE colours,
                      const Prepare& prepare) {
    jpeg_compress_struct jpeg{};
    jpeg_error_mgr errors{};
    jpeg.err = jpeg_std_error(&errors);
    jpeg_create_compress(&jpeg);
    unsigned char* memory = nullptr;
    unsigned long size = 0;
    jpeg_mem_dest(&jpeg, &memory, &size);
    jpeg.image_width = static_cast<JDIMENSION>(width);
    jpeg.image_height = static_cast<JDIMENSION>(height);
    jpeg.input_components = components;
    jpeg.in_color_space = colours;
    jpeg_set_defaults(&jpeg);
    prepare(jpeg);
    jpeg_start_compress(&jpeg, TRUE);
    std::vector<std::uint8_t> samples(static_cast<std::size_t>(width * components), 128);
    std::uint8_t* row = samples.data();
    while (jpeg.next_scanline < jpeg.image_height) jpeg_write_scanlines(&jpeg, &row, 1);
    jpeg_finish_compress(&jpeg);
    jpeg_destroy_compress(&jpeg);
    std::string bytes(reinterpret_cast<char*>(memory), size);
    std::free(memory);
    return bytes;
}

}  // namespace

std::string png_of(const std::vector<std::uint8_t>& rgb, int width, int height) {
    png_image image{};
    image.version = PNG_IMAGE_VERSION;
    image.width = static_cast<png_uint_32>(width);
    image.height = static_cast<png_uint_32>(height);
    image.format = PNG_FORMAT_RGB;
    png_alloc_size_t size = 0;
    png_image_write_to_memory(&image, nullptr, &size, 0, rgb.data(), 0, nullptr);
    std::string bytes(size, '\0');
    png_image_write_to_memory(&image, bytes.data(), &size, 0, rgb.data(), 0, nullptr);
    bytes.resize(size);
    return bytes;
}

std::string jpeg_of(const std::vector<std::uint8_t>& rgb, int width, int height, int quality) {
    jpeg_compress_struct jpeg{};
    jpeg_error_mgr errors{};
    jpeg.err = jpeg_std_error(&errors);
    jpeg_create_compress(&jpeg);
    unsigned char* memory = nullptr;
    unsigned long size = 0;
    jpeg_mem_dest(&jpeg, &memory, &size);
    jpeg.image_width = static_cast<JDIMENSION>(width);
    jpeg.image_height = static_cast<JDIMENSION>(height);
    jpeg.input_components = 3;
    jpeg.in_color_space = JCS_RGB;
    jpeg_set_defaults(&jpeg);
    jpeg_set_quality(&jpeg, quality, TRUE);
    jpeg_start_compress(&jpeg, TRUE);
    while (jpeg.next_scanline < jpeg.image_height) {
        auto* row = const_cast<std::uint8_t*>(rgb.data()) +
                    std::size_t{jpeg.next_scanline} * static_cast<std::size_t>(width) * 3;
        jpeg_write_scanlines(&jpeg, &row, 1);
    }
    jpeg_finish_compress(&jpeg);
    jpeg_destroy_compress(&jpeg);
    std::string bytes(reinterpret_cast<char*>(memory), size);
    std::free(memory);
    return bytes;
}

std::string png_of_kind(const PngKind& kind, const std::vector<std::vector<std::uint8_t>>& rows,
                        int width) {
    std::string bytes;
    png_structp png = png_create_write_struct(PNG_LIBPNG_VER_STRING, nullptr, nullptr, nullptr);
    png_infop info = png_create_info_struct(png);
    const auto on_write = [](png_structp writer, png_bytep from, png_size_t count) {
        static_cast<std::string*>(png_get_io_ptr(writer))
            ->append(reinterpret_cast<char*>(from), count);
    };
    png_set_write_fn(png, &bytes, on_write, nullptr);
    png_set_IHDR(png, info, static_cast<png_uint_32>(width), static_cast<png_uint_32>(rows.size()),
                 kind.depth, kind.colour,
                 kind.interlaced ? PNG_INTERLACE_ADAM7 : PNG_INTERLACE_NONE,
                 PNG_COMPRESSION_TYPE_DEFAULT, PNG_FILTER_TYPE_DEFAULT);
    std::vector<png_color> palette;
    for (const auto& [red, green, blue] : kind.palette) palette.push_back({red, green, blue});
    if (!palette.empty()) png_set_PLTE(png, info, palette.data(), static_cast<int>(palette.size()));
    if (!kind.palette_alpha.empty()) {
        png_set_tRNS(png, info, kind.palette_alpha.data(),
                     static_cast<int>(kind.palette_alpha.size()), nullptr);
    }
    png_write_info(png, info);
    std::vector<png_bytep> pointers;
    for (const auto& row : rows) pointers.push_back(const_cast<png_bytep>(row.data()));
    png_write_image(png, pointers.data());
    png_write_end(png, info);
    png_destroy_write_struct(&png, &info);
    return bytes;
}

std::string progressive_jpeg(int width, int height, int rounds) {
    std::vector<jpeg_scan_info> scans;
    for (int round = 0; round < rounds; ++round) {  // each sends one more bit of every coefficient
        const int low = rounds - 1 - round, high = round == 0 ? 0 : low + 1;
        for (int k = 0; k < 64; ++k) scans.push_back({1, {0, 0, 0, 0}, k, k, high, low});
    }
    return flat_jpeg(width, height, 1, JCS_GRAYSCALE, [&](jpeg_compress_struct& jpeg) {
        jpeg.scan_info = scans.data();
        jpeg.num_scans = static_cast<int>(scans.size());
    });
}

std::string cmyk_jpeg(int width, int height) {
    return flat_jpeg(width, height, 4, JCS_CMYK, [](jpeg_compress_struct&) {});
}

}  // namespace gapwright::testing
