// The only file that knows libpng.
//
// libpng reports errors by longjmp. Functions that call setjmp hold nothing with a destructor, and
// whatever has one lives in their caller.
#include <png.h>

#include <csetjmp>
#include <cstdint>
#include <cstring>
#include <expected>
#include <string_view>
#include <utility>

#include "chart/raster.hpp"
#include "chart/raster_formats.hpp"
#include "source/diagnostics.hpp"

namespace gapwright {
namespace {

// Own choices: charts need no ancillary chunks at all; files made by cameras and office programs
// carry some, for which this is ample.
constexpr png_alloc_size_t largest_chunk = 4U << 20U;  // bytes
constexpr png_uint_32 most_chunks = 256;

struct Reader {
    const png_byte* bytes = nullptr;
    std::size_t size = 0;
    std::size_t at = 0;
    png_structp png = nullptr;
    png_infop info = nullptr;
    png_uint_32 width = 0, height = 0;
    int passes = 1;
    char fault[160] = "";
};

[[noreturn]] void on_error(png_structp png, png_const_charp message) {
    auto* reader = static_cast<Reader*>(png_get_error_ptr(png));
    std::strncpy(reader->fault, message, sizeof reader->fault - 1);
    png_longjmp(png, 1);
}

void on_warning(png_structp, png_const_charp) {}  // a library prints nothing

void on_read(png_structp png, png_bytep to, png_size_t count) {
    auto* reader = static_cast<Reader*>(png_get_io_ptr(png));
    if (count > reader->size - reader->at) png_error(png, "it breaks off");
    std::memcpy(to, reader->bytes + reader->at, count);
    reader->at += count;
}

std::uint64_t big_endian(std::string_view bytes) {
    std::uint64_t value = 0;
    for (const char c : bytes) value = value << 8U | static_cast<std::uint8_t>(c);
    return value;
}

// Each of these is one stretch of libpng; false: `fault` says why.
bool open(Reader& reader) {
    if (setjmp(png_jmpbuf(reader.png)) != 0) return false;
    png_set_read_fn(reader.png, &reader, on_read);
    png_set_chunk_malloc_max(reader.png, largest_chunk);
    png_set_chunk_cache_max(reader.png, most_chunks);
    png_set_user_limits(reader.png, largest_picture_side, largest_picture_side);
    png_read_info(reader.png, reader.info);
    reader.width = png_get_image_width(reader.png, reader.info);
    reader.height = png_get_image_height(reader.png, reader.info);
    return true;
}

bool start(Reader& reader) {
    if (setjmp(png_jmpbuf(reader.png)) != 0) return false;
    png_set_expand(reader.png);  // palettes, fewer than 8 bits, and tRNS as alpha
    png_set_scale_16(reader.png);
    png_set_gray_to_rgb(reader.png);
    png_color_16 white{};
    white.red = white.green = white.blue = white.gray = 0xff;
    png_set_background(reader.png, &white, PNG_BACKGROUND_GAMMA_SCREEN, 0, 1.0);
    reader.passes = png_set_interlace_handling(reader.png);
    png_read_update_info(reader.png, reader.info);
    if (png_get_rowbytes(reader.png, reader.info) != 3 * std::size_t{reader.width}) {
        png_error(reader.png, "its rows are not RGB");
    }
    return true;
}

bool read_rows(Reader& reader, std::uint8_t* rgb) {
    if (setjmp(png_jmpbuf(reader.png)) != 0) return false;
    for (int pass = 0; pass < reader.passes; ++pass) {
        for (png_uint_32 y = 0; y < reader.height; ++y) {
            png_read_row(reader.png, rgb + std::size_t{y} * reader.width * 3, nullptr);
        }
    }
    png_read_end(reader.png, nullptr);
    return true;
}

struct Destroy {
    Reader* reader;
    ~Destroy() { png_destroy_read_struct(&reader->png, &reader->info, nullptr); }
};

}  // namespace

bool is_png(std::string_view bytes) {
    return bytes.starts_with("\x89PNG\r\n\x1a\n");
}

Expected<Raster> decode_png(std::string_view bytes, std::string_view name) {
    // The size stands in the first chunk, behind signature, length and type.
    if (bytes.size() >= 24 && bytes.substr(12, 4) == "IHDR") {
        if (auto large = oversized_picture(name, big_endian(bytes.substr(16, 4)),
                                           big_endian(bytes.substr(20, 4)))) {
            return std::unexpected(only(std::move(*large)));
        }
    }
    Reader reader;
    reader.bytes = reinterpret_cast<const png_byte*>(bytes.data());
    reader.size = bytes.size();
    const Destroy destroy{&reader};
    const auto broken = [&] {
        return std::unexpected(only(broken_picture(
            name, "PNG", reader.fault[0] != '\0' ? reader.fault : "no memory for it")));
    };
    reader.png = png_create_read_struct(PNG_LIBPNG_VER_STRING, &reader, on_error, on_warning);
    if (reader.png == nullptr) return broken();
    reader.info = png_create_info_struct(reader.png);
    if (reader.info == nullptr || !open(reader)) return broken();
    if (!start(reader)) return broken();
    Raster raster;
    raster.width = static_cast<int>(reader.width);
    raster.height = static_cast<int>(reader.height);
    raster.rgb.resize(std::size_t{reader.width} * reader.height * 3);
    if (!read_rows(reader, raster.rgb.data())) return broken();
    return raster;
}

}  // namespace gapwright
