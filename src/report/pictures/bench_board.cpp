#include "report/pictures/bench_board.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "bench/meter/measurement.hpp"
#include "board/board.hpp"
#include "board/plan.hpp"
#include "board/wiring.hpp"
#include "build/steps.hpp"
#include "card/part_kind.hpp"
#include "circuit/index.hpp"
#include "draw/board_picture.hpp"
#include "link/link.hpp"
#include "report/bench_report.hpp"
#include "report/pictures/board_bands.hpp"
#include "report/words/bench_words.hpp"

namespace gapwright {
namespace {

// What the places on the board are told from.
struct Bench {
    const Link& link;
    const Wiring& wiring;
    const Plan& plan;
    NodeHoles holes;

    // Those that the words name: the first two.
    std::vector<Hole> holes_at(Side side, Node node) const {
        constexpr std::size_t named = 2;
        std::vector<Hole> result;
        const auto found = holes.find({side, node});
        if (found == holes.end()) return result;
        for (const std::string& name : found->second) {
            if (result.size() == named) break;
            result.push_back(*hole_named(plan.board, name));
        }
        return result;
    }
    // One of each node of a side.
    std::vector<Hole> one_of_each(Side side) const {
        std::vector<Hole> result;
        for (const auto& [at, names] : holes) {
            if (at.first == side) result.push_back(*hole_named(plan.board, names.front()));
        }
        return result;
    }
};

// A pin of the wiring and its hole.
struct Leg {
    std::size_t part = 0;
    Hole hole;
};

// Where a part of the link, or a side's supply where none is given, meets a node.
std::optional<Leg> leg_at(const Bench& bench, std::optional<std::size_t> part, Side side,
                          Node node) {
    const std::size_t first = side == Side::input ? 0 : bench.link.input.node_names.size();
    const std::size_t wanted = first + to_index(node);
    const Part* of = part ? &bench.link.parts[*part] : nullptr;
    for (std::size_t k = 0; k < bench.wiring.parts.size(); ++k) {
        const WiringPart& stands = bench.wiring.parts[k];
        if (part_behind(bench.link, stands) != of) continue;
        for (std::size_t p = 0; p < stands.pins.size(); ++p) {
            if (stands.pins[p].node != wanted || side_of_pin(stands, p) != side) continue;
            return Leg{k, bench.plan.holes[k][p]};
        }
    }
    return std::nullopt;
}

// Of all places for both leads the two that lie nearest to each other: both in one look.
void hold_near(std::optional<BoardProbe>& a, const std::vector<Hole>& places_a,
               std::optional<BoardProbe>& b, const std::vector<Hole>& places_b) {
    if (!places_a.empty()) a = BoardProbe{.hole = places_a.front()};
    if (!places_b.empty()) b = BoardProbe{.hole = places_b.front()};
    if (!a || !b) return;
    const auto apart = [](Hole x, Hole y) {
        return std::hypot(x.column - y.column, x.row - y.row);
    };
    for (const Hole x : places_a) {
        for (const Hole y : places_b) {
            if (apart(x, y) >= apart(a->hole, b->hole)) continue;
            a->hole = x;
            b->hole = y;
        }
    }
}

BoardMeter meter_in_lead(const Bench& bench, const Measurement& m) {
    BoardMeter meter;
    if (!m.part) {
        const auto leg = leg_at(bench, {}, m.side, m.plus);
        if (leg) meter.in_lead = leg->hole;
        meter.red_at_board = false;  // from the supply into the board
        return meter;
    }
    const Part& part = bench.link.parts[*m.part];
    const Placement& placement = *part.on(m.side);
    const bool driven = part.description.kind == Kind::logic_output;
    const auto leg = leg_at(bench, m.part, m.side, driven ? placement.to : placement.from);
    if (!leg) return meter;
    if (!stands_on_board(bench.wiring.parts[leg->part])) {
        meter.in_lead = leg->hole;
        meter.red_at_board = !driven;
        return meter;
    }
    meter.red = BoardProbe{.hole = leg->hole};
    meter.black = BoardProbe{.hole = leg->hole, .lifted = leg->part};
    return meter;
}

BoardMeter meter_across_gap(const Bench& bench, const Measurement& m) {
    BoardMeter meter;
    const auto input =
        m.all_input ? bench.one_of_each(Side::input) : bench.holes_at(Side::input, m.plus);
    const auto output =
        m.all_output ? bench.one_of_each(Side::output) : bench.holes_at(Side::output, m.minus);
    hold_near(meter.red, input, meter.black, output);
    if (meter.red && m.all_input) meter.red->clipped_together = input;
    if (meter.black && m.all_output) meter.black->clipped_together = output;
    if (m.reversed) std::swap(meter.red, meter.black);
    return meter;
}

BoardMeter meter_on(const Bench& bench, const Measurement& m) {
    if (m.kind == MeasurementKind::current) return meter_in_lead(bench, m);
    if (crosses_gap(m)) return meter_across_gap(bench, m);
    BoardMeter meter;
    std::vector<Hole> red = bench.holes_at(m.side, m.plus);
    std::vector<Hole> black = bench.holes_at(m.side, m.minus);
    std::optional<Leg> leg;
    bool red_lifted = false;
    if (m.lifted) {
        const Node from = bench.link.parts[*m.lifted].on(m.side)->from;
        leg = leg_at(bench, m.lifted, m.side, from);
        red_lifted = from == m.plus;
    }
    if (leg) (red_lifted ? red : black) = {leg->hole};
    hold_near(meter.red, red, meter.black, black);
    if (leg) (red_lifted ? meter.red : meter.black)->lifted = leg->part;
    return meter;
}

// What is said beside a part while the reading is taken.
std::string note_on(const Bench& bench, const WiringPart& stands, const Measurement& m) {
    const Part* part = part_behind(bench.link, stands);
    if (!part) return supply_setting(m);
    const auto number = static_cast<std::size_t>(part - bench.link.parts.data());
    return m.off == number ? "a lead off" : part_setting(bench.link, m, number);
}

std::string off_board_words(const BoardMeter& meter) {
    if (meter.in_lead || (meter.red && meter.black)) return {};
    return fmt::format("The {} lead is held off the board.", meter.red ? "black" : "red");
}

}  // namespace

std::optional<MeterOnBoard> meter_on_board(const Link& link, const Wiring& wiring, const Plan& plan,
                                           const Measurement& measurement,
                                           const std::vector<std::size_t>& suspects) {
    const Bench bench{link, wiring, plan, node_holes_of(link, wiring, plan)};
    const BoardMeter meter = meter_on(bench, measurement);
    if (!meter.red && !meter.black && !meter.in_lead) return std::nullopt;
    BoardView view{.title = fmt::format("{}: {}", link.title, measurement.measure),
                   .description =
                       "The board from above with the meter's leads in their holes; "
                       "parts under suspicion in dashed frames",
                   .bands = bands_on(link, wiring),
                   .meter = meter};
    for (std::size_t k = 0; k < wiring.parts.size(); ++k) {
        const Part* part = part_behind(link, wiring.parts[k]);
        view.notes.push_back(note_on(bench, wiring.parts[k], measurement));
        if (std::ranges::any_of(suspects, [&](std::size_t s) { return part == &link.parts[s]; })) {
            view.suspects.push_back(k);
        }
    }
    return MeterOnBoard{board_picture(wiring, plan, view), off_board_words(meter)};
}

}  // namespace gapwright
