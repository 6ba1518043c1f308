// Any bytes as a picture: an error with text, or a picture within its limits, on which a curve is
// looked for from the centre; what that finds lies in the picture and is finite.
#include <cmath>
#include <cstdint>
#include <cstdlib>

#include "chart/trace_curve.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace gapwright;
    const auto raster = decode_raster({reinterpret_cast<const char*>(data), size}, "fuzz.png");
    if (!raster) {
        if (raster.error().empty() || to_text(raster.error()).empty()) std::abort();
        return 0;
    }
    const double width = raster->width, height = raster->height;
    if (raster->width <= 0 || raster->width > largest_picture_side || raster->height <= 0 ||
        raster->height > largest_picture_side || width * height > largest_picture_area ||
        raster->rgb.size() != static_cast<std::size_t>(3 * width * height)) {
        std::abort();
    }
    if (width * height > 40'000) return 0;  // so that inputs stay quick
    const auto scale = ChartScale::make(
        {.first = {{0, height - 1}, 1}, .second = {{width - 1, height - 1}, 10}},
        {.first = {{0, height - 1}, 1}, .second = {{0, 0}, 100}, .logarithmic = true});
    if (!scale) return 0;
    const auto curve =
        trace_curve(*raster, *scale, {.seeds = {{std::floor(width / 2), std::floor(height / 2)}}});
    if (!curve) {
        if (curve.error().empty() || to_text(curve.error()).empty()) std::abort();
        return 0;
    }
    for (const TracedPoint& point : curve->points) {
        if (!std::isfinite(point.x) || !(point.y > 0) || !(point.error > 0)) std::abort();
        if (!(point.pixel.x > -20 && point.pixel.x < width + 20)) std::abort();
    }
    return 0;
}
