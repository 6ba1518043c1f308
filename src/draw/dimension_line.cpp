#include "draw/dimension_line.hpp"

#include <fmt/format.h>

namespace gapwright {
namespace {

constexpr double head_length = 8;
constexpr double head_half = 2.6;
constexpr double size = 11;

void head(Picture& picture, double tip, double y, double direction) {
    const double base = tip - direction * head_length;
    picture.path(fmt::format("M{:.1f} {:.1f}L{:.1f} {:.1f}L{:.1f} {:.1f}Z", tip, y, base,
                             y - head_half, base, y + head_half),
                 "solid");
}

}  // namespace

void draw_dimension(Picture& picture, double left, double right, double y, double feet,
                    std::string_view measure) {
    for (const double x : {left, right}) picture.line({{x, feet}, {x, y + 4}}, "thin");
    const bool outside = right - left < 3 * head_length;
    const double reach = outside ? 2 * head_length : 0;
    picture.line({{left - reach, y}, {right + reach, y}}, "thin");
    head(picture, left, y, outside ? 1 : -1);
    head(picture, right, y, outside ? -1 : 1);
    picture.text({(left + right) / 2, y + 14}, measure, "small", Anchor::middle, size);
}

}  // namespace gapwright
