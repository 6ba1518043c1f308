#include "synthetic_chart.hpp"

#include <cairo.h>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstring>
#include <memory>

#include "synthetic_curves.hpp"

namespace gapwright::testing {
namespace {

struct Ink {
    double red = 0, green = 0, blue = 0;
};

// What differs from chart to chart of a style.
struct Look {
    double grid_grey = 0.8, grid_width = 1, curve_width = 2, blur = 0, noise = 0;
    int quality = 0;   // of JPEG; 0: PNG
    double angle = 0;  // radians
    bool label_in_gap = false;
    bool label_near = false;
    bool dense = false;
};

struct Pen {
    cairo_t* cairo;
    double left, top, width, height;

    [[nodiscard]] double x(double fraction) const { return left + fraction * width; }
    [[nodiscard]] double y(double fraction) const { return top + height - fraction * height; }
    void line(double x0, double y0, double x1, double y1) const {
        cairo_move_to(cairo, x(x0), y(y0));
        cairo_line_to(cairo, x(x1), y(y1));
        cairo_stroke(cairo);
    }
};

// The fractions at which an axis has lines.
std::vector<double> lines_of(const MadeAxis& axis, bool dense) {
    std::vector<double> at;
    if (!axis.logarithmic) {
        const double step = dense ? axis.step / 2 : axis.step;
        for (double v = axis.from; v <= axis.to * 1.0001; v += step) at.push_back(axis.fraction(v));
        return at;
    }
    for (double decade = axis.from; decade < axis.to * 0.999; decade *= 10) {
        for (int digit = 1; digit < 10; ++digit) {
            if (dense || digit == 1 || digit == 2 || digit == 5) {
                at.push_back(axis.fraction(decade * digit));
            }
        }
    }
    at.push_back(1);
    return at;
}

void text(const Pen& pen, double x, double y, const std::string& words) {
    cairo_move_to(pen.cairo, x, y);
    cairo_show_text(pen.cairo, words.c_str());
    cairo_new_path(pen.cairo);  // else the next line would start at the text's end
}

void draw_grid(const Pen& pen, const MadeFamily& family, const Look& look) {
    cairo_set_source_rgb(pen.cairo, look.grid_grey, look.grid_grey, look.grid_grey);
    cairo_set_line_width(pen.cairo, look.grid_width);
    for (const double f : lines_of(family.x, look.dense)) pen.line(f, 0, f, 1);
    for (const double f : lines_of(family.y, look.dense)) pen.line(0, f, 1, f);
    cairo_set_source_rgb(pen.cairo, 0, 0, 0);
    cairo_set_line_width(pen.cairo, 1.5);
    cairo_rectangle(pen.cairo, pen.left, pen.top, pen.width, pen.height);
    cairo_stroke(pen.cairo);
    cairo_set_font_size(pen.cairo, 13);
    for (const double f : lines_of(family.x, false)) {
        text(pen, pen.x(f) - 8, pen.y(0) + 18, fmt::format("{:.3g}", family.x.value(f)));
    }
    for (const double f : lines_of(family.y, false)) {
        text(pen, pen.x(0) - 38, pen.y(f) + 5, fmt::format("{:.3g}", family.y.value(f)));
    }
    text(pen, pen.x(0.3), pen.y(0) + 40, "forward current, mA");
}

DrawnCurve draw_curve(const Pen& pen, const MadeFamily& family, const MadeCurve& made, Ink ink,
                      const Look& look, int index, bool dashed) {
    DrawnCurve drawn;
    drawn.dashed = dashed;
    drawn.width = look.curve_width;
    for (const ChartPoint& v : made.values) {
        const ChartPoint f{.x = family.x.fraction(v.x), .y = family.y.fraction(v.y)};
        if (f.x >= 0 && f.x <= 1 && f.y >= 0 && f.y <= 1) drawn.truth.push_back(f);
    }
    cairo_set_source_rgb(pen.cairo, ink.red, ink.green, ink.blue);
    cairo_set_line_width(pen.cairo, look.curve_width);
    const double dashes[] = {5 + 2.5 * index + look.curve_width, 4 + look.curve_width};
    if (dashed) cairo_set_dash(pen.cairo, dashes, 2, 0);
    for (const ChartPoint& f : drawn.truth) cairo_line_to(pen.cairo, pen.x(f.x), pen.y(f.y));
    cairo_stroke(pen.cairo);
    cairo_set_dash(pen.cairo, nullptr, 0, 0);
    return drawn;
}

void draw_label(const Pen& pen, DrawnCurve& drawn, const std::string& words, Ink ink,
                const Look& look, int index) {
    if (!look.label_in_gap && !look.label_near) return;
    cairo_set_font_size(pen.cairo, 12);
    cairo_text_extents_t size;
    cairo_text_extents(pen.cairo, words.c_str(), &size);
    const double part = 0.66 + 0.06 * index;
    const ChartPoint at =
        drawn.truth[static_cast<std::size_t>(part * static_cast<double>(drawn.truth.size() - 1))];
    double x = pen.x(at.x) - size.width / 2;
    double y = pen.y(at.y) + size.height / 2;
    if (look.label_in_gap) {
        cairo_set_source_rgb(pen.cairo, 1, 1, 1);
        cairo_rectangle(pen.cairo, x - 2, y - size.height - 2, size.width + 5, size.height + 4);
        cairo_fill(pen.cairo);
    } else {
        x += size.width / 2 + 5;
        y -= 9;
    }
    cairo_set_source_rgb(pen.cairo, ink.red, ink.green, ink.blue);
    text(pen, x, y, words);
    for (const double dx : {-3.0, size.width + 4}) {
        for (const double dy : {-size.height - 3, 3.0}) drawn.label.push_back({x + dx, y + dy});
    }
}

void blur(std::vector<double>& plane, int width, int height, double sigma) {
    const int reach = static_cast<int>(std::ceil(3 * sigma));
    std::vector<double> weights;
    double sum = 0;
    for (int k = -reach; k <= reach; ++k) {
        weights.push_back(std::exp(-0.5 * k * k / (sigma * sigma)));
        sum += weights.back();
    }
    for (const bool along_x : {true, false}) {
        std::vector<double> out(plane.size());
        for (int y = 0; y < height; ++y) {
            for (int x = 0; x < width; ++x) {
                double value = 0;
                for (int k = -reach; k <= reach; ++k) {
                    const int u = along_x ? std::clamp(x + k, 0, width - 1) : x;
                    const int v = along_x ? y : std::clamp(y + k, 0, height - 1);
                    value += weights[static_cast<std::size_t>(k + reach)] *
                             plane[static_cast<std::size_t>(v * width + u)];
                }
                out[static_cast<std::size_t>(y * width + x)] = value / sum;
            }
        }
        plane = std::move(out);
    }
}

// The surface's pixels after a scanner: blurred, noisy.
std::vector<std::uint8_t> scanned(cairo_surface_t* surface, int width, int height, const Look& look,
                                  std::mt19937& random) {
    cairo_surface_flush(surface);
    const unsigned char* data = cairo_image_surface_get_data(surface);
    const int stride = cairo_image_surface_get_stride(surface);
    std::vector<std::uint8_t> rgb(static_cast<std::size_t>(width * height * 3));
    for (int channel = 0; channel < 3; ++channel) {
        std::vector<double> plane;
        for (int y = 0; y < height; ++y) {
            for (int x = 0; x < width; ++x) plane.push_back(data[y * stride + 4 * x + 2 - channel]);
        }
        if (look.blur > 0) blur(plane, width, height, look.blur);
        for (std::size_t k = 0; k < plane.size(); ++k) {
            const double value = plane[k] + look.noise * uniform(random, -1, 1);
            rgb[3 * k + static_cast<std::size_t>(channel)] =
                static_cast<std::uint8_t>(std::clamp(value + 0.5, 0.0, 255.0));
        }
    }
    return rgb;
}

MadeFamily family_of(ChartStyle style, unsigned number, std::mt19937& random) {
    const int count = 1 + static_cast<int>(number % 4);
    if (style == ChartStyle::dashed_and_crossing)
        return crossing_curves(random, std::max(2, count));
    if (style == ChartStyle::dense_decades) {
        return number % 2 == 0 ? cell_resistances(random, count)
                               : currents_by_decades(random, count);
    }
    switch ((number + static_cast<unsigned>(style)) % 4) {
        case 0:
            return diode_currents(random, count);
        case 1:
            return transfer_ratios(random, count);
        case 2:
            return receiver_outputs(random, count);
        default:
            return falling_by_heat(random, count);
    }
}

Look look_of(ChartStyle style, unsigned number, std::mt19937& random) {
    Look look;
    look.curve_width = 1 + static_cast<double>((number + static_cast<unsigned>(style)) % 4) +
                       (number % 4 == 3 ? 0.0 : uniform(random, 0, 0.4));
    look.curve_width = std::min(look.curve_width, 4.0);
    look.blur = number % 3 == 0 ? 0 : uniform(random, 0.4, 1.1);
    look.noise = uniform(random, 0, 6);
    look.quality = number % 4 == 0 ? 0 : static_cast<int>(uniform(random, 40, 90));
    look.angle = number % 5 == 0 ? 0 : uniform(random, -2, 2) * 3.14159265 / 180;
    look.label_in_gap = number % 3 == 1;
    look.label_near = number % 3 == 2;
    look.dense = style == ChartStyle::dense_decades;
    look.grid_grey = uniform(random, 0.72, 0.88);
    if (style == ChartStyle::black_on_dark_grid) look.grid_grey = uniform(random, 0, 0.15);
    if (style == ChartStyle::dense_decades) look.grid_grey = number < 4 ? 0.6 : 0.25;
    look.grid_width = uniform(random, 0.8, 1.3);
    return look;
}

AxisMark mark(const SyntheticChart& chart, ChartPoint fraction, double value) {
    const PixelPoint at = chart.to_pixel(fraction);
    return {.at = {.x = std::round(at.x), .y = std::round(at.y)}, .value = value};
}

}  // namespace

PixelPoint SyntheticChart::to_pixel(ChartPoint f) const {
    return {.x = origin.x + f.x * along_x.x + f.y * along_y.x,
            .y = origin.y + f.x * along_x.y + f.y * along_y.y};
}

ChartPoint SyntheticChart::to_fraction(PixelPoint pixel) const {
    const double dx = pixel.x - origin.x, dy = pixel.y - origin.y;
    const double area = along_x.x * along_y.y - along_x.y * along_y.x;
    return {.x = (dx * along_y.y - dy * along_y.x) / area,
            .y = (along_x.x * dy - along_x.y * dx) / area};
}

SyntheticChart draw_chart(ChartStyle style, unsigned number) {
    std::mt19937 random(1000 * static_cast<unsigned>(style) + number + 1);
    const Look look = look_of(style, number, random);
    const MadeFamily family = family_of(style, number, random);
    SyntheticChart chart;
    chart.width = static_cast<int>(uniform(random, 640, 1000));
    chart.height = static_cast<int>(uniform(random, 520, 780));
    const std::unique_ptr<cairo_surface_t, decltype(&cairo_surface_destroy)> surface(
        cairo_image_surface_create(CAIRO_FORMAT_RGB24, chart.width, chart.height),
        cairo_surface_destroy);
    const std::unique_ptr<cairo_t, decltype(&cairo_destroy)> cairo(cairo_create(surface.get()),
                                                                   cairo_destroy);
    cairo_set_source_rgb(cairo.get(), 1, 1, 1);
    cairo_paint(cairo.get());
    cairo_select_font_face(cairo.get(), "DejaVu Sans", CAIRO_FONT_SLANT_NORMAL,
                           CAIRO_FONT_WEIGHT_NORMAL);
    cairo_translate(cairo.get(), chart.width / 2.0, chart.height / 2.0);
    cairo_rotate(cairo.get(), look.angle);
    cairo_translate(cairo.get(), -chart.width / 2.0, -chart.height / 2.0);

    const Pen pen{cairo.get(), 75, 40, chart.width - 115.0, chart.height - 110.0};
    draw_grid(pen, family, look);
    constexpr Ink colours[] = {
        {0.8, 0.05, 0.1}, {0.05, 0.2, 0.75}, {0.0, 0.5, 0.15}, {0.75, 0.35, 0}};
    const auto ink_of = [&](int k) {
        return style == ChartStyle::colours_on_grid ? colours[k] : Ink{};
    };
    const int count = static_cast<int>(family.curves.size());
    for (int k = 0; k < count; ++k) {
        const bool dashed =
            style == ChartStyle::dashed_and_crossing && (static_cast<int>(number) + k) % 2 == 0;
        chart.curves.push_back(draw_curve(pen, family, family.curves[static_cast<std::size_t>(k)],
                                          ink_of(k), look, k, dashed));
    }
    for (int k = 0; k < count; ++k) {
        draw_label(pen, chart.curves[static_cast<std::size_t>(k)],
                   family.curves[static_cast<std::size_t>(k)].label, ink_of(k), look, k);
    }
    // From cairo's plane, where pixel (0, 0) has its centre at (0.5, 0.5), to pixels.
    const auto to_picture = [&](double x, double y) {
        cairo_user_to_device(cairo.get(), &x, &y);
        return PixelPoint{.x = x - 0.5, .y = y - 0.5};
    };
    chart.origin = to_picture(pen.x(0), pen.y(0));
    const PixelPoint right = to_picture(pen.x(1), pen.y(0)), up = to_picture(pen.x(0), pen.y(1));
    chart.along_x = {right.x - chart.origin.x, right.y - chart.origin.y};
    chart.along_y = {up.x - chart.origin.x, up.y - chart.origin.y};
    for (DrawnCurve& curve : chart.curves) {
        for (PixelPoint& corner : curve.label) corner = to_picture(corner.x, corner.y);
    }
    chart.x = {mark(chart, {0, 0}, family.x.from), mark(chart, {1, 0}, family.x.to),
               family.x.logarithmic};
    chart.y = {mark(chart, {0, 0}, family.y.from), mark(chart, {0, 1}, family.y.to),
               family.y.logarithmic};
    const auto rgb = scanned(surface.get(), chart.width, chart.height, look, random);
    chart.bytes = look.quality == 0 ? png_of(rgb, chart.width, chart.height)
                                    : jpeg_of(rgb, chart.width, chart.height, look.quality);
    return chart;
}

double distance_to(const DrawnCurve& curve, ChartPoint f) {
    double nearest = 1e9;
    for (std::size_t k = 0; k + 1 < curve.truth.size(); ++k) {
        const ChartPoint a = curve.truth[k], b = curve.truth[k + 1];
        const double dx = b.x - a.x, dy = b.y - a.y, length = dx * dx + dy * dy;
        const double t =
            length > 0 ? std::clamp(((f.x - a.x) * dx + (f.y - a.y) * dy) / length, 0.0, 1.0) : 0;
        nearest = std::min(nearest, std::hypot(f.x - a.x - t * dx, f.y - a.y - t * dy));
    }
    return nearest;
}

std::vector<PixelPoint> seeds_on(const SyntheticChart& chart, std::size_t index, std::size_t count,
                                 std::mt19937& random) {
    const DrawnCurve& curve = chart.curves[index];
    const auto is_clear = [&](PixelPoint at) {
        for (std::size_t k = 0; k < chart.curves.size(); ++k) {
            const DrawnCurve& other = chart.curves[k];
            const double pixels = 0.5 * (std::hypot(chart.along_x.x, chart.along_x.y) +
                                         std::hypot(chart.along_y.x, chart.along_y.y));
            if (k != index && distance_to(other, chart.to_fraction(at)) * pixels < 14) return false;
            if (other.label.empty()) continue;
            PixelPoint low = other.label[0], high = low;
            for (const PixelPoint& c : other.label) {
                low = {std::min(low.x, c.x), std::min(low.y, c.y)};
                high = {std::max(high.x, c.x), std::max(high.y, c.y)};
            }
            if (at.x > low.x - 6 && at.x < high.x + 6 && at.y > low.y - 6 && at.y < high.y + 6) {
                return false;
            }
        }
        return true;
    };
    std::vector<PixelPoint> seeds;
    for (std::size_t k = 0; k < count; ++k) {
        for (int attempt = 0; attempt < 200; ++attempt) {
            const double part =
                (static_cast<double>(k) + uniform(random, 0.25, 0.75)) / static_cast<double>(count);
            const PixelPoint at = chart.to_pixel(curve.truth[static_cast<std::size_t>(
                part * static_cast<double>(curve.truth.size() - 1))]);
            if (!is_clear(at)) continue;
            const double way = uniform(random, 0, 2), turn = uniform(random, 0, 6.283);
            seeds.push_back(
                {std::round(at.x + way * std::cos(turn)), std::round(at.y + way * std::sin(turn))});
            break;
        }
    }
    return seeds;
}

}  // namespace gapwright::testing
