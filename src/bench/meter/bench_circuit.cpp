#include "bench/meter/bench_circuit.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <expected>
#include <functional>
#include <limits>
#include <optional>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "bench/faults/link_edits.hpp"
#include "bench/meter/measurement.hpp"
#include "bench/meter/meter_error.hpp"
#include "card/part_kind.hpp"
#include "circuit/index.hpp"
#include "circuit/network.hpp"
#include "circuit/probe.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "link/meter.hpp"
#include "source/diagnostics.hpp"
#include "units/dimension.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

constexpr ElementIndex supply_element = static_cast<ElementIndex>(0);  // of every network
// A meter changes its test current with its range, so that a resistance near full scale sees some
// half of the test voltage and one of a tenth a tenth of that (common practice): what a junction
// beside a resistance does to a reading hangs on it. Three tests stand for its six ranges.
struct ResistanceTest {
    double source;  // Ω, behind which the meter finds its test voltage
    double up_to;   // Ω, the full scale of the highest range that is taken with it
};
constexpr ResistanceTest resistance_tests[] = {
    {1e3, 2e3}, {100e3, 200e3}, {10e6, std::numeric_limits<double>::infinity()}};
// Of the other sort of meter: its resistance test's voltage, in those of the first; and how far
// beyond what a junction test applies its source lies, so that it gives a current (own choice).
constexpr double other_test_voltage = 0.5;
constexpr double current_source = 30;
constexpr double insulation_test_source = 1e6;  // Ω, of an insulation tester (own choice)
constexpr double clip_resistance = 0.01;        // Ω

Slot add_slot(LinkCircuit& circuit, double value) {
    circuit.parameters.push_back(
        {.id = {}, .spread = exactly(value), .normal = false, .dimension = Dimension::ratio});
    return static_cast<Slot>(circuit.circuit.slots++);
}

// Both sides' networks of a state without supplies and drives, contacts open: what is left is what
// the meter drives itself.
class PowerOff {
  public:
    PowerOff(const Link& link, LinkCircuit& circuit)
        : link_(link),
          circuit_(circuit),
          none_(add_slot(circuit, edits::no_connection)),
          zero_(add_slot(circuit, 0)) {}

    StateNetworks networks() const {
        StateNetworks off = circuit_.circuit.states.front();
        for (const Side side : {Side::input, Side::output}) {
            Network& network = side == Side::input ? off.input : off.output;
            take_off(network, supply_element);
            for (std::size_t k = 0; k < link_.parts.size(); ++k) {
                const Kind kind = link_.parts[k].description.kind;
                const auto& probes = circuit_.of(k, side);
                const bool driven = kind == Kind::logic_output || kind == Kind::contact ||
                                    kind == Kind::logic_input;
                if (!probes || !driven) continue;
                for (const auto& term : probes->main.current) take_off(network, term.element);
            }
        }
        return off;
    }

  private:
    void take_off(Network& network, ElementIndex index) const {
        Element& element = network.elements[to_index(index)];
        if (auto* branch = std::get_if<Branch>(&element)) {
            branch->voltage.reset();
            branch->resistance = none_;
        } else if (auto* leak = std::get_if<LeakageElement>(&element)) {
            leak->current = zero_;
        }
    }

    const Link& link_;
    LinkCircuit& circuit_;
    Slot none_;
    Slot zero_;
};

// What the meter is between its leads.
struct MeterTest {
    double voltage = 0;     // V, open, red above black
    double resistance = 0;  // Ω
};
MeterTest test_of(const Meter& meter, MeasurementKind kind) {
    switch (kind) {
        case MeasurementKind::resistance:
        case MeasurementKind::isolation:
            return {meter.test_voltage, resistance_tests[0].source};
        case MeasurementKind::insulation:
            return {meter.insulation_voltage.value_or(0), insulation_test_source};
        case MeasurementKind::junction:
            return {meter.junction_voltage, meter.junction_voltage / meter.junction_current};
        case MeasurementKind::voltage:
        case MeasurementKind::current:
            break;
    }
    return {0, meter.input_resistance};
}

Probe voltage_between(Side side, Node plus, Node minus) {
    return {.kind = Probe::Kind::voltage,
            .side = side,
            .ports = {{.plus = plus, .minus = minus, .current = {}}}};
}

StateIndex state_named(const Link& link, const std::string& name) {
    return static_cast<StateIndex>(link.find_state(name).value_or(0));
}

// A part's first lead is out of the board: its elements end at a node of their own, which is
// returned.
Node lift(Network& network, const PlacedProbes& probes) {
    const auto own = static_cast<Node>(network.nodes++);
    const auto moved = [&](Node& node) {
        if (node == probes.main.plus) node = own;
    };
    for (const auto& term : probes.main.current) {
        std::visit(
            [&](auto& e) {
                moved(e.from);
                moved(e.to);
            },
            network.elements[to_index(term.element)]);
    }
    return own;
}

// All measurements between one pair of points.
BenchCircuit circuit_of_pair(const Link& link, const LinkCircuit& built, const Meter& meter,
                             const std::vector<Measurement>& all,
                             const std::vector<std::size_t>& chosen) {
    BenchCircuit result{.circuit = built, .measures = {}, .readers = {}};
    Circuit& circuit = result.circuit.circuit;
    const Measurement& first = all[chosen.front()];
    Node plus = first.plus;
    const auto side_of = [&](StateNetworks& networks) -> Network& {
        return first.side == Side::input ? networks.input : networks.output;
    };
    const auto attach = [&](StateNetworks& networks, const MeterTest& test) {
        side_of(networks).elements.emplace_back(
            Branch{.from = first.minus,
                   .to = plus,
                   .voltage = add_slot(result.circuit, test.voltage),
                   .resistance = add_slot(result.circuit, test.resistance)});
    };
    const PowerOff power_off(link, result.circuit);
    StateNetworks off = power_off.networks();
    const MeterTest voltmeter = test_of(meter, MeasurementKind::voltage);
    if (first.off) lift(side_of(off), *result.circuit.of(*first.off, first.side));
    if (first.lifted) {
        plus = lift(side_of(off), *result.circuit.of(*first.lifted, first.side));
        // What the part leaves behind is held still: it counts for nothing.
        const Slot held = add_slot(result.circuit, clip_resistance);
        for (const Node node : {first.plus, first.minus}) {
            if (node == Node::side_return) continue;
            side_of(off).elements.emplace_back(
                Branch{.from = node, .to = Node::side_return, .voltage = {}, .resistance = held});
        }
    }
    if (first.state == unpowered) {  // nothing of it is measured with the power on
        circuit.states.clear();
        circuit.shares.clear();
    }
    for (auto& networks : circuit.states) attach(networks, voltmeter);
    const auto test = [&](std::size_t m, const MeterTest& with, double up_to, MeterSort sort) {
        const auto state = static_cast<StateIndex>(circuit.states.size());
        circuit.states.push_back(off);
        if (!circuit.shares.empty()) circuit.shares.push_back(0);  // none of the link's life
        attach(circuit.states.back(), with);
        result.measures.push_back({state, voltage_between(first.side, plus, first.minus)});
        result.readers.push_back({m, all[m].kind, with.voltage, with.resistance, up_to, sort});
    };
    for (const std::size_t m : chosen) {
        switch (all[m].kind) {
            case MeasurementKind::voltage:
                result.measures.push_back({state_named(link, all[m].state),
                                           voltage_between(first.side, plus, first.minus)});
                result.readers.push_back({m, all[m].kind, voltmeter.voltage, voltmeter.resistance});
                break;
            case MeasurementKind::resistance:
                for (const auto& [sort, factor] :
                     {std::pair{MeterSort::one, 1.0}, {MeterSort::other, other_test_voltage}}) {
                    for (const ResistanceTest& range : resistance_tests) {
                        test(m, {factor * meter.test_voltage, range.source}, range.up_to, sort);
                    }
                }
                break;
            case MeasurementKind::junction: {
                const MeterTest one = test_of(meter, all[m].kind);
                test(m, one, std::numeric_limits<double>::infinity(), MeterSort::one);
                // Above what it applies it shows nothing.
                test(m, {current_source * one.voltage, current_source * one.resistance},
                     one.voltage, MeterSort::other);
                break;
            }
            case MeasurementKind::current:
            case MeasurementKind::isolation:
            case MeasurementKind::insulation:
                break;
        }
    }
    return result;
}

// The currents of one lead in every state; `burden` in Ω.
Expected<BenchCircuit> circuit_of_lead(Link link, const std::vector<Measurement>& all,
                                       const std::vector<std::size_t>& chosen, double burden) {
    const Measurement& first = all[chosen.front()];
    if (burden > 0 && first.part) {
        edits::put_in_series(link, {*first.part, first.side, edits::Terminal::from},
                             exactly(burden));
        edits::follow_body(link, *first.part);
    } else if (burden > 0) {
        edits::put_behind_supply(link, first.side, exactly(burden));
    }
    auto built = build_circuit(link);
    if (!built) return std::unexpected(built.error());
    BenchCircuit result{.circuit = std::move(*built), .measures = {}, .readers = {}};
    const Probe probe = first.part ? result.circuit.of(*first.part, first.side)->current()
                                   : supply_current(first.side);
    for (const std::size_t m : chosen) {
        result.measures.push_back({state_named(link, all[m].state), probe});
        result.readers.push_back({.measurement = m, .kind = all[m].kind});
    }
    return result;
}

// Whether two measurements are taken in one circuit: the leads at the same points, the meter on the
// same test. What one test does not settle then leaves the others be.
bool same_points(const Measurement& a, const Measurement& b) {
    if (a.kind != b.kind) return false;
    if (a.kind == MeasurementKind::current) return a.side == b.side && a.part == b.part;
    return a.side == b.side && a.plus == b.plus && a.minus == b.minus && a.lifted == b.lifted &&
           a.off == b.off;
}

std::vector<std::vector<std::size_t>> by_points(const std::vector<Measurement>& all) {
    std::vector<std::vector<std::size_t>> groups;
    for (std::size_t m = 0; m < all.size(); ++m) {
        if (crosses_gap(all[m])) continue;
        const auto found = std::ranges::find_if(
            groups, [&](const auto& group) { return same_points(all[group.front()], all[m]); });
        if (found == groups.end()) {
            groups.push_back({m});
        } else {
            found->push_back(m);
        }
    }
    return groups;
}

// Nothing of the output side acts on the input side: what is measured there is solved without it,
// but for one node that is held still.
void leave_out_output(LinkCircuit& built) {
    const Slot held = add_slot(built, clip_resistance);
    for (StateNetworks& networks : built.circuit.states) {
        networks.output = {
            .nodes = 2,
            .elements = {Branch{
                .from = supply_node, .to = Node::side_return, .voltage = {}, .resistance = held}}};
    }
    built.circuit.gaps.clear();
}

double burden_of(const Meter& meter, const std::vector<std::size_t>& chosen,
                 const std::vector<double>& nominals) {
    if (nominals.empty()) return 0;
    double most = 0;
    for (const std::size_t m : chosen) most = std::max(most, std::abs(nominals[m]));
    const double range = range_for(meter, MeasurementKind::current, most);
    return std::isfinite(range) ? burden_resistance(meter, range) : 0;
}

}  // namespace

double Reader::reading(double measured) const {
    if (kind == MeasurementKind::junction && measured > up_to) {
        return std::numeric_limits<double>::infinity();
    }
    const bool ohms = kind == MeasurementKind::resistance || kind == MeasurementKind::isolation ||
                      kind == MeasurementKind::insulation;
    if (!ohms) return measured;
    if (std::isnan(measured)) return measured;     // not solved: that is no short
    const double share = measured / test_voltage;  // either may be the other way round
    if (share >= 1) return std::numeric_limits<double>::infinity();
    return std::max(0.0, test_resistance * share / (1 - share));
}

Expected<std::vector<BenchCircuit>> bench_circuits(const Link& link, const Meter& meter,
                                                   const std::vector<Measurement>& measurements,
                                                   const std::vector<double>& nominals) {
    const auto built = build_circuit(link);
    if (!built) return std::unexpected(built.error());
    std::vector<BenchCircuit> circuits;
    for (const auto& chosen : by_points(measurements)) {
        const Measurement& first = measurements[chosen.front()];
        if (first.kind != MeasurementKind::current) {
            circuits.push_back(circuit_of_pair(link, *built, meter, measurements, chosen));
        } else {
            auto lead =
                circuit_of_lead(link, measurements, chosen, burden_of(meter, chosen, nominals));
            if (!lead) return std::unexpected(lead.error());
            circuits.push_back(std::move(*lead));
        }
        if (first.side == Side::input) leave_out_output(circuits.back().circuit);
    }
    return circuits;
}

namespace {

// The elements of one network, with nodes moved by `offset` but for the return, which becomes
// `returns`.
struct Shifted {
    std::uint32_t offset;
    Node returns;

    Node operator()(Node node) const {
        return node == Node::side_return
                   ? returns
                   : static_cast<Node>(static_cast<std::uint32_t>(to_index(node)) + offset);
    }
    template <class TwoTerminal>
    Element operator()(TwoTerminal e) const {
        e.from = (*this)(e.from);
        e.to = (*this)(e.to);
        if constexpr (requires { e.base; }) e.base = (*this)(e.base);
        if constexpr (requires { e.gate; }) e.gate = (*this)(e.gate);
        return e;
    }
};

}  // namespace

Expected<BenchCircuit> isolation_circuit(const Link& link, const Meter& meter,
                                         const std::vector<Measurement>& measurements,
                                         const SideBridge& bridge) {
    auto built = build_circuit(link);
    if (!built) return std::unexpected(built.error());
    BenchCircuit result{.circuit = std::move(*built), .measures = {}, .readers = {}};
    Circuit& circuit = result.circuit.circuit;
    StateNetworks off = PowerOff(link, result.circuit).networks();
    // The input side's copy behind the output side's nodes; its own network stays for its light.
    Network& joint = off.output;
    const auto offset = static_cast<std::uint32_t>(joint.nodes);
    const Shifted shifted{offset, static_cast<Node>(offset)};  // its return is the first of them
    for (const Element& element : off.input.elements) {
        joint.elements.push_back(std::visit([&](const auto& e) { return shifted(e); }, element));
    }
    joint.nodes += off.input.nodes;
    const auto add_branch = [&](Node from, Node to, std::optional<Slot> voltage, Slot resistance) {
        joint.elements.emplace_back(
            Branch{.from = from, .to = to, .voltage = voltage, .resistance = resistance});
    };
    const Slot resistance = add_slot(result.circuit, 0);
    result.circuit.parameters.back().spread = bridge.resistance;
    add_branch(shifted(bridge.input), bridge.output, std::nullopt, resistance);
    add_branch(shifted.returns, Node::side_return, std::nullopt,
               add_slot(result.circuit, edits::no_connection));
    const Slot clips = add_slot(result.circuit, clip_resistance);
    const StateNetworks without_meter = off;
    circuit.states.clear();
    circuit.shares.clear();  // without power no light counts, faded or not
    for (std::size_t m = 0; m < measurements.size(); ++m) {
        if (!crosses_gap(measurements[m])) continue;
        const MeterTest test = test_of(meter, measurements[m].kind);
        const Node plus = shifted(measurements[m].plus);
        joint = without_meter.output;
        const auto clip = [&](std::size_t nodes, const auto& at) {
            for (std::size_t n = 1; n < nodes; ++n) {
                add_branch(at(static_cast<Node>(n)), at(Node::side_return), std::nullopt, clips);
            }
        };
        if (measurements[m].all_input) clip(link.input.node_names.size(), shifted);
        if (measurements[m].all_output) clip(link.output.node_names.size(), std::identity{});
        const double voltage = measurements[m].reversed ? -test.voltage : test.voltage;
        add_branch(measurements[m].minus, plus, add_slot(result.circuit, voltage),
                   add_slot(result.circuit, test.resistance));
        result.measures.push_back({static_cast<StateIndex>(circuit.states.size()),
                                   voltage_between(Side::output, plus, measurements[m].minus)});
        result.readers.push_back({m, measurements[m].kind, voltage, test.resistance});
        circuit.states.push_back(off);
    }
    return result;
}

}  // namespace gapwright
