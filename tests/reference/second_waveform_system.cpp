// Sets up a link in time, and finds it at rest.
#include "reference/second_waveform_system.hpp"

#include <algorithm>
#include <limits>

#include "reference/second_newton.hpp"
#include "reference/second_solver.hpp"

namespace gapwright::reference {
namespace {

bool is_winding(const MadePart& part) {
    return part.figure(part.kind == "inductor" ? "value" : "inductance") > 0 &&
           (part.kind == "inductor" || part.kind == "coil" || part.kind == "load");
}

// The link for second_side.hpp: windings conduct nothing there, since their currents are unknowns
// of their own here.
MadeLink without_windings(MadeLink link) {
    for (auto& [name, part] : link.parts) {
        if (is_winding(part)) {
            part.figures["resistance"] = std::numeric_limits<double>::infinity();
        }
    }
    return link;
}

bool is_gap(const MadePart& part) {
    return part.kind == "coupler" || part.kind == "pair";
}

}  // namespace

WaveformSystem::WaveformSystem(const MadeLink& link, const Settings& settings,
                               const GapLight& light)
    : link_(link),
      settings_(settings),
      light_(light),
      input_(without_windings(link), true, settings_, {}),
      output_(without_windings(link), false, settings_, {}) {
    size_ = input_.unknowns() + output_.unknowns();
    for (const bool input : {true, false}) {
        for (std::size_t k = 0; k < side(input).parts().size(); ++k) {
            if (link.parts.contains(side(input).parts()[k].name)) take_part(link, {input, k});
        }
    }
    set_scales(link);
}

void WaveformSystem::take_part(const MadeLink& link, const Place& place) {
    const SecondPart& p = part(place);
    const MadePart& made = link.parts.at(p.name);
    const auto capacitance = [&](std::size_t from, std::size_t to, const char* key) {
        const double farads = made.figure(key);
        if (farads > 0 && from != to) {
            capacitances_.push_back(
                {terminal(place.input, from), terminal(place.input, to), farads});
        }
    };
    if (is_winding(made)) {
        const char* key = made.kind == "inductor" ? "value" : "inductance";
        windings_.push_back({place, made.figure("resistance"), made.figure(key), size_++});
    } else if (made.kind == "capacitor") {
        capacitance(p.from, p.to, "value");
    } else if (made.kind == "logic input") {
        capacitance(p.from, p.to, "capacitance");
    } else if (made.kind == "mosfet") {
        capacitance(p.control, p.mirrored ? p.from : p.to, "gate_source_capacitance");
        capacitance(p.control, p.mirrored ? p.to : p.from, "gate_drain_capacitance");
    } else if (is_gap(made)) {
        take_gap(made, place);
    } else if (std::holds_alternative<SecondJunction>(p.law)) {
        diodes_.push_back(
            {place, {made.figure("junction_capacitance"), made.figure("transit_time")}});
    } else if (std::holds_alternative<SecondTransistor>(p.law)) {
        bipolars_.push_back(
            {place,
             {made.figure("base_emitter_capacitance"), made.figure("base_collector_capacitance"),
              made.figure("transit_time"), made.figure("reverse_transit_time")}});
    }
    if (made.kind == "zener") {
        const double current = made.figure("zener_current", 5e-3);
        const double resistance = made.figure("zener_resistance", 10);
        const double scale =
            made.figure("ideality", 1.8) * link.temperature / charge_over_boltzmann;
        zeners_.push_back(
            {place,
             {made.figure("zener_voltage") - current * resistance, current, scale, resistance},
             size_++});
    }
}

void WaveformSystem::take_gap(const MadePart& made, const Place& place) {
    if (place.input) {
        if (made.kind == "coupler") {
            diodes_.push_back({place, {made.figure("emitter.emitter_capacitance"), 0}});
        } else {
            diodes_.push_back({place,
                               {made.figure("emitter.junction_capacitance"),
                                made.figure("emitter.transit_time")}});
        }
        return;
    }
    Receiver receiver{place, &made, 0, has_light_resistor(made), {}, 0};
    const auto& parts = input_.parts();
    const auto emitter =
        std::ranges::find(parts, part(place).name, [](const SecondPart& p) { return p.name; });
    receiver.emitter = static_cast<std::size_t>(emitter - parts.begin());
    if (receiver.resistor) {
        const double rise = made.figure("receiver.rise_time");
        const double decay = made.figure("receiver.decay_time");
        receiver.response = {made.figure("receiver.resistance"),
                             made.figure("receiver.dark_resistance", 2e6), rise > 0 ? rise : decay,
                             decay > 0 ? decay : rise};
        if (receiver.response.rise > 0) receiver.unknown = size_++;
    } else {
        bipolars_.push_back({place,
                             {made.figure("receiver.base_emitter_capacitance", 20e-12),
                              made.figure("receiver.base_collector_capacitance", 12e-12),
                              made.figure("receiver.transit_time", 2e-9),
                              made.figure("receiver.reverse_transit_time", 200e-9)}});
    }
    receivers_.push_back(receiver);
}

void WaveformSystem::set_scales(const MadeLink& link) {
    scales_.assign(size_, 1e-3);  // windings, A
    for (const bool input : {true, false}) {
        const double supply = input ? link.input.supply : link.output.supply;
        std::fill_n(scales_.begin() + static_cast<std::ptrdiff_t>(first(input)),
                    side(input).unknowns(), supply > 0 ? supply : 1);
    }
    for (const auto& z : zeners_) scales_[z.unknown] = z.law.knee;
    for (const auto& r : receivers_) {
        if (r.unknown) scales_[r.unknown] = 1 / r.response.dark + 1e-4 / r.response.reference;
    }
}

double WaveformSystem::allowed(std::span<const double> x, std::span<const double> step) const {
    double share = 1;
    const auto rise = [&](double from, double by) {
        const double most = std::max(from, 0.3) + 0.1;  // V
        if (from + by > most) share = std::min(share, (most - from) / by);
    };
    const auto pick = [](std::span<const double> values, std::size_t t) {
        return t == 0 ? 0 : values[t - 1];
    };
    for (const bool input : {true, false}) {
        for (const auto& p : side(input).parts()) {
            const std::size_t inner = first(input) + p.inner;
            if (std::holds_alternative<SecondJunction>(p.law)) rise(x[inner], step[inner]);
            if (!std::holds_alternative<SecondTransistor>(p.law)) continue;
            const double sign = p.mirrored ? -1 : 1;
            const std::size_t base = terminal(input, p.control);
            const std::size_t emitter = terminal(input, p.mirrored ? p.from : p.to);
            const double be = sign * (pick(x, base) - pick(x, emitter));
            const double by = sign * (pick(step, base) - pick(step, emitter));
            rise(be, by);
            rise(be - x[inner], by - step[inner]);
        }
    }
    for (const auto& z : zeners_) rise(x[z.unknown] - z.law.knee, step[z.unknown]);
    return share;
}

// second_solver.hpp solves the sides one after the other. It does not know the breakdown of zener
// diodes: where there is one, a few of Newton's steps on the whole take it in.
std::vector<double> WaveformSystem::rest() const {
    const std::map<std::string, double> dark;
    const SecondSide in(link_, true, settings_, dark);
    const auto in_point = second_point(in);
    if (!in_point) return {};
    std::map<std::string, double> lights;
    for (const auto& p : in.parts()) {
        const auto made = link_.parts.find(p.name);
        if (made == link_.parts.end() || !is_gap(made->second)) continue;
        const auto current = static_cast<double>(in.currents(p, in_point->x, 1.0L).main);
        lights[p.name] = light_(made->second, current);
    }
    const SecondSide out(link_, false, settings_, lights);
    const auto out_point = second_point(out);
    if (!out_point) return {};
    std::vector<double> x(in_point->x.begin(), in_point->x.end());
    x.insert(x.end(), out_point->x.begin(), out_point->x.end());
    x.resize(size_);
    const auto voltage = [&](const Place& p) {
        const auto pick = [&](std::size_t t) { return t == 0 ? 0 : x[t - 1]; };
        return pick(terminal(p.input, part(p).from)) - pick(terminal(p.input, part(p).to));
    };
    for (const auto& w : windings_) x[w.unknown] = voltage(w) / w.resistance;
    for (const auto& z : zeners_) x[z.unknown] = -voltage(z);
    for (const auto& r : receivers_) {
        if (r.unknown) x[r.unknown] = lights.at(part(r).name) - 1 / r.response.dark;
    }
    if (zeners_.empty()) return x;
    SecondNewton newton(*this);
    return newton.at_rest(x) ? x : std::vector<double>{};
}

}  // namespace gapwright::reference
