#include "bench/sessions/measured_points.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "bench/meter/measurement.hpp"
#include "bench/meter/meter_error.hpp"
#include "bench/sessions/record_reading.hpp"
#include "bench/sessions/session_history.hpp"
#include "card/part_kind.hpp"
#include "circuit/index.hpp"
#include "link/link.hpp"

namespace gapwright {
namespace {

// A value that was read, or follows from what was, with its standard uncertainty.
struct Known {
    double value = 0;
    double error = 0;

    double share() const { return error / std::abs(value); }
};
using Found = std::optional<Known>;

// One session in one state.
struct Look {
    const Link& link;
    const std::vector<Measurement>& measurements;
    const PastSession& session;
    std::string state;

    template <class Is>
    Found read(const std::string& in_state, const Is& is) const {
        for (const auto& reading : session.readings) {
            const Measurement& m = measurements[reading.measurement];
            if (m.state != in_state || m.lifted || m.off || !is(m)) continue;
            if (!std::isfinite(reading.value)) continue;
            return Known{reading.value, standard_error(link.meter, m.kind, reading.value)};
        }
        return std::nullopt;
    }
};

Found against_return(const Look& look, Side side, Node node) {
    if (node == Node::side_return) return Known{};
    return look.read(look.state, [&](const Measurement& m) {
        return m.kind == MeasurementKind::voltage && m.side == side && m.plus == node &&
               m.minus == Node::side_return;
    });
}

Found voltage(const Look& look, Side side, Node from, Node to) {
    const auto between = [&](Node plus, Node minus) {
        return look.read(look.state, [&](const Measurement& m) {
            return m.kind == MeasurementKind::voltage && m.side == side && m.plus == plus &&
                   m.minus == minus;
        });
    };
    if (const auto across = between(from, to)) return across;
    const auto upper = against_return(look, side, from);
    const auto lower = against_return(look, side, to);
    if (!upper || !lower) return std::nullopt;
    return Known{upper->value - lower->value, std::hypot(upper->error, lower->error)};
}

std::string current_name(const Link& link, std::size_t part, Side side) {
    const Part& p = link.parts[part];
    if (!p.is_gap()) return "current " + p.name;
    return "current " + p.name + (side == Side::input ? ".emitter" : ".receiver");
}

bool is_current_of(const Measurement& m, const std::string& name) {
    return m.kind == MeasurementKind::current &&
           (m.measure == name || std::ranges::find(m.also, name) != m.also.end());
}

// Through a resistor whose resistance was read.
Found by_resistor(const Look& look, Side side, const Placement& at) {
    const auto ohms = look.read(std::string(unpowered), [&](const Measurement& m) {
        return m.kind == MeasurementKind::resistance && m.side == side &&
               ((m.plus == at.from && m.minus == at.to) || (m.plus == at.to && m.minus == at.from));
    });
    const auto volts = voltage(look, side, at.from, at.to);
    if (!ohms || !volts || !(ohms->value > 0)) return std::nullopt;
    const double amperes = volts->value / ohms->value;
    const double share = std::hypot(volts->share(), ohms->share());
    return Known{amperes, std::abs(amperes) * share};
}

Found current(const Look& look, std::size_t part, Side side) {
    const std::string name = current_name(look.link, part, side);
    const auto own = look.read(
        look.state, [&](const Measurement& m) { return m.side == side && is_current_of(m, name); });
    if (own) return own;
    // What one measurement of a current goes by the name of lies in series.
    for (const Measurement& m : look.measurements) {
        if (m.state != look.state || m.side != side || !is_current_of(m, name)) continue;
        for (std::size_t k = 0; k < look.link.parts.size(); ++k) {
            const Part& resistor = look.link.parts[k];
            if (resistor.description.kind != Kind::resistor || !resistor.on(side)) continue;
            if (!is_current_of(m, current_name(look.link, k, side))) continue;
            if (const auto through = by_resistor(look, side, *resistor.on(side))) return through;
        }
    }
    return std::nullopt;
}

// The side on which a part's own forward junction lies; none of one that has no such curve.
std::optional<Side> junction_side(const Part& part) {
    switch (part.description.kind) {
        case Kind::diode:
        case Kind::led:
        case Kind::zener:
            return part.input ? Side::input : Side::output;
        case Kind::coupler:
            return Side::input;
        case Kind::pair:
        case Kind::resistor:
        case Kind::capacitor:
        case Kind::inductor:
        case Kind::coil:
        case Kind::load:
        case Kind::contact:
        case Kind::logic_output:
        case Kind::logic_input:
        case Kind::transistor:
        case Kind::mosfet:
        case Kind::phototransistor:
        case Kind::light_dependent_resistor:
        case Kind::battery:
            break;
    }
    return std::nullopt;
}

void add_points(const Look& look, std::size_t k, Side side, PartPoints& of) {
    const Part& part = look.link.parts[k];
    const std::string specimen = specimen_of(look.session.record);
    const auto forward = current(look, k, side);
    if (!forward || !(forward->value > 0)) return;
    const auto volts = voltage(look, side, part.on(side)->from, part.on(side)->to);
    if (volts && volts->value > 0) {
        of.points.push_back(
            {.values = {{"forward_current", forward->value}, {"forward_voltage", volts->value}},
             .uncertainty = volts->share(),
             .specimen = specimen});
    }
    if (part.description.kind != Kind::coupler) return;
    const auto& receiver = *part.on(Side::output);
    const auto collector = current(look, k, Side::output);
    const auto across = voltage(look, Side::output, receiver.from, receiver.to);
    if (!collector || !across || !(collector->value > 0) || !(across->value > 0)) return;
    of.points.push_back({.values = {{"forward_current", forward->value},
                                    {"collector_emitter_voltage", across->value},
                                    {"collector_current", collector->value}},
                         .uncertainty = std::hypot(collector->share(), forward->share()),
                         .specimen = specimen});
}

}  // namespace

std::vector<PartPoints> points_of_sessions(const Link& link,
                                           const std::vector<PastSession>& sessions,
                                           const std::vector<Measurement>& measurements) {
    std::vector<PartPoints> result;
    for (std::size_t k = 0; k < link.parts.size(); ++k) {
        const auto side = junction_side(link.parts[k]);
        if (!side) continue;
        PartPoints of{.part = k, .points = {}};
        for (const PastSession& session : sessions) {
            for (const State& state : link.states) {
                add_points({link, measurements, session, state.name}, k, *side, of);
            }
        }
        if (!of.points.empty()) result.push_back(std::move(of));
    }
    return result;
}

}  // namespace gapwright
