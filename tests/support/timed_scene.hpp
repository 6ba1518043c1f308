// A link from a text, followed in time.
#pragma once

#include <memory>
#include <stdexcept>
#include <string>
#include <vector>

#include "support/link_text.hpp"
#include "time/timed_measure.hpp"

namespace gapwright::testing_support {

struct Scene {
    Link link;
    LinkCircuit circuit;
    Specimen specimen;  // the nominal one

    explicit Scene(const std::string& text) : link(readable(text)), circuit(built(link)) {
        specimen = nominal_specimen(circuit, condition_ranges(link));
    }

    StateIndex state(const std::string& name) const {
        return static_cast<StateIndex>(link.find_state(name).value());
    }
    Schedule change(const std::string& from, const std::string& to) const {
        return {.from = state(from), .changes = {{0, state(to)}}};
    }
    // A node against its side's return.
    Probe node(const std::string& name, Side side) const {
        return between(link.side(side).find_node(name).value(), Node::side_return, side);
    }
    // Between two nodes of a side.
    Probe across(const std::string& plus, const std::string& minus, Side side) const {
        const LinkSide& s = link.side(side);
        return between(s.find_node(plus).value(), s.find_node(minus).value(), side);
    }
    const PlacedProbes& part(const std::string& name, Side side) const {
        return circuit.of(link.find_part(name).value(), side).value();
    }
    double rest(const Probe& probe, const std::string& state_name) const {
        const auto points = solve_link(circuit.circuit, specimen.values, specimen.conditions);
        if (!points) throw std::runtime_error("no operating point");
        return measure(probe, (*points)[to_index(state(state_name))]);
    }
    SpecimenWave follow(const Schedule& schedule, const std::vector<WaveWatch>& watches,
                        const WaveOptions& options = {}) const {
        auto wave = specimen_wave(circuit.circuit, specimen, schedule, watches, options);
        if (!wave) throw std::runtime_error(wave.error().message);
        return std::move(*wave);
    }
    // s, until a quantity is past that share of its way from one state to the other for good;
    // `never` and more where it does not get there.
    double delay(const Probe& probe, const std::string& from, const std::string& to,
                 double share) const {
        const double level = rest(probe, from) + share * (rest(probe, to) - rest(probe, from));
        const auto values = timed_values(circuit.circuit, specimen,
                                         {{.reading = TimedMeasure::Reading::reach,
                                           .schedule = change(from, to),
                                           .probe = probe,
                                           .level = level}});
        if (!values) throw std::runtime_error(values.error().message);
        return values->values.front();
    }

  private:
    static Probe between(Node plus, Node minus, Side side) {
        return {.kind = Probe::Kind::voltage, .side = side, .ports = {{plus, minus, {}}}};
    }
    static Link readable(const std::string& text) {
        auto link = link_from(text);
        if (!link) throw std::runtime_error(to_text(link.error()));
        return std::move(*link);
    }
    static LinkCircuit built(const Link& link) {
        auto circuit = build_circuit(link);
        if (!circuit) throw std::runtime_error(to_text(circuit.error()));
        return std::move(*circuit);
    }
};

}  // namespace gapwright::testing_support
