#include "draw/schematic.hpp"

#include <fmt/format.h>
#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdlib>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "circuit/index.hpp"
#include "draw/gap_light.hpp"
#include "draw/picture.hpp"
#include "draw/probe.hpp"
#include "draw/schematic_layout.hpp"
#include "draw/symbols.hpp"

namespace gapwright {
namespace {

constexpr double h = symbol_half_height;
constexpr double name_size = 13;
constexpr double note_size = 12;
constexpr double note_pitch = 15;

// Draws one side, shifted to where it belongs.
class SideDrawer {
  public:
    SideDrawer(Picture& picture, Side which, const SchematicSide& side,
               const layout::SideLayout& layout, double dx,
               const std::vector<layout::Light>& lights)
        : picture_(picture),
          which_(which),
          side_(side),
          layout_(layout),
          dx_(dx),
          lights_(lights) {}

    void draw() {
        for (const auto& column : layout_.columns) draw_column(column);
        for (const auto& [node, y] : layout_.row) draw_tie(node, y);
        label_supply();
        for (const auto& node : side_.nodes) label_node(node);
    }

    // Below everything of it.
    double bottom() const { return bottom_; }

    // Where a lead can be held: any of these; none for what is not drawn.
    std::vector<Point> spots(const LeadSpot& lead) const {
        const auto& of = lead.after.empty() ? node_spots_ : part_spots_;
        const auto found = of.find(lead.after.empty() ? lead.node : lead.after);
        return found == of.end() ? std::vector<Point>{} : found->second;
    }

    // One spot of each node, named or not.
    std::vector<Point> every_node() const {
        std::vector<Point> all;
        for (const auto& [node, spots] : node_spots_) all.push_back(spots.front());
        for (const auto& [part, spots] : part_spots_) {
            if (joints_.contains(part)) all.push_back(spots.front());
        }
        return all;
    }

    // In the lead above a part, or where the supply comes in.
    std::optional<Point> in_lead(const std::string& part) const {
        if (part.empty()) {
            const auto supply = spots({.node = "supply"});
            return supply.empty() ? std::nullopt : std::optional(supply.front());
        }
        const auto found = lead_spots_.find(part);
        return found == lead_spots_.end() ? std::nullopt : std::optional(found->second);
    }

  private:
    // Where a lead meets a node's tie, and whether it carries current.
    struct Touch {
        double x;
        bool live;
    };

    double x_of(const layout::Column& column) const { return column.x + dx_; }

    void wire(Point from, Point to, const std::string& node, bool live) {
        bottom_ = std::max({bottom_, from.y, to.y});
        picture_.wire({from, to}, (which_ == Side::input ? "input." : "output.") + node,
                      live ? "wire live" : "wire");
    }

    void draw_column(const layout::Column& column) {
        const SchematicStrand& strand = side_.strands[column.strand];
        const double x = x_of(column);
        const double direction = column.turned ? -1 : 1;
        const bool live = is_live(strand);
        double here = end_height(column, strand.from, live);
        std::string node = strand.from;
        for (std::size_t k = 0; k < strand.parts.size(); ++k) {
            const SchematicPart& part = strand.parts[k];
            const double y = column.y[k];
            wire({x, here}, {x, y - direction * h}, node, live);
            lead_spots_.try_emplace(part.name, Point{x, y - direction * h});
            draw_part(part, column, y);
            part_spots_[part.name].push_back({x, y + direction * h});
            if (k + 1 < strand.parts.size()) joints_.insert(part.name);
            if (part.control_node) draw_control(part, x, y, live);
            here = y + direction * h;
            node = fmt::format("{}#{}", column.strand, k);
        }
        wire({x, here}, {x, end_height(column, strand.to, live)}, strand.to, live);
    }

    static bool is_live(const SchematicStrand& strand) {
        return !strand.parts.empty() && std::ranges::any_of(strand.parts, &SchematicPart::live);
    }

    // The end of a column: at a node's tie, or at a sign of the return.
    double end_height(const layout::Column& column, const std::string& node, bool live) {
        if (node != "return") {
            touched_[node].push_back({x_of(column), live});
            return layout_.row.at(node);
        }
        const double y = layout::sign_height(side_, layout_, column);
        draw_return({x_of(column), y}, column.text_left ? Anchor::end : Anchor::start);
        return y;
    }

    // Either side has a sign of its own, so that nobody takes the two for one.
    void draw_return(Point at, Anchor anchor) {
        switch (which_) {
            case Side::input:
                picture_.path(fmt::format("M{:.1f} {:.1f}h20l-10 11Z", at.x - 10, at.y), "body");
                picture_.line({{at.x - 10, at.y}, {at.x + 10, at.y}}, "ink");
                break;
            case Side::output:
                picture_.line({{at.x - 11, at.y}, {at.x + 11, at.y}}, "heavy");
                break;
        }
        node_spots_["return"].push_back(at);
        bottom_ = std::max(bottom_, at.y + 14);
        if (return_named_) return;
        return_named_ = true;
        picture_.text({anchor == Anchor::end ? at.x + 11 : at.x - 11, at.y + 26},
                      which_ == Side::input ? "return, input" : "return, output", "small", anchor,
                      note_size);
        bottom_ = std::max(bottom_, at.y + 30);
    }

    void draw_part(const SchematicPart& part, const layout::Column& column, double y) {
        std::string css = "part";
        if (part.to_choose) css += " to-choose";
        if (part.live) css += " live";
        if (part.active) css += part.symbol == Symbol::led ? " shining" : " active";
        if (part.shine != Shine::dark) css += " shining";
        std::string data = fmt::format("data-part=\"{}\"", xml_escaped(part.name));
        if (!part.range.empty()) data += fmt::format(" data-range=\"{}\"", xml_escaped(part.range));
        if (!part.press.empty()) data += fmt::format(" data-press=\"{}\"", xml_escaped(part.press));
        // A page lets its reader point at the part: symbol and words together.
        picture_.begin_group(css, data);
        draw_symbol(picture_, part.symbol,
                    {.centre = {x_of(column), y},
                     .turned = column.turned,
                     .closed = part.closed,
                     .base = part.control_node.has_value(),
                     .rays = !part.at_gap},
                    part.name);
        label_part(part, column, y);
        picture_.end_group();
        bottom_ = std::max(bottom_, y + h);
    }

    void label_part(const SchematicPart& part, const layout::Column& column, double y) {
        const Anchor anchor = column.text_left ? Anchor::end : Anchor::start;
        const double x = column.text_x + dx_;
        const auto lines = static_cast<double>(part.notes.size());
        // The name of a packaged gap stands once, at its light, where its halves are level.
        const bool named =
            part.body.empty() || std::ranges::none_of(lights_, [&](const layout::Light& light) {
                return light.name == part.name && light.level();
            });
        double baseline = y - (named ? lines : lines + 1) * note_pitch / 2 + 4;
        if (named) picture_.text({x, baseline}, part.name, "name", anchor, name_size);
        for (const auto& note : part.notes) {
            baseline += note_pitch;
            picture_.text({x, baseline}, note, "small", anchor, note_size);
        }
    }

    // The lead of a base or gate: left out of the symbol, then up or down to its node's tie.
    void draw_control(const SchematicPart& part, double x, double y, bool live) {
        const double left = layout::part_width(part).left;
        const double out = x - left - 10;
        wire({x - left, y}, {out, y}, *part.control_node, live);
        const double row = layout_.row.at(*part.control_node);
        if (*part.control_node == "return") {
            wire({out, y}, {out, y + h}, *part.control_node, live);
            draw_return({out, y + h}, Anchor::start);
            return;
        }
        wire({out, y}, {out, row}, *part.control_node, live);
        touched_[*part.control_node].push_back({out, live});
    }

    void draw_tie(const std::string& node, double y) {
        auto found = touched_.find(node);
        if (found == touched_.end()) return;
        auto& touches = found->second;
        std::ranges::sort(touches, {}, &Touch::x);
        const double first = touches.front().x;
        const double last = touches.back().x;
        if (node == "supply") {
            constexpr double reach = 16;
            picture_.line({{first - reach, y}, {last + reach, y}}, "rail");
        }
        for (const Touch& touch : touches) node_spots_[node].push_back({touch.x, y});
        if (first < last) wire({first, y}, {last, y}, node, false);
        draw_flow(touches, node, y);
        if (node == "supply") return;
        // Three leads or more at one point are joined by a dot.
        for (const Touch& touch : touches) {
            const bool inner = touch.x > first && touch.x < last;
            const auto here = std::ranges::count_if(
                touches, [&](const Touch& other) { return std::abs(other.x - touch.x) < 0.5; });
            if (inner || here > 1) picture_.circle({touch.x, y}, 3, "dot");
        }
    }

    // Heavier from the first to the last lead that carries current.
    void draw_flow(const std::vector<Touch>& touches, const std::string& node, double y) {
        const auto first = std::ranges::find_if(touches, &Touch::live);
        const auto last = std::find_if(touches.rbegin(), touches.rend(),
                                       [](const Touch& touch) { return touch.live; });
        if (first == touches.end() || first->x >= last->x) return;
        wire({first->x, y}, {last->x, y}, node, true);
    }

    void label_supply() {
        const auto supply = touched_.find("supply");
        if (supply == touched_.end()) return;
        const auto at_gap = [](const layout::Column& column) { return column.text_left; };
        const bool left =
            supply->second.size() == 1 && std::ranges::any_of(layout_.columns, at_gap);
        const double x = supply->second.front().x + (left ? 16 : -16);
        picture_.text(
            {x, layout_.top - 9},
            (which_ == Side::input ? "input supply " : "output supply ") + side_.supply_note,
            "small", left ? Anchor::end : Anchor::start, note_size);
    }

    // At the tie, beside the leftmost column that ends there.
    void label_node(const SchematicNode& node) {
        const auto row = layout_.row.find(node.name);
        if (row == layout_.row.end()) return;
        const auto ends_there = [&](const layout::Column& column) {
            const auto& strand = side_.strands[column.strand];
            return strand.from == node.name || strand.to == node.name;
        };
        const auto column = std::ranges::find_if(layout_.columns, ends_there);
        if (column == layout_.columns.end()) return;
        const Anchor anchor = column->text_left ? Anchor::end : Anchor::start;
        const double x = column->text_left ? column->text_x + dx_ : x_of(*column) + 6;
        picture_.text({x, row->second - 6},
                      node.note.empty() ? node.name : node.name + "  " + node.note, "small", anchor,
                      note_size);
        if (node.band.empty()) return;
        picture_.text({x, row->second + 15}, node.band, "small", anchor, note_size);
    }

    Picture& picture_;
    Side which_;
    const SchematicSide& side_;
    const layout::SideLayout& layout_;
    double dx_;
    const std::vector<layout::Light>& lights_;
    double bottom_ = 0;
    bool return_named_ = false;
    std::map<std::string, std::vector<Touch>> touched_;  // every lead at a node
    std::map<std::string, std::vector<Point>> node_spots_;
    std::map<std::string, std::vector<Point>> part_spots_;  // below each part
    std::map<std::string, Point> lead_spots_;               // above each part
    std::set<std::string> joints_;  // parts that another follows without a node's name
};

// An ammeter in a lead that is opened.
void draw_ammeter(Picture& picture, Point at) {
    picture.begin_group("probe");
    picture.circle(at, 12, "body");
    picture.text({at.x, at.y + 5}, "A", "name", Anchor::middle, name_size);
    picture.text({at.x - 16, at.y - 3}, "red", "small over", Anchor::end, note_size);
    picture.text({at.x - 16, at.y + 14}, "black", "small over", Anchor::end, note_size);
    picture.end_group();
}

// Every node of a side, clipped together.
void draw_rings(Picture& picture, const SideDrawer& side, bool red) {
    picture.begin_group(red ? "probe rings red" : "probe rings black");
    for (const Point& at : side.every_node()) picture.circle(at, 6, "ring");
    picture.end_group();
}

// The two of all that could be taken that lie nearest to each other: both leads in one look.
std::pair<Point, Point> nearest(const std::vector<Point>& red, const std::vector<Point>& black) {
    std::pair<Point, Point> best{red.front(), black.front()};
    const auto apart = [](Point a, Point b) { return std::hypot(a.x - b.x, a.y - b.y); };
    for (const Point& r : red) {
        for (const Point& b : black) {
            if (apart(r, b) < apart(best.first, best.second)) best = {r, b};
        }
    }
    return best;
}

void draw_meter(Picture& picture, const SchematicMeter& meter, const SideDrawer& input,
                const SideDrawer& output) {
    const auto side = [&](bool on_output) -> const SideDrawer& {
        return on_output ? output : input;
    };
    if (meter.in_lead) {
        if (const auto at = side(meter.on_output).in_lead(meter.part)) draw_ammeter(picture, *at);
        return;
    }
    if (!meter.red || !meter.black) return;
    const auto red = side(meter.red->on_output).spots(*meter.red);
    const auto black = side(meter.black->on_output).spots(*meter.black);
    if (red.empty() || black.empty()) return;
    const auto [first, second] = nearest(red, black);
    for (const auto& [lead, is_red] :
         {std::pair(&*meter.red, true), std::pair(&*meter.black, false)}) {
        if (lead->all_nodes) draw_rings(picture, side(lead->on_output), is_red);
    }
    draw_probe(picture, {first, {-36, 20}, true, "red"});
    draw_probe(picture, {second, {36, 20}, false, "black"});
}

}  // namespace

SchematicInput without_words(SchematicInput input) {
    input.words = false;
    input.gap_measure.clear();
    for (SchematicSide* side : {&input.input, &input.output}) {
        side->supply_note.clear();
        side->nodes.clear();
        side->wordless = true;
        for (auto& strand : side->strands) {
            for (auto& part : strand.parts) {
                part.notes.clear();
                part.body = part.body.empty() ? "" : " ";
            }
        }
    }
    return input;
}

Picture draw_schematic(const SchematicInput& input) {
    Picture picture(input.title, input.description);
    if (!input.words) picture.mute();
    if (input.meter) picture.begin_group("aside");
    auto left = layout::lay_out(input.input, true);
    auto right = layout::lay_out(input.output, false);
    layout::level_gaps(input.input, left, input.output, right);
    const double shift = layout::output_shift(input, left, right);
    const auto lights = layout::lights_of(input, left, right, shift);
    for (const auto& light : lights) layout::draw_light(picture, light);
    SideDrawer input_side(picture, Side::input, input.input, left, 0, lights);
    input_side.draw();
    SideDrawer output_side(picture, Side::output, input.output, right, shift, lights);
    output_side.draw();
    layout::draw_strip(picture, (left.right + right.left + shift) / 2,
                       std::max(input_side.bottom(), output_side.bottom()), input.gap_measure);
    for (const auto& light : lights) layout::draw_body(picture, light);
    if (!input.meter) return picture;
    picture.end_group();
    draw_meter(picture, *input.meter, input_side, output_side);
    return picture;
}

}  // namespace gapwright
