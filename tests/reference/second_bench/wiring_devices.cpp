// Junctions, transistors and the light between them.
#include <algorithm>

#include "reference/second_bench/wiring_maker.hpp"

namespace gapwright::reference {

void WiringMaker::add_junction(std::size_t p) {
    const MadePart& d = board_.parts[p].device;
    const std::size_t a = terminal(p, 0), b = terminal(p, 1);
    const SecondJunction law = second_junction(d, "", board_.kelvin);
    JunctionPath junction{a, b, law, d.figure("breakdown", 40)};
    if (d.kind == "zener") {
        const double current = d.figure("zener_current", 5e-3);
        junction.breakdown_ohms = d.figure("zener_resistance", 10);
        junction.breakdown = d.figure("zener_voltage") - current * junction.breakdown_ohms;
        junction.breakdown_current = current;
    }
    result_.path_of[p] = result_.network.add(junction);
}

void WiringMaker::add_transistor(std::size_t p) {
    const BuiltPart& part = board_.parts[p];
    const bool receiver = part.device.kind == "receiver";
    const SecondTransistor law = second_transistor(part.device, "", board_.kelvin, receiver);
    Network& net = result_.network;
    const std::size_t collector = terminal(p, 0);
    const std::size_t emitter = terminal(p, 1);
    const std::size_t base = part.terminals.size() > 2 ? terminal(p, 2) : net.add_node();
    const std::size_t inner = net.add_node();
    // The path of the collector's current, for promises.
    result_.path_of[p] = net.join(collector, inner, std::max(law.resistance, 1e-3));
    net.add(TransistorPath{inner, base, emitter, law, part.mirrored});
    base_of_[p] = {inner, base};
    // An emitter junction breaks down backwards at 6 to 10 V whatever the collector stands
    // (common practice), which is what happens to a transistor put in the wrong way round.
    JunctionPath backwards{
        base, emitter, {0, law.thermal, 0}, part.device.figure("emitter_breakdown", 8)};
    if (part.mirrored) std::swap(backwards.anode, backwards.cathode);
    net.add(backwards);
}

void WiringMaker::add_mosfet(std::size_t p) {
    const BuiltPart& part = board_.parts[p];
    Network& net = result_.network;
    const SecondMosfet law = second_mosfet(part.device, board_.kelvin);
    const std::size_t drain = terminal(p, 0);
    const std::size_t source = terminal(p, 1);
    const std::size_t gate = terminal(p, 2);
    result_.path_of[p] = net.add(MosfetPath{drain, gate, source, law, part.mirrored});
    // The diode that is in every such transistor: about 0.55 V at a milliampere, 0.8 V at an
    // ampere (common practice).
    const double rise = saturation_rise(board_.kelvin, 3, 1.15, 1.12);
    JunctionPath body{source,
                      drain,
                      {part.device.figure("body_saturation", 5e-12) * rise,
                       1.15 * board_.kelvin / charge_over_boltzmann, 0.03},
                      0};
    if (part.mirrored) std::swap(body.anode, body.cathode);
    net.add(body);
}

void WiringMaker::add_light(const Beam& beam) {
    const auto& emitter = result_.path_of[beam.emitter];
    const auto& receiver = board_.parts[beam.receiver];
    if (receiver.dead || wiring_.off == beam.receiver) return;
    Network& net = result_.network;
    const double kelvin = board_.kelvin;
    // With the lamps of the room the receiver is lit though its emitter is dark or gone.
    const double around = board_.ambient;
    LightPath light;
    light.conducts = beam.conducts();
    light.thrown = net.thrown.size();
    net.thrown.push_back(
        [beam, kelvin, around](double amperes) { return beam.thrown(amperes, kelvin, around); });
    if (beam.conducts()) {
        light.from = terminal(beam.receiver, 0);
        light.to = terminal(beam.receiver, 1);
    } else {
        light.from = base_of_.at(beam.receiver).first;
        light.to = base_of_.at(beam.receiver).second;
    }
    const bool junction = emitter && std::holds_alternative<JunctionPath>(net.paths[*emitter]);
    if (junction) {
        light.emitter = *emitter;
        const std::size_t path = net.add(light);
        if (beam.conducts()) result_.path_of[beam.receiver] = path;
        return;
    }
    const double dark = beam.thrown(0, kelvin, around);
    if (beam.conducts()) {
        result_.path_of[beam.receiver] = net.join(light.from, light.to, 1 / dark);
    } else {
        net.add(PlainPath{light.from, light.to, 0, dark});
    }
}

}  // namespace gapwright::reference
