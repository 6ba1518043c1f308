#include "report/pictures/picture_file.hpp"

#include <cairo-pdf.h>
#include <cairo.h>
#include <librsvg/rsvg.h>

#include <cmath>
#include <expected>
#include <memory>

namespace gapwright {
namespace {

struct Release {
    void operator()(RsvgHandle* handle) const { g_object_unref(handle); }
    void operator()(cairo_surface_t* surface) const { cairo_surface_destroy(surface); }
    void operator()(cairo_t* context) const { cairo_destroy(context); }
    void operator()(GError* error) const { g_error_free(error); }
};
template <class T>
using Owned = std::unique_ptr<T, Release>;

cairo_status_t append(void* bytes, const unsigned char* data, unsigned int length) {
    static_cast<std::string*>(bytes)->append(reinterpret_cast<const char*>(data), length);
    return CAIRO_STATUS_SUCCESS;
}

// Draws the picture on a surface that make(width, height) creates, `scale` times its size.
template <class Make>
std::expected<Owned<cairo_surface_t>, std::string> drawn(const std::string& svg, double scale,
                                                         const Make& make) {
    GError* raw = nullptr;
    const Owned<RsvgHandle> handle(
        rsvg_handle_new_from_data(reinterpret_cast<const guint8*>(svg.data()), svg.size(), &raw));
    if (!handle) {
        const Owned<GError> error(raw);
        return std::unexpected(std::string(error->message));
    }
    gdouble width = 0;
    gdouble height = 0;
    rsvg_handle_get_intrinsic_size_in_pixels(handle.get(), &width, &height);
    width = std::ceil(width * scale);
    height = std::ceil(height * scale);
    Owned<cairo_surface_t> surface(make(width, height));
    const Owned<cairo_t> context(cairo_create(surface.get()));
    const RsvgRectangle page{0, 0, width, height};
    if (!rsvg_handle_render_document(handle.get(), context.get(), &page, &raw)) {
        const Owned<GError> error(raw);
        return std::unexpected(std::string(error->message));
    }
    return surface;
}

}  // namespace

std::expected<std::string, std::string> png_of(const std::string& svg) {
    const auto surface = drawn(svg, 2, [](double width, double height) {
        return cairo_image_surface_create(CAIRO_FORMAT_ARGB32, static_cast<int>(width),
                                          static_cast<int>(height));
    });
    if (!surface) return std::unexpected(surface.error());
    std::string bytes;
    const auto status = cairo_surface_write_to_png_stream(surface->get(), append, &bytes);
    if (status != CAIRO_STATUS_SUCCESS) return std::unexpected(cairo_status_to_string(status));
    return bytes;
}

std::expected<std::string, std::string> pdf_of(const std::string& svg) {
    constexpr double points_a_pixel = 0.75;
    std::string bytes;
    const auto surface = drawn(svg, points_a_pixel, [&](double width, double height) {
        auto* pdf = cairo_pdf_surface_create_for_stream(append, &bytes, width, height);
        // Without a date: the same picture, the same bytes.
        cairo_pdf_surface_set_metadata(pdf, CAIRO_PDF_METADATA_CREATE_DATE, nullptr);
        return pdf;
    });
    if (!surface) return std::unexpected(surface.error());
    cairo_surface_finish(surface->get());
    const auto status = cairo_surface_status(surface->get());
    if (status != CAIRO_STATUS_SUCCESS) return std::unexpected(cairo_status_to_string(status));
    return bytes;
}

}  // namespace gapwright
