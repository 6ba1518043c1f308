#include "card/receiver.hpp"

#include <algorithm>
#include <array>
#include <cstddef>
#include <optional>

#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"

namespace gapwright {
namespace {

constexpr std::array<ReceiverRule, receiver_count> rules = {
    {{.receiver = Receiver::phototransistor,
      .kind = Kind::phototransistor,
      .intensity = Key::radiant_intensity,
      .intensity_example = "10 mW/sr at 20 mA",
      .infrared = true,
      .polar = true,
      .enters = "collector",
      .leaves = "emitter",
      .through_or_shut = true,
      .base_lead = true},
     {.receiver = Receiver::light_dependent_resistor,
      .kind = Kind::light_dependent_resistor,
      .intensity = Key::luminous_intensity,
      .intensity_example = "2 cd at 20 mA",
      .infrared = false,
      .polar = false,
      .enters = "1",
      .leaves = "2",
      .through_or_shut = false,
      .base_lead = false}}};

// In the order of the enumeration, one each.
static_assert([] {
    for (std::size_t k = 0; k < rules.size(); ++k) {
        if (static_cast<std::size_t>(rules[k].receiver) != k) return false;
    }
    return true;
}());

}  // namespace

const ReceiverRule& receiver_rule(Receiver receiver) {
    return rules[static_cast<std::size_t>(receiver)];
}

std::array<Receiver, receiver_count> all_receivers() {
    std::array<Receiver, receiver_count> all{};
    std::ranges::transform(rules, all.begin(), &ReceiverRule::receiver);
    return all;
}

std::optional<Receiver> receiver_of(Kind kind) {
    if (kind == Kind::coupler) return Receiver::phototransistor;
    const auto rule = std::ranges::find(rules, kind, &ReceiverRule::kind);
    return rule == rules.end() ? std::nullopt : std::optional(rule->receiver);
}

Receiver receiver_of(const Description& gap) {
    return receiver_of(gap.kind == Kind::pair ? gap.receiver->kind : gap.kind).value();
}

bool is_of_a_gap(Kind kind) {
    return kind == Kind::pair || kind == Kind::led || receiver_of(kind).has_value();
}

}  // namespace gapwright
