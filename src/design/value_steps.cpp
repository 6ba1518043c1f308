#include "design/value_steps.hpp"

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
#include "design/bounds.hpp"
#include "design/design.hpp"
#include "design/stock.hpp"
#include "design/value_problem.hpp"
#include "design/value_search.hpp"
#include "link/link_circuit.hpp"
#include "population/engine.hpp"
#include "population/specimen.hpp"
#include "proof/verdict.hpp"
#include "proof/worked_steps.hpp"
#include "proof/worst_case.hpp"
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

// One resistor's value, as a curve: the least reserve over it and what sets it.
class Curve {
  public:
    struct Point {
        double ohms = 0;
        Score score;
    };

    Curve(const ValueProblem& problem, const SearchResult& found, std::size_t which,
          const EngineOptions& options)
        : problem_(problem),
          set_(found.set),
          which_(which),
          options_(options),
          scenarios_(found.scenarios) {}

    // The scores at these values with the tolerance and power of the value taken.
    std::vector<Point> at(const std::vector<double>& values) const {
        const ValueProblem problem = along(values);
        std::vector<ValueSet> sets;
        for (std::uint32_t k = 0; k < values.size(); ++k) {
            sets.push_back(problem.set_along(which_, k));
        }
        EngineOptions quick = options_;
        quick.lanes_only = true;
        const auto scores = problem.scores(sets, scenarios_, {}, quick);
        std::vector<Point> points;
        for (std::size_t k = 0; k < values.size(); ++k) {
            // So far off that lanes do not settle: alone, in the scenarios that matter most, unless
            // those that did settle break already.
            constexpr std::size_t most = 4;
            const auto few = std::span(scenarios_).first(std::min(most, scenarios_.size()));
            points.push_back(
                {values[k], scores[k].open && scores[k].reserve >= 0
                                ? problem.scores({&sets[k], 1}, few, {}, options_).front()
                                : scores[k]});
        }
        return points;
    }

    // Scenarios of the worst case at these values join in.
    void learn(const std::vector<double>& values) {
        const ValueProblem problem = along(values);
        for (std::uint32_t k = 0; k < values.size(); ++k) {
            const WorstScore worst =
                problem.worst(problem.set_along(which_, k), options_, Effort::quick);
            const std::size_t least = worst.score.bound;
            if (std::isfinite(worst.reserves[least])) {
                scenarios_.insert(scenarios_.begin(), worst.scenarios[least]);
            }
        }
    }

  private:
    ValueProblem along(const std::vector<double>& values) const {
        const Choice& taken = problem_.choice(set_, which_);
        Stock stock;
        for (const double v : values) {
            Choice choice = taken;
            const double ratio = v / taken.value.nominal;
            choice.value = {v, taken.value.lowest * ratio, taken.value.highest * ratio};
            stock.choices.push_back(choice);
        }
        return problem_.along(set_, which_, std::move(stock));
    }

    const ValueProblem& problem_;
    const ValueSet& set_;
    std::size_t which_;
    const EngineOptions& options_;
    std::vector<Scenario> scenarios_;
};

std::vector<double> geometric(double from, double to, std::size_t points) {
    std::vector<double> values;
    for (std::size_t k = 0; k < points; ++k) {
        values.push_back(
            from * std::pow(to / from, static_cast<double>(k) / static_cast<double>(points - 1)));
    }
    return values;
}

class Explainer {
  public:
    Explainer(const ValueProblem& problem, const SearchResult& found, std::size_t which,
              const EngineOptions& options)
        : problem_(problem),
          found_(found),
          which_(which),
          options_(options),
          curve_(problem, found, which, options),
          taken_(problem.choice(found.set, which)) {
        const auto& choices = problem.stock().choices;
        lowest_ = choices[problem.options(which).front()].value.nominal;
        highest_ = choices[problem.options(which).back()].value.nominal;
    }

    ChosenValue explain(Aim aim, bool in_full) {
        ChosenValue value{.part = problem_.link().parts[problem_.parts()[which_]].name,
                          .text = choice_text(problem_.stock(), taken_),
                          .joint = taken_.joint,
                          .value = taken_.value};
        if (!in_full) {
            value.ideal = taken_.value.nominal;
            add_sum(taken_.value.nominal, value.why);
            return value;
        }
        if (lowest_ < highest_) {
            look();
            value.ideal = plateau_ ? taken_.value.nominal : ideal_;
            value.window = window();
            value.why = aim == Aim::least_current ? why_least_current() : why();
            if (aim == Aim::least_current) value.ideal = taken_.value.nominal;
        } else {
            value.ideal = taken_.value.nominal;
            value.why = {fmt::format("{} is all there is", ohms(lowest_))};
        }
        value.around = around();
        return value;
    }

  private:
    // The curve, first as the search knew it, then with what its own ends and top add.
    void look() {
        const double taken_ohms = taken_.value.nominal;
        const auto grid = geometric(std::max(lowest_, taken_ohms / reach),
                                    std::min(highest_, taken_ohms * reach), grid_points);
        points_ = curve_.at(grid);
        if (points_.empty()) return;
        std::vector<double> ends = {top(points_).ohms};
        for (const int way : {-1, 1}) {
            const auto end = end_of(way, found_.worst.score.reserve >= 0);
            if (end) ends.push_back(end->holds);
        }
        curve_.learn(ends);
        points_ = curve_.at(grid);
        find_ideal();
    }

    static const Curve::Point& top(const std::vector<Curve::Point>& points) {
        return *std::ranges::max_element(points, {},
                                         [](const Curve::Point& p) { return p.score.reserve; });
    }

    void find_ideal() {
        ideal_ = taken_.value.nominal;
        most_ = found_.worst.score.reserve;
        if (points_.size() < 2) return;
        double step = points_[1].ohms / points_[0].ohms;
        Curve::Point best = top(points_);
        for (int round = 0; round < fine_rounds; ++round) {
            const auto fine =
                curve_.at(geometric(std::max(lowest_, best.ohms / step),
                                    std::min(highest_, best.ohms * step), fine_points));
            if (fine.empty()) break;
            best = top(fine);
            step = std::pow(step, 2.0 / static_cast<double>(fine_points - 1));
        }
        ideal_ = best.ohms;
        most_ = best.score.reserve;
        // A top that is flat: the bound that sets it does not depend on this value.
        const auto at_taken = curve_.at({taken_.value.nominal});
        plateau_ = !at_taken.empty() && most_ - at_taken.front().score.reserve < 2 * equal_reserves;
    }

    // The last value, going up or down from the one taken, with which everything holds; and what
    // breaks beyond. Nothing where nothing breaks as far as there are values.
    struct End {
        double holds;
        double breaks;
        std::size_t bound;
    };
    std::optional<End> end_of(int way, bool taken_holds) const {
        if (!taken_holds) return std::nullopt;
        double holds = taken_.value.nominal;
        Curve::Point breaks;
        // Goes through points away from the value taken; whether one of them breaks.
        const auto walk = [&](std::span<const Curve::Point> points) {
            for (const auto& p : points) {
                if (p.score.reserve < 0) {
                    breaks = p;
                    return true;
                }
                holds = p.ohms;
            }
            return false;
        };
        std::vector<Curve::Point> beyond;
        std::ranges::copy_if(points_, std::back_inserter(beyond), [&](const Curve::Point& p) {
            return way > 0 ? p.ohms > holds : p.ohms < holds;
        });
        if (way < 0) std::ranges::reverse(beyond);
        if (!walk(beyond)) return std::nullopt;
        for (int round = 0; round < fine_rounds; ++round) {
            const auto fine = curve_.at(geometric(holds, breaks.ohms, fine_points));
            walk(fine);
        }
        return End{holds, breaks.ohms, breaks.score.bound};
    }

    std::optional<ValueWindow> window() const {
        if (!(found_.worst.score.reserve >= 0)) return std::nullopt;
        ValueWindow window{.lowest = lowest_,
                           .highest = highest_,
                           .holds_from = lowest_,
                           .holds_to = highest_,
                           .open_below = true,
                           .open_above = true};
        if (const auto end = end_of(-1, true)) {
            window.open_below = false;
            window.holds_from = end->holds;
            window.ends_below = bound_name(problem_, end->bound);
        }
        if (const auto end = end_of(1, true)) {
            window.open_above = false;
            window.holds_to = end->holds;
            window.ends_above = bound_name(problem_, end->bound);
        }
        return window;
    }

    // What sets the least reserve a little below and a little above a value.
    std::pair<std::size_t, std::size_t> sides_of(double value) const {
        constexpr double aside = 1.02;
        const auto points = curve_.at({value / aside, value * aside});
        if (points.empty()) return {found_.worst.score.bound, found_.worst.score.bound};
        return {points.front().score.bound, points.back().score.bound};
    }

    std::vector<std::string> why_least_current() const {
        std::vector<std::string> lines = {fmt::format(
            "of the values on offer that leave every asked reserve, those of the least current; "
            "the least reserve is then that of {}",
            bound_name(problem_, found_.worst.score.bound))};
        add_sum(taken_.value.nominal, lines);
        return lines;
    }

    std::vector<std::string> why() const {
        std::vector<std::string> lines;
        const std::string part = problem_.link().parts[problem_.parts()[which_]].name;
        const auto [below, above] = sides_of(ideal_);
        if (plateau_) {
            lines.push_back(fmt::format(
                "the least reserve, {}, is set by {}: about {} it does not depend on {}; of the "
                "values that leave so much, the one with fewest parts, then least current",
                percent(found_.worst.score.reserve), bound_name(problem_, found_.worst.score.bound),
                ohms(taken_.value.nominal), part));
        } else if (below == above) {
            lines.push_back(
                fmt::format("{} sets the least reserve on both sides; it leaves most, "
                            "{}, at {}",
                            bound_name(problem_, below), percent(most_), ohms(ideal_)));
        } else {
            lines.push_back(
                fmt::format("a smaller {} brings {} nearer to its bound, a larger one "
                            "{}; at {} both leave {}",
                            part, bound_name(problem_, below), bound_name(problem_, above),
                            ohms(ideal_), percent(most_)));
        }
        add_sum(plateau_ ? taken_.value.nominal : ideal_, lines);
        return lines;
    }

    void add_sum(double value, std::vector<std::string>& lines) const {
        const auto sum = sum_at(value);
        if (!sum) return;
        lines.push_back(fmt::format("design current, in state {}: {}", sum->state,
                                    engineering_short(sum->current, Dimension::current, 3)));
        lines.insert(lines.end(), sum->lines.begin(), sum->lines.end());
    }

    // The pencil's sum at a value, the rest as chosen.
    std::optional<ResistorSum> sum_at(double value) const {
        Link link = problem_.link_with(found_.set);
        const std::size_t part = problem_.parts()[which_];
        link.parts[part].description.figures[Key::value].spread = exactly(value);
        const auto circuit = build_circuit(link);
        if (!circuit) return std::nullopt;
        const Specimen specimen = nominal_specimen(*circuit, problem_.ranges());
        const auto nominal = solve_link(circuit->circuit, specimen.values, specimen.conditions);
        if (!nominal) return std::nullopt;
        return resistor_sum(link, *circuit, *nominal, part);
    }

    // The single values next to the one taken, two on either side, and the nearest of all on offer.
    std::vector<Alternative> around() const {
        const auto& options = problem_.options(which_);
        const auto& choices = problem_.stock().choices;
        const auto here = static_cast<std::size_t>(
            std::ranges::lower_bound(options, found_.set[which_]) - options.begin());
        std::vector<std::uint32_t> near = {options[here]};
        const auto add = [&](std::uint32_t c) {
            if (std::ranges::find(near, c) == near.end()) near.push_back(c);
        };
        constexpr int most_singles = 2;
        int singles = 0;
        for (std::size_t k = here; k-- > 0 && singles < most_singles;) {
            if (choices[options[k]].count > 1) continue;
            add(options[k]);
            ++singles;
        }
        singles = 0;
        for (std::size_t k = here + 1; k < options.size() && singles < most_singles; ++k) {
            if (choices[options[k]].count > 1) continue;
            add(options[k]);
            ++singles;
        }
        if (here > 0) add(options[here - 1]);
        if (here + 1 < options.size()) add(options[here + 1]);
        std::ranges::sort(near);
        std::vector<Alternative> list;
        for (const auto c : near) {
            ValueSet set = found_.set;
            set[which_] = c;
            if (!problem_.in_stock(set)) continue;
            const bool taken = c == found_.set[which_];
            const std::string text = choice_text(problem_.stock(), choices[c]);
            if (!taken && text == choice_text(problem_.stock(), taken_)) continue;
            if (!list.empty() && list.back().text == text) continue;
            const WorstScore worst = taken ? found_.worst : problem_.worst(set, options_);
            list.push_back({.text = text,
                            .ohms = choices[c].value.nominal,
                            .reserve = worst.score.reserve,
                            .limited_by = bound_name(problem_, worst.score.bound),
                            .taken = taken});
        }
        return list;
    }

    const ValueProblem& problem_;
    const SearchResult& found_;
    std::size_t which_;
    const EngineOptions& options_;
    Curve curve_;
    const Choice& taken_;
    double lowest_ = 0;
    double highest_ = 0;
    std::vector<Curve::Point> points_;
    double ideal_ = 0;
    double most_ = 0;
    bool plateau_ = false;
};

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
    return Explainer(problem, found, which, options).explain(aim, in_full);
}

}  // namespace gapwright
