#include "synthetic_photo.hpp"

#include <cairo.h>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <memory>
#include <numbers>
#include <random>

#include "chart/raster.hpp"
#include "synthetic_curves.hpp"

namespace gapwright::testing {
namespace {

using Map = std::array<double, 9>;

PixelPoint apply(const Map& m, double x, double y) {
    const double w = m[6] * x + m[7] * y + m[8];
    return {.x = (m[0] * x + m[1] * y + m[2]) / w, .y = (m[3] * x + m[4] * y + m[5]) / w};
}

Map inverted(const Map& m) {
    return {m[4] * m[8] - m[5] * m[7], m[2] * m[7] - m[1] * m[8], m[1] * m[5] - m[2] * m[4],
            m[5] * m[6] - m[3] * m[8], m[0] * m[8] - m[2] * m[6], m[2] * m[3] - m[0] * m[5],
            m[3] * m[7] - m[4] * m[6], m[1] * m[6] - m[0] * m[7], m[0] * m[4] - m[1] * m[3]};
}

// A flat page before a pinhole camera, at a distance of 2.2 times its longer side.
Map camera(const PhotoLook& look, double width, double height) {
    const double degree = std::numbers::pi / 180;
    const double ca = std::cos(look.lean_x * degree), sa = std::sin(look.lean_x * degree);
    const double cb = std::cos(look.lean_y * degree), sb = std::sin(look.lean_y * degree);
    const double cc = std::cos(look.turn * degree), sc = std::sin(look.turn * degree);
    // Turned in its plane, then leaned about both axes: columns of the page's x and y.
    const auto lean = [&](double x, double y) {
        const double y1 = ca * y, z1 = sa * y;
        return std::array{cb * x + sb * z1, y1, -sb * x + cb * z1};
    };
    const auto u = lean(cc, sc), v = lean(-sc, cc);
    const double far = 2.2 * std::max(width, height), f = far * look.scale;
    const double cx = 0.5 * width * look.scale, cy = 0.5 * height * look.scale;
    Map m = {f * u[0] + cx * u[2],
             f * v[0] + cx * v[2],
             cx * far,
             f * u[1] + cy * u[2],
             f * v[1] + cy * v[2],
             cy * far,
             u[2],
             v[2],
             far};
    // The page's middle lies at 0.
    for (const std::size_t row : {0U, 3U, 6U}) {
        m[row + 2] -= 0.5 * (m[row] * width + m[row + 1] * height);
    }
    return m;
}

double wobble(std::mt19937& random) {  // deviation 1
    double sum = 0;
    for (int k = 0; k < 12; ++k) sum += uniform(random, -0.5, 0.5);
    return sum;
}

}  // namespace

PixelPoint ChartPhoto::at(PixelPoint drawn) const {
    return apply(map, drawn.x, drawn.y);
}

ChartPhoto photographed(const SyntheticChart& chart, const PhotoLook& look, unsigned seed) {
    std::mt19937 random(seed);
    const Raster page = *decode_raster(chart.bytes, "chart");
    ChartPhoto photo;
    photo.width = static_cast<int>(page.width * look.scale);
    photo.height = static_cast<int>(page.height * look.scale);
    photo.map = camera(look, page.width, page.height);
    const Map back = inverted(photo.map);
    std::vector<std::uint8_t> rgb;
    rgb.reserve(static_cast<std::size_t>(photo.width) * static_cast<std::size_t>(photo.height) * 3);
    const auto sample = [&](double x, double y, std::size_t k) -> double {
        if (!(x >= 0 && y >= 0 && x < page.width - 1 && y < page.height - 1)) return 255;
        const int a = static_cast<int>(x), b = static_cast<int>(y);
        const double fx = x - a, fy = y - b;
        return (1 - fy) * ((1 - fx) * page.pixel(a, b)[k] + fx * page.pixel(a + 1, b)[k]) +
               fy * ((1 - fx) * page.pixel(a, b + 1)[k] + fx * page.pixel(a + 1, b + 1)[k]);
    };
    const double edge = uniform(random, 0.35, 0.7);
    for (int y = 0; y < photo.height; ++y) {
        for (int x = 0; x < photo.width; ++x) {
            PixelPoint from = apply(back, x, y);
            const double across = from.x / page.width - 0.5;
            from.y += look.bend * (4 * across * across - 1);
            const double u = double(x) / photo.width, v = double(y) / photo.height;
            double light = 1 - look.light * (0.6 * u + 0.4 * v);
            light *= 1 - look.shadow / (1 + std::exp(-(u + 0.2 * v - edge) * 80));
            const double noise = look.noise * wobble(random);
            for (std::size_t k = 0; k < 3; ++k) {
                const double value = light * (k == 2 ? 0.93 : 0.98) * sample(from.x, from.y, k);
                rgb.push_back(static_cast<std::uint8_t>(std::clamp(value + noise, 0.0, 255.0)));
            }
        }
    }
    photo.bytes = jpeg_of(rgb, photo.width, photo.height, look.quality);
    return photo;
}

PhotoLook some_look(unsigned number) {
    std::mt19937 random(500 + number);
    PhotoLook look;
    look.turn = uniform(random, -4, 4);
    look.lean_x = uniform(random, -18, 18);
    look.lean_y = uniform(random, -18, 18);
    look.scale = uniform(random, 1.1, 2.2);
    look.light = uniform(random, 0, 0.45);
    look.shadow = number % 3 == 0 ? uniform(random, 0.2, 0.45) : 0;
    look.noise = uniform(random, 1, 8);
    look.quality = static_cast<int>(uniform(random, 60, 92));
    return look;
}

namespace {

struct Rgb {
    double red = 0, green = 0, blue = 0;
};

Rgb colour_of(FamilyColours colours, int k) {
    constexpr Rgb different[] = {{0.84, 0.15, 0.16}, {0.12, 0.47, 0.71}, {0.17, 0.63, 0.17},
                                 {0.58, 0.40, 0.74}, {1.0, 0.5, 0.05},   {0, 0, 0},
                                 {0.5, 0.5, 0}};
    constexpr Rgb near[] = {{0.8, 0.1, 0.1},  {0.85, 0.4, 0.1}, {0.75, 0.1, 0.4}, {0.6, 0.3, 0.1},
                            {0.9, 0.55, 0.1}, {0.5, 0.1, 0.1},  {0.95, 0.2, 0.4}};
    switch (colours) {
        case FamilyColours::one:
            return {};
        case FamilyColours::different:
            return different[k % 7];
        case FamilyColours::near:
            return near[k % 7];
    }
    return {};
}

}  // namespace

FamilyChart draw_family(const FamilyLook& look, unsigned number) {
    std::mt19937 random(9000 + number);
    FamilyChart made;
    SyntheticChart& chart = made.chart;
    chart.width = 640 + static_cast<int>(uniform(random, 0, 300));
    chart.height = 480 + static_cast<int>(uniform(random, 0, 200));
    const double left = 83, top = 34, wide = chart.width - 115.0, high = chart.height - 96.0;
    const std::unique_ptr<cairo_surface_t, decltype(&cairo_surface_destroy)> surface(
        cairo_image_surface_create(CAIRO_FORMAT_RGB24, chart.width, chart.height),
        cairo_surface_destroy);
    const std::unique_ptr<cairo_t, decltype(&cairo_destroy)> cairo(cairo_create(surface.get()),
                                                                   cairo_destroy);
    cairo_t* c = cairo.get();
    cairo_set_source_rgb(c, 1, 1, 1);
    cairo_paint(c);
    cairo_select_font_face(c, "DejaVu Sans", CAIRO_FONT_SLANT_NORMAL, CAIRO_FONT_WEIGHT_NORMAL);
    const auto px = [&](double f) { return left + f * wide; };
    const auto py = [&](double f) { return top + high - f * high; };
    const auto line = [&](double x0, double y0, double x1, double y1) {
        cairo_move_to(c, x0, y0);
        cairo_line_to(c, x1, y1);
        cairo_stroke(c);
    };
    if (look.grid) {
        cairo_set_source_rgb(c, 0.8, 0.8, 0.8);
        cairo_set_line_width(c, 1);
        for (int k = 0; k <= 5; ++k) line(px(k / 5.0), py(0), px(k / 5.0), py(1));
        for (int k = 0; k <= 7; ++k) line(px(0), py(k / 7.0), px(1), py(k / 7.0));
    }
    const double most = uniform(random, 24, 32), knee = uniform(random, 0.1, 0.6);
    const double rise = uniform(random, 0.0, 0.2);
    for (int k = 0; k < look.curves; ++k) {
        DrawnCurve drawn;
        drawn.dashed = look.dashed && k % 2 == 1;
        drawn.width = look.width;
        const double level = most * (k + uniform(random, 0.8, 1.0)) / look.curves;
        for (int j = 0; j <= 3000; ++j) {
            const double volts = 10.0 * j / 3000;
            const double y =
                level / (1 + rise) * (1 - std::exp(-volts / knee)) * (1 + rise * volts / 10);
            drawn.truth.push_back({.x = volts / 10, .y = y / 35});
        }
        const Rgb ink = colour_of(look.colours, k);
        cairo_set_source_rgb(c, ink.red, ink.green, ink.blue);
        cairo_set_line_width(c, look.width);
        const double dashes[] = {4 * look.width, 2 * look.width};
        if (drawn.dashed) cairo_set_dash(c, dashes, 2, 0);
        for (const ChartPoint& f : drawn.truth) cairo_line_to(c, px(f.x), py(f.y));
        cairo_stroke(c);
        cairo_set_dash(c, nullptr, 0, 0);
        chart.curves.push_back(std::move(drawn));
    }
    cairo_set_source_rgb(c, 0, 0, 0);
    cairo_set_line_width(c, 1);
    if (look.frame) {
        cairo_rectangle(c, left, top, wide, high);
        cairo_stroke(c);
    } else {
        line(px(0), py(0), px(1), py(0));
        line(px(0), py(0), px(0), py(1));
    }
    cairo_set_font_size(c, 12);
    for (int k = 0; k <= 5; ++k) {
        line(px(k / 5.0), py(0), px(k / 5.0), py(0) + 4);
        cairo_move_to(c, px(k / 5.0) - 4, py(0) + 18);
        cairo_show_text(c, fmt::format("{}", 2 * k).c_str());
        cairo_new_path(c);
    }
    for (int k = 0; k <= 7; ++k) {
        line(px(0), py(k / 7.0), px(0) - 4, py(k / 7.0));
        cairo_move_to(c, px(0) - 26, py(k / 7.0) + 4);
        cairo_show_text(c, fmt::format("{}", 5 * k).c_str());
        cairo_new_path(c);
    }
    if (look.legend) {
        const double row = 20, height = row * look.curves + 8, breadth = 100;
        const double x = look.legend_over ? px(0.45) : px(1) - breadth - 8;
        const double y = look.legend_over ? py(0.6) : top + 8;
        cairo_set_source_rgb(c, 1, 1, 1);
        cairo_rectangle(c, x, y, breadth, height);
        cairo_fill_preserve(c);
        cairo_set_source_rgb(c, number % 2 == 0 ? 0 : 0.8, number % 2 == 0 ? 0 : 0.8,
                             number % 2 == 0 ? 0 : 0.8);
        cairo_set_line_width(c, 1);
        cairo_stroke(c);
        for (int k = 0; k < look.curves; ++k) {
            const Rgb ink = colour_of(look.colours, k);
            const double at = y + 14 + row * k;
            cairo_set_source_rgb(c, ink.red, ink.green, ink.blue);
            cairo_set_line_width(c, look.width);
            const double dashes[] = {4 * look.width, 2 * look.width};
            if (look.dashed && k % 2 == 1) cairo_set_dash(c, dashes, 2, 0);
            line(x + 6, at, x + 34, at);
            cairo_set_dash(c, nullptr, 0, 0);
            made.samples.push_back({.x = x + 20, .y = at - 0.5});
            cairo_set_source_rgb(c, 0, 0, 0);
            cairo_move_to(c, x + 44, at + 4);
            cairo_show_text(c, fmt::format("{} mA", 5 * (k + 1)).c_str());
            cairo_new_path(c);
        }
    }
    cairo_surface_flush(surface.get());
    const unsigned char* data = cairo_image_surface_get_data(surface.get());
    const int stride = cairo_image_surface_get_stride(surface.get());
    std::vector<std::uint8_t> rgb;
    for (int y = 0; y < chart.height; ++y) {
        for (int x = 0; x < chart.width; ++x) {
            for (int k = 2; k >= 0; --k) rgb.push_back(data[y * stride + 4 * x + k]);
        }
    }
    chart.bytes = png_of(rgb, chart.width, chart.height);
    chart.origin = {.x = px(0) - 0.5, .y = py(0) - 0.5};
    chart.along_x = {.x = wide, .y = 0};
    chart.along_y = {.x = 0, .y = -high};
    const auto rounded = [&](double u, double v) {
        const PixelPoint at = chart.to_pixel({.x = u, .y = v});
        return PixelPoint{.x = std::round(at.x), .y = std::round(at.y)};
    };
    chart.x = {{rounded(0, 0), 0}, {rounded(1, 0), 10}, false};
    chart.y = {{rounded(0, 0), 0}, {rounded(0, 1), 35}, false};
    return made;
}

}  // namespace gapwright::testing
