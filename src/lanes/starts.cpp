#include "lanes/starts.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <span>
#include <utility>
#include <variant>
#include <vector>

#include "circuit/assembly.hpp"
#include "circuit/index.hpp"
#include "circuit/link_point.hpp"
#include "circuit/network.hpp"
#include "circuit/operating_point.hpp"
#include "circuit/prepared.hpp"
#include "device/junction.hpp"
#include "lanes/plan.hpp"
#include "lanes/start_voltage.hpp"

namespace gapwright {
namespace {

constexpr double share_of_range = 0.25;  // how far a figure is moved, either way
constexpr double least_shift = 5e-4;     // V over half the range: less does not save a step
// Less is no conduction to start from: it runs out of the numbers' range on its way through a law.
constexpr double least_current = 1e-30;  // A

// A specimen moved in one figure.
struct Moved {
    std::vector<double> values;
    Conditions conditions;

    double& figure(std::size_t row) {
        if (row < values.size()) return values[row];
        const std::size_t condition = row - values.size();
        return condition == 0   ? conditions.temperature
               : condition == 1 ? conditions.light
                                : conditions.age;
    }
};

// The voltage from which a kernel would start a control of this element.
struct StartOf {
    const ControlStart& start;
    double current;

    double operator()(const prepared::Diode& e) const { return start_voltage(e.law, current); }
    double operator()(const prepared::Breakdown& e) const { return start_voltage(e.law, current); }
    double operator()(const prepared::Bipolar& e) const { return start_voltage(e.law, current); }
    template <class Other>
    double operator()(const Other&) const {
        return start.voltage;
    }
};

// By device and control: how far the solution lies from where a kernel would start.
using Shifts = std::vector<std::array<double, 2>>;

Shifts shifts_of(const SidePlan& side, const StatePlan& state, const Moved& moved,
                 const SidePoint& point, const GapLight& light) {
    const auto elements = prepared::prepare(*state.network, moved.values, moved.conditions, light);
    const auto size = static_cast<Eigen::Index>(point.unknowns.size());
    const auto controls =
        prepared::controls_at(elements, Eigen::VectorXd::Map(point.unknowns.data(), size));
    Shifts shifts;
    for (std::size_t d = 0; d < side.devices.size(); ++d) {
        const DevicePlan& device = side.devices[d];
        const double sample = device.gap ? state.nominal_light[*device.gap] : 0;
        const double share = sample > 0 ? light[*device.gap] / sample : 1;
        std::array<double, 2> shift{};
        for (std::size_t c = 0; c < device.controls; ++c) {
            const ControlStart& start = state.starts[d][c];
            const double from =
                start.current > 0
                    ? std::visit(StartOf{start, start.current * share}, elements[device.element])
                    : start.voltage;
            shift[c] = controls[device.element][c] - from;
        }
        shifts.push_back(shift);
    }
    return shifts;
}

void add_slopes(const FigureRange& range, double sample, double distance, const Shifts& low,
                const Shifts& high, StatePlan& state) {
    const double half_range = std::max(range.highest - sample, sample - range.lowest);
    for (std::size_t d = 0; d < low.size(); ++d) {
        for (std::size_t c = 0; c < 2; ++c) {
            const double slope = (high[d][c] - low[d][c]) / distance;
            if (!(std::abs(slope) * half_range >= least_shift) || !std::isfinite(slope)) continue;
            state.start_slopes.push_back({.device = static_cast<std::uint32_t>(d),
                                          .control = static_cast<std::uint32_t>(c),
                                          .figure = static_cast<std::uint32_t>(range.figure),
                                          .sample = sample,
                                          .slope = slope});
        }
    }
}

}  // namespace

std::array<ControlStart, 2> control_starts(const prepared::Element& element,
                                           const std::array<double, 2>& controls) {
    std::array<ControlStart, 2> starts = {ControlStart{controls[0], 0},
                                          ControlStart{controls[1], 0}};
    if (const auto* d = std::get_if<prepared::Diode>(&element)) {
        starts[0].current = junction_current(d->law, controls[0]);
    } else if (const auto* z = std::get_if<prepared::Breakdown>(&element)) {
        starts[0].current = breakdown_current(z->law, controls[0]);
    } else if (const auto* t = std::get_if<prepared::Bipolar>(&element)) {
        const JunctionAt<double> junction{t->law.transport_current, t->law.thermal_voltage};
        for (auto& start : starts) start.current = junction_current(junction, start.voltage);
    }
    for (auto& start : starts) {
        if (!(start.current >= least_current)) start.current = 0;
    }
    return starts;
}

void add_start_slopes(const Circuit& circuit, std::span<const double> values,
                      const Conditions& conditions, const std::vector<StatePoint>& points,
                      const std::vector<FigureRange>& ranges, LanePlan& plan) {
    const Moved sample{{values.begin(), values.end()}, conditions};
    for (const auto& range : ranges) {
        const double at = Moved(sample).figure(range.figure);
        std::array<Moved, 2> moved = {sample, sample};
        moved[0].figure(range.figure) = std::lerp(at, range.lowest, share_of_range);
        moved[1].figure(range.figure) = std::lerp(at, range.highest, share_of_range);
        const double distance = moved[1].figure(range.figure) - moved[0].figure(range.figure);
        std::array<std::vector<StatePoint>, 2> solved;
        bool settled = distance > 0;
        for (std::size_t k = 0; k < 2 && settled; ++k) {
            auto result = solve_link(circuit, moved[k].values, moved[k].conditions, &points);
            settled = result.has_value();
            if (settled) solved[k] = std::move(*result);
        }
        if (!settled) continue;
        for (std::size_t s = 0; s < plan.states(); ++s) {
            for (SidePlan* side : {&plan.input, &plan.output}) {
                const Side which = side == &plan.input ? Side::input : Side::output;
                std::array<Shifts, 2> shifts;
                for (std::size_t k = 0; k < 2; ++k) {
                    const GapLight light = which == Side::output ? solved[k][s].light : GapLight{};
                    shifts[k] = shifts_of(*side, side->states[s], moved[k],
                                          solved[k][s].side(which), light);
                }
                add_slopes(range, at, distance, shifts[0], shifts[1], side->states[s]);
            }
        }
    }
}

}  // namespace gapwright
