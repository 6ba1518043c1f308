#include "draw/board_picture.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "board/board.hpp"
#include "board/plan.hpp"
#include "board/wiring.hpp"
#include "circuit/index.hpp"
#include "draw/board_bodies.hpp"
#include "draw/labels.hpp"
#include "draw/picture.hpp"

namespace gapwright {
namespace {

constexpr double margin = 26;      // of the board around its holes, px
constexpr double lead_reach = 40;  // of a lead beyond the board
constexpr double number_size = 9;

class Drawing {
  public:
    Drawing(const Wiring& wiring, const Plan& plan, const BoardView& view)
        : wiring_(wiring),
          plan_(plan),
          view_(view),
          first_(std::max(0, view.first_row)),
          last_(std::min(plan.board.rows - 1, view.last_row)),
          picture_(view.title, view.description) {}

    Picture run() {
        ground();
        metal();
        holes();
        const bool grid = plan_.board.kind == BoardKind::grid;
        if (grid) wires();
        cuts();
        bodies();
        if (!grid) wires();
        leads();
        numbers();
        hole_names();
        return std::move(picture_);
    }

  private:
    double x(double column) const {
        return board_pitch * (view_.from_below ? plan_.board.columns - 1 - column : column);
    }
    double y(double row) const { return board_pitch * row; }
    Point at(Hole hole) const { return {x(hole.column), y(hole.row)}; }
    bool drawn(Hole hole) const { return hole.row >= first_ && hole.row <= last_; }

    Shown shown_part(std::size_t k) const {
        return view_.parts.empty() ? Shown::plain : view_.parts[k];
    }
    Shown shown_wire(std::size_t k) const {
        return view_.wires.empty() ? Shown::plain : view_.wires[k];
    }
    static std::string_view group(Shown shown) {
        return shown == Shown::faint ? "faint" : shown == Shown::now ? "now" : "plain";
    }

    void ground() {
        const double left = x(view_.from_below ? plan_.board.columns - 1 : 0) - margin;
        const double right = x(view_.from_below ? 0 : plan_.board.columns - 1) + margin;
        board_ = {left, y(first_) - margin, right, y(last_) + margin};
        if (first_ == 0 && last_ == plan_.board.rows - 1) {
            picture_.rectangle(board_, "board", 3);
        } else {  // a stretch of the board, which goes on above and below
            picture_.line({{board_.left, board_.top}, {board_.left, board_.bottom}}, "board");
            picture_.line({{board_.right, board_.top}, {board_.right, board_.bottom}}, "board");
            const bool from_top = first_ == 0;
            const bool to_bottom = last_ == plan_.board.rows - 1;
            picture_.line({{board_.left, board_.top}, {board_.right, board_.top}},
                          from_top ? "board" : "level");
            picture_.line({{board_.left, board_.bottom}, {board_.right, board_.bottom}},
                          to_bottom ? "board" : "level");
        }
        const double a = x(plan_.board.gap_left + 0.5);
        const double b = x(plan_.board.gap_right - 0.5);
        const Box gap{std::min(a, b), board_.top, std::max(a, b), board_.bottom};
        picture_.rectangle(gap, "gap");
        std::string hatch;
        constexpr double slope = 10;
        for (double down = gap.top; down + slope <= gap.bottom; down += slope) {
            hatch += fmt::format("M{:.1f},{:.1f}L{:.1f},{:.1f}", gap.left, down + slope, gap.right,
                                 down);
        }
        picture_.path(hatch, "gap");
        const Anchor middle = Anchor::middle;
        const bool below = view_.from_below;
        const double top = board_.top - 22;
        picture_.text({(board_.left + gap.left) / 2, top}, below ? "output side" : "input side",
                      "small", middle, 11);
        picture_.text({(gap.left + gap.right) / 2, top}, "gap", "small", middle, 11);
        picture_.text({(board_.right + gap.right) / 2, top}, below ? "input side" : "output side",
                      "small", middle, 11);
    }

    // What the board's own metal joins.
    void metal() {
        const Board& board = plan_.board;
        if (board.kind == BoardKind::grid) return;
        constexpr double half = 7;
        for (int row = first_; row <= last_; ++row) {
            std::optional<int> start;
            for (int column = 0; column <= board.columns; ++column) {
                const Hole hole{column, row};
                const bool joined = column < board.columns && has_hole(board, hole) &&
                                    rail_of(board, hole) == Rail::none &&
                                    std::ranges::find(plan_.cuts, hole) == plan_.cuts.end();
                if (joined && !start) start = column;
                if (joined || !start) continue;
                const double a = x(*start);
                const double b = x(column - 1);
                picture_.rectangle(
                    {std::min(a, b) - half, y(row) - half, std::max(a, b) + half, y(row) + half},
                    "metal", half);
                start.reset();
            }
        }
        for (int column = 0; column < board.columns; ++column) {
            const Rail rail = rail_of(board, {column, 0});
            if (rail == Rail::none) continue;
            picture_.rectangle(
                {x(column) - half, y(first_) - half, x(column) + half, y(last_) + half}, "metal",
                half);
            picture_.text({x(column), board_.top - 5}, rail == Rail::supply ? "+" : "−", "name",
                          Anchor::middle, 12);
        }
    }

    void holes() {
        std::string d;
        for (int row = first_; row <= last_; ++row) {
            for (int column = 0; column < plan_.board.columns; ++column) {
                if (!has_hole(plan_.board, {column, row})) continue;
                d += fmt::format("M{:.1f},{:.1f}m-2,0a2,2 0 1,0 4,0a2,2 0 1,0 -4,0", x(column),
                                 y(row));
            }
        }
        picture_.path(d, "hole");
    }

    // Column letters above, row numbers at both ends.
    void numbers() {
        const Board& board = plan_.board;
        for (int column = 0; column < board.columns; ++column) {
            const Hole hole{column, board.rows / 2};
            if (rail_of(board, hole) != Rail::none) continue;
            if (board.kind == BoardKind::solderless && !has_hole(board, hole)) continue;
            std::string name = hole_name(board, hole);
            name.resize(name.find_first_of("0123456789"));
            picture_.text({x(column), board_.top - 5}, name, "small", Anchor::middle, number_size);
        }
        for (int row = first_; row <= last_; ++row) {
            const std::string number = std::to_string(row + 1);
            picture_.text({board_.left + 3, y(row) + 3}, number, "small over", Anchor::start,
                          number_size);
            picture_.text({board_.right - 3, y(row) + 3}, number, "small over", Anchor::end,
                          number_size);
        }
    }

    void wires() {
        for (std::size_t k = 0; k < plan_.wires.size(); ++k) {
            const Shown shown = shown_wire(k);
            const PlanWire& wire = plan_.wires[k];
            if (shown == Shown::absent || !drawn(wire.from) || !drawn(wire.to)) continue;
            picture_.begin_group(group(shown));
            const bool under = plan_.board.kind == BoardKind::grid && !wire.insulated;
            const bool hidden = under != view_.from_below;
            picture_.line({at(wire.from), at(wire.to)}, hidden ? "link under" : "link");
            for (const Hole end : {wire.from, wire.to}) picture_.circle(at(end), 3.2, "solid");
            if (shown == Shown::now) to_name_.insert(to_name_.end(), {wire.from, wire.to});
            picture_.end_group();
        }
    }

    void cuts() {
        if (view_.cuts == Shown::absent) return;
        picture_.begin_group(group(view_.cuts));
        constexpr double r = 6;
        for (const Hole cut : plan_.cuts) {
            if (!drawn(cut)) continue;
            const Point p = at(cut);
            picture_.circle(p, r, "cut");
            picture_.line({{p.x - r * 0.7, p.y - r * 0.7}, {p.x + r * 0.7, p.y + r * 0.7}}, "cut");
            picture_.line({{p.x - r * 0.7, p.y + r * 0.7}, {p.x + r * 0.7, p.y - r * 0.7}}, "cut");
        }
        picture_.end_group();
    }

    void bodies() {
        for (std::size_t k = 0; k < wiring_.parts.size(); ++k) {
            const WiringPart& part = wiring_.parts[k];
            const auto& holes = plan_.holes[k];
            if (shown_part(k) == Shown::absent || part.footprint.body == Body::leads) continue;
            if (!std::ranges::all_of(holes, [&](Hole h) { return drawn(h); })) continue;
            std::vector<Point> pins;
            for (const Hole hole : holes) pins.push_back(at(hole));
            picture_.begin_group(group(shown_part(k)));
            if (view_.from_below) {
                draw_name_from_below(picture_, part, pins);
                for (const Point pin : pins) picture_.circle(pin, 4, "solid");
            } else {
                draw_body(picture_, part, pins);
            }
            if (shown_part(k) == Shown::now) {
                to_name_.insert(to_name_.end(), holes.begin(), holes.end());
            }
            picture_.end_group();
        }
    }

    // A lead leaves the board on its own row, on its side.
    void leads() {
        for (std::size_t k = 0; k < wiring_.parts.size(); ++k) {
            const WiringPart& part = wiring_.parts[k];
            if (part.footprint.body != Body::leads || shown_part(k) == Shown::absent) continue;
            picture_.begin_group(group(shown_part(k)));
            for (std::size_t p = 0; p < part.pins.size(); ++p) {
                const Hole hole = plan_.holes[k][p];
                if (!drawn(hole)) continue;
                const bool to_left = (part.side == Side::input) != view_.from_below;
                const Point from = at(hole);
                const Point to{to_left ? board_.left - lead_reach : board_.right + lead_reach,
                               from.y};
                picture_.circle(from, 4.5, "body");
                picture_.circle(from, 2, "solid");
                picture_.line({{from.x + (to_left ? -4.5 : 4.5), from.y}, to}, "lead");
                const Anchor anchor = to_left ? Anchor::end : Anchor::start;
                picture_.text({to.x + (to_left ? -5 : 5), to.y + 4}, lead_label(part, p), "name",
                              anchor, 12);
                if (shown_part(k) == Shown::now) to_name_.push_back(hole);
            }
            picture_.end_group();
        }
    }

    // "P1", "K1 (2)", "output supply −".
    static std::string lead_label(const WiringPart& part, std::size_t p) {
        const std::string& pin = part.pins[p].name;
        if (pin == "pin") return part.name;
        if (pin == "1" || pin == "2") return fmt::format("{} ({})", part.name, pin);
        return fmt::format("{} {}", part.name, pin == "-" ? "−" : pin);
    }

    // Holes of what is put in now, as near to each as there is room.
    void hole_names() {
        if (to_name_.empty()) return;
        std::ranges::sort(to_name_);
        const auto doubles = std::ranges::unique(to_name_);
        to_name_.erase(doubles.begin(), doubles.end());
        Labels labels(picture_, board_);
        for (const Box& box : picture_.text_boxes()) labels.keep_clear_of(box);
        for (const Box& box : picture_.symbol_boxes()) labels.keep_clear_of(box);
        for (const Hole hole : to_name_) {
            const Point p = at(hole);
            labels.keep_clear_of(Box{p.x - 4, p.y - 4, p.x + 4, p.y + 4});
        }
        for (const Hole hole : to_name_) labels.put(at(hole), hole_name(plan_.board, hole), "over");
    }

    const Wiring& wiring_;
    const Plan& plan_;
    const BoardView& view_;
    int first_;
    int last_;
    Picture picture_;
    Box board_;
    std::vector<Hole> to_name_;
};

}  // namespace

Picture board_picture(const Wiring& wiring, const Plan& plan, const BoardView& view) {
    return Drawing(wiring, plan, view).run();
}

}  // namespace gapwright
