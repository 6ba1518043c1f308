#include "proof/assumed_figures.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <cstddef>
#include <functional>
#include <string>
#include <vector>

#include "circuit/index.hpp"
#include "link/link_circuit.hpp"
#include "population/engine.hpp"
#include "population/specimen.hpp"
#include "proof/case_of.hpp"
#include "proof/search_space.hpp"
#include "proof/worst_case.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

constexpr std::size_t most_named = 3;
constexpr double worth_naming = 0.1;  // of what the figure that matters most does

// One bound, and the coordinates that are assumed and move it.
class Settler {
  public:
    Settler(const LinkCircuit& circuit, const ConditionRanges& ranges, const Measurer& measurer,
            const BrokenBound& bound, Effort effort, const EngineOptions& options)
        : circuit_(circuit),
          ranges_(ranges),
          measurer_(measurer),
          bound_(bound),
          effort_(effort),
          options_(options),
          space_(circuit, ranges) {
        for (std::size_t k = 0; k < space_.size(); ++k) {
            if (space_.coordinates()[k].assumed && bound.effects[k] > 0) assumed_.push_back(k);
        }
    }

    std::string sentence() const {
        if (assumed_.empty()) return {};
        const Point usual = space_.nominal();
        auto found = worst_with(usual);
        if (!found.holds) {
            const Point others[] = {best_about(bound_.worst), best_about(found.at)};
            for (const auto& values : others) {
                found = worst_with(values);
                if (found.holds) break;
            }
        }
        return found.holds ? words(found.at, deciding(found.at)) : std::string();
    }

  private:
    struct Found {
        bool holds;
        Point at;  // the worst case of what is stated, with the assumed figures as they were set
    };

    std::vector<double> badness_of(const std::vector<Point>& points) const {
        const SpecimenSource source{.base = space_.base(),
                                    .count = points.size(),
                                    .write = [&](std::size_t k, SpecimenPlace& place) {
                                        space_.write(points[k], 1, place);
                                    }};
        const auto measured = measurer_.run(source, options_);
        std::vector<double> bad;
        for (std::size_t p = 0; p < points.size(); ++p) {
            bad.push_back(bound_.target.badness(measured.at(p, bound_.target.measure),
                                                space_.temperature_at(points[p])));
        }
        return bad;
    }

    // The worst case with the assumed figures at one point's values.
    Found worst_with(const Point& values) const {
        LinkCircuit fixed = circuit_;
        for (const auto k : assumed_) {
            const Coordinate& c = space_.coordinates()[k];
            fixed.parameters[to_index(c.slot)].spread = exactly(c.value(values[k]));
        }
        const auto worst =
            find_worst_cases(fixed, ranges_, measurer_, {bound_.target}, {}, options_, effort_);
        const Extreme& extreme = worst.extremes[0];
        const double bad =
            bound_.target.badness(extreme.value, extreme.specimen.conditions.temperature);
        Point at = space_.point_of(extreme.specimen);
        for (const auto k : assumed_) at[k] = values[k];
        return {worst.outcome.unsettled == 0 && bad <= bound_.limit, at};
    }

    // Each assumed figure where it alone makes a point least bad.
    Point best_about(const Point& from) const {
        constexpr std::size_t places = 3;
        std::vector<Point> points;
        for (const auto k : assumed_) {
            for (const double place : std::array<double, places>{0, space_.nominal()[k], 1}) {
                points.push_back(from);
                points.back()[k] = place;
            }
        }
        const auto bad = badness_of(points);
        Point best = from;
        for (std::size_t a = 0; a < assumed_.size(); ++a) {
            const auto first = bad.begin() + static_cast<std::ptrdiff_t>(places * a);
            const auto least = std::min_element(first, first + places);
            best[assumed_[a]] = points[static_cast<std::size_t>(least - bad.begin())][assumed_[a]];
        }
        return best;
    }

    // Of the assumed figures those that break it, set to what they are in its worst case, where all
    // else is as at `good`: the ones that do most first.
    std::vector<std::size_t> deciding(const Point& good) const {
        std::vector<Point> points = {good};
        for (const auto k : assumed_) {
            points.push_back(good);
            points.back()[k] = bound_.worst[k];
        }
        const auto bad = badness_of(points);
        struct One {
            std::size_t coordinate;
            double does;
        };
        std::vector<One> ones;
        for (std::size_t a = 0; a < assumed_.size(); ++a) {
            ones.push_back({assumed_[a], bad[a + 1] - bad[0]});
        }
        std::ranges::stable_sort(ones, std::ranges::greater{}, &One::does);
        std::vector<std::size_t> named;
        for (const auto& one : ones) {
            if (named.size() == most_named) break;
            if (!named.empty() && !(one.does > worth_naming * ones.front().does)) break;
            named.push_back(one.coordinate);
        }
        return named;
    }

    std::string words(const Point& good, const std::vector<std::size_t>& named) const {
        std::vector<std::string> names;
        std::vector<std::string> with;
        std::vector<std::string> without;
        for (const auto k : named) {
            const Coordinate& c = space_.coordinates()[k];
            std::string name = figure_name(circuit_, c);
            std::ranges::replace_if(name, [](char x) { return x == '.' || x == '_'; }, ' ');
            const Dimension dimension = circuit_.parameters[to_index(c.slot)].dimension;
            names.push_back(name);
            with.push_back(engineering_short(c.value(good[k]), dimension, 3));
            without.push_back(engineering_short(c.value(bound_.worst[k]), dimension, 3));
        }
        return fmt::format(
            "state {}: it holds with {}, not with {}, and parts of the kind have "
            "either",
            fmt::join(names, " and "), fmt::join(with, " and "), fmt::join(without, " and "));
    }

    const LinkCircuit& circuit_;
    const ConditionRanges& ranges_;
    const Measurer& measurer_;
    const BrokenBound& bound_;
    Effort effort_;
    const EngineOptions& options_;
    SearchSpace space_;
    std::vector<std::size_t> assumed_;
};

}  // namespace

std::string settling_figures(const LinkCircuit& circuit, const ConditionRanges& ranges,
                             const Measurer& measurer, const BrokenBound& bound, Effort effort,
                             const EngineOptions& options) {
    return Settler(circuit, ranges, measurer, bound, effort, options).sentence();
}

}  // namespace gapwright
