#include "design/judging/objections.hpp"

#include <fmt/format.h>

#include <cmath>
#include <cstddef>
#include <string>
#include <vector>

#include "design/design.hpp"
#include "design/values/practice.hpp"
#include "design/values/value_problem.hpp"
#include "link/link.hpp"
#include "population/engine.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

constexpr double noticed = 0.05;  // share of a shortfall; Rank counts in steps as large

std::string shown(Practice practice, double value) {
    switch (practice) {
        case Practice::part_at_work:
        case Practice::base_drive:
        case Practice::emitter_current:
            return engineering_short(value, Dimension::current, 3);
        case Practice::base_quiet:
        case Practice::gate_drive:
        case Practice::gate_quiet:
        case Practice::half_way:
            return engineering_short(value, Dimension::voltage, 3);
        case Practice::resistor_value:
        case Practice::holding_resistor:
            return engineering_short(value, Dimension::resistance, 3);
        case Practice::dissipation:
        case Practice::voltage_in_hand:
            break;
    }
    return percent(value, 2);
}

// What is asked, in figures where a figure is asked.
std::string asked(Practice practice, const Shortfall& shortfall) {
    const PracticeRule& rule = practice_rule(practice);
    switch (practice) {
        case Practice::base_drive:
        case Practice::gate_drive:
        case Practice::gate_quiet:
        case Practice::part_at_work:
            return fmt::format("{}, {}", shown(practice, shortfall.asked), rule.asks);
        case Practice::emitter_current:
            return fmt::format("{}; the card states it at {}", rule.asks,
                               shown(practice, shortfall.asked));
        case Practice::half_way:
            return fmt::format("{}; it bears {} when shut", rule.asks,
                               shown(practice, shortfall.asked));
        case Practice::resistor_value:
        case Practice::holding_resistor:
            return fmt::format("{} {}", shortfall.found < shortfall.asked ? "at least" : "at most",
                               shown(practice, shortfall.asked));
        case Practice::base_quiet:
        case Practice::dissipation:
        case Practice::voltage_in_hand:
            break;
    }
    return std::string(rule.asks);
}

bool has_state(Practice practice) {
    switch (practice) {
        case Practice::part_at_work:
        case Practice::emitter_current:
        case Practice::resistor_value:
        case Practice::holding_resistor:
            return false;
        case Practice::base_drive:
        case Practice::base_quiet:
        case Practice::gate_drive:
        case Practice::gate_quiet:
        case Practice::half_way:
        case Practice::dissipation:
        case Practice::voltage_in_hand:
            break;
    }
    return true;
}

}  // namespace

std::vector<Objection> objections_to(const ValueProblem& problem, const ValueSet& set,
                                     const WorstScore& worst, const EngineOptions& options) {
    const Link& link = problem.link();
    const auto shortfalls = problem.shortfalls(set, worst.distinct_scenarios(), options);
    std::vector<Objection> objections;
    for (std::size_t c = 0; c < shortfalls.size(); ++c) {
        const PracticeCheck& check = problem.practice()[c];
        const Shortfall& found = shortfalls[c];
        if (found.share < noticed) continue;
        const PracticeRule& rule = practice_rule(check.practice);
        objections.push_back(
            {.share = found.share,
             .part = link.parts[check.part].name,
             .state = has_state(check.practice) ? link.states[found.state].name : std::string(),
             .name = std::string(rule.name),
             .found = shown(check.practice, found.found),
             .asked = asked(check.practice, found),
             .reason = std::string(rule.reason),
             .idle = check.practice == Practice::part_at_work});
    }
    return objections;
}

std::string practice_difference(const ValueProblem& problem, const ValueSet& worse,
                                const ValueSet& better, const EngineOptions& options) {
    const auto a = problem.shortfalls(worse, {}, options);
    const auto b = problem.shortfalls(better, {}, options);
    std::size_t most = 0;
    for (std::size_t c = 0; c < a.size(); ++c) {
        if (a[c].share - b[c].share > a[most].share - b[most].share) most = c;
    }
    if (a.empty() || a[most].share - b[most].share <= 0) return {};
    const PracticeCheck& check = problem.practice()[most];
    return fmt::format("{} of {}", practice_rule(check.practice).name,
                       problem.link().parts[check.part].name);
}

}  // namespace gapwright
