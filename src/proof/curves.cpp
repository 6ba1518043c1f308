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
#include "proof/rest/promise_probe.hpp"
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
        std::vector<Slot> operator()(const PhotocurrentGap& g) const {
            return {g.beam.intensity, g.sensitivity};
        }
        std::vector<Slot> operator()(const IlluminanceGap& g) const { return {g.beam.intensity}; }
    };
    return std::visit(Lister{}, gap.kind);
}

// The nominal link, solved, in the state that lines are drawn for.
struct Solved {
    const Link& link;
    const LinkCircuit& circuit;
    Specimen specimen;
    std::vector<StatePoint> points;  // by state
    std::size_t state = 0;
};

// The state in which the emitter carries most.
std::size_t brightest_state(const Solved& at, std::size_t part) {
    const Probe probe = at.circuit.of(part, Side::input)->current();
    std::size_t state = 0;
    for (std::size_t s = 1; s < at.points.size(); ++s) {
        if (measure(probe, at.points[s]) > measure(probe, at.points[state])) state = s;
    }
    return state;
}

// A gap's emitter or receiver, with what its side's other figures and light are taken to be.
struct Subject {
    std::size_t part;
    Side side;
    std::vector<double> figures;
    GapLight light = {};
};

// The side's point with a voltage forced across the part, through a branch added last.
std::optional<SidePoint> forced(const Solved& at, const Subject& subject, double voltage,
                                const SidePoint* start) {
    const PlacedProbes& probes = *at.circuit.of(subject.part, subject.side);
    Network network = at.circuit.circuit.states[at.state].side(subject.side);
    std::vector<double> values = subject.figures;
    values.push_back(voltage);
    network.elements.push_back(Branch{.from = probes.main.minus,
                                      .to = probes.main.plus,
                                      .voltage = static_cast<Slot>(values.size() - 1),
                                      .resistance = {}});
    const auto point = operating_point(network, subject.side, values, at.specimen.conditions,
                                       subject.light, start);
    return point ? std::optional(*point) : std::nullopt;
}

struct TwoLines {
    std::vector<CurvePoint> own;   // the part's current
    std::vector<CurvePoint> load;  // what the rest gives it
};

std::optional<TwoLines> lines_of(const Solved& at, const Subject& subject, double highest) {
    const Probe current = at.circuit.of(subject.part, subject.side)->current();
    TwoLines lines;
    std::optional<SidePoint> last;
    for (int k = 0; k <= steps; ++k) {
        // Closer together near zero, where a receiver's knee is.
        const double share = static_cast<double>(k) / steps;
        const double voltage = highest * share * share;
        const bool started = last && !last->unknowns.empty();
        last = forced(at, subject, voltage, started ? &*last : nullptr);
        if (!last) return std::nullopt;
        StatePoint whole;
        (subject.side == Side::input ? whole.input : whole.output) = *last;
        const double own = measure(current, whole);
        lines.own.push_back({voltage, own});
        lines.load.push_back({voltage, own - last->currents.back()});
    }
    return lines;
}

LoadLines without_curves(const Solved& at, std::size_t part, Side side, std::string name) {
    LoadLines lines;
    lines.part = std::move(name);
    const auto& supply = at.link.side(side).supply;
    lines.supply = supply ? supply->nominal(Key::voltage) : 5.0;
    const PlacedProbes& probes = *at.circuit.of(part, side);
    for (std::size_t s = 0; s < at.points.size(); ++s) {
        lines.states.emplace_back(at.link.states[s].name,
                                  CurvePoint{measure(probes.voltage(), at.points[s]),
                                             measure(probes.current(), at.points[s])});
    }
    return lines;
}

std::optional<double> limit(const Description& d, Key key) {
    const auto* figure = d.find(key);
    return figure ? std::optional(figure->spread.lowest) : std::nullopt;
}

std::optional<LoadLines> emitter_lines(const Solved& at, std::size_t part) {
    const Part& gap = at.link.parts[part];
    const Description& d =
        gap.description.kind == Kind::pair ? *gap.description.emitter : gap.description;
    LoadLines lines = without_curves(at, part, Side::input, gap.name);
    lines.largest_current = limit(d, Key::forward_current);
    double highest = 0;
    for (const auto& [name, point] : lines.states) highest = std::max(highest, point.x);
    highest = std::max(0.5, 1.6 * highest);
    auto found = lines_of(at, {part, Side::input, at.specimen.values}, highest);
    if (!found) return std::nullopt;
    lines.own.push_back({fmt::format("{}, emitter", gap.name), std::move(found->own)});
    lines.load = {"what the input side gives", std::move(found->load)};
    return lines;
}

GapLight light_of(const Solved& at, const std::vector<double>& figures, double age) {
    Conditions conditions = at.specimen.conditions;
    conditions.age = age;
    const Circuit& circuit = at.circuit.circuit;
    return gap_light(circuit, figures, conditions, emitter_currents(circuit, at.points[at.state]),
                     light_left_by_gap(circuit, figures, conditions, at.points));
}

std::optional<LoadLines> receiver_lines(const Solved& at, std::size_t part, std::size_t gap) {
    const Part& source = at.link.parts[part];
    const Description& d =
        source.description.kind == Kind::pair ? *source.description.receiver : source.description;
    LoadLines lines = without_curves(at, part, Side::output, source.name + ".receiver");
    lines.largest_current = limit(d, Key::collector_current);
    lines.largest_voltage = limit(d, Key::collector_emitter_voltage);
    lines.load.label = "load";
    const double highest = beyond_supply * lines.supply;
    const double own_age = at.specimen.conditions.age;
    struct Grade {
        const char* name;
        double Spread::* end;
        double age;
    };
    for (const Grade grade :
         {Grade{"weakest", &Spread::lowest, condition_ranges(at.link).age.highest},
          Grade{"nominal", &Spread::nominal, own_age},
          Grade{"strongest", &Spread::highest, own_age}}) {
        std::vector<double> figures = at.specimen.values;
        for (const Slot slot : light_slots(at.circuit.circuit.gaps[gap])) {
            figures[to_index(slot)] = at.circuit.parameters[to_index(slot)].spread.*grade.end;
        }
        const GapLight light = light_of(at, figures, grade.age);
        auto found = lines_of(at, {part, Side::output, std::move(figures), light}, highest);
        if (!found) return std::nullopt;
        if (grade.end == &Spread::nominal) lines.load.points = std::move(found->load);
        lines.own.push_back({grade.name, std::move(found->own)});
    }
    return lines;
}

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
    const Specimen specimen = nominal_specimen(circuit, condition_ranges(link));
    const auto points = solve_link(circuit.circuit, specimen.values, specimen.conditions);
    if (!points) return {};
    Solved at{link, circuit, specimen, *points};
    std::vector<LoadLines> lines;
    std::size_t gap = 0;
    for (std::size_t k = 0; k < link.parts.size(); ++k) {
        if (!link.parts[k].is_gap()) continue;
        at.state = brightest_state(at, k);
        if (auto one = emitter_lines(at, k)) lines.push_back(std::move(*one));
        if (auto one = receiver_lines(at, k, gap++)) lines.push_back(std::move(*one));
    }
    return lines;
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
