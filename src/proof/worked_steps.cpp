#include "proof/worked_steps.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <iterator>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "circuit/index.hpp"
#include "circuit/link_point.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "proof/cautions/series_string.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"
#include "units/preferred.hpp"

namespace gapwright {
namespace {

constexpr double least_current = 1e-6;     // A: a string that carries less is not worked out
constexpr double unnoticed_share = 0.002;  // of the source: smaller drops are left out

std::string volts(double v) {
    return engineering_short(v, Dimension::voltage, 4);
}
std::string amperes(double i) {
    return engineering_short(i, Dimension::current, 4);
}
std::string ohms(double r) {
    return engineering_short(r, Dimension::resistance, 4);
}

// "R1 + R2", each as it is written.
template <class Written>
std::string sum_of(const std::vector<std::size_t>& parts, const Written& written) {
    std::string text;
    for (const auto k : parts) {
        if (!text.empty()) text += " + ";
        text += written(k);
    }
    return text;
}

std::vector<std::string> wanted_lines(const SolvedString& s) {
    const auto wanted = wanted_current(s);
    if (!wanted || s.current < 0) return {};
    const auto sum = series_resistance(source_of(s), drops_at(s, wanted->current, unnoticed_share),
                                       wanted->current);
    std::vector<std::string> lines = {
        fmt::format("for {}, {}:", amperes(wanted->current), wanted->why)};
    for (const auto& line : sum.lines) lines.push_back("  " + line);
    if (sum.resistance <= 0) return lines;
    const auto [below, above] = preferred_neighbours(sum.resistance, Series::e24);
    lines.push_back(below == above ? fmt::format("  {} is a value of E24", ohms(below))
                                   : fmt::format("  nearest values of E24: {} and {}", ohms(below),
                                                 ohms(above)));
    return lines;
}

// With so many of the small drops that the sum is that of the solved point, figure by figure.
SeriesSum solved_sum(const SolvedString& s, double resistance) {
    SeriesSum sum = {};
    for (const double share : {unnoticed_share, unnoticed_share / 30, 0.0}) {
        sum = series_resistance(source_of(s), solved_drops(s, share), std::abs(s.current));
        if (volts(sum.across) == volts(std::abs(s.current) * resistance)) break;
    }
    return sum;
}

std::vector<std::string> check_lines(const SolvedString& s, double resistance) {
    std::vector<std::string> lines = {"with the value used, at the solved point:",
                                      "  " + solved_sum(s, resistance).lines.front()};
    if (s.resistors.size() > 1) {
        const auto total = sum_of(s.resistors, [&](std::size_t k) {
            return ohms(s.link.parts[k].description.nominal(Key::value));
        });
        lines.push_back(fmt::format("  {} = {}", total, ohms(resistance)));
    }
    // The exact voltage over the resistors, not the difference of rounded drops.
    for (const auto& line : series_check(s.current * resistance, resistance).lines) {
        lines.push_back("  " + line);
    }
    return lines;
}

std::optional<WorkedSteps> steps_of(const Link& link, const LinkCircuit& circuit,
                                    const std::vector<StatePoint>& nominal,
                                    const SeriesString& string) {
    std::vector<std::size_t> resistors;
    double resistance = 0;
    for (const auto k : string.parts) {
        if (link.parts[k].description.kind != Kind::resistor) continue;
        resistors.push_back(k);
        resistance += link.parts[k].description.nominal(Key::value);
    }
    if (resistors.empty() || resistance <= 0) return std::nullopt;
    const auto solved = solved_string(link, circuit, nominal, string, resistors);
    if (std::abs(solved.current) < least_current) return std::nullopt;
    WorkedSteps steps{
        .state = link.states[solved.state].name,
        .resistors = sum_of(resistors, [&](std::size_t k) { return link.parts[k].name; }),
        .lines = wanted_lines(solved)};
    std::ranges::move(check_lines(solved, resistance), std::back_inserter(steps.lines));
    return steps;
}

}  // namespace

SeriesSum series_resistance(double source, const std::vector<Drop>& drops, double wanted_current) {
    SeriesSum sum{.across = source, .resistance = 0, .lines = {}};
    std::string line = volts(source);
    for (const auto& drop : drops) {
        sum.across -= drop.voltage;
        line += drop.voltage < 0 ? fmt::format(" + {} ({})", volts(-drop.voltage), drop.name)
                                 : fmt::format(" − {} ({})", volts(drop.voltage), drop.name);
    }
    sum.resistance = sum.across / wanted_current;
    sum.lines.push_back(drops.empty() ? fmt::format("{} over the resistor", line)
                                      : fmt::format("{} = {}", line, volts(sum.across)));
    if (sum.across <= 0) {
        sum.lines.push_back("the drops leave nothing for a resistor: this current cannot flow");
    } else {
        sum.lines.push_back(fmt::format("{} / {} = {}", volts(sum.across), amperes(wanted_current),
                                        ohms(sum.resistance)));
    }
    return sum;
}

SeriesCheck series_check(double across, double resistance) {
    SeriesCheck check{.current = across / resistance, .power = 0, .lines = {}};
    check.power = across * check.current;
    check.lines.push_back(
        fmt::format("{} / {} = {}", volts(across), ohms(resistance), amperes(check.current)));
    check.lines.push_back(fmt::format("{} · {} = {}", volts(across), amperes(check.current),
                                      engineering_short(check.power, Dimension::power, 4)));
    return check;
}

std::optional<ResistorSum> resistor_sum(const Link& link, const LinkCircuit& circuit,
                                        const std::vector<StatePoint>& nominal, std::size_t part) {
    for (const Side side : {Side::input, Side::output}) {
        for (const auto& string : strings_of(link, side)) {
            if (std::ranges::find(string.parts, part) == string.parts.end()) continue;
            const auto solved = solved_string(link, circuit, nominal, string, {part});
            if (solved.current < least_current) return std::nullopt;
            return ResistorSum{
                .state = link.states[solved.state].name,
                .current = solved.current,
                .lines = series_resistance(source_of(solved), solved_drops(solved, unnoticed_share),
                                           solved.current)
                             .lines};
        }
    }
    return std::nullopt;
}

std::vector<WorkedSteps> worked_steps(const Link& link, const LinkCircuit& circuit,
                                      const std::vector<StatePoint>& nominal) {
    std::vector<WorkedSteps> all;
    for (const Side side : {Side::input, Side::output}) {
        for (const auto& string : strings_of(link, side)) {
            auto steps = steps_of(link, circuit, nominal, string);
            if (steps) all.push_back(std::move(*steps));
        }
    }
    return all;
}

}  // namespace gapwright
