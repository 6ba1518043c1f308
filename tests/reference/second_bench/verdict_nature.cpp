// What is wrong with a part itself: which words say which kind of fault.
#include <algorithm>
#include <cmath>

#include "reference/second_bench/verdict_match.hpp"

namespace gapwright::reference {
namespace {

using What = Claim::What;
using K = FaultKind;

// Leads exchanged, whichever is told first.
bool exchanged(const Claim& claim, const std::string& a, const std::string& b) {
    if (claim.what != What::leads_exchanged) return false;
    return (claim.others[0] == a && claim.others[1] == b) ||
           (claim.others[0] == b && claim.others[1] == a);
}

// A figure that is told has to be near; where none is told the nature is enough.
bool about(const Claim& claim, double value) {
    if (!claim.amount) return true;
    // The steps in which such a thing is mended: the right compartment of a drawer or the next.
    const double factor = value > 1e6 ? 2.5 : 1.5;
    return *claim.amount > value / factor && *claim.amount < value * factor;
}

// Where a share of the right voltage is told it has to be near.
bool supply_is(const Claim& claim, const SecondFault& fault, const char* word) {
    if (claim.what != What::supply || claim.word != word) return false;
    const bool told = claim.amount && (claim.word == "low" || claim.word == "high");
    return !told || about(claim, fault.amount);
}

bool nature(const Claim& claim, const SecondFault& fault) {
    switch (fault.kind) {
        case K::resistor_ten_times:
        case K::resistor_tenth:
        case K::resistor_thousandfold:
        case K::resistor_digits_swapped:
        case K::resistor_neighbour:
        case K::load_other:
            return claim.what == What::value && about(claim, fault.amount);
        case K::resistors_exchanged:
            return claim.what == What::parts_exchanged &&
                   std::find(fault.parts.begin(), fault.parts.end(), claim.others[0]) !=
                       fault.parts.end();
        case K::diode_reversed:
        case K::led_reversed:
        case K::zener_reversed:
        case K::emitter_reversed:
            return claim.what == What::reversed || exchanged(claim, "anode", "cathode");
        case K::receiver_reversed:
            return claim.what == What::reversed || exchanged(claim, "collector", "emitter");
        case K::led_other_colour:
        case K::zener_other:
            return claim.what == What::other_kind && about(claim, fault.amount);
        case K::emitter_other_colour:
            return claim.what == What::other_kind;
        case K::cell_other:
            return claim.what == What::other_kind || claim.what == What::value;
        case K::coupler_turned:
            return claim.what == What::turned;
        case K::coupler_weak:
        case K::pair_far:
        case K::pair_aside:
        case K::beam_blocked:
            return claim.what == What::weak;
        case K::coupler_other_class:
            return claim.what == (fault.amount < 1 ? What::weak : What::strong) ||
                   claim.what == What::other_kind;
        case K::receiver_leaks:
        case K::transistor_leaks:
            return claim.what == What::leaks;
        case K::gate_leaks:
            return claim.what == What::leaks && (claim.lead.empty() || claim.lead == "gate");
        case K::receiver_base_emitter:
        case K::base_emitter_exchanged:
            return exchanged(claim, "base", "emitter");
        case K::receiver_base_collector:
        case K::base_collector_exchanged:
            return exchanged(claim, "base", "collector");
        case K::stray_light:
            return claim.what == What::stray_light;
        case K::collector_emitter_exchanged:
            return exchanged(claim, "collector", "emitter") || claim.what == What::reversed;
        case K::other_polarity:
            return claim.what == What::other_device && claim.word != "MOSFET" &&
                   claim.word != "channel";
        case K::mosfet_for_transistor:
            return claim.what == What::other_device && claim.word == "MOSFET";
        case K::other_channel:
            return claim.what == What::other_device && claim.word == "channel";
        case K::little_gain:
            return claim.what == What::little_gain;
        case K::drain_source_exchanged:
            return exchanged(claim, "drain", "source") || claim.what == What::reversed;
        case K::gate_drain_exchanged:
            return exchanged(claim, "gate", "drain");
        case K::gate_source_exchanged:
            return exchanged(claim, "gate", "source");
        case K::supply_missing:
            return supply_is(claim, fault, "missing");
        case K::supply_reversed:
            return supply_is(claim, fault, "reversed");
        case K::supply_low:
            return supply_is(claim, fault, "low");
        case K::supply_high:
            return supply_is(claim, fault, "high");
        case K::supply_weak:
            return supply_is(claim, fault, "weak");
        case K::output_stuck_low:
            return claim.what == What::stays && claim.word == "low";
        case K::output_stuck_high:
            return claim.what == What::stays && claim.word == "high";
        case K::contact_stuck_open:
            return claim.what == What::stays && claim.word == "open";
        case K::contact_stuck_closed:
            return claim.what == What::stays && claim.word == "closed";
        case K::input_leaks:
            return claim.what == What::draws || claim.what == What::leaks;
        case K::red_lead_in_current_socket:
            return claim.what == What::meter && claim.word == "socket";
        case K::fuse_blown:
            return claim.what == What::meter && claim.word == "fuse";
        // By the wire, by the metal, or by what is in series alone.
        case K::open_joint:
        case K::resistive_joint:
        case K::intermittent_joint:
        case K::bridged_pins:
        case K::bridged_nodes:
        case K::resistor_open:
        case K::diode_shorted:
        case K::diode_missing:
        case K::led_shorted:
        case K::led_open:
        case K::zener_shorted:
        case K::zener_open:
        case K::emitter_shorted:
        case K::emitter_open:
        case K::receiver_shorted:
        case K::receiver_open:
        case K::transistor_shorted:
        case K::transistor_open:
        case K::mosfet_shorted:
        case K::gate_floating:
        case K::contact_dirty:
        case K::output_lead_off:
        case K::load_open:
        case K::load_shorted:
        // A way across the gap is not told as a suspect.
        case K::gap_shorted:
        case K::gap_bridged:
        case K::gap_leaks:
        case K::count_of_kinds:
            return false;
    }
    return false;
}

}  // namespace

bool Naming::same_nature(const Claim& claim, const SecondFault& fault) const {
    if (!nature(claim, fault)) return false;
    if (claim.what == What::meter) return true;
    if (fault.kind == K::resistors_exchanged) {
        return std::find(fault.parts.begin(), fault.parts.end(), claim.part) != fault.parts.end();
    }
    if (!fault.on_board) return false;
    const BuiltPart& built = board_.parts[*fault.on_board];
    if (built.name != claim.part) return false;
    // What is said of the wrong half of a gap does not name it; light is a matter of both.
    const bool of_light = claim.what == What::weak || claim.what == What::strong ||
                          claim.what == What::other_kind || claim.what == What::value;
    if (claim.half.empty() || of_light) return true;
    return claim.half == (built.side == Side::input ? "emitter" : "receiver");
}

std::vector<SecondFault> Naming::meanings(const std::string& text, const SecondFault* like) const {
    std::vector<SecondFault> all;
    const auto claims = claims_of(text);
    if (claims.size() != 1) return all;  // two at once are no fault of this bench's
    // Amounts are thrown anew in each round, so that one is near whatever is meant.
    constexpr std::uint64_t rounds = 12;
    for (std::uint64_t round = 1; round <= rounds; ++round) {
        Dice dice(round);
        for (auto& fault : second_faults(link_, dice)) {
            // What comes and goes can be told from nothing: it is nobody's tie.
            if (fault.kind == K::intermittent_joint) continue;
            if (names(text, fault) != Match::whole) continue;
            const bool thrown =
                fault.amount != 0 && fault.kind != K::open_joint && fault.kind != K::gate_floating;
            if (round > 1 && !thrown) continue;  // the same again
            all.push_back(std::move(fault));
        }
    }
    const Claim& claim = claims.front();
    for (const std::size_t p : parts_of(claim)) {
        const bool resistor = board_.parts[p].device.kind == "resistor";
        const std::string key = resistor ? "value" : "resistance";
        const double own = board_.parts[p].device.figure(key);
        std::vector<double> amounts;
        if (claim.amount) amounts.push_back(*claim.amount);
        if (!claim.amount && like) amounts = {like->amount, own + like->amount};
        for (const double ohms : amounts) {
            if (ohms <= 0) continue;
            if (claim.what == What::value) {
                all.push_back(part_fault(
                    board_, p, FaultKind::resistor_neighbour, ohms,
                    [p, key, ohms](Board& board) { board.parts[p].device.figures[key] = ohms; }));
            } else if (claim.what == What::joint) {
                all.push_back(joint_at(board_, p, 0, FaultKind::resistive_joint, ohms));
            }
        }
    }
    return all;
}

}  // namespace gapwright::reference
