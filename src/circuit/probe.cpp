#include "circuit/probe.hpp"
#include "circuit/index.hpp"
#include "circuit/link_point.hpp"
#include "circuit/operating_point.hpp"

namespace gapwright {
namespace {

double port_voltage(const Port& port, const SidePoint& point) {
    return point.voltage(port.plus) - point.voltage(port.minus);
}

double port_current(const Port& port, const SidePoint& point) {
    double sum = 0;
    for (const auto& term : port.current) {
        const auto k = to_index(term.element);
        sum += term.main * point.currents[k] + term.base * point.base_currents[k];
    }
    return sum;
}

}  // namespace

double measure(const Probe& probe, const StatePoint& point) {
    const SidePoint& side = point.side(probe.side);
    double sum = 0;
    for (const auto& port : probe.ports) {
        switch (probe.kind) {
            case Probe::Kind::voltage:
                sum += port_voltage(port, side);
                break;
            case Probe::Kind::current:
                sum += port_current(port, side);
                break;
            case Probe::Kind::power:
                sum += port_voltage(port, side) * port_current(port, side);
                break;
        }
    }
    return sum;
}

}  // namespace gapwright
