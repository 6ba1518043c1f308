// A picture as SVG, together with the plain geometry of what was drawn.
//
// Everything carries a class and no colour of its own, so that one style sheet serves screen, dark
// mode and print. Texts, symbols and wires are also kept as boxes and segments: tests check on them
// that nothing overlaps.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace gapwright {

// In pixels at the picture's own scale; y grows downwards.
struct Point {
    double x = 0;
    double y = 0;
};

struct Box {
    double left = 0;
    double top = 0;
    double right = 0;
    double bottom = 0;

    bool overlaps(const Box& other) const {
        return left < other.right && other.left < right && top < other.bottom && other.top < bottom;
    }
    Box grown(double by) const { return {left - by, top - by, right + by, bottom + by}; }
};

struct Segment {
    Point from;
    Point to;
};

// A wire with the node it belongs to: wires of one node may touch.
struct Wire {
    Segment run;
    std::string node;
};

enum class Anchor : unsigned char { start, middle, end };

// The width that a text takes at a font size, estimated from above for common sans faces.
double text_width(std::string_view text, double size);

// A text as XML content or attribute value: markup escaped, characters that XML 1.0 forbids shown
// as U+FFFD.
std::string xml_escaped(std::string_view text);

class Picture {
  public:
    Picture(std::string title, std::string description);

    // Drawing. `css` is one or more class names.
    void line(const Segment& run, std::string_view css);
    void path(std::string_view d, std::string_view css);
    void rectangle(const Box& box, std::string_view css, double corner = 0);
    void circle(Point centre, double radius, std::string_view css);
    // Text at its baseline; its box is kept for checks.
    void text(Point at, std::string_view words, std::string_view css, Anchor anchor = Anchor::start,
              double size = 12);
    void mute() { muted_ = true; }  // from here on texts are left out
    void begin_group(std::string_view css, std::string_view data = {});
    void end_group();

    // Drawing that checks know of.
    void wire(const Segment& run, const std::string& node, std::string_view css = "wire");
    void symbol(const Box& box, const std::string& part);  // only noted: draw it besides

    const std::vector<Box>& text_boxes() const { return texts_; }
    const std::vector<Box>& symbol_boxes() const { return symbols_; }
    const std::vector<Wire>& wires() const { return wires_; }
    // What has been drawn so far.
    const Box& extent() const { return extent_; }

    // A whole SVG document, `margin` around the extent; with its own style sheet, or without one
    // where a page that holds it has it.
    std::string svg(bool with_style, double margin = 12) const;

  private:
    void include(const Box& box);

    std::string title_;
    std::string description_;
    std::string body_;
    std::vector<Box> texts_;
    std::vector<Box> symbols_;
    std::vector<Wire> wires_;
    Box extent_;
    bool empty_ = true;
    bool muted_ = false;
};

// The style sheet of all pictures: light, dark by preference, and print.
std::string_view picture_style();

}  // namespace gapwright
