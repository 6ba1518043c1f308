#include "fit/observation.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <expected>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "card/kind_words.hpp"
#include "card/part_kind.hpp"
#include "card/points.hpp"
#include "fit/fitted_law.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"
#include "units/dimension.hpp"

namespace gapwright {
namespace {

// Which column is measured on which kinds, at what it needs to be, and how well where no point says
// so (own choices: a hand-held meter; light and time are harder to set).
struct Rule {
    std::string_view column;
    Measured measured;
    std::vector<Kind> kinds;
    std::vector<std::string_view> at;
    double uncertainty;
};

const std::vector<Rule>& rules() {
    using K = Kind;
    using M = Measured;
    static const std::vector<Rule> all = {
        {"forward_voltage",
         M::forward_voltage,
         {K::diode, K::led, K::zener, K::coupler},
         {"forward_current"},
         0.003},
        {"ctr",
         M::collector_current,
         {K::coupler},
         {"forward_current", "collector_emitter_voltage"},
         0.02},
        {"relative_ctr",
         M::relative_ctr,
         {K::coupler},
         {"forward_current", "collector_emitter_voltage", "reference_current"},
         0.02},
        {"collector_current",
         M::collector_current,
         {K::coupler},
         {"forward_current", "collector_emitter_voltage"},
         0.02},
        {"collector_current",
         M::collector_current,
         {K::phototransistor},
         {"irradiance", "collector_emitter_voltage"},
         0.03},
        {"dark_current",
         M::dark_current,
         {K::coupler, K::phototransistor},
         {"collector_emitter_voltage"},
         0.1},
        {"resistance", M::resistance, {K::light_dependent_resistor}, {"illuminance"}, 0.05},
        {"rise_time",
         M::rise_time,
         {K::coupler},
         {"forward_current", "load_resistance", "supply_voltage"},
         0.05},
        {"fall_time",
         M::fall_time,
         {K::coupler},
         {"forward_current", "load_resistance", "supply_voltage"},
         0.05},
        {"rise_time",
         M::rise_time,
         {K::phototransistor},
         {"irradiance", "load_resistance", "supply_voltage"},
         0.05},
        {"fall_time",
         M::fall_time,
         {K::phototransistor},
         {"irradiance", "load_resistance", "supply_voltage"},
         0.05},
    };
    return all;
}

std::vector<const Rule*> rules_of(Kind kind) {
    std::vector<const Rule*> result;
    for (const auto& rule : rules()) {
        if (std::ranges::find(rule.kinds, kind) != rule.kinds.end()) result.push_back(&rule);
    }
    return result;
}

// An example of a header of points of a kind.
std::string example(Kind kind) {
    const Rule& rule = *rules_of(kind).front();
    std::vector<std::string_view> names = rule.at;
    names.push_back(rule.column);
    return fmt::format("{}", fmt::join(names, ","));
}

struct Setting {
    std::string_view column;
    double Observation::* where;
};
constexpr auto settings = std::to_array<Setting>({
    {"forward_current", &Observation::forward_current},
    {"reference_current", &Observation::reference_current},
    {"irradiance", &Observation::irradiance},
    {"illuminance", &Observation::illuminance},
    {"collector_emitter_voltage", &Observation::collector_emitter_voltage},
    {"supply_voltage", &Observation::supply_voltage},
    {"load_resistance", &Observation::load_resistance},
    {"temperature", &Observation::temperature},
});

void add(Problems& problems, Cause cause, const Place& place, std::string message,
         std::string remedy) {
    problems.push_back({.cause = cause,
                        .place = place,
                        .message = std::move(message),
                        .remedy = std::move(remedy)});
}

// What one point says by one rule.
void observe(const MeasuredPoint& point, std::size_t index, const Rule& rule,
             std::vector<Observation>& found, Problems& problems) {
    const double* measured = point.find(rule.column);
    if (!measured) return;
    Observation o{.measured = rule.measured};
    o.value = *measured;
    o.uncertainty = point.uncertainty.value_or(rule.uncertainty);
    o.uncertainty_given = point.uncertainty.has_value();
    o.point = index;
    o.shared_uncertainty = point.shared_uncertainty.value_or(0);
    o.curve = point.curve;
    o.specimen = point.specimen;
    for (const auto& needed : rule.at) {
        if (point.find(needed)) continue;
        add(problems, Cause::missing_key, point.place,
            fmt::format("{} says nothing without {}", rule.column, needed),
            fmt::format("add a column {}, or --at \"{} = …\" for all points", needed, needed));
        return;
    }
    for (const auto& setting : settings) {
        const double* value = point.find(setting.column);
        if (!value) continue;
        // (a covered cell has its resistance in the dark)
        const bool covered = rule.measured == Measured::resistance && *value == 0 &&
                             setting.where == &Observation::illuminance;
        if ((!(*value > 0) && !covered) || !std::isfinite(*value)) {
            add(problems, Cause::out_of_range, point.place,
                fmt::format("{} must be above zero", setting.column), "leave this point out");
            return;
        }
        o.*setting.where = *value;
    }
    if (rule.column == "ctr") {
        o.as_ctr = true;
        o.value *= o.forward_current;
    }
    if (!(o.value > 0) || !std::isfinite(o.value)) {
        add(problems, Cause::out_of_range, point.place,
            fmt::format("{} must be above zero", rule.column), "leave this point out");
        return;
    }
    found.push_back(std::move(o));
}

// The same thing wrong with many points is told at the first of them.
Problems told_once(const Problems& problems) {
    Problems once;
    std::vector<std::size_t> times;
    for (const auto& problem : problems) {
        const auto same = std::ranges::find(once, problem.message, &Diagnostic::message);
        if (same != once.end()) {
            ++times[static_cast<std::size_t>(same - once.begin())];
            continue;
        }
        once.push_back(problem);
        times.push_back(1);
    }
    for (std::size_t k = 0; k < once.size(); ++k) {
        if (times[k] > 1) once[k].message += fmt::format(", in {} points", times[k]);
    }
    return once;
}

}  // namespace

Expected<std::vector<Observation>> observations_of(Kind kind,
                                                   const std::vector<MeasuredPoint>& points) {
    Problems problems;
    std::vector<Observation> found;
    const auto usable = rules_of(kind);
    if (usable.empty()) {
        Diagnostic none{.cause = Cause::contradiction, .place = {}, .message = {}, .remedy = {}};
        none.message = fmt::format("points of {} cannot be fitted", with_article(kind));
        none.remedy =
            "diodes, LEDs, zener diodes (forward), couplers, phototransistors and "
            "light-dependent resistors can";
        return std::unexpected(only(std::move(none)));
    }
    for (std::size_t k = 0; k < points.size(); ++k) {
        const bool says = std::ranges::any_of(
            usable, [&](const Rule* rule) { return points[k].find(rule->column) != nullptr; });
        if (!says) {
            add(problems, Cause::missing_key, points[k].place,
                fmt::format("this point states nothing that is measured of {}", with_article(kind)),
                fmt::format("columns for example: {}", example(kind)));
            continue;
        }
        for (const Rule* rule : usable) observe(points[k], k, *rule, found, problems);
    }
    if (!problems.empty()) return std::unexpected(told_once(problems));
    // Points of one file are taken as of one chart.
    std::vector<const SourceText*> charts;
    for (auto& o : found) {
        const auto* text = points[o.point].place.text.get();
        const auto known = std::ranges::find(charts, text);
        o.chart = static_cast<std::size_t>(known - charts.begin());
        if (known == charts.end()) charts.push_back(text);
    }
    if (found.empty()) {
        Diagnostic none{.cause = Cause::missing_key, .place = {}, .message = {}, .remedy = {}};
        none.message = "there are no points to fit";
        none.remedy =
            fmt::format("write them as CSV, for example with the header {}", example(kind));
        return std::unexpected(only(std::move(none)));
    }
    return found;
}

std::string_view measured_words(Measured measured) {
    switch (measured) {
        case Measured::forward_voltage:
            return "forward voltage";
        case Measured::collector_current:
            return "collector current";
        case Measured::relative_ctr:
            return "normalised transfer ratio";
        case Measured::dark_current:
            return "dark current";
        case Measured::resistance:
            return "resistance";
        case Measured::rise_time:
            return "rise time";
        case Measured::fall_time:
            return "fall time";
    }
    return {};
}

Dimension measured_dimension(Measured measured) {
    switch (measured) {
        case Measured::forward_voltage:
            return Dimension::voltage;
        case Measured::collector_current:
        case Measured::dark_current:
            return Dimension::current;
        case Measured::resistance:
            return Dimension::resistance;
        case Measured::rise_time:
        case Measured::fall_time:
            return Dimension::time;
        case Measured::relative_ctr:
            break;
    }
    return Dimension::ratio;
}

bool can_be_fitted(Kind kind) {
    return fitted_law(kind).has_value();
}

}  // namespace gapwright
