// What goes wrong when a link is built and used, as benches see it: this bench's own list, written
// without a look at the program's.
#pragma once

#include <array>
#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "link/link.hpp"
#include "reference/second_bench/board.hpp"
#include "reference/second_bench/dice.hpp"

namespace gapwright::reference {

enum class FaultKind : std::uint8_t {
    // joints
    open_joint,
    resistive_joint,
    intermittent_joint,
    // metal on one side
    bridged_pins,
    bridged_nodes,
    // resistors
    resistor_open,
    resistor_ten_times,
    resistor_tenth,
    resistor_thousandfold,
    resistor_digits_swapped,
    resistor_neighbour,
    resistors_exchanged,
    // diodes, LEDs, zener diodes
    diode_reversed,
    diode_shorted,
    diode_missing,
    led_reversed,
    led_shorted,
    led_open,
    led_other_colour,
    zener_reversed,
    zener_shorted,
    zener_open,
    zener_other,
    // gaps
    emitter_reversed,
    emitter_shorted,
    emitter_open,
    emitter_other_colour,
    coupler_turned,
    coupler_weak,
    coupler_other_class,
    receiver_reversed,
    receiver_leaks,
    receiver_shorted,
    receiver_open,
    receiver_base_emitter,
    receiver_base_collector,
    pair_far,
    pair_aside,
    stray_light,
    beam_blocked,
    cell_other,
    // transistors
    collector_emitter_exchanged,
    base_emitter_exchanged,
    base_collector_exchanged,
    other_polarity,
    mosfet_for_transistor,
    little_gain,
    transistor_leaks,
    transistor_shorted,
    transistor_open,
    // MOSFETs
    drain_source_exchanged,
    gate_drain_exchanged,
    gate_source_exchanged,
    other_channel,
    mosfet_shorted,
    gate_leaks,
    gate_floating,
    // supplies
    supply_missing,
    supply_reversed,
    supply_low,
    supply_high,
    supply_weak,
    // contacts and logic
    contact_stuck_open,
    contact_stuck_closed,
    contact_dirty,
    output_stuck_low,
    output_stuck_high,
    output_lead_off,
    input_leaks,
    // loads and coils
    load_open,
    load_shorted,
    load_other,
    // the meter
    red_lead_in_current_socket,
    fuse_blown,
    // across the gap
    gap_shorted,
    gap_bridged,
    gap_leaks,
    count_of_kinds,
};
inline constexpr std::size_t fault_kinds = static_cast<std::size_t>(FaultKind::count_of_kinds);
std::string_view kind_words(FaultKind kind);

// Groups by which a bench draws, in the order of the enumeration.
enum class FaultGroup : std::uint8_t {
    joint,
    metal,
    resistor,
    junction,
    gap,
    transistor,
    mosfet,
    supply,
    drive,
    load,
    meter,
    across,
};
FaultGroup group_of(FaultKind kind);

struct SecondFault {
    FaultKind kind = FaultKind::open_joint;
    std::string words;                    // for people
    std::vector<std::string> parts;       // that it is about
    std::vector<std::size_t> nodes;       // of the board: a joint's, the two of a bridge
    std::optional<std::size_t> on_board;  // index in Board::parts of the part that it is about
    std::optional<std::size_t> hole;      // of that part, of a joint's
    double amount = 0;                    // Ω of a bridge or joint or wrong value, a factor, V
    std::function<void(Board&)> apply;
};

// All concrete faults of a link, their amounts thrown.
std::vector<SecondFault> second_faults(const Link& link, Dice& dice);

// One of them, groups drawn by how often benches see them, a fourth of all across the gap.
const SecondFault& drawn_fault(const std::vector<SecondFault>& faults, Dice& dice);

// Makers of single faults, for the list and for what a suspect's words mean.
SecondFault bridge_between(const Link& link, const Board& board, std::size_t a, std::size_t b,
                           double ohms);
SecondFault joint_at(const Board& board, std::size_t part, std::size_t hole, FaultKind kind,
                     double ohms);
SecondFault part_fault(const Board& board, std::size_t part, FaultKind kind, double amount,
                       std::function<void(Board&)> apply);

// The faults of one part, by its kind; those that it cannot have are not among them.
std::vector<SecondFault> faults_of_part(const Link& link, const Board& board, std::size_t part,
                                        Dice& dice);
std::vector<SecondFault> faults_of_gap(const Link& link, const Board& board, std::size_t beam,
                                       Dice& dice);

}  // namespace gapwright::reference
