// What the trade calls good practice, as checks. A set of values that keeps every bound may still
// be one that no experienced hand would build: a base fed a hundredth of its collector's current, a
// transistor that never conducts, a gate half open. Checks rank what keeps its bounds; they never
// stand in for one.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string_view>
#include <vector>

#include "design/values/bounds.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"

namespace gapwright {

enum class Practice : std::uint8_t {
    part_at_work,      // every transistor conducts in some state
    base_drive,        // base current against collector current, when through
    base_quiet,        // base–emitter voltage when shut
    gate_drive,        // gate–source voltage when through
    gate_quiet,        // and when shut
    half_way,          // a switching receiver is through or shut
    emitter_current,   // near where the transfer is stated
    resistor_value,    // between 47 Ω and 1 MΩ
    holding_resistor,  // what holds a base or an input is stiff against leakage
    dissipation,       // at most half of what is rated
    voltage_in_hand,   // at most four fifths of it
};
inline constexpr std::size_t practice_count = 11;

struct PracticeRule {
    Practice practice;
    std::string_view name;    // "base drive"
    std::string_view asks;    // "at least a twentieth of the collector current into the base"
    std::string_view reason;  // "so that any specimen saturates"
};
const PracticeRule& practice_rule(Practice practice);

// One check of one part. Of a transistor `measures` are by state its current and `control` its
// base current or control voltage; of a receiver its voltage; of an emitter its current.
struct PracticeCheck {
    Practice practice = Practice::part_at_work;
    std::size_t part = 0;                    // index into Link::parts
    std::vector<std::size_t> measures = {};  // by state; index into Bounds::measures
    std::vector<std::size_t> control = {};
    std::vector<std::size_t> supply = {};    // by state: what the side's supply gives
    double figure = 0;                       // what is asked, in the check's own unit
    double octaves = 1;                      // emitter current: so far off the figure is well
    std::optional<std::size_t> bound = {};   // of a rating: the bound whose reserve counts
    std::optional<std::size_t> chosen = {};  // resistor checks: which resistor to be chosen
};

// How far a check is missed, 0 (met) … 1 (not at all), and where.
struct Shortfall {
    double share = 0;
    std::size_t state = 0;
    double found = 0;  // what was found, and
    double asked = 0;  // what is asked, in the unit of the check
};

// The checks of a link, its measures added to those of the bounds. None of a link that carries an
// analogue signal: its parts are meant to stand half way.
std::vector<PracticeCheck> practice_checks(const Link& link, const LinkCircuit& circuit,
                                           const std::vector<std::size_t>& chosen, Bounds& bounds);

// Whether the check looks at the nominal specimen alone.
bool is_nominal(Practice practice);

// Of a check by measures; `at` gives the value of a measure.
template <class At>
Shortfall shortfall(const PracticeCheck& check, At at);

// Of a check of a resistor's value, and of one of a rating, whose reserve is known.
Shortfall value_shortfall(const PracticeCheck& check, double ohms);
Shortfall reserve_shortfall(const PracticeCheck& check, double reserve);

namespace practice_limits {
inline constexpr std::size_t most_states = 8;
inline constexpr double through = 0.5;   // of the most current in any state: else it is shut
inline constexpr double at_work = 0.01;  // of the supply's current, at least
inline constexpr double half_way = 0.3;  // of its own voltage when shut: nearer to neither end
}  // namespace practice_limits

Shortfall shortfall_of(const PracticeCheck& check, std::span<const double> main,
                       std::span<const double> control, std::span<const double> supply);

template <class At>
Shortfall shortfall(const PracticeCheck& check, At at) {
    using practice_limits::most_states;
    std::array<std::array<double, most_states>, 3> values{};
    const auto take = [&](const std::vector<std::size_t>& measures, std::size_t row) {
        const std::size_t count = measures.size() < most_states ? measures.size() : most_states;
        for (std::size_t s = 0; s < count; ++s) values[row][s] = at(measures[s]);
        return std::span<const double>(values[row]).first(count);
    };
    return shortfall_of(check, take(check.measures, 0), take(check.control, 1),
                        take(check.supply, 2));
}

}  // namespace gapwright
