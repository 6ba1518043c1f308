#include "circuit/mean_value.hpp"
#include <algorithm>
#include <cstddef>
#include <span>
#include <utility>
#include <vector>

#include "circuit/affine.hpp"
#include "circuit/element_laws.hpp"
#include "circuit/gap_laws.hpp"
#include "circuit/index.hpp"
#include "circuit/network.hpp"
#include "circuit/ranged.hpp"
#include "device/interval.hpp"
#include "device/secant.hpp"

namespace gapwright {
namespace {

using One = Secant<1>;

// A specimen's figures as constants of a number type.
template <class Real>
struct FiguresAs {
    const Ranged& ranged;
    Real operator()(Slot slot) const { return Real(ranged.figures[to_index(slot)]); }
};

template <class Real>
ConditionsOf<Real> around_as(const Conditions& c) {
    return {Real(Interval(c.temperature)), Real(Interval(c.light)), Real(Interval(c.age))};
}

// A quantity of which the value at the arguments' middles is known, and everything that it may be.
Affine begin(const Interval& at_middle) {
    const double middle = at_middle.middle();
    return {.centre = middle, .rest = at_middle - Interval(middle)};
}

constexpr int pieces = 8;  // of an argument's range: slopes are looked at in each alone

// Adds what an argument does; `law` gives the quantity as a Secant of it.
template <class Law>
void add_argument(Affine& sum, const Affine& argument, const Interval& range, const Law& law) {
    const auto slope_to = [&](const Interval& there) {
        return law(One::variable(argument.centre, there, 0)).slope[0];
    };
    const Interval chosen(slope_to(argument.centre).middle());
    const auto beyond = [&](const Interval& there) {
        return (slope_to(there) - chosen) * (there - argument.centre);
    };
    const double step = range.width() / pieces;
    Interval most = beyond(range.lower());
    for (int k = 0; k < pieces; ++k) {
        const double from = std::min(range.lower() + k * step, range.upper());
        const double to = k + 1 == pieces ? range.upper()
                                          : std::min(range.lower() + (k + 1) * step, range.upper());
        most = hull(most, beyond({std::min(from, to), to}));
    }
    sum.add_deviation(chosen, argument);
    sum.rest = sum.rest + most;
}

// What is tighter: the mean value, or plain bounds (a law may have no slope at an end).
Affine better(Affine mean_value, const Interval& bounds, std::span<const Interval> causes) {
    const Interval range = mean_value.range(causes);
    if (range.bounded() && !(range.width() > bounds.width())) return mean_value;
    return begin(bounds);
}

}  // namespace

Affine lit_resistance(const LightResistorElement& element, const Ranged& ranged,
                      const Affine& illuminance) {
    const auto& causes = ranged.causes;
    const FiguresAs<Interval> plain{ranged};
    const Interval range = maximum(illuminance.range(causes), 0.0);
    Affine result = begin(resistance_at(element, plain, illuminance.centre));
    add_argument(result, illuminance, range, [&](const One& light) {
        return resistance_at(element, FiguresAs<One>{ranged}, light);
    });
    return better(std::move(result), resistance_at(element, plain, range), causes);
}

Affine gap_light(const Gap& gap, const Ranged& ranged, const Conditions& conditions,
                 std::span<const Affine> emitter_currents, std::size_t state,
                 std::span<const double> shares) {
    const auto& causes = ranged.causes;
    const std::size_t states = emitter_currents.size();
    std::vector<Interval> centres;
    std::vector<Interval> ranges;
    for (const Affine& current : emitter_currents) {
        centres.push_back(current.centre);
        ranges.push_back(current.range(causes));
    }
    // The light with its emitter's current in each state.
    const auto light = [&]<class Real>(const auto& current, const Real& now) {
        const FiguresAs<Real> figures{ranged};
        const auto around = around_as<Real>(conditions);
        return light_of_life(gap, figures, around, now,
                             life_at(gap, figures, around, shares, states, current));
    };
    const auto plain = [&](const std::vector<Interval>& at) {
        return light([&](std::size_t s) { return at[s]; }, at[state]);
    };
    Affine result = begin(plain(centres));
    // From the centres to anywhere in the ranges, one state's current after the other.
    std::vector<Interval> others = centres;
    for (std::size_t k = 0; k < states; ++k) {
        if (k != state && !gap.life) continue;
        add_argument(result, emitter_currents[k], ranges[k], [&](const One& moved) {
            const auto current = [&](std::size_t s) { return s == k ? moved : One(others[s]); };
            return light(current, current(state));
        });
        others[k] = ranges[k];
    }
    return better(std::move(result), plain(ranges), causes);
}

}  // namespace gapwright
