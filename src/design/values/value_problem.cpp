#include "design/values/value_problem.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <expected>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>
#include "card/description.hpp"
#include "card/key.hpp"
#include "circuit/index.hpp"
#include "design/values/bounds.hpp"
#include "design/values/practice.hpp"
#include "design/values/stock.hpp"
#include "design/values/timed_scores.hpp"
#include "link/figure_id.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "population/engine.hpp"
#include "population/specimen.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

// Values and power that stand in for those to be chosen while the circuit is built.
Link with_placeholders(const Link& link, const std::vector<std::size_t>& parts, double ohms) {
    Link filled = link;
    for (const auto k : parts) {
        Description& d = filled.parts[k].description;
        d.value_to_choose = false;
        d.figures[Key::value] = {
            .spread = exactly(ohms), .conditions = {}, .place = filled.parts[k].place};
        d.figures.try_emplace(Key::power,
                              Figure{.spread = exactly(1), .conditions = {}, .place = {}});
    }
    return filled;
}

}  // namespace

Expected<ValueProblem> ValueProblem::of(const Link& link, Stock stock) {
    ValueProblem problem;
    problem.stock_ = std::move(stock);
    for (std::size_t k = 0; k < link.parts.size(); ++k) {
        if (link.parts[k].description.value_to_choose) problem.parts_.push_back(k);
    }
    const auto fault = [&](Cause cause, const Place& place, std::string message,
                           std::string remedy) {
        return std::unexpected(only({.cause = cause,
                                     .place = place,
                                     .message = std::move(message),
                                     .remedy = std::move(remedy)}));
    };
    if (problem.parts_.size() > most_chosen) {
        return fault(Cause::too_large, link.parts[problem.parts_[most_chosen]].place,
                     fmt::format("{} resistors are to be chosen, more than the {} that are found "
                                 "together",
                                 problem.parts_.size(), most_chosen),
                     "state the values of some");
    }
    for (const auto part : problem.parts_) {
        const Description& d = link.parts[part].description;
        const auto* wanted = d.find(Key::power);
        std::vector<std::uint32_t> options;
        for (std::uint32_t c = 0; c < problem.stock_.choices.size(); ++c) {
            const auto& power = problem.stock_.choices[c].power;
            if (wanted && power && *power < wanted->spread.nominal * (1 - 1e-9)) continue;
            options.push_back(c);
        }
        if (options.empty()) {
            return fault(Cause::missing_key, link.parts[part].place,
                         problem.stock_.choices.empty()
                             ? fmt::format("{} holds no resistor, and {} is to be chosen",
                                           problem.stock_.name, link.parts[part].name)
                             : fmt::format("no resistor of {} has the power that {} states",
                                           problem.stock_.name, link.parts[part].name),
                         "add rows such as resistor,330 Ω,5 %,0.25 W,10,,");
        }
        problem.options_.push_back(std::move(options));
    }
    problem.counts_matter_ = std::ranges::any_of(problem.stock_.values,
                                                 [](const auto& v) { return v.count.has_value(); });

    constexpr double placeholder = 1000;
    problem.link_ =
        std::make_shared<const Link>(with_placeholders(link, problem.parts_, placeholder));
    auto circuit = build_circuit(*problem.link_);
    if (!circuit) return std::unexpected(circuit.error());
    problem.circuit_ = std::make_shared<const LinkCircuit>(std::move(*circuit));
    for (const auto part : problem.parts_) {
        problem.slots_.push_back(problem.circuit_->find(figure_of(part, Key::value)).value());
    }
    for (std::size_t k = 0; k < problem.circuit_->parameters.size(); ++k) {
        if (!problem.circuit_->parameters[k].spread.varies()) continue;
        problem.varied_.push_back(static_cast<Slot>(k));
    }
    problem.bounds_ = bounds_of(*problem.link_, *problem.circuit_, problem.parts_);
    problem.practice_ =
        practice_checks(*problem.link_, *problem.circuit_, problem.parts_, problem.bounds_);
    if (!problem.bounds_.timed.empty()) {
        problem.timed_ =
            std::make_shared<TimedScores>(problem.circuit_, problem.bounds_.timed, problem.slots_);
    }
    problem.ranges_ = condition_ranges(link);
    problem.space_.emplace(*problem.circuit_, problem.ranges_);
    problem.make_engine();
    return problem;
}

bool ValueProblem::in_stock(const ValueSet& set) const {
    return !counts_matter_ || gapwright::in_stock(stock_, std::span(set).first(count()));
}

std::optional<double> ValueProblem::rated(const Bound& bound, const ValueSet& set,
                                          std::span<const std::uint8_t> high) const {
    if (bound.level) {
        const std::uint8_t side = high[*bound.level];
        if (side == unknown_side || (side != 0) != bound.when_high) return std::nullopt;
    }
    if (bound.chosen) return choice(set, *bound.chosen).power;
    return bound.value;
}

ValueProblem ValueProblem::along(const ValueSet& set, std::size_t which, Stock stock) const {
    ValueProblem problem = *this;
    const auto offered = static_cast<std::uint32_t>(stock.choices.size());
    problem.options_.assign(count(), {});
    for (std::uint32_t c = 0; c < offered; ++c) problem.options_[which].push_back(c);
    for (std::size_t r = 0; r < count(); ++r) {
        if (r != which) problem.options_[r] = {static_cast<std::uint32_t>(stock.choices.size())};
        stock.choices.push_back(choice(set, r));
    }
    problem.stock_ = std::move(stock);
    problem.counts_matter_ = false;
    return problem;
}

ValueSet ValueProblem::set_along(std::size_t which, std::uint32_t choice_number) const {
    ValueSet set{};
    for (std::size_t r = 0; r < count(); ++r) {
        set[r] = r == which ? choice_number : options_[r].front();
    }
    return set;
}

Link ValueProblem::link_with(const ValueSet& set) const {
    Link link = *link_;
    for (std::size_t k = 0; k < count(); ++k) {
        Description& d = link.parts[parts_[k]].description;
        const Choice& chosen = choice(set, k);
        d.figures[Key::value].spread = chosen.value;
        if (chosen.power) {
            d.figures[Key::power].spread = exactly(*chosen.power);
        } else {
            d.figures.erase(Key::power);
        }
    }
    return link;
}

// Lanes are planned about one specimen; about some no plan is to be had (a string that is all but
// blocked), so a few values are tried.
void ValueProblem::make_engine() {
    struct Typical {
        double input;   // Ω
        double output;  // Ω
    };
    constexpr std::array<Typical, 5> typical = {
        {{470, 10e3}, {1e3, 1e3}, {470, 100e3}, {3.3e3, 3.3e3}, {100, 1e3}}};
    const auto figures = figure_ranges(*circuit_, ranges_);
    for (const auto& values : typical) {
        Specimen about = nominal_specimen(*circuit_, ranges_);
        for (std::size_t r = 0; r < count(); ++r) {
            about.set(slots_[r], link_->parts[parts_[r]].input ? values.input : values.output);
        }
        engine_ =
            std::make_shared<const Engine>(circuit_->circuit, bounds_.measures, about, figures);
        if (engine_->plan()) return;
    }
}

ValueProblem ValueProblem::about(const ValueSet& set) const {
    Specimen specimen = nominal_specimen(*circuit_, ranges_);
    for (std::size_t r = 0; r < count(); ++r) {
        specimen.set(slots_[r], choice(set, r).value.nominal);
    }
    ValueProblem problem = *this;
    auto engine = std::make_shared<const Engine>(circuit_->circuit, bounds_.measures, specimen,
                                                 figure_ranges(*circuit_, ranges_));
    if (engine->plan()) problem.engine_ = std::move(engine);
    return problem;
}

}  // namespace gapwright
