#include "proof/curves.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "circuit/index.hpp"
#include "circuit/link_point.hpp"
#include "circuit/network.hpp"
#include "circuit/operating_point.hpp"
#include "circuit/probe.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "population/specimen.hpp"
#include "proof/promise_probe.hpp"
#include "proof/verdict.hpp"

namespace gapwright {
namespace {

constexpr int steps = 60;              // of a curve
constexpr double beyond_supply = 1.1;  // how far voltages run, in supplies

// The slots on which a gap's light hangs, which its weakest and strongest specimens differ in.
std::vector<Slot> light_slots(const Gap& gap) {
    struct Lister {
        std::vector<Slot> operator()(const CouplerGap& g) const {
            return {g.transfer.photocurrent_ratio};
        }
        std::vector<Slot> operator()(const PhototransistorGap& g) const {
            return {g.beam.intensity, g.sensitivity};
        }
        std::vector<Slot> operator()(const LightResistorGap& g) const { return {g.beam.intensity}; }
    };
    return std::visit(Lister{}, gap.kind);
}

class CurveMaker {
  public:
    CurveMaker(const Link& link, const LinkCircuit& circuit)
        : link_(link),
          circuit_(circuit),
          ranges_(condition_ranges(link)),
          nominal_(nominal_specimen(circuit, ranges_)) {}

    std::vector<LoadLines> all() {
        auto solved = solve_link(circuit_.circuit, nominal_.values, nominal_.conditions);
        if (!solved) return {};
        points_ = std::move(*solved);
        std::vector<LoadLines> lines;
        std::size_t gap = 0;
        for (std::size_t k = 0; k < link_.parts.size(); ++k) {
            if (!link_.parts[k].is_gap()) continue;
            find_state(k);
            if (auto one = emitter(k)) lines.push_back(std::move(*one));
            if (auto one = receiver(k, gap)) lines.push_back(std::move(*one));
            ++gap;
        }
        return lines;
    }

  private:
    // The state in which the emitter carries most.
    void find_state(std::size_t part) {
        const Probe probe = circuit_.of(part, Side::input)->current();
        state_ = 0;
        for (std::size_t s = 1; s < points_.size(); ++s) {
            if (measure(probe, points_[s]) > measure(probe, points_[state_])) state_ = s;
        }
    }

    // The part's own current and what the rest gives it, with a voltage forced across it.
    struct Forced {
        double own;
        double load;
    };
    std::optional<Forced> forced(std::size_t part, Side side, double voltage,
                                 const std::vector<double>& figures, const GapLight& light) {
        const PlacedProbes& probes = *circuit_.of(part, side);
        Network network = circuit_.circuit.states[state_].side(side);
        std::vector<double> values = figures;
        values.push_back(voltage);
        network.elements.push_back(Branch{.from = probes.main.minus,
                                          .to = probes.main.plus,
                                          .voltage = static_cast<Slot>(values.size() - 1),
                                          .resistance = {}});
        const auto point = operating_point(network, side, values, nominal_.conditions, light,
                                           start_.unknowns.empty() ? nullptr : &start_);
        if (!point) return std::nullopt;
        start_ = *point;
        StatePoint whole;
        (side == Side::input ? whole.input : whole.output) = *point;
        const double own = measure(probes.current(), whole);
        return Forced{own, own - point->currents.back()};
    }

    // Fills `own` and, when asked, the load's line.
    bool sweep(std::size_t part, Side side, const std::vector<double>& figures,
               const GapLight& light, double highest, Curve& own, Curve* load) {
        start_ = {};
        for (int k = 0; k <= steps; ++k) {
            // Closer together near zero, where a receiver's knee is.
            const double share = static_cast<double>(k) / steps;
            const double voltage = highest * share * share;
            const auto at = forced(part, side, voltage, figures, light);
            if (!at) return false;
            own.points.push_back({voltage, at->own});
            if (load) load->points.push_back({voltage, at->load});
        }
        return true;
    }

    LoadLines begin(std::size_t part, Side side, std::string name) const {
        LoadLines lines;
        lines.part = std::move(name);
        const auto& supply = link_.side(side).supply;
        lines.supply = supply ? supply->nominal(Key::voltage) : 5.0;
        const PlacedProbes& probes = *circuit_.of(part, side);
        for (std::size_t s = 0; s < points_.size(); ++s) {
            lines.states.emplace_back(link_.states[s].name,
                                      CurvePoint{measure(probes.voltage(), points_[s]),
                                                 measure(probes.current(), points_[s])});
        }
        return lines;
    }

    static std::optional<double> limit(const Description& d, Key key) {
        const auto* figure = d.find(key);
        return figure ? std::optional(figure->spread.lowest) : std::nullopt;
    }

    std::optional<LoadLines> emitter(std::size_t part) {
        const Part& gap = link_.parts[part];
        const Description& d =
            gap.description.kind == Kind::pair ? *gap.description.emitter : gap.description;
        LoadLines lines = begin(part, Side::input, gap.name);
        lines.largest_current = limit(d, Key::forward_current);
        double highest = 0;
        for (const auto& [name, at] : lines.states) highest = std::max(highest, at.x);
        highest = std::max(0.5, 1.6 * highest);
        Curve own{.label = fmt::format("{}, emitter", gap.name), .points = {}};
        lines.load.label = "what the input side gives";
        if (!sweep(part, Side::input, nominal_.values, {}, highest, own, &lines.load)) {
            return std::nullopt;
        }
        lines.own.push_back(std::move(own));
        return lines;
    }

    std::optional<LoadLines> receiver(std::size_t part, std::size_t gap) {
        const Part& source = link_.parts[part];
        const Description& d = source.description.kind == Kind::pair ? *source.description.receiver
                                                                     : source.description;
        LoadLines lines = begin(part, Side::output, source.name + ".receiver");
        lines.largest_current = limit(d, Key::collector_current);
        lines.largest_voltage = limit(d, Key::collector_emitter_voltage);
        lines.load.label = "load";
        const double highest = beyond_supply * lines.supply;
        struct Grade {
            const char* name;
            double Spread::* end;
            bool aged;
        };
        for (const Grade grade :
             {Grade{"weakest", &Spread::lowest, true}, Grade{"nominal", &Spread::nominal, false},
              Grade{"strongest", &Spread::highest, false}}) {
            std::vector<double> figures = nominal_.values;
            for (const Slot slot : light_slots(circuit_.circuit.gaps[gap])) {
                figures[to_index(slot)] = circuit_.parameters[to_index(slot)].spread.*grade.end;
            }
            const GapLight light = light_of(figures, grade.aged);
            Curve own{.label = grade.name, .points = {}};
            Curve load;
            if (!sweep(part, Side::output, figures, light, highest, own, &load)) {
                return std::nullopt;
            }
            if (grade.end == &Spread::nominal) lines.load.points = std::move(load.points);
            lines.own.push_back(std::move(own));
        }
        return lines;
    }

    GapLight light_of(const std::vector<double>& figures, bool aged) const {
        Conditions conditions = nominal_.conditions;
        if (aged) conditions.age = ranges_.age.highest;
        return gap_light(circuit_.circuit, figures, conditions,
                         emitter_currents(circuit_.circuit, points_[state_]),
                         light_left_by_gap(circuit_.circuit, figures, conditions, points_));
    }

    const Link& link_;
    const LinkCircuit& circuit_;
    ConditionRanges ranges_;
    Specimen nominal_;
    std::vector<StatePoint> points_;
    std::size_t state_ = 0;
    SidePoint start_;
};

double reserve_at(const Promise& promise, double value) {
    double left = 1e300;
    if (promise.at_least) left = reserve_left(value, *promise.at_least, Sense::at_least);
    if (promise.at_most) {
        left = std::min(left, reserve_left(value, *promise.at_most, Sense::at_most));
    }
    return left;
}

}  // namespace

std::vector<LoadLines> load_lines(const Link& link, const LinkCircuit& circuit) {
    return CurveMaker(link, circuit).all();
}

LifeCurves life_curves(const Link& link, const LinkCircuit& circuit) {
    constexpr double year = 365.25 * 86400;
    constexpr int points = 24;
    LifeCurves curves;
    if (link.surroundings.service <= 0) return curves;
    Specimen specimen = nominal_specimen(circuit, condition_ranges(link));
    for (const auto& part : link.parts) {
        if (part.is_gap()) curves.light.push_back({fmt::format("light of {}", part.name), {}});
    }
    for (const auto& promise : link.promises) {
        if (!promise.at_rest()) continue;
        curves.promises.push_back(
            {fmt::format("reserve of {}, {}", promise.text, link.states[promise.state].name), {}});
    }
    std::vector<double> first_light;
    std::vector<double> first_reserve;
    for (int k = 0; k <= points; ++k) {
        const double service = link.surroundings.service * k / points;
        specimen.conditions.age = service;
        const auto solved = solve_link(circuit.circuit, specimen.values, specimen.conditions);
        if (!solved) return {};
        curves.years.push_back(service / year);
        for (std::size_t g = 0; g < curves.light.size(); ++g) {
            double light = 0;
            for (const auto& point : *solved) light = std::max(light, point.light[g]);
            if (k == 0) first_light.push_back(light);
            curves.light[g].points.push_back(
                {service / year, first_light[g] > 0 ? light / first_light[g] : 1});
        }
        std::size_t p = 0;
        for (const auto& promise : link.promises) {
            if (!promise.at_rest()) continue;
            const double left = reserve_at(
                promise, measure(promise_probe(promise, circuit), (*solved)[promise.state]));
            if (k == 0) first_reserve.push_back(left);
            const double share = first_reserve[p] == 0 ? 1 : left / first_reserve[p];
            curves.promises[p++].points.push_back({service / year, share});
        }
    }
    return curves;
}

}  // namespace gapwright
