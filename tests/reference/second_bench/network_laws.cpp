// The laws' slopes are exact (reference/second_slope.hpp), those of thrown light differences.
#include "reference/second_bench/network_laws.hpp"

#include <algorithm>
#include <cmath>

#include "reference/second_slope.hpp"

namespace gapwright::reference {
namespace {

constexpr double knee_volts = 0.05;  // how softly a junction breaks down (own choice)

// v = u + r·i(u), solved for u, where i rises with u.
template <class Law>
CurrentSlope behind(double volts, double ohms, Law law, double start) {
    double u = start;
    for (int round = 0; round < 100; ++round) {
        const CurrentSlope at = law(u);
        const double miss = u + ohms * at.amperes - volts;
        const double step = miss / (1 + ohms * at.siemens);
        u -= step;
        if (std::abs(step) < 1e-13 * (1 + std::abs(u))) break;
    }
    const CurrentSlope at = law(u);
    return {at.amperes, at.siemens / (1 + ohms * at.siemens)};
}

// A step along an exponential: as far as makes its current grow by e or two at a time.
double limited(double wanted, double held, double scale, double knee) {
    if (wanted > knee && wanted > held + 2 * scale) {
        const double from = std::max(held, knee - 4 * scale);
        return from + scale * std::min(4.0, std::log1p((wanted - from) / scale));
    }
    return wanted;
}

double sign_of(bool mirrored) {
    return mirrored ? -1 : 1;
}

struct PathLimits {
    const std::vector<double>& volts;
    const Held& held;
    double share;

    double across(std::size_t a, std::size_t b) const { return volts[a] - volts[b]; }
    Held operator()(const PlainPath&) const { return {}; }
    Held operator()(const LimitedSource& s) const {
        // From one limit to the other only by way of the middle, or it would leap to and fro.
        const double middle = share * s.volts;
        const double reach = s.limit * s.ohms;
        const double wanted = across(s.plus, s.minus);
        const double side = wanted > middle ? 1 : -1;
        const bool leaps = side * (wanted - middle) > reach && side * (middle - held[0]) > reach;
        return {leaps ? middle : wanted, 0};
    }
    Held operator()(const TestCurrent& s) const { return {across(s.plus, s.minus), 0}; }
    Held operator()(const JunctionPath& j) const {
        const double wanted = across(j.anode, j.cathode);
        double at = limited(wanted, held[0], j.law.scale, 10 * j.law.scale);
        if (j.breakdown > 0 && at < -j.breakdown) {
            at = -limited(-at, -held[0], knee_volts, j.breakdown);
        }
        return {at, 0};
    }
    Held operator()(const TransistorPath& t) const {
        const double s = sign_of(t.mirrored);
        const double vt = t.law.thermal;
        return {limited(s * across(t.base, t.emitter), held[0], vt, 20 * vt),
                limited(s * across(t.base, t.collector), held[1], vt, 20 * vt)};
    }
    Held operator()(const MosfetPath& m) const {
        const double s = sign_of(m.mirrored);
        const auto near = [](double wanted, double from) {
            return std::clamp(wanted, from - 1.5, from + 1.5);
        };
        return {near(s * across(m.gate, m.source), held[0]),
                near(s * across(m.drain, m.source), held[1])};
    }
    Held operator()(const LightPath&) const { return {}; }
};

// The end currents of a path between two nodes with current i and slope g at its voltage `at`.
EndCurrents two_ends(std::size_t a, std::size_t b, CurrentSlope flow, double beyond) {
    const double i = flow.amperes + flow.siemens * beyond;
    const double g = flow.siemens;
    return {{a, i, {{a, g}, {b, -g}}}, {b, -i, {{a, -g}, {b, g}}}};
}

struct PathCurrents {
    const std::vector<double>& volts;
    const Held& held;
    double share;

    double across(std::size_t a, std::size_t b) const { return volts[a] - volts[b]; }

    EndCurrents operator()(const PlainPath& p) const {
        return two_ends(p.a, p.b, {p.amperes * share, p.siemens}, across(p.a, p.b));
    }
    EndCurrents operator()(const LimitedSource& s) const {
        // From plus to minus through the source: what it takes.
        const double taken = (held[0] - share * s.volts) / s.ohms;
        const double beyond = across(s.plus, s.minus) - held[0];
        CurrentSlope flow{taken, 1 / s.ohms};
        if (std::abs(taken) > s.limit) {
            const double little = 1e-4 / s.ohms;  // beyond its limit it hardly rises any more
            const double excess = std::abs(taken) - s.limit;
            flow = {std::copysign(s.limit + little * excess * s.ohms, taken), little};
        }
        return two_ends(s.plus, s.minus, flow, beyond);
    }
    EndCurrents operator()(const TestCurrent& s) const {
        const double at = std::clamp(held[0] / s.open_volts, 0.0, 2.0);
        const double amperes = share * s.amperes;
        const CurrentSlope flow{-amperes * (1 - std::pow(at, s.bend)),
                                amperes * s.bend * std::pow(at, s.bend - 1) / s.open_volts};
        return two_ends(s.plus, s.minus, flow, across(s.plus, s.minus) - at * s.open_volts);
    }
    EndCurrents operator()(const JunctionPath& j) const {
        return two_ends(j.anode, j.cathode, junction_current(j, held[0]),
                        across(j.anode, j.cathode) - held[0]);
    }
    EndCurrents operator()(const TransistorPath& t) const {
        const double s = sign_of(t.mirrored);
        const Slope be(held[0], 0), bc(held[1], 0);
        const auto by_be = t.law.at(Slope(held[0], 1), bc);
        const auto by_bc = t.law.at(be, Slope(held[1], 1));
        const double miss_be = s * across(t.base, t.emitter) - held[0];
        const double miss_bc = s * across(t.base, t.collector) - held[1];
        const auto end = [&](std::size_t node, double i, double to_be, double to_bc) {
            const double told = s * (i + to_be * miss_be + to_bc * miss_bc);
            return EndCurrent{
                node, told, {{t.base, to_be + to_bc}, {t.emitter, -to_be}, {t.collector, -to_bc}}};
        };
        const double ic = by_be.collector.value, ib = by_be.base.value;
        const double c_be = by_be.collector.slope, c_bc = by_bc.collector.slope;
        const double b_be = by_be.base.slope, b_bc = by_bc.base.slope;
        return {end(t.collector, ic, c_be, c_bc), end(t.base, ib, b_be, b_bc),
                end(t.emitter, -ic - ib, -c_be - b_be, -c_bc - b_bc)};
    }
    EndCurrents operator()(const MosfetPath& m) const {
        const double s = sign_of(m.mirrored);
        const Slope by_gs = m.law.current(Slope(held[0], 1), Slope(held[1], 0));
        const Slope by_ds = m.law.current(Slope(held[0], 0), Slope(held[1], 1));
        const double told =
            s * (by_gs.value + by_gs.slope * (s * across(m.gate, m.source) - held[0]) +
                 by_ds.slope * (s * across(m.drain, m.source) - held[1]));
        EndCurrent in{m.drain,
                      told,
                      {{m.gate, by_gs.slope},
                       {m.source, -by_gs.slope - by_ds.slope},
                       {m.drain, by_ds.slope}}};
        EndCurrent out{m.source, -told, in.slopes};
        for (auto& slope : out.slopes) slope.siemens = -slope.siemens;
        return {in, out};
    }
    EndCurrents operator()(const LightPath&) const { return {}; }  // see straightened
};

EndCurrents lit(const Network& network, const LightPath& light, const std::vector<double>& volts,
                double emitter_volts, double share) {
    const auto& emitter = std::get<JunctionPath>(network.paths[light.emitter]);
    const CurrentSlope flow = junction_current(emitter, emitter_volts);
    const double step = std::max(1e-4 * std::abs(flow.amperes), 1e-12);
    const auto& law = network.thrown[light.thrown];
    const double thrown = law(flow.amperes);
    const double rise =
        (law(flow.amperes + step) - law(flow.amperes - step)) / (2 * step) * flow.siemens;
    const double beyond = volts[emitter.anode] - volts[emitter.cathode] - emitter_volts;
    const double across = volts[light.from] - volts[light.to];
    const double told = thrown + rise * beyond;
    const double factor = light.conducts ? across : share;
    EndCurrent in{light.from,
                  told * factor,
                  {{emitter.anode, rise * factor}, {emitter.cathode, -rise * factor}}};
    if (light.conducts) {
        in.slopes.push_back({light.from, told});
        in.slopes.push_back({light.to, -told});
    }
    EndCurrent out = in;
    out.node = light.to;
    out.amperes = -in.amperes;
    for (auto& slope : out.slopes) slope.siemens = -slope.siemens;
    return {in, out};
}

}  // namespace

CurrentSlope junction_current(const JunctionPath& path, double volts) {
    const auto forward = [&](double u) {
        const Slope i = path.law.current(Slope(u, 1));
        return CurrentSlope{i.value, i.slope};
    };
    const double most = path.law.scale * 40;
    CurrentSlope flow = behind(volts, path.law.resistance, forward, std::min(volts, most));
    if (path.breakdown <= 0) return flow;
    const auto backward = [&](double u) {
        const double x = (u - path.breakdown) / knee_volts;
        const double e = tame_exp(x);
        const double i = path.breakdown_current * e;
        return CurrentSlope{i, i / knee_volts};
    };
    const CurrentSlope back =
        behind(-volts, path.breakdown_ohms, backward, std::min(-volts, path.breakdown + 0.4));
    return {flow.amperes - back.amperes, flow.siemens + back.siemens};
}

Held next_held(const Network& network, std::size_t path, const std::vector<double>& volts,
               const Held& held, double share) {
    return std::visit(PathLimits{volts, held, share}, network.paths[path]);
}

EndCurrents straightened(const Network& network, std::size_t path, const std::vector<double>& volts,
                         const std::vector<Held>& held, double share) {
    if (const auto* light = std::get_if<LightPath>(&network.paths[path])) {
        return lit(network, *light, volts, held[light->emitter][0], share);
    }
    return std::visit(PathCurrents{volts, held[path], share}, network.paths[path]);
}

}  // namespace gapwright::reference
