// What flows and what is stored at x.
#include <cmath>

#include "reference/second_waveform_system.hpp"

namespace gapwright::reference {
namespace {

template <class Real>
Real at(const std::vector<Real>& x, std::size_t terminal) {
    return terminal == 0 ? Real(0) : x[terminal - 1];
}

template <class Real>
void through(std::vector<Real>& sum, std::size_t from, std::size_t to, const Real& amount) {
    if (from) sum[from - 1] += amount;
    if (to) sum[to - 1] += -amount;
}

// The light's slope by a difference: it only guides Newton's method.
double with_slope(const auto& light, double current) {
    return light(current);
}
Slope with_slope(const auto& light, const Slope& current) {
    const double here = light(current.value);
    const double apart = 1e-6 * std::abs(current.value) + 1e-12;
    return {here, (light(current.value + apart) - here) / apart * current.slope};
}

}  // namespace

template <class Real>
WaveformSystem::Balance<Real> WaveformSystem::balance(const std::vector<Real>& x) const {
    Balance<Real> sum{std::vector<Real>(size_, Real(0)), std::vector<Real>(size_, Real(0))};
    for (const bool input : {true, false}) add_side(input, x, sum);
    add_stores(x, sum);
    add_light(x, sum);
    // An ideal supply gives whatever its node takes, charge included.
    for (const bool input : {true, false}) {
        const double supply = input ? link_.input.supply : link_.output.supply;
        const double behind = input ? link_.input.resistance : link_.output.resistance;
        if (supply <= 0 || behind > 0) continue;
        const std::size_t row = terminal(input, side(input).nodes().at("supply")) - 1;
        sum.f[row] = x[row] - Real(supply);
        sum.q[row] = Real(0);
    }
    return sum;
}

// What second_side.hpp knows at rest.
template <class Real>
void WaveformSystem::add_side(bool input, const std::vector<Real>& x, Balance<Real>& sum) const {
    const auto begin = x.begin() + static_cast<std::ptrdiff_t>(first(input));
    const std::vector<Real> own(begin, begin + static_cast<std::ptrdiff_t>(side(input).unknowns()));
    const auto rest = side(input).residual(own, Real(1));
    for (std::size_t k = 0; k < rest.size(); ++k) sum.f[first(input) + k] = rest[k];
}

template <class Real>
void WaveformSystem::add_stores(const std::vector<Real>& x, Balance<Real>& sum) const {
    for (const auto& w : windings_) {  // v = R·i + d(L·i)/dt
        const std::size_t from = terminal(w.input, part(w).from);
        const std::size_t to = terminal(w.input, part(w).to);
        const Real& current = x[w.unknown];
        through(sum.f, from, to, current);
        sum.f[w.unknown] = Real(w.resistance) * current - (at(x, from) - at(x, to));
        sum.q[w.unknown] = Real(w.inductance) * current;
    }
    for (const auto& z : zeners_) {
        const std::size_t anode = terminal(z.input, part(z).from);
        const std::size_t cathode = terminal(z.input, part(z).to);
        const Real current = z.law.at(x[z.unknown]);
        through(sum.f, cathode, anode, current);
        sum.f[z.unknown] =
            at(x, cathode) - at(x, anode) - x[z.unknown] - Real(z.law.resistance) * current;
    }
    for (const auto& c : capacitances_) {
        through(sum.q, c.from, c.to, Real(Real(c.farads) * (at(x, c.from) - at(x, c.to))));
    }
    // Charge flows through the series resistance as well, which the inner unknown's row tells.
    for (const auto& d : diodes_) {
        const auto& law = std::get<SecondJunction>(part(d).law);
        const std::size_t inner = first(d.input) + part(d).inner;
        const Real charge = d.charge.at(law, x[inner]);
        through(sum.q, terminal(d.input, part(d).from), terminal(d.input, part(d).to), charge);
        sum.q[inner] += Real(-law.resistance) * charge;
    }
    for (const auto& b : bipolars_) {
        const auto& law = std::get<SecondTransistor>(part(b).law);
        const std::size_t inner = first(b.input) + part(b).inner;
        const std::size_t base = terminal(b.input, part(b).control);
        const std::size_t collector =
            terminal(b.input, part(b).mirrored ? part(b).to : part(b).from);
        const std::size_t emitter = terminal(b.input, part(b).mirrored ? part(b).from : part(b).to);
        const double sign = part(b).mirrored ? -1 : 1;
        const Real be = Real(sign) * (at(x, base) - at(x, emitter));
        const auto charge = b.charge.at(law, be, Real(be - x[inner]));
        through(sum.q, base, emitter, Real(Real(sign) * charge.emitter));
        through(sum.q, base, collector, Real(Real(sign) * charge.collector));
        sum.q[inner] += Real(law.resistance) * charge.collector;
    }
}

template <class Real>
Real WaveformSystem::light_of(const Receiver& receiver, const std::vector<Real>& x) const {
    const SecondPart& emitter = input_.parts()[receiver.emitter];
    const Real current = std::get<SecondJunction>(emitter.law).current(x[emitter.inner]);
    return with_slope([&](double i) { return light_(*receiver.gap, i); }, current);
}

template <class Real>
void WaveformSystem::add_light(const std::vector<Real>& x, Balance<Real>& sum) const {
    for (const auto& r : receivers_) {
        const Real light = light_of(r, x);
        const std::size_t from = terminal(false, part(r).from);
        const std::size_t to = terminal(false, part(r).to);
        if (!r.resistor) {  // a photocurrent from collector to base
            const auto& law = std::get<SecondTransistor>(part(r).law);
            through(sum.f, from, terminal(false, part(r).control), light);
            sum.f[first(false) + part(r).inner] += Real(-law.resistance) * light;
            continue;
        }
        const Real dark(1 / r.response.dark);
        Real conductance = light;
        if (r.unknown) {
            const Real& lit = x[r.unknown];
            conductance = lit + dark;
            sum.f[r.unknown] = -r.response.rate(Real(light - dark), lit);
            sum.q[r.unknown] = lit;
        }
        through(sum.f, from, to, Real(conductance * (at(x, from) - at(x, to))));
    }
}

template WaveformSystem::Balance<double> WaveformSystem::balance(const std::vector<double>&) const;
template WaveformSystem::Balance<Slope> WaveformSystem::balance(const std::vector<Slope>&) const;

}  // namespace gapwright::reference
