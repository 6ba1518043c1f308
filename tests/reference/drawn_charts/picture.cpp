#include "reference/drawn_charts/picture.hpp"

#include <cairo.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <stdexcept>

#include <jpeglib.h>

namespace gapwright::drawn_charts {
namespace {

unsigned char whole(float value) {
    return static_cast<unsigned char>(std::lround(std::clamp(value, 0.0F, 255.0F)));
}

}  // namespace

float Picture::between(double x, double y, int colour) const {
    x = std::clamp(x, 0.0, width - 1.001);
    y = std::clamp(y, 0.0, height - 1.001);
    const int column = static_cast<int>(x);
    const int row = static_cast<int>(y);
    const auto u = static_cast<float>(x - column);
    const auto v = static_cast<float>(y - row);
    const float* above = at(column, row) + colour;
    const float* below = at(column, row + 1) + colour;
    return (1 - v) * ((1 - u) * above[0] + u * above[3]) + v * ((1 - u) * below[0] + u * below[3]);
}

void blur(Picture& picture, double deviation) {
    const int reach = static_cast<int>(std::ceil(3 * deviation));
    std::vector<float> weights;
    float sum = 0;
    for (int i = -reach; i <= reach; ++i) {
        weights.push_back(static_cast<float>(std::exp(-0.5 * i * i / (deviation * deviation))));
        sum += weights.back();
    }
    for (float& weight : weights) weight /= sum;
    Picture half(picture.width, picture.height);
    const auto along = [&](const Picture& from, Picture& to, int dx, int dy) {
        for (int y = 0; y < from.height; ++y) {
            for (int x = 0; x < from.width; ++x) {
                float total[3] = {0, 0, 0};
                for (int i = -reach; i <= reach; ++i) {
                    const float* value = from.at(std::clamp(x + i * dx, 0, from.width - 1),
                                                 std::clamp(y + i * dy, 0, from.height - 1));
                    for (int c = 0; c < 3; ++c) total[c] += weights[i + reach] * value[c];
                }
                std::copy(total, total + 3, to.at(x, y));
            }
        }
    };
    along(picture, half, 1, 0);
    along(half, picture, 0, 1);
}

void write_png(const Picture& picture, const std::filesystem::path& path) {
    cairo_surface_t* surface =
        cairo_image_surface_create(CAIRO_FORMAT_RGB24, picture.width, picture.height);
    unsigned char* data = cairo_image_surface_get_data(surface);
    const int stride = cairo_image_surface_get_stride(surface);
    for (int y = 0; y < picture.height; ++y) {
        auto* row = reinterpret_cast<std::uint32_t*>(data + std::ptrdiff_t(y) * stride);
        for (int x = 0; x < picture.width; ++x) {
            const float* value = picture.at(x, y);
            row[x] = std::uint32_t(whole(value[0])) << 16U | std::uint32_t(whole(value[1])) << 8U |
                     whole(value[2]);
        }
    }
    cairo_surface_mark_dirty(surface);
    const auto status = cairo_surface_write_to_png(surface, path.c_str());
    cairo_surface_destroy(surface);
    if (status != CAIRO_STATUS_SUCCESS) throw std::runtime_error("cannot write " + path.string());
}

void write_jpeg(const Picture& picture, int quality, bool grey, const std::filesystem::path& path) {
    std::FILE* file = std::fopen(path.c_str(), "wb");
    if (file == nullptr) throw std::runtime_error("cannot write " + path.string());
    jpeg_compress_struct writer{};
    jpeg_error_mgr errors{};
    writer.err = jpeg_std_error(&errors);
    jpeg_create_compress(&writer);
    jpeg_stdio_dest(&writer, file);
    writer.image_width = static_cast<JDIMENSION>(picture.width);
    writer.image_height = static_cast<JDIMENSION>(picture.height);
    writer.input_components = grey ? 1 : 3;
    writer.in_color_space = grey ? JCS_GRAYSCALE : JCS_RGB;
    jpeg_set_defaults(&writer);
    jpeg_set_quality(&writer, quality, TRUE);
    jpeg_start_compress(&writer, TRUE);
    std::vector<unsigned char> row(std::size_t(writer.input_components) * picture.width);
    for (int y = 0; y < picture.height; ++y) {
        for (int x = 0; x < picture.width; ++x) {
            const float* value = picture.at(x, y);
            if (grey) {
                row[x] = whole(0.299F * value[0] + 0.587F * value[1] + 0.114F * value[2]);
            } else {
                for (int c = 0; c < 3; ++c) row[3 * x + c] = whole(value[c]);
            }
        }
        JSAMPROW line = row.data();
        jpeg_write_scanlines(&writer, &line, 1);
    }
    jpeg_finish_compress(&writer);
    jpeg_destroy_compress(&writer);
    std::fclose(file);
}

}  // namespace gapwright::drawn_charts
