// The only file that knows libjpeg.
//
// libjpeg reports errors by longjmp. Functions that call setjmp hold nothing with a destructor, and
// whatever has one lives in their caller.
#include <csetjmp>
#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <expected>
#include <string_view>
#include <utility>
// after <cstdio>, whose FILE its header uses
#include <jpeglib.h>
// after jpeglib.h
#include <jerror.h>

#include "chart/raster.hpp"
#include "chart/raster_formats.hpp"
#include "source/diagnostics.hpp"

namespace gapwright {
namespace {

// A progressive file of 40 megapixels keeps 2 bytes for each of three components.
constexpr long memory_limit = 320L << 20U;  // bytes, besides the picture itself
constexpr int most_scans = 100;             // own choice; progressive files have about ten

struct Reader {
    jpeg_decompress_struct jpeg;
    jpeg_error_mgr errors;
    jpeg_progress_mgr progress;
    std::jmp_buf back;
    char fault[JMSG_LENGTH_MAX];
};

Reader& reader_of(j_common_ptr jpeg) {
    return *static_cast<Reader*>(jpeg->client_data);
}

[[noreturn]] void on_error(j_common_ptr jpeg) {
    Reader& reader = reader_of(jpeg);
    (*jpeg->err->format_message)(jpeg, reader.fault);
    std::longjmp(reader.back, 1);
}

// What libjpeg only warns of, such as data that break off, would leave grey where a curve is.
void on_message(j_common_ptr jpeg, int level) {
    if (level >= 0) return;
    const int code = jpeg->err->msg_code;
    if (code == JWRN_EXTRANEOUS_DATA || code == JWRN_ADOBE_XFORM || code == JWRN_JFIF_MAJOR) return;
    on_error(jpeg);
}

void on_progress(j_common_ptr jpeg) {
    if (!jpeg->is_decompressor) return;
    if (reinterpret_cast<j_decompress_ptr>(jpeg)->input_scan_number <= most_scans) return;
    Reader& reader = reader_of(jpeg);
    std::snprintf(reader.fault, sizeof reader.fault, "it has more than %d scans", most_scans);
    std::longjmp(reader.back, 1);
}

void on_output(j_common_ptr) {}  // a library prints nothing

// Each of these is one stretch of libjpeg; false: `fault` says why.
bool open(Reader& reader, const unsigned char* bytes, unsigned long size) {
    if (setjmp(reader.back) != 0) return false;
    jpeg_create_decompress(&reader.jpeg);
    reader.jpeg.client_data = &reader;
    reader.jpeg.progress = &reader.progress;
    reader.jpeg.mem->max_memory_to_use = memory_limit;
    jpeg_mem_src(&reader.jpeg, bytes, size);
    jpeg_read_header(&reader.jpeg, TRUE);
    return true;
}

bool read_rows(Reader& reader, std::uint8_t* rgb) {
    if (setjmp(reader.back) != 0) return false;
    reader.jpeg.out_color_space = JCS_RGB;
    jpeg_start_decompress(&reader.jpeg);
    while (reader.jpeg.output_scanline < reader.jpeg.output_height) {
        JSAMPROW row =
            rgb + std::size_t{reader.jpeg.output_scanline} * reader.jpeg.output_width * 3;
        jpeg_read_scanlines(&reader.jpeg, &row, 1);
    }
    jpeg_finish_decompress(&reader.jpeg);
    return true;
}

struct Destroy {
    Reader* reader;
    ~Destroy() { jpeg_destroy_decompress(&reader->jpeg); }
};

}  // namespace

bool is_jpeg(std::string_view bytes) {
    return bytes.starts_with("\xff\xd8\xff");
}

Expected<Raster> decode_jpeg(std::string_view bytes, std::string_view name) {
    Reader reader{};
    reader.jpeg.err = jpeg_std_error(&reader.errors);
    reader.jpeg.client_data = &reader;
    reader.errors.error_exit = on_error;
    reader.errors.emit_message = on_message;
    reader.errors.output_message = on_output;
    reader.progress.progress_monitor = on_progress;
    const Destroy destroy{&reader};
    if (!open(reader, reinterpret_cast<const unsigned char*>(bytes.data()), bytes.size())) {
        return std::unexpected(only(broken_picture(name, "JPEG", reader.fault)));
    }
    if (auto large = oversized_picture(name, reader.jpeg.image_width, reader.jpeg.image_height)) {
        return std::unexpected(only(std::move(*large)));
    }
    if (reader.jpeg.jpeg_color_space == JCS_CMYK || reader.jpeg.jpeg_color_space == JCS_YCCK) {
        Diagnostic diagnostic{
            .cause = Cause::not_a_picture, .place = {}, .message = {}, .remedy = {}};
        diagnostic.message =
            std::string(name) + " is a JPEG file in the colours of printing (CMYK)";
        diagnostic.remedy = "save it in RGB or grey, or as PNG";
        return std::unexpected(only(std::move(diagnostic)));
    }
    Raster raster;
    raster.width = static_cast<int>(reader.jpeg.image_width);
    raster.height = static_cast<int>(reader.jpeg.image_height);
    raster.rgb.resize(std::size_t{reader.jpeg.image_width} * reader.jpeg.image_height * 3);
    if (!read_rows(reader, raster.rgb.data())) {
        return std::unexpected(only(broken_picture(name, "JPEG", reader.fault)));
    }
    return raster;
}

}  // namespace gapwright
