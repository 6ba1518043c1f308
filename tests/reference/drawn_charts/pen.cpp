#include "reference/drawn_charts/pen.hpp"

#include <array>
#include <numbers>

namespace gapwright::drawn_charts {

Pen::Pen(int width, int height, const Look& look)
    : surface_(cairo_image_surface_create(CAIRO_FORMAT_RGB24, width, height)),
      to_(cairo_create(surface_)) {
    cairo_set_source_rgb(to_, 1, 1, 1);
    cairo_paint(to_);
    cairo_translate(to_, 0.5, 0.5);
    cairo_select_font_face(to_, look.font.c_str(), CAIRO_FONT_SLANT_NORMAL,
                           CAIRO_FONT_WEIGHT_NORMAL);
    if (!look.smooth) {
        cairo_set_antialias(to_, CAIRO_ANTIALIAS_NONE);
        cairo_font_options_t* options = cairo_font_options_create();
        cairo_font_options_set_antialias(options, CAIRO_ANTIALIAS_NONE);
        cairo_set_font_options(to_, options);
        cairo_font_options_destroy(options);
    }
    cairo_set_line_join(to_, CAIRO_LINE_JOIN_ROUND);
}

Pen::~Pen() {
    cairo_destroy(to_);
    cairo_surface_destroy(surface_);
}

void Pen::dashes(double width, int dash) {
    constexpr std::array<std::array<double, 4>, 4> patterns{
        {{5, 3, 5, 3}, {8, 3.5, 8, 3.5}, {7, 2.5, 1.5, 2.5}, {2.5, 2, 2.5, 2}}};
    if (dash <= 0) return cairo_set_dash(to_, nullptr, 0, 0);
    auto pattern = patterns[(dash - 1) % 4];
    for (double& length : pattern) length *= width;
    cairo_set_dash(to_, pattern.data(), 4, 0);
}

void Pen::line(Place from, Place to, double width) {
    stroke({from, to}, width, 0);
}

void Pen::stroke(const std::vector<Place>& places, double width, int dash) {
    dashes(width, dash);
    cairo_set_line_width(to_, width);
    cairo_new_path(to_);
    for (const Place& place : places) cairo_line_to(to_, place[0], place[1]);
    cairo_stroke(to_);
}

void Pen::marker(Place at, double reach, bool round) {
    if (round) {
        cairo_arc(to_, at[0], at[1], reach, 0, 2 * std::numbers::pi);
    } else {
        cairo_rectangle(to_, at[0] - reach, at[1] - reach, 2 * reach, 2 * reach);
    }
    cairo_fill(to_);
}

void Pen::box(const Box& box, bool framed) {
    cairo_rectangle(to_, box.left, box.top, box.right - box.left, box.bottom - box.top);
    cairo_set_source_rgb(to_, 1, 1, 1);
    cairo_fill_preserve(to_);
    cairo_set_source_rgb(to_, 0, 0, 0);
    cairo_set_line_width(to_, 1.2);
    cairo_set_dash(to_, nullptr, 0, 0);
    if (framed) cairo_stroke_preserve(to_);
    cairo_new_path(to_);
}

double Pen::width(const std::string& text, double size) {
    cairo_text_extents_t extents;
    cairo_set_font_size(to_, size);
    cairo_text_extents(to_, text.c_str(), &extents);
    return extents.x_advance;
}

Box Pen::text(Place at, double across, const std::string& text, double size, bool upright) {
    const double wide = width(text, size);
    cairo_save(to_);
    cairo_translate(to_, at[0], at[1]);
    if (upright) cairo_rotate(to_, -std::numbers::pi / 2);
    cairo_move_to(to_, -across * wide, 0.36 * size);
    cairo_show_text(to_, text.c_str());
    cairo_restore(to_);
    cairo_new_path(to_);
    return {at[0] - across * wide, at[1] - 0.5 * size, at[0] + (1 - across) * wide,
            at[1] + 0.5 * size};
}

Picture Pen::picture() const {
    cairo_surface_flush(surface_);
    Picture picture(cairo_image_surface_get_width(surface_),
                    cairo_image_surface_get_height(surface_));
    const unsigned char* data = cairo_image_surface_get_data(surface_);
    const int stride = cairo_image_surface_get_stride(surface_);
    for (int y = 0; y < picture.height; ++y) {
        const auto* row = reinterpret_cast<const std::uint32_t*>(data + std::ptrdiff_t(y) * stride);
        for (int x = 0; x < picture.width; ++x) {
            for (int c = 0; c < 3; ++c) {
                picture.at(x, y)[c] = static_cast<float>(row[x] >> (16 - 8 * c) & 0xFFU);
            }
        }
    }
    return picture;
}

}  // namespace gapwright::drawn_charts
