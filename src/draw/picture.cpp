#include "draw/picture.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <string>
#include <string_view>
#include <utility>

namespace gapwright {
namespace {

// Calls use(code point, bytes) for each character; malformed bytes come as U+FFFD.
template <class Use>
void each_character(std::string_view text, const Use& use) {
    std::size_t at = 0;
    while (at < text.size()) {
        const auto lead = static_cast<unsigned char>(text[at]);
        const std::size_t length = lead < 0x80                   ? 1
                                   : lead >= 0xC2 && lead < 0xE0 ? 2
                                   : lead >= 0xE0 && lead < 0xF0 ? 3
                                   : lead >= 0xF0 && lead < 0xF5 ? 4
                                                                 : 0;
        bool whole = length > 0 && at + length <= text.size();
        char32_t point = length == 1 ? lead : lead & (0x7FU >> length);
        for (std::size_t k = 1; whole && k < length; ++k) {
            const auto next = static_cast<unsigned char>(text[at + k]);
            whole = (next & 0xC0U) == 0x80U;
            point = (point << 6U) | (next & 0x3FU);
        }
        use(whole ? point : char32_t{0xFFFD}, text.substr(at, whole ? length : 1));
        at += whole ? length : 1;
    }
}

bool xml_allows(char32_t point) {
    const bool control = point < 0x20 && point != '\t' && point != '\n' && point != '\r';
    const bool surrogate = point >= 0xD800 && point < 0xE000;
    return !control && !surrogate && point != 0xFFFE && point != 0xFFFF && point != 0xFFFD;
}

// Marks that would turn the order of the text around them (Unicode 15, section 23.2).
bool turns_direction(char32_t point) {
    return (point >= 0x202A && point <= 0x202E) || (point >= 0x2066 && point <= 0x2069) ||
           point == 0x200E || point == 0x200F;
}

std::string_view anchor_name(Anchor anchor) {
    switch (anchor) {
        case Anchor::start:
            return "start";
        case Anchor::middle:
            return "middle";
        case Anchor::end:
            break;
    }
    return "end";
}

}  // namespace

double text_width(std::string_view text, double size) {
    double ems = 0;
    each_character(text, [&](char32_t point, std::string_view) {
        constexpr std::u32string_view narrow = U"iljtfI.,:;'|!()[] ";
        constexpr std::u32string_view wide = U"mMW%@…—";
        if (narrow.find(point) != std::u32string_view::npos) {
            ems += 0.40;
        } else if (wide.find(point) != std::u32string_view::npos) {
            ems += 1.0;
        } else if (point >= 0x1100) {
            ems += point < 0x2E80 ? 0.85 : 1.1;  // arrows and signs; wide letters
        } else if ((point >= 'A' && point <= 'Z') || point == 'w' || point == U'±' ||
                   point == U'Ω') {
            ems += 0.84;
        } else {
            ems += 0.64;
        }
    });
    return ems * size;
}

std::string xml_escaped(std::string_view text) {
    std::string result;
    each_character(text, [&](char32_t point, std::string_view bytes) {
        switch (point) {
            case '<':
                result += "&lt;";
                break;
            case '>':
                result += "&gt;";
                break;
            case '&':
                result += "&amp;";
                break;
            case '"':
                result += "&quot;";
                break;
            case '\'':
                result += "&#39;";
                break;
            default:
                if (turns_direction(point)) break;
                if (xml_allows(point)) {
                    result += bytes;
                } else {
                    result += "\uFFFD";
                }
        }
    });
    return result;
}

Picture::Picture(std::string title, std::string description)
    : title_(std::move(title)), description_(std::move(description)) {}

void Picture::include(const Box& box) {
    extent_ = empty_
                  ? box
                  : Box{std::min(extent_.left, box.left), std::min(extent_.top, box.top),
                        std::max(extent_.right, box.right), std::max(extent_.bottom, box.bottom)};
    empty_ = false;
}

void Picture::line(const Segment& run, std::string_view css) {
    body_ += fmt::format(
        "<line class=\"{}\" x1=\"{:.1f}\" y1=\"{:.1f}\" x2=\"{:.1f}\" y2=\"{:.1f}\"/>\n", css,
        run.from.x, run.from.y, run.to.x, run.to.y);
    include({std::min(run.from.x, run.to.x), std::min(run.from.y, run.to.y),
             std::max(run.from.x, run.to.x), std::max(run.from.y, run.to.y)});
}

void Picture::path(std::string_view d, std::string_view css) {
    body_ += fmt::format("<path class=\"{}\" d=\"{}\"/>\n", css, d);
}

void Picture::rectangle(const Box& box, std::string_view css, double corner) {
    body_ += fmt::format(
        "<rect class=\"{}\" x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.1f}\" height=\"{:.1f}\"{}/>\n",
        css, box.left, box.top, box.right - box.left, box.bottom - box.top,
        corner > 0 ? fmt::format(" rx=\"{:.1f}\"", corner) : "");
    include(box);
}

void Picture::circle(Point centre, double radius, std::string_view css) {
    body_ += fmt::format("<circle class=\"{}\" cx=\"{:.1f}\" cy=\"{:.1f}\" r=\"{:.1f}\"/>\n", css,
                         centre.x, centre.y, radius);
    include({centre.x - radius, centre.y - radius, centre.x + radius, centre.y + radius});
}

void Picture::text(Point at, std::string_view words, std::string_view css, Anchor anchor,
                   double size) {
    if (words.empty() || muted_) return;
    const double width = text_width(words, size);
    const double left = anchor == Anchor::start    ? at.x
                        : anchor == Anchor::middle ? at.x - width / 2
                                                   : at.x - width;
    const Box box{left, at.y - 0.8 * size, left + width, at.y + 0.22 * size};
    texts_.push_back(box);
    include(box);
    body_ += fmt::format(
        "<text class=\"{}\" x=\"{:.1f}\" y=\"{:.1f}\" font-size=\"{:.1f}\" "
        "text-anchor=\"{}\">{}</text>\n",
        css, at.x, at.y, size, anchor_name(anchor), xml_escaped(words));
}

void Picture::begin_group(std::string_view css, std::string_view data) {
    body_ += fmt::format("<g class=\"{}\"{}{}>\n", css, data.empty() ? "" : " ", data);
}

void Picture::end_group() {
    body_ += "</g>\n";
}

void Picture::wire(const Segment& run, const std::string& node, std::string_view css) {
    wires_.push_back({run, node});
    line(run, css);
}

void Picture::symbol(const Box& box, const std::string&) {
    symbols_.push_back(box);
    include(box);
}

std::string Picture::svg(bool with_style, double margin) const {
    const Box frame = extent_.grown(margin);
    return fmt::format(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" role=\"img\" class=\"picture\" "
        "viewBox=\"{:.1f} {:.1f} {:.1f} {:.1f}\" width=\"{:.0f}\" height=\"{:.0f}\">\n"
        "<title>{}</title>\n<desc>{}</desc>\n{}{}</svg>\n",
        frame.left, frame.top, frame.right - frame.left, frame.bottom - frame.top,
        std::ceil(frame.right - frame.left), std::ceil(frame.bottom - frame.top),
        xml_escaped(title_), xml_escaped(description_),
        with_style ? fmt::format("<style>\n{}</style>\n"
                                 "<rect class=\"paper\" x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.1f}\" "
                                 "height=\"{:.1f}\"/>\n",
                                 picture_style(), frame.left, frame.top, frame.right - frame.left,
                                 frame.bottom - frame.top)
                   : "",
        body_);
}

}  // namespace gapwright
