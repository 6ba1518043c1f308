#include "build/step_checks.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "board/board.hpp"
#include "board/side_distance.hpp"
#include "board/wiring.hpp"
#include "build/first_power.hpp"
#include "build/steps.hpp"
#include "circuit/index.hpp"
#include "link/link.hpp"
#include "proof/proof.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"

namespace gapwright::steps {
namespace {

constexpr double least_limit = 10e-3;  // A: below this few supplies can be limited
constexpr double least_shown = 1e-6;   // A: less than this a bench meter does not tell from nothing

std::string hole(const StepSources& s, Hole at) {
    return hole_name(s.plan.board, at);
}

std::string amperes(double value) {
    return engineering_short(value, Dimension::current);
}

// The first hole of each node of a side, where something stands or will stand.
std::vector<std::string> one_hole_each(const StepSources& s, Side side) {
    std::vector<std::string> holes;
    for (std::size_t n = 0; n < s.wiring.nodes.size(); ++n) {
        if (s.wiring.nodes[n].side != side) continue;
        const auto of_node = holes_of(s, n, true);
        if (!of_node.empty()) holes.push_back(hole(s, of_node.front()));
    }
    return holes;
}

// The next of 1, 2, 5 above half as much again.
double limit_above(double current) {
    const double least = 1.5 * std::max(current, least_limit);
    double decade = std::pow(10, std::floor(std::log10(least)));
    for (const double step : {1.0, 2.0, 5.0, 10.0}) {
        if (step * decade >= least * (1 - 1e-9)) return step * decade;
    }
    return 10 * decade;
}

std::string current_line(const FirstCurrent& current) {
    if (current.highest < least_shown) return "nothing that a meter shows (below 1 µA)";
    return fmt::format("{} ({} to {})", amperes(current.nominal),
                       amperes(std::max(current.lowest, 0.0)), amperes(current.highest));
}

}  // namespace

double most_current(const StepSources& s, Side side) {
    double most = 0;
    for (const auto& current : s.first_currents) {
        if (current.side == side) most = std::max({most, current.highest, current.fitted});
    }
    return most;
}

std::vector<Hole> holes_of(const StepSources& s, std::size_t node, bool with_leads) {
    std::vector<Hole> holes;
    for (std::size_t k = 0; k < s.wiring.parts.size(); ++k) {
        const WiringPart& part = s.wiring.parts[k];
        if (!with_leads && !stands_on_board(part)) continue;
        for (std::size_t p = 0; p < part.pins.size(); ++p) {
            if (part.pins[p].node == node) holes.push_back(s.plan.holes[k][p]);
        }
    }
    return holes;
}

BuildStep side_check(const StepSources& s, Side side) {
    BuildStep step{
        .title = fmt::format("The {} side", side_name(side)), .lines = {}, .is_check = true};
    for (std::size_t n = 0; n < s.wiring.nodes.size(); ++n) {
        if (s.wiring.nodes[n].side != side) continue;
        std::vector<std::string> holes;
        for (const Hole at : holes_of(s, n, true)) holes.push_back(hole(s, at));
        if (holes.size() < 2) continue;
        step.lines.push_back(fmt::format("{}: near 0 Ω between {}.", s.wiring.nodes[n].name,
                                         fmt::join(holes, ", ")));
    }
    if (!step.lines.empty()) {
        step.lines.insert(step.lines.begin(),
                          "Meter on resistance, power off; touch legs, or a wire end put into the "
                          "hole. Within a node nothing but wire and metal:");
    }
    const auto apart = one_hole_each(s, side);
    if (apart.size() > 1) {
        step.lines.push_back(fmt::format(
            "From node to node never near 0 Ω, or solder or a stray wire joins them: from each of "
            "{} to each other.",
            fmt::join(apart, ", ")));
    }
    for (std::size_t k = 0; k < s.wiring.parts.size(); ++k) {
        const WiringPart& part = s.wiring.parts[k];
        const bool here =
            part.side == side && stands_on_board(part) && part.footprint.body != Body::coupler;
        if (!here || part.pins.back().name != "cathode") continue;
        step.lines.push_back(
            fmt::format("{}: meter on diode test, red on {}, black on {}: it shows a voltage, or "
                        "it glows; the other way round nothing.",
                        part.name, hole(s, s.plan.holes[k][0]), hole(s, s.plan.holes[k][1])));
    }
    return step;
}

BuildStep isolation_check(const StepSources& s, std::string_view when) {
    BuildStep step{
        .title = fmt::format("The two sides are apart, {}", when), .lines = {}, .is_check = true};
    step.lines.push_back(
        "Power off; supplies and everything else that has another connection taken away. Meter on "
        "resistance, highest range.");
    step.lines.push_back(fmt::format("From each of {} to each of {}: no reading.",
                                     fmt::join(one_hole_each(s, Side::input), ", "),
                                     fmt::join(one_hole_each(s, Side::output), ", ")));
    if (const auto nearest = side_distance(s.wiring, s.plan)) {
        step.lines.push_back(
            fmt::format("The sides come nearest at {} and {}, {:.1f} mm of metal "
                        "from metal: look there first.",
                        hole(s, nearest->input), hole(s, nearest->output), nearest->metres * 1e3));
    }
    step.lines.push_back(
        "Any reading is a bridge: find it before anything is switched on. This shows that no wire "
        "joins the sides; it does not show what voltage the gap withstands.");
    return step;
}

std::vector<BuildStep> first_power_checks(const StepSources& s) {
    std::vector<BuildStep> steps;
    for (const Side side : {Side::input, Side::output}) {
        std::vector<std::pair<std::string, std::string>> states;
        for (const auto& current : s.first_currents) {
            if (current.side == side) states.emplace_back(current.state, current_line(current));
        }
        if (states.empty()) continue;
        BuildStep step{.title = fmt::format("First power of the {} side", side_name(side)),
                       .lines = {},
                       .is_check = true};
        step.lines.push_back(fmt::format(
            "The {} supply alone, its current limited to {} (a battery: through a fuse or a "
            "resistor); the other side stays without. Where the supply's + does not come onto the "
            "board, the meter goes in series with the lead that feeds it. It gives, without the "
            "gap's parts:",
            side_name(side), amperes(limit_above(most_current(s, side)))));
        const bool alike = std::ranges::all_of(
            states, [&](const auto& state) { return state.second == states[0].second; });
        if (alike) {
            step.lines.push_back(states[0].second + ".");
        } else {
            for (const auto& [state, text] : states)
                step.lines.push_back(fmt::format("{}: {}.", state, text));
        }
        step.lines.push_back(
            "Switch off at once where it gives much more, and look for a wrong hole.");
        steps.push_back(std::move(step));
    }
    return steps;
}

BuildStep gap_check(const StepSources& s) {
    BuildStep step{.title = "Which way round the emitters are", .lines = {}, .is_check = true};
    for (std::size_t k = 0; k < s.wiring.parts.size(); ++k) {
        const WiringPart& part = s.wiring.parts[k];
        const Part* behind = part_behind(s.link, part);
        if (!behind || !behind->is_gap() || part.side != Side::input) continue;
        step.lines.push_back(fmt::format(
            "{}: power off, meter on diode test, red on {} (anode), black on {} (cathode): about "
            "1 V of an infrared emitter; a white or blue one may be beyond the meter and only "
            "glow. "
            "The other way round nothing, unless another part lies beside it.",
            part.name, hole(s, s.plan.holes[k][0]), hole(s, s.plan.holes[k][1])));
    }
    step.lines.push_back(
        "An emitter the wrong way round gets its supply's voltage in reverse: turn it before power "
        "comes.");
    return step;
}

BuildStep first_use(const StepSources& s) {
    BuildStep step{.title = "First use", .lines = {}, .is_check = true};
    step.lines.push_back(fmt::format(
        "Both supplies, limited to {} on the input side and {} on the output side. The black lead "
        "stays on the return of the side that is measured: two earthed supplies, an earthed probe "
        "or one computer on both sides join what the gap keeps apart.",
        amperes(limit_above(most_current(s, Side::input))),
        amperes(limit_above(most_current(s, Side::output)))));
    for (std::size_t k = 0; k < s.link.promises.size() && k < s.proof.promises.size(); ++k) {
        const Promise& promise = s.link.promises[k];
        const PromiseResult& result = s.proof.promises[k];
        if (!promise.at_rest() || result.timed) continue;
        std::string where;
        if (promise.quantity == Promise::Quantity::voltage) {
            const auto first = [&](Node node) {
                const auto base =
                    std::ranges::find(s.wiring.nodes, promise.side, &WiringNode::side);
                const auto at = static_cast<std::size_t>(base - s.wiring.nodes.begin());
                const auto holes = holes_of(s, at + to_index(node), true);
                return holes.empty() ? std::string("?") : hole(s, holes.front());
            };
            where =
                fmt::format(", red on {}, black on {}", first(promise.plus), first(promise.minus));
        }
        const auto shown = [&](double value) {
            const bool nothing =
                result.dimension == Dimension::current && std::abs(value) < least_shown;
            return nothing ? std::string("nothing that a meter shows")
                           : engineering_short(value, result.dimension);
        };
        std::string bounds;
        if (promise.at_least) {
            bounds += fmt::format(", at least {}",
                                  engineering_short(*promise.at_least, result.dimension));
        }
        if (promise.at_most) {
            bounds +=
                fmt::format(", at most {}", engineering_short(*promise.at_most, result.dimension));
        }
        step.lines.push_back(fmt::format("{}: {}{}: about {}; promised{}.", result.state,
                                         result.quantity, where, shown(result.nominal),
                                         bounds.empty() ? "" : bounds.substr(1)));
    }
    return step;
}

}  // namespace gapwright::steps
