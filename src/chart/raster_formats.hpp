// The two formats behind raster.hpp. Each file knows one library.
#pragma once

#include <cstdint>
#include <optional>
#include <string_view>

#include "chart/raster.hpp"
#include "source/diagnostics.hpp"

namespace gapwright {

// too_large where a picture of that size, in pixels, is above the limits; nothing where it may be
// read. Called before memory is asked for.
std::optional<Diagnostic> oversized_picture(std::string_view name, std::uint64_t width,
                                            std::uint64_t height);

// not_a_picture, with what the library found wrong.
Diagnostic broken_picture(std::string_view name, std::string_view format, std::string_view fault);

bool is_png(std::string_view bytes);   // by its signature
bool is_jpeg(std::string_view bytes);  // by its first marker

// Bytes that is_png or is_jpeg accepted.
Expected<Raster> decode_png(std::string_view bytes, std::string_view name);
Expected<Raster> decode_jpeg(std::string_view bytes, std::string_view name);

}  // namespace gapwright
