// What is measured on a proven side.
#include <cstddef>
#include "circuit/affine.hpp"
#include "circuit/enclosed_side.hpp"
#include "circuit/index.hpp"
#include "circuit/probe.hpp"
#include "device/interval.hpp"

namespace gapwright {

// Σ of weight · current over one element's main and base current.
Affine EnclosedSide::current(std::size_t element, double main, double base) const {
    Affine result;
    const auto [is_row, place] = places_[element];
    if (is_row) {
        const auto k = static_cast<std::size_t>(rows_[place].unknown);
        result.centre = Interval(main) * Interval(middle_.unknowns[k]);
        result.add_deviation(main, deviations_[k]);
        return result;
    }
    const Device& d = devices_[place];
    for (std::size_t f = 0; f < d.flow_count; ++f) {
        const double weight = f == 0 ? main : base;
        if (weight == 0) continue;
        const Flow& flow = d.flows[f];
        result.centre = result.centre + Interval(weight) * Interval(flow.value);
        for (std::size_t c = 0; c < d.controls; ++c) {
            const auto k = static_cast<std::size_t>(unknowns_) + d.first_control + c;
            result.add_deviation(Interval(weight) * Interval(flow.slope[c]), deviations_[k]);
        }
        result.add_cause(flow.cause, weight);
        if (!d.light) continue;
        const Affine light{.centre = d.light->centre, .rest = {}, .slope = d.light->slope};
        result.add(weight, light);
        result.add_cause(d.light_cause, weight);
    }
    return result;
}

Affine EnclosedSide::main_current(std::size_t element) const {
    return current(element, 1, 0).with_causes(ranged_.causes.size(), causes_);
}

Affine EnclosedSide::port_current(const Port& port) const {
    Affine sum;
    for (const auto& term : port.current) {
        sum.add(1.0, current(to_index(term.element), term.main, term.base));
    }
    return sum;
}

Interval EnclosedSide::measure(const Probe& probe) const {
    Affine sum;
    Interval plain;  // a power's bounds from those of its factors
    for (const auto& port : probe.ports) {
        if (probe.kind == Probe::Kind::voltage) sum.add(1.0, difference(port.plus, port.minus));
        if (probe.kind == Probe::Kind::current) sum.add(1.0, port_current(port));
        if (probe.kind != Probe::Kind::power) continue;
        const Affine voltage = difference(port.plus, port.minus);
        const Affine current = port_current(port);
        sum.centre = sum.centre + voltage.centre * current.centre;
        sum.add_deviation(voltage.centre, current);
        sum.add_deviation(current.centre, voltage);
        sum.rest = sum.rest + voltage.deviation(causes_) * current.deviation(causes_);
        plain = plain + voltage.range(causes_) * current.range(causes_);
    }
    const Interval range = sum.range(causes_);
    return probe.kind == Probe::Kind::power ? common(range, plain) : range;
}

}  // namespace gapwright
