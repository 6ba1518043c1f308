// A part on the bench: what of it is swept, and the plan that keeps within its card's limits.
#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "card/description.hpp"
#include "instrument/sweep_plan.hpp"
#include "source/diagnostics.hpp"
#include "units/quantity.hpp"

namespace gapwright {

// What runs along a sweep's current.
enum class SweptWay : std::uint8_t {
    forward,   // a junction's forward voltage; of a coupler that of its emitter
    reverse,   // a zener diode's voltage in breakdown
    transfer,  // a coupler's collector current
    light,     // what a receiver lets through, lit by a named emitter at a distance
    gain,      // a transistor's collector current over its base current
};

// Whether it takes a second supply.
inline bool is_fed(SweptWay way) {
    return way == SweptWay::transfer || way == SweptWay::light || way == SweptWay::gain;
}

struct SweptPart {
    SweptWay way = SweptWay::forward;
    Description part;                      // by its card
    std::optional<Description> emitter{};  // of `light`: whose current is driven
    std::string emitter_name = {};         // its card's name
    double distance = 0;                   // m, of `light`: from emitter to receiver, on the axis

    // Whose junction the first supply drives.
    const Description& driven() const { return emitter ? *emitter : part; }
};

// What the person says of a sweep; what is left out is chosen.
struct SweepWishes {
    std::optional<double> from = {};           // A
    std::optional<double> to = {};             // A
    int points = 15;                           // at least 1
    std::optional<double> voltage_limit = {};  // V
    std::optional<double> feed_voltage = {};   // V, of the second supply
    std::optional<Spread> shunt = {};          // Ω, that the meter is across
    bool has_meter = false;
    bool meter_in_series = false;
};

// What is swept of a part: with a second supply (`fed`) a coupler's transfer or a transistor's
// gain, `reverse` a zener diode's breakdown, else the forward voltage. Errors: contradiction for
// kinds, or options, that do not go together; missing_key for a receiver without emitter, distance
// or second supply, or an emitter whose card does not say how much light the receiver gets.
Expected<SweptPart> swept_part(const Description& part, bool fed, bool reverse);
Expected<SweptPart> swept_receiver(const Description& part, const Description& emitter,
                                   const std::string& emitter_name, double distance, bool fed);

// What a resistor is off by, either way, of which nobody says it (common practice).
inline constexpr double usual_tolerance = 0.05;

// The plan for it, within the limits of both cards. Errors: missing_key for a card without the
// limits that a sweep needs, or a transfer whose meter has no place.
Expected<SweepPlan> plan_for(const SweptPart& swept, const SweepWishes& wishes);

// The highest voltage that the card has across the driven part at a current, V; none where its
// model gives none.
std::optional<double> highest_voltage(const SweptPart& swept, double current);

// What falls on the receiver at an emitter current by the emitter's card, W/m² or lx. Requires
// `light`.
double light_at(const SweptPart& swept, double current);

// How uncertain that is by the emitter's card: a standard uncertainty, share.
double light_uncertainty(const SweptPart& swept);

}  // namespace gapwright
