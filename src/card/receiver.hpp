// What can receive light across a gap, one row each: what the layers above ask of a receiver
// without asking which it is. Where one must be told from another they switch over Receiver, and a
// new one does not compile until each of them has decided.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string_view>

#include "card/key.hpp"
#include "card/part_kind.hpp"

namespace gapwright {

struct Description;

enum class Receiver : std::uint8_t { phototransistor, light_dependent_resistor };
inline constexpr std::size_t receiver_count = 2;

struct ReceiverRule {
    Receiver receiver;
    Kind kind;                           // of its own card, as an open pair has it
    Key intensity;                       // of an emitter, in the measure that this receiver knows
    std::string_view intensity_example;  // of that figure
    bool infrared;                       // faced by an infrared emitter, which no eye sees
    bool polar;                          // has a right way round
    std::string_view enters;             // its lead at which current enters, "1" where not polar
    std::string_view leaves;             // the other
    bool through_or_shut;                // switches as a transistor does; part way is a mistake
    bool base_lead;                      // its base can be a lead of its own
};

const ReceiverRule& receiver_rule(Receiver receiver);
std::array<Receiver, receiver_count> all_receivers();

// What a card of that kind is as a receiver, by itself or (a coupler) within its package; none for
// other kinds.
std::optional<Receiver> receiver_of(Kind kind);

// What receives the light of a gap. Requires a coupler, a pair with its receiver, or a receiver.
Receiver receiver_of(const Description& gap);

// Whether light leaves or enters a part of that kind, so that it may belong to a gap.
bool is_of_a_gap(Kind kind);

}  // namespace gapwright
