// Names of the kinds of fault, and which group each belongs to.
#include <array>
#include <stdexcept>

#include "reference/second_bench/second_faults.hpp"

namespace gapwright::reference {
namespace {

struct Row {
    FaultKind kind;
    std::string_view words;
    FaultGroup group;
};

using K = FaultKind;
using G = FaultGroup;
constexpr std::array<Row, fault_kinds> rows{{
    {K::open_joint, "open joint", G::joint},
    {K::resistive_joint, "resistive joint", G::joint},
    {K::intermittent_joint, "joint open at times", G::joint},
    {K::bridged_pins, "solder between neighbouring pins", G::metal},
    {K::bridged_nodes, "solder between two nodes", G::metal},
    {K::resistor_open, "resistor burnt open", G::resistor},
    {K::resistor_ten_times, "ten times the resistance", G::resistor},
    {K::resistor_tenth, "a tenth of the resistance", G::resistor},
    {K::resistor_thousandfold, "a thousand times the resistance", G::resistor},
    {K::resistor_digits_swapped, "digits swapped", G::resistor},
    {K::resistor_neighbour, "a value nearby in the drawer", G::resistor},
    {K::resistors_exchanged, "two resistors exchanged", G::resistor},
    {K::diode_reversed, "diode reversed", G::junction},
    {K::diode_shorted, "diode shorted", G::junction},
    {K::diode_missing, "diode missing or open", G::junction},
    {K::led_reversed, "LED reversed", G::junction},
    {K::led_shorted, "LED shorted", G::junction},
    {K::led_open, "LED open", G::junction},
    {K::led_other_colour, "LED of another colour", G::junction},
    {K::zener_reversed, "zener diode reversed", G::junction},
    {K::zener_shorted, "zener diode shorted", G::junction},
    {K::zener_open, "zener diode open", G::junction},
    {K::zener_other, "zener diode of another voltage", G::junction},
    {K::emitter_reversed, "emitter reversed", G::gap},
    {K::emitter_shorted, "emitter shorted", G::gap},
    {K::emitter_open, "emitter open", G::gap},
    {K::emitter_other_colour, "emitter of another colour", G::gap},
    {K::coupler_turned, "coupler turned round", G::gap},
    {K::coupler_weak, "coupler aged", G::gap},
    {K::coupler_other_class, "coupler of another class", G::gap},
    {K::receiver_reversed, "receiver reversed", G::gap},
    {K::receiver_leaks, "receiver leaks", G::gap},
    {K::receiver_shorted, "receiver shorted", G::gap},
    {K::receiver_open, "receiver open", G::gap},
    {K::receiver_base_emitter, "receiver's base and emitter exchanged", G::gap},
    {K::receiver_base_collector, "receiver's base and collector exchanged", G::gap},
    {K::pair_far, "pair too far apart", G::gap},
    {K::pair_aside, "pair out of line", G::gap},
    {K::stray_light, "light at the shroud", G::gap},
    {K::beam_blocked, "beam blocked", G::gap},
    {K::cell_other, "another light-dependent resistor", G::gap},
    {K::collector_emitter_exchanged, "collector and emitter exchanged", G::transistor},
    {K::base_emitter_exchanged, "base and emitter exchanged", G::transistor},
    {K::base_collector_exchanged, "base and collector exchanged", G::transistor},
    {K::other_polarity, "transistor of the other polarity", G::transistor},
    {K::mosfet_for_transistor, "MOSFET in a transistor's place", G::transistor},
    {K::little_gain, "little gain", G::transistor},
    {K::transistor_leaks, "transistor leaks", G::transistor},
    {K::transistor_shorted, "collector and emitter shorted", G::transistor},
    {K::transistor_open, "transistor open", G::transistor},
    {K::drain_source_exchanged, "drain and source exchanged", G::mosfet},
    {K::gate_drain_exchanged, "gate and drain exchanged", G::mosfet},
    {K::gate_source_exchanged, "gate and source exchanged", G::mosfet},
    {K::other_channel, "MOSFET of the other channel", G::mosfet},
    {K::mosfet_shorted, "drain and source shorted", G::mosfet},
    {K::gate_leaks, "gate punctured", G::mosfet},
    {K::gate_floating, "gate floating", G::mosfet},
    {K::supply_missing, "supply missing", G::supply},
    {K::supply_reversed, "supply reversed", G::supply},
    {K::supply_low, "supply too low", G::supply},
    {K::supply_high, "supply too high", G::supply},
    {K::supply_weak, "weak battery", G::supply},
    {K::contact_stuck_open, "contact never closes", G::drive},
    {K::contact_stuck_closed, "contact never opens", G::drive},
    {K::contact_dirty, "dirty contact", G::drive},
    {K::output_stuck_low, "logic output stuck low", G::drive},
    {K::output_stuck_high, "logic output stuck high", G::drive},
    {K::output_lead_off, "logic output's lead off", G::drive},
    {K::input_leaks, "logic input leaks", G::drive},
    {K::load_open, "load open", G::load},
    {K::load_shorted, "load shorted", G::load},
    {K::load_other, "another winding or load", G::load},
    {K::red_lead_in_current_socket, "red lead in the current socket", G::meter},
    {K::fuse_blown, "meter's fuse blown", G::meter},
    {K::gap_shorted, "the sides joined", G::across},
    {K::gap_bridged, "a path between the sides", G::across},
    {K::gap_leaks, "a leak between the sides", G::across},
}};

const Row& row(FaultKind kind) {
    const Row& found = rows.at(static_cast<std::size_t>(kind));
    if (found.kind != kind) throw std::logic_error("kinds of fault are out of order");
    return found;
}

}  // namespace

std::string_view kind_words(FaultKind kind) {
    return row(kind).words;
}

FaultGroup group_of(FaultKind kind) {
    return row(kind).group;
}

}  // namespace gapwright::reference
