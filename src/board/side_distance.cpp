#include "board/side_distance.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <vector>
#include "board/board.hpp"
#include "board/plan.hpp"
#include "board/wiring.hpp"
#include "circuit/index.hpp"

namespace gapwright {
namespace {

// Metal about a straight run from hole to hole.
struct Conductor {
    Hole from;
    Hole to;
    double half_width = 0;  // m
};

struct Place {
    double x = 0;
    double y = 0;
};

Place place(Hole hole) {
    return {hole.column * hole_pitch, hole.row * hole_pitch};
}

double from_point_to_run(Place p, Place a, Place b) {
    const double dx = b.x - a.x;
    const double dy = b.y - a.y;
    const double length2 = dx * dx + dy * dy;
    const double t =
        length2 > 0 ? std::clamp(((p.x - a.x) * dx + (p.y - a.y) * dy) / length2, 0.0, 1.0) : 0.0;
    return std::hypot(p.x - a.x - t * dx, p.y - a.y - t * dy);
}

// Runs of different sides never cross, so that an end of one is nearest to the other.
SideDistance between(const Conductor& a, const Conductor& b) {
    SideDistance nearest{.metres = 1e9, .input = {}, .output = {}};
    const auto take = [&](double metres, Hole input, Hole output) {
        if (metres < nearest.metres) nearest = {metres, input, output};
    };
    const auto nearer = [](Hole to, const Conductor& of) {
        const auto far = [&](Hole h) { return std::hypot(h.column - to.column, h.row - to.row); };
        return far(of.from) <= far(of.to) ? of.from : of.to;
    };
    for (const Hole end : {a.from, a.to}) {
        take(from_point_to_run(place(end), place(b.from), place(b.to)), end, nearer(end, b));
    }
    for (const Hole end : {b.from, b.to}) {
        take(from_point_to_run(place(end), place(a.from), place(a.to)), nearer(end, a), end);
    }
    nearest.metres -= a.half_width + b.half_width;
    return nearest;
}

std::vector<Conductor> metal_of(const Plan& plan, Side side) {
    std::vector<Conductor> metal;
    const Board& board = plan.board;
    if (board.kind == BoardKind::grid) return metal;
    const double half = board.kind == BoardKind::strip ? strip_half_width : clip_half_width;
    for (int row = 0; row < board.rows; ++row) {
        // The end of each row next to the gap is what counts.
        Hole inner{side == Side::input ? board.gap_left : board.gap_right, row};
        const int outward = side == Side::input ? -1 : 1;
        const auto is_cut = [&](Hole hole) {
            return std::ranges::find(plan.cuts, hole) != plan.cuts.end();
        };
        // A strip reaches on into the gap up to its first cut, and there to the cutter's edge.
        if (board.kind == BoardKind::strip) {
            while (!is_cut({inner.column - outward, row}) && inner.column > 0 &&
                   inner.column < board.columns - 1) {
                inner.column -= outward;
            }
        }
        const Hole outer{inner.column + outward, row};
        const double reach = board.kind == BoardKind::strip ? hole_pitch - cut_radius : half;
        metal.push_back({inner, has_hole(board, outer) ? outer : inner, reach});
    }
    return metal;
}

std::vector<Conductor> conductors_of(const Wiring& wiring, const Plan& plan, Side side) {
    std::vector<Conductor> all = metal_of(plan, side);
    for (std::size_t k = 0; k < wiring.parts.size(); ++k) {
        for (std::size_t p = 0; p < wiring.parts[k].pins.size(); ++p) {
            if (side_of_pin(wiring.parts[k], p) != side) continue;
            all.push_back({plan.holes[k][p], plan.holes[k][p], joint_radius});
        }
    }
    for (const auto& wire : plan.wires) {
        if (wiring.nodes[wire.node].side != side) continue;
        all.push_back({wire.from, wire.to, wire_radius});
        if (plan.board.kind == BoardKind::solderless) continue;  // its clips are metal enough
        for (const Hole end : {wire.from, wire.to}) all.push_back({end, end, joint_radius});
    }
    return all;
}

std::optional<SideDistance> nearest_of(const std::vector<Conductor>& input,
                                       const std::vector<Conductor>& output) {
    std::optional<SideDistance> nearest;
    for (const auto& a : input) {
        for (const auto& b : output) {
            const SideDistance here = between(a, b);
            if (!nearest || here.metres < nearest->metres) nearest = here;
        }
    }
    return nearest;
}

}  // namespace

std::optional<SideDistance> side_distance(const Wiring& wiring, const Plan& plan) {
    return nearest_of(conductors_of(wiring, plan, Side::input),
                      conductors_of(wiring, plan, Side::output));
}

std::optional<SideDistance> distance_under_coupler(const Wiring& wiring, const Plan& plan,
                                                   std::size_t part) {
    if (wiring.parts[part].footprint.body != Body::coupler) return std::nullopt;
    std::vector<Conductor> input;
    std::vector<Conductor> output;
    for (std::size_t p = 0; p < plan.holes[part].size(); ++p) {
        const Hole pin = plan.holes[part][p];
        const bool in = side_of_pin(wiring.parts[part], p) == Side::input;
        (in ? input : output).push_back({pin, pin, joint_radius});
    }
    return nearest_of(input, output);
}

}  // namespace gapwright
