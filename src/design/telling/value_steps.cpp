#include "design/telling/value_steps.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <iterator>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include "card/key.hpp"
#include "circuit/link_point.hpp"
#include "design/design.hpp"
#include "design/judging/objections.hpp"
#include "design/values/aim.hpp"
#include "design/values/bounds.hpp"
#include "design/values/score.hpp"
#include "design/values/stock.hpp"
#include "design/values/value_problem.hpp"
#include "design/values/value_search.hpp"
#include "link/link_circuit.hpp"
#include "population/engine.hpp"
#include "population/specimen.hpp"
#include "proof/search/worst_case.hpp"
#include "proof/verdict.hpp"
#include "proof/worked_steps.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

constexpr std::size_t grid_points = 61;
constexpr double reach = 1000;  // of the curve, in ratios to the value taken
constexpr std::size_t fine_points = 13;
constexpr int fine_rounds = 3;

std::string ohms(double value) {
    return engineering_short(value, Dimension::resistance, 3);
}

// One resistor of a solved problem; the others stay as chosen.
struct Subject {
    const ValueProblem& problem;
    const SearchResult& found;
    std::size_t which;
    const EngineOptions& options;
    const Choice& taken;
    double lowest;  // Ω, of what is on offer
    double highest;
};

Subject subject_of(const ValueProblem& problem, const SearchResult& found, std::size_t which,
                   const EngineOptions& options) {
    const auto& choices = problem.stock().choices;
    return {problem,
            found,
            which,
            options,
            problem.choice(found.set, which),
            choices[problem.options(which).front()].value.nominal,
            choices[problem.options(which).back()].value.nominal};
}

std::string part_name(const Subject& s) {
    return s.problem.link().parts[s.problem.parts()[s.which]].name;
}

// The problem with these values on offer, of the tolerance and power of the value taken.
ValueProblem problem_along(const Subject& s, const std::vector<double>& values) {
    Stock stock;
    for (const double v : values) {
        Choice choice = s.taken;
        const double ratio = v / s.taken.value.nominal;
        choice.value = {v, s.taken.value.lowest * ratio, s.taken.value.highest * ratio};
        stock.choices.push_back(choice);
    }
    return s.problem.along(s.found.set, s.which, std::move(stock));
}

struct CurvePoint {
    double ohms = 0;
    Score score;
};

// The scores at these values in some scenarios.
std::vector<CurvePoint> points_at(const Subject& s, const std::vector<Scenario>& scenarios,
                                  const std::vector<double>& values) {
    const ValueProblem problem = problem_along(s, values);
    std::vector<ValueSet> sets;
    for (std::uint32_t k = 0; k < values.size(); ++k) sets.push_back(problem.set_along(s.which, k));
    EngineOptions quick = s.options;
    quick.lanes_only = true;
    const auto scores = problem.scores(sets, scenarios, {}, quick);
    std::vector<CurvePoint> points;
    for (std::size_t k = 0; k < values.size(); ++k) {
        // So far off that lanes do not settle: alone, in the scenarios that matter most, unless
        // those that did settle break already.
        constexpr std::size_t most = 4;
        const auto few = std::span(scenarios).first(std::min(most, scenarios.size()));
        points.push_back({values[k], scores[k].open && scores[k].reserve >= 0
                                         ? problem.scores({&sets[k], 1}, few, {}, s.options).front()
                                         : scores[k]});
    }
    return points;
}

// Scenarios of the worst case at these values join in.
std::vector<Scenario> with_worst_at(const Subject& s, std::vector<Scenario> scenarios,
                                    const std::vector<double>& values) {
    const ValueProblem problem = problem_along(s, values);
    for (std::uint32_t k = 0; k < values.size(); ++k) {
        const WorstScore worst =
            problem.worst(problem.set_along(s.which, k), s.options, Effort::quick);
        const std::size_t least = worst.score.bound;
        if (std::isfinite(worst.reserves[least])) {
            scenarios.insert(scenarios.begin(), worst.scenarios[least]);
        }
    }
    return scenarios;
}

std::vector<double> geometric(double from, double to, std::size_t points) {
    std::vector<double> values;
    for (std::size_t k = 0; k < points; ++k) {
        values.push_back(
            from * std::pow(to / from, static_cast<double>(k) / static_cast<double>(points - 1)));
    }
    return values;
}

const CurvePoint& top(const std::vector<CurvePoint>& points) {
    return *std::ranges::max_element(points, {},
                                     [](const CurvePoint& p) { return p.score.reserve; });
}

// The least reserve over the resistor's value, and what sets it.
struct ValueCurve {
    std::vector<Scenario> scenarios;
    std::vector<CurvePoint> points;
};

// The last value, going up or down from the one taken, with which everything holds; and what breaks
// beyond. Nothing where nothing breaks as far as there are values, or the one taken does.
struct End {
    double holds;
    double breaks;
    std::size_t bound;
};
std::optional<End> end_of(const Subject& s, const ValueCurve& curve, int way) {
    if (!(s.found.worst.score.reserve >= 0)) return std::nullopt;
    double holds = s.taken.value.nominal;
    CurvePoint breaks;
    // Goes through points away from the value taken; whether one of them breaks.
    const auto walk = [&](std::span<const CurvePoint> points) {
        for (const auto& p : points) {
            if (p.score.reserve < 0) {
                breaks = p;
                return true;
            }
            holds = p.ohms;
        }
        return false;
    };
    std::vector<CurvePoint> beyond;
    std::ranges::copy_if(curve.points, std::back_inserter(beyond), [&](const CurvePoint& p) {
        return way > 0 ? p.ohms > holds : p.ohms < holds;
    });
    if (way < 0) std::ranges::reverse(beyond);
    if (!walk(beyond)) return std::nullopt;
    for (int round = 0; round < fine_rounds; ++round) {
        walk(points_at(s, curve.scenarios, geometric(holds, breaks.ohms, fine_points)));
    }
    return End{holds, breaks.ohms, breaks.score.bound};
}

// First as the search knew it, then with what its own ends and top add.
ValueCurve curve_of(const Subject& s) {
    const double taken = s.taken.value.nominal;
    const auto grid = geometric(std::max(s.lowest, taken / reach),
                                std::min(s.highest, taken * reach), grid_points);
    const ValueCurve first{s.found.scenarios, points_at(s, s.found.scenarios, grid)};
    std::vector<double> ends = {top(first.points).ohms};
    for (const int way : {-1, 1}) {
        if (const auto end = end_of(s, first, way)) ends.push_back(end->holds);
    }
    auto scenarios = with_worst_at(s, first.scenarios, ends);
    auto points = points_at(s, scenarios, grid);
    return {std::move(scenarios), std::move(points)};
}

// Where the curve is highest.
struct Ideal {
    double ohms;
    double reserve;
    bool plateau;  // flat about the value taken: the bound that sets it does not depend on it
};

Ideal ideal_of(const Subject& s, const ValueCurve& curve) {
    double step = curve.points[1].ohms / curve.points[0].ohms;
    CurvePoint best = top(curve.points);
    for (int round = 0; round < fine_rounds; ++round) {
        best = top(points_at(s, curve.scenarios,
                             geometric(std::max(s.lowest, best.ohms / step),
                                       std::min(s.highest, best.ohms * step), fine_points)));
        step = std::pow(step, 2.0 / static_cast<double>(fine_points - 1));
    }
    const auto at_taken = points_at(s, curve.scenarios, {s.taken.value.nominal}).front();
    const bool plateau = best.score.reserve - at_taken.score.reserve < 2 * equal_reserves;
    return {best.ohms, best.score.reserve, plateau};
}

std::optional<ValueWindow> window_of(const Subject& s, const ValueCurve& curve) {
    if (!(s.found.worst.score.reserve >= 0)) return std::nullopt;
    ValueWindow window{.lowest = s.lowest,
                       .highest = s.highest,
                       .holds_from = s.lowest,
                       .holds_to = s.highest,
                       .open_below = true,
                       .open_above = true};
    if (const auto end = end_of(s, curve, -1)) {
        window.open_below = false;
        window.holds_from = end->holds;
        window.ends_below = bound_name(s.problem, end->bound);
    }
    if (const auto end = end_of(s, curve, 1)) {
        window.open_above = false;
        window.holds_to = end->holds;
        window.ends_above = bound_name(s.problem, end->bound);
    }
    return window;
}

// The pencil's sum at a value, the rest as chosen.
std::optional<ResistorSum> sum_at(const Subject& s, double value) {
    Link link = s.problem.link_with(s.found.set);
    const std::size_t part = s.problem.parts()[s.which];
    link.parts[part].description.figures[Key::value].spread = exactly(value);
    const auto circuit = build_circuit(link);
    if (!circuit) return std::nullopt;
    const Specimen specimen = nominal_specimen(*circuit, s.problem.ranges());
    const auto nominal = solve_link(circuit->circuit, specimen.values, specimen.conditions);
    if (!nominal) return std::nullopt;
    return resistor_sum(link, *circuit, *nominal, part);
}

std::vector<std::string> with_sum(std::vector<std::string> lines, const Subject& s, double value) {
    const auto sum = sum_at(s, value);
    if (!sum) return lines;
    lines.push_back(fmt::format("design current, in state {}: {}", sum->state,
                                engineering_short(sum->current, Dimension::current, 3)));
    lines.insert(lines.end(), sum->lines.begin(), sum->lines.end());
    return lines;
}

std::string why_least_current(const Subject& s) {
    return fmt::format(
        "of the values on offer that leave every asked reserve, those of the least current; the "
        "least reserve is then that of {}",
        bound_name(s.problem, s.found.worst.score.bound));
}

std::string why_first_choice() {
    return fmt::format(
        "of the values that keep every asked reserve: those with which most still holds with every "
        "spread {:.3g} times as wide, then those of good practice, of fewest parts, of least "
        "current",
        plenty_of_stretch);
}

std::string why_most_reserve(const Subject& s, const ValueCurve& curve, const Ideal& ideal) {
    const Score& score = s.found.worst.score;
    if (ideal.plateau) {
        return fmt::format(
            "the least reserve, {}, is set by {}: about {} it does not depend on {}; of the values "
            "that leave so much, the one with fewest parts, then least current",
            percent(score.reserve), bound_name(s.problem, score.bound), ohms(s.taken.value.nominal),
            part_name(s));
    }
    // What sets the least reserve a little below and a little above.
    constexpr double aside = 1.02;
    const auto sides = points_at(s, curve.scenarios, {ideal.ohms / aside, ideal.ohms * aside});
    const auto below = bound_name(s.problem, sides.front().score.bound);
    const auto above = bound_name(s.problem, sides.back().score.bound);
    if (sides.front().score.bound == sides.back().score.bound) {
        return fmt::format("{} sets the least reserve on both sides; it leaves most, {}, at {}",
                           below, percent(ideal.reserve), ohms(ideal.ohms));
    }
    return fmt::format(
        "a smaller {} brings {} nearer to its bound, a larger one {}; at {} both leave {}",
        part_name(s), below, above, ohms(ideal.ohms), percent(ideal.reserve));
}

// The single values next to the one taken, two on either side, and the nearest of all on offer.
std::vector<std::uint32_t> choices_around(const Subject& s) {
    const auto& options = s.problem.options(s.which);
    const auto& choices = s.problem.stock().choices;
    const auto here = static_cast<std::size_t>(
        std::ranges::lower_bound(options, s.found.set[s.which]) - options.begin());
    std::vector<std::uint32_t> near = {options[here]};
    constexpr int most_singles = 2;
    int singles = 0;
    for (std::size_t k = here; k-- > 0 && singles < most_singles;) {
        if (choices[options[k]].count > 1) continue;
        near.push_back(options[k]);
        ++singles;
    }
    singles = 0;
    for (std::size_t k = here + 1; k < options.size() && singles < most_singles; ++k) {
        if (choices[options[k]].count > 1) continue;
        near.push_back(options[k]);
        ++singles;
    }
    if (here > 0) near.push_back(options[here - 1]);
    if (here + 1 < options.size()) near.push_back(options[here + 1]);
    std::ranges::sort(near);
    const auto doubles = std::ranges::unique(near);
    near.erase(doubles.begin(), doubles.end());
    return near;
}

// What a set is worse in than the one taken, by the order of the search; empty where it is not.
std::string why_not(const Subject& s, const ValueSet& set, const WorstScore& worst) {
    constexpr std::int64_t noticed = 5;  // thousandths of a bound
    const Rank other = rank_of(worst.score);
    const Rank taken = rank_of(s.found.worst.score);
    if (other.missing > taken.missing + noticed) return "keeps less than is asked";
    if (other.want != taken.want) return other.want > taken.want ? "less stretch" : "";
    const auto practice = [&] {
        return practice_difference(s.problem, set, s.found.set, s.options);
    };
    if (other.practice != taken.practice) return other.practice > taken.practice ? practice() : "";
    if (other.parts != taken.parts) return other.parts > taken.parts ? "more parts" : "";
    if (other.fine_want != taken.fine_want) {
        return other.fine_want > taken.fine_want ? "less stretch" : "";
    }
    if (other.fine_practice != taken.fine_practice) {
        return other.fine_practice > taken.fine_practice ? practice() : "";
    }
    if (other.ordinary != taken.ordinary) {
        return other.ordinary > taken.ordinary ? "a less usual value" : "";
    }
    if (other.current != taken.current) return other.current > taken.current ? "more current" : "";
    return "as good";
}

std::vector<Alternative> around(const Subject& s, Aim aim) {
    std::vector<Alternative> list;
    for (const auto c : choices_around(s)) {
        ValueSet set = s.found.set;
        set[s.which] = c;
        if (!s.problem.in_stock(set)) continue;
        const Stock& stock = s.problem.stock();
        const bool taken = c == s.found.set[s.which];
        const std::string text = choice_text(stock, stock.choices[c]);
        if (!taken && text == choice_text(stock, s.taken)) continue;
        if (!list.empty() && list.back().text == text) continue;
        const WorstScore worst = taken ? s.found.worst : s.problem.worst(set, s.options);
        list.push_back({.text = text,
                        .ohms = stock.choices[c].value.nominal,
                        .reserve = worst.score.reserve,
                        .limited_by = bound_name(s.problem, worst.score.bound),
                        .taken = taken,
                        .why_not = taken || aim != Aim::first_choice ? std::string()
                                                                     : why_not(s, set, worst)});
    }
    return list;
}

}  // namespace

std::string bound_name(const ValueProblem& problem, std::size_t bound) {
    const Bound& b = problem.bounds().bounds[bound];
    const std::string state = problem.link().states[b.state].name;
    if (!b.is_promise) return fmt::format("{}, {}", b.subject, state);
    if (b.timed && b.dimension == Dimension::ratio) {
        return fmt::format("{} ≤ {}", b.subject, percent(b.value, 3));
    }
    if (b.timed) {
        return fmt::format("{} within {}, {}", b.subject, engineering_short(b.value, b.dimension),
                           state);
    }
    return fmt::format("{} {} {}, {}", b.subject, b.sense == Sense::at_least ? "≥" : "≤",
                       engineering_short(b.value, b.dimension), state);
}

ChosenValue explain_value(const ValueProblem& problem, const SearchResult& found, std::size_t which,
                          const EngineOptions& options, Aim aim, bool in_full) {
    const Subject s = subject_of(problem, found, which, options);
    const double taken = s.taken.value.nominal;
    ChosenValue value{.part = part_name(s),
                      .text = choice_text(problem.stock(), s.taken),
                      .joint = s.taken.joint,
                      .value = s.taken.value};
    value.ideal = taken;
    if (!in_full) {
        value.why = with_sum({}, s, taken);
        return value;
    }
    value.around = around(s, aim);
    if (!(s.lowest < s.highest)) {
        value.why = {fmt::format("{} is all there is", ohms(s.lowest))};
        return value;
    }
    const ValueCurve curve = curve_of(s);
    value.window = window_of(s, curve);
    if (aim == Aim::least_current) {
        value.why = with_sum({why_least_current(s)}, s, taken);
        return value;
    }
    if (aim == Aim::first_choice) {
        // Once is enough: it is the same of every value.
        value.why = with_sum(
            which == 0 ? std::vector{why_first_choice()} : std::vector<std::string>{}, s, taken);
        return value;
    }
    const Ideal ideal = ideal_of(s, curve);
    if (!ideal.plateau) value.ideal = ideal.ohms;
    value.why = with_sum({why_most_reserve(s, curve, ideal)}, s, value.ideal);
    return value;
}

}  // namespace gapwright
