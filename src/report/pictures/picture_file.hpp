// A picture as PNG or PDF, through librsvg and cairo.
#pragma once

#include <expected>
#include <string>

namespace gapwright {

// The bytes of a PNG at twice the picture's own scale, on its paper; or why there are none.
std::expected<std::string, std::string> png_of(const std::string& svg);

// The bytes of a PDF of one page of the picture's size; or why there are none.
std::expected<std::string, std::string> pdf_of(const std::string& svg);

}  // namespace gapwright
