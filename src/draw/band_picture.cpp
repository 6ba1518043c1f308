#include "draw/band_picture.hpp"

#include <fmt/format.h>

#include <cstddef>
#include <string>
#include <vector>
#include "draw/picture.hpp"
#include "units/colour_bands.hpp"

namespace gapwright {
namespace {

// In pixels. Bands stand as far apart as the widest word below them needs.
constexpr double lead = 30;
constexpr double cap = 34;         // the thicker end of the body
constexpr double half_cap = 20;    // half its height
constexpr double half_waist = 16;  // half the body's height between its ends
constexpr double band_width = 12;
constexpr double pitch = 46;
constexpr double apart = 22;  // more before the tolerance band
constexpr double word_size = 11;
constexpr double word_drop = 18;   // baseline of the words below the body
constexpr double title_rise = 12;  // baseline of the name above it

// Where the bands' middles lie, from the body's left end.
std::vector<double> band_middles(std::size_t count) {
    std::vector<double> middles;
    for (std::size_t k = 0; k < count; ++k) {
        const bool tolerance = count > 3 && k + 1 == count;
        middles.push_back(cap / 2 + static_cast<double>(k) * pitch + (tolerance ? apart : 0));
    }
    return middles;
}

// Two rounded ends and a waist, in one outline: clockwise from the waist's upper left.
std::string body_outline(double left, double right) {
    constexpr double round = 8;
    constexpr double slope = 7;
    const double a = left + cap;
    const double b = right - cap;
    const auto corner = [](double cx, double cy, double x, double y) {
        return fmt::format("Q{:.1f} {:.1f} {:.1f} {:.1f}", cx, cy, x, y);
    };
    return fmt::format("M{:.1f} {:.1f}L{:.1f} {:.1f}L{:.1f} {:.1f}L{:.1f} {:.1f}", a + slope,
                       -half_waist, b - slope, -half_waist, b, -half_cap, right - round,
                       -half_cap) +
           corner(right, -half_cap, right, -half_cap + round) +
           fmt::format("L{:.1f} {:.1f}", right, half_cap - round) +
           corner(right, half_cap, right - round, half_cap) +
           fmt::format("L{:.1f} {:.1f}L{:.1f} {:.1f}L{:.1f} {:.1f}L{:.1f} {:.1f}L{:.1f} {:.1f}", b,
                       half_cap, b - slope, half_waist, a + slope, half_waist, a, half_cap,
                       left + round, half_cap) +
           corner(left, half_cap, left, half_cap - round) +
           fmt::format("L{:.1f} {:.1f}", left, -half_cap + round) +
           corner(left, -half_cap, left + round, -half_cap) +
           fmt::format("L{:.1f} {:.1f}Z", a, -half_cap);
}

}  // namespace

Picture draw_banded_resistor(const BandedResistor& resistor) {
    const std::string words = colour_words(resistor.bands);
    Picture picture(resistor.name + ": " + resistor.value,
                    fmt::format("A resistor with the colour bands {}.", words));
    const auto middles = band_middles(resistor.bands.size());
    const double length = middles.back() + cap / 2;
    picture.line({{-lead, 0}, {0, 0}}, "wire");
    picture.line({{length, 0}, {length + lead, 0}}, "wire");
    picture.path(body_outline(0, length), "body");
    picture.symbol({0, -half_cap, length, half_cap}, resistor.name);
    for (std::size_t k = 0; k < middles.size(); ++k) {
        const double x = middles[k];
        const bool on_cap = k == 0 || k + 1 == middles.size();
        const double half = on_cap ? half_cap : half_waist;
        const auto colour = colour_name(resistor.bands[k]);
        picture.rectangle({x - band_width / 2, -half, x + band_width / 2, half},
                          fmt::format("stripe {}", colour));
        picture.text({x, half_cap + word_drop}, colour, "small", Anchor::middle, word_size);
    }
    const double name_end = text_width(resistor.name + "  ", 12) * 1.08;  // bold is wider
    const double title = -half_cap - title_rise;
    picture.text({0, title}, resistor.name, "name");
    picture.text({name_end, title}, resistor.value, "");
    return picture;
}

}  // namespace gapwright
