#include "waveform/schedule.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <optional>
#include <span>
#include <utility>
#include <variant>
#include <vector>
#include "circuit/index.hpp"
#include "circuit/network.hpp"
#include "circuit/operating_point.hpp"
#include "circuit/prepared.hpp"

namespace gapwright::waveforms {
namespace {

constexpr double forever = std::numeric_limits<double>::infinity();

bool same(const std::optional<Slot>& a, const std::optional<Slot>& b) {
    return a == b;
}

// Whether an element has other figures in another state. Only sources, resistances and leaks do.
bool differs(const Element& a, const Element& b) {
    if (const auto* x = std::get_if<Branch>(&a)) {
        const auto& y = std::get<Branch>(b);
        return !same(x->voltage, y.voltage) || !same(x->resistance, y.resistance);
    }
    if (const auto* x = std::get_if<LeakageElement>(&a)) {
        return x->current != std::get<LeakageElement>(b).current;
    }
    return false;
}

double between(double a, double b, double share) {
    return a + (b - a) * share;
}

// Less resistance or, of a contact's leak, less current: it closes.
bool closes(const prepared::Element& from, const prepared::Element& to) {
    if (const auto* a = std::get_if<prepared::Source>(&from)) {
        return std::get<prepared::Source>(to).resistance < a->resistance;
    }
    return std::get<prepared::Leak>(to).current <= std::get<prepared::Leak>(from).current;
}

// Lays piece after piece.
class PieceLayer {
  public:
    explicit PieceLayer(const prepared::Element& start) {
        pieces_.push_back({0, forever, start, start, false});
    }

    void jump(double at, const prepared::Element& to) {
        cut(at);
        pieces_.push_back({at, forever, to, to, false});
    }
    void ramp(double at, double length, const prepared::Element& to) {
        const auto piece = std::ranges::find_if(pieces_, [&](const Piece& p) { return p.to > at; });
        const prepared::Element from = piece->at(at);
        cut(at);
        pieces_.push_back({at, at + length, from, to, true});
        pieces_.push_back({at + length, forever, to, to, false});
    }
    std::vector<Piece> take() { return std::move(pieces_); }

  private:
    // What was to come from `at` on is not to come.
    void cut(double at) {
        while (pieces_.size() > 1 && pieces_.back().from >= at) pieces_.pop_back();
        Piece& last = pieces_.back();
        if (last.moving) last.end = last.at(at);
        last.to = at;
        if (last.from == last.to) pieces_.pop_back();
    }

    std::vector<Piece> pieces_;
};

const Passage* passage_of(const Dynamics& dynamics, std::size_t element) {
    for (const auto& passage : dynamics.passages) {
        if (to_index(passage.element) == element) return &passage;
    }
    return nullptr;
}

// By state: each side's elements with the specimen's figures.
using PreparedStates = std::vector<std::vector<prepared::Element>>;

std::vector<Piece> pieces_of(const PreparedStates& states, std::size_t element,
                             const Passage* passage, std::span<const double> values,
                             const Schedule& schedule) {
    std::size_t state = to_index(schedule.from);
    PieceLayer layer(states[state][element]);
    for (const auto& change : schedule.changes) {
        const auto& old = states[state][element];
        state = to_index(change.to);
        const auto& next = states[state][element];
        const double time = passage ? values[to_index(passage->time)] : 0;
        if (time <= 0) {
            layer.jump(change.at, next);
        } else if (passage->kind == Passage::Kind::edge) {
            layer.ramp(change.at, time, next);
        } else {
            layer.jump(change.at, next);
            if (!closes(old, next)) continue;
            for (const auto& [opens, shuts] : bounce_openings) {
                layer.jump(change.at + opens * time, old);
                layer.jump(change.at + shuts * time, next);
            }
        }
    }
    return layer.take();
}

// The supply is the first element of each side.
std::vector<Piece> dipped(const prepared::Element& supply, const Schedule& schedule, Side side) {
    PieceLayer layer(supply);
    for (const auto& dip : schedule.dips) {
        if (dip.side != side) continue;
        auto low = std::get<prepared::Source>(supply);
        low.voltage *= 1 - dip.share;
        layer.jump(dip.at, low);
        layer.jump(dip.at + dip.length, supply);
    }
    return layer.take();
}

}  // namespace

prepared::Element Piece::at(double time) const {
    if (!moving) return start;
    const double share = std::clamp((time - from) / (to - from), 0.0, 1.0);
    prepared::Element now = start;
    if (auto* source = std::get_if<prepared::Source>(&now)) {
        const auto& goal = std::get<prepared::Source>(end);
        source->voltage = between(source->voltage, goal.voltage, share);
        source->resistance = between(source->resistance, goal.resistance, share);
    } else if (auto* leak = std::get_if<prepared::Leak>(&now)) {
        leak->current = between(leak->current, std::get<prepared::Leak>(end).current, share);
    }
    return now;
}

const Piece& Mover::piece_at(double time) const {
    const auto after = std::ranges::find_if(pieces, [&](const Piece& p) { return p.to > time; });
    return after == pieces.end() ? pieces.back() : *after;
}

std::vector<Mover> movers_of(const Circuit& circuit, std::span<const double> values,
                             const Conditions& conditions, const Schedule& schedule) {
    const GapLight dark(circuit.gaps.size(), 0.0);
    std::vector<Mover> movers;
    for (const Side side : {Side::input, Side::output}) {
        PreparedStates states;
        for (const auto& state : circuit.states) {
            states.push_back(prepared::prepare(state.side(side), values, conditions, dark));
        }
        const auto& first = circuit.states.front().side(side).elements;
        for (std::size_t k = 0; k < first.size(); ++k) {
            const auto other = [&](const StateNetworks& state) {
                return differs(first[k], state.side(side).elements[k]);
            };
            const auto index = static_cast<ElementIndex>(k);
            if (std::ranges::any_of(circuit.states, other)) {
                movers.push_back({side, index,
                                  pieces_of(states, k, passage_of(circuit.dynamics(side), k),
                                            values, schedule)});
            } else if (k == 0 && std::ranges::any_of(schedule.dips, [&](const Dip& dip) {
                           return dip.side == side;
                       })) {
                movers.push_back({side, index, dipped(states.front()[0], schedule, side)});
            }
        }
    }
    return movers;
}

std::vector<double> breaks_of(const std::vector<Mover>& movers, const Schedule& schedule) {
    std::vector<double> breaks{0.0};
    for (const auto& mover : movers) {
        for (const auto& piece : mover.pieces) breaks.push_back(piece.from);
    }
    for (const auto& change : schedule.changes) breaks.push_back(change.at);
    for (const auto& surge : schedule.surges) {
        breaks.push_back(surge.at);
        breaks.push_back(surge.at + surge.length);
    }
    std::ranges::sort(breaks);
    // Instants that differ by rounding alone are one.
    const auto rest = std::ranges::unique(
        breaks, [](double a, double b) { return b - a <= 1e-12 * std::abs(b); });
    breaks.erase(rest.begin(), rest.end());
    return breaks;
}

}  // namespace gapwright::waveforms
