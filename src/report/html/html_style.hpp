// The report's style sheet: screen in light and dark, and print. Internal to the layer.
#pragma once

#include <string_view>

namespace gapwright {

std::string_view html_style();

}  // namespace gapwright
