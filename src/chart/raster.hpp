// A picture from a file: PNG or JPEG, told apart by content, as rows of RGB bytes.
//
// Files come from anywhere, so every size is checked before memory is asked for, and a file that
// breaks off or is corrupt is an error, never a half-grey picture.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "source/diagnostics.hpp"

namespace gapwright {

// Own choice: a page at 600 dots per inch has 35 megapixels and must pass.
inline constexpr int largest_picture_side = 12'000;                          // pixels
inline constexpr std::int64_t largest_picture_area = 40'000'000;             // pixels
inline constexpr std::size_t largest_picture_file = std::size_t{32} << 20U;  // bytes: 32 MiB

// Rows from the top, pixels from the left, three bytes a pixel: red, green, blue (sRGB as stored).
struct Raster {
    int width = 0;   // pixels
    int height = 0;  // pixels
    std::vector<std::uint8_t> rgb = {};

    // 0 <= x < width, 0 <= y < height.
    [[nodiscard]] std::array<std::uint8_t, 3> pixel(int x, int y) const {
        const std::size_t at = 3 * (static_cast<std::size_t>(y) * static_cast<std::size_t>(width) +
                                    static_cast<std::size_t>(x));
        return {rgb[at], rgb[at + 1], rgb[at + 2]};
    }
};

// The picture in these bytes; what is transparent lies on white. `name` is what messages call it.
// Errors: oversized_file above largest_picture_file; not_a_picture where the bytes are neither PNG
// nor JPEG, are corrupt, break off, or use colours that are not read (CMYK); too_large above
// largest_picture_side or largest_picture_area.
Expected<Raster> decode_raster(std::string_view bytes, std::string_view name);

// The same from a file. Also unreadable_file.
Expected<Raster> read_raster(const std::string& path);

}  // namespace gapwright
