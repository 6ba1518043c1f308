// A picture as numbers, and its way into PNG and JPEG files.
#pragma once

#include <array>
#include <filesystem>
#include <vector>

namespace gapwright::drawn_charts {

using Place = std::array<double, 2>;  // pixels from the top left corner; a pixel's middle is whole

struct Picture {
    int width = 0;
    int height = 0;
    std::vector<float> values;  // red, green, blue of each pixel, 0 … 255

    Picture() = default;
    Picture(int wide, int high)
        : width(wide), height(high), values(std::size_t(3) * wide * high, 255.0F) {}
    float* at(int x, int y) { return &values[3 * (std::size_t(y) * width + x)]; }
    const float* at(int x, int y) const { return &values[3 * (std::size_t(y) * width + x)]; }
    // Between pixels, straight; beyond the edge as at it.
    float between(double x, double y, int colour) const;
};

void blur(Picture& picture, double deviation);
void write_png(const Picture& picture, const std::filesystem::path& path);
void write_jpeg(const Picture& picture, int quality, bool grey, const std::filesystem::path& path);

}  // namespace gapwright::drawn_charts
