// `gapwright card sweep`.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <expected>
#include <optional>
#include <stop_token>
#include <string>
#include <string_view>
#include <tuple>
#include <utility>
#include <vector>

#include "app/card_command.hpp"
#include "app/card_settings.hpp"
#include "app/exit_status.hpp"
#include "app/outputs.hpp"
#include "app/terminal.hpp"
#include "card/card_reading.hpp"
#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "card/points.hpp"
#include "fit/observation.hpp"
#include "fit/part_model.hpp"
#include "folder/output_file.hpp"
#include "instrument/address.hpp"
#include "instrument/channel.hpp"
#include "instrument/clock.hpp"
#include "instrument/command_table.hpp"
#include "instrument/output_guard.hpp"
#include "instrument/sweep.hpp"
#include "instrument/sweep_plan.hpp"
#include "report/words/sweep_words.hpp"
#include "source/diagnostics.hpp"
#include "source/toml_document.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"
#include "units/extra_low_voltage.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

// What an option states, or `otherwise` where it is not given; problems are added.
double stated(const std::string& text, std::string_view option, Dimension dimension,
              double otherwise, Problems& problems) {
    if (text.empty()) return otherwise;
    const auto value = parse_quantity(text, dimension);
    if (value) return *value;
    const auto problem = option_problem(
        value.error().cause, fmt::format("{} \"{}\": {}", option, text, value.error().message),
        value.error().remedy);
    problems.push_back(problem.front());
    return otherwise;
}

// The highest forward voltage that the card's model gives at a current, V.
std::optional<double> highest_forward(const Description& card, double current) {
    Description weakest = forward_at(card, 10e-3);
    if (const auto* forward = card.find(Key::forward)) {
        weakest = card;
        weakest.figures[Key::forward].spread = exactly(forward->spread.highest);
    }
    const auto model = part_model(weakest, {});
    if (!model) return std::nullopt;
    Observation o{.measured = Measured::forward_voltage};
    o.forward_current = current;
    double volts = 0;
    if (!(*model)->predict(o, {}, volts, {})) return std::nullopt;
    return volts;
}

Expected<SweepPlan> plan_of(const Description& card, const CardSweepOptions& options) {
    const bool junction = find_key(kind_rule(card.kind), Key::forward) != nullptr;
    const auto* most = card.find(Key::forward_current);
    if (!junction || !most) {
        return std::unexpected(option_problem(
            junction ? Cause::missing_key : Cause::contradiction,
            junction
                ? "the card states no forward_current: nothing says how much the part may have"
                : fmt::format("a {} has no forward voltage to sweep", kind_rule(card.kind).name),
            junction ? "add it under [limits], or name a card that states it"
                     : "name the card of an LED, a diode or a coupler"));
    }
    Problems problems;
    SweepPlan plan;
    plan.largest_current = most->spread.lowest;
    const double to =
        stated(options.to, "--to", Dimension::current, 0.5 * plan.largest_current, problems);
    const double from = stated(options.from, "--from", Dimension::current, to / 100, problems);
    plan.settle = stated(options.settle, "--settle", Dimension::time, plan.settle, problems);
    plan.rest = stated(options.rest, "--rest", Dimension::time, 0, problems);
    constexpr double margin = 1.25;  // own choice
    const double needed = highest_forward(card, to).value_or(0) * margin;
    plan.voltage_limit = stated(options.voltage_limit, "--voltage-limit", Dimension::voltage,
                                std::min(needed, extra_low_voltage), problems);
    if (!problems.empty()) return std::unexpected(std::move(problems));
    plan.largest_voltage = std::max(plan.voltage_limit, needed);
    const auto* power = card.find(Key::power);
    plan.largest_power =
        power ? power->spread.lowest
              : plan.largest_current * highest_forward(card, plan.largest_current).value_or(0);
    for (int k = 0; k < options.points; ++k) {
        const double share =
            options.points == 1 ? 1.0 : static_cast<double>(k) / (options.points - 1);
        plan.currents.push_back(k + 1 == options.points ? to : from * std::pow(to / from, share));
    }
    return plan;
}

// A forward voltage that no part of the card's kind has: another part, or a short, and perhaps
// other limits.
void ask_about_part(const Description& card, const SweepResult& result) {
    for (const auto& point : result.points) {
        const auto highest = highest_forward(card, point.current);
        if (!highest) return;
        constexpr double odd_below = 0.7;
        constexpr double odd_above = 1.3;
        const auto* forward = card.find(Key::forward);
        const double narrow = forward ? forward->spread.lowest / forward->spread.highest : 1.0;
        if (point.voltage >= odd_below * narrow * *highest &&
            point.voltage <= odd_above * *highest) {
            continue;
        }
        tell(
            "gapwright: {} at {} is not what the card has, about {}: another kind of part, or "
            "a short? Its limits are those of the card named\n",
            engineering(point.voltage, Dimension::voltage),
            engineering(point.current, Dimension::current),
            engineering(*highest, Dimension::voltage));
        return;
    }
}

// What to look at where an instrument could not be talked to.
std::string_view remedy_of(InstrumentFault fault) {
    switch (fault) {
        case InstrumentFault::refused:
            return "is it switched on, reachable, and does it listen for SCPI there?";
        case InstrumentFault::timeout:
        case InstrumentFault::wrong_answer:
        case InstrumentFault::told_error:
            return "are the addresses of supply and meter exchanged? If it speaks otherwise, see "
                   "--commands and docs/instruments.md";
        case InstrumentFault::closed:
        case InstrumentFault::too_long:
        case InstrumentFault::not_text:
        case InstrumentFault::interrupted:
        case InstrumentFault::implausible:
            break;
    }
    return {};
}

std::vector<MeasuredPoint> points_of(const SweepResult& result, const std::string& specimen) {
    std::vector<MeasuredPoint> points;
    for (const auto& p : result.points) {
        MeasuredPoint point;
        point.values["forward_current"] = p.current;
        point.values["forward_voltage"] = p.voltage;
        point.specimen = specimen;
        points.push_back(std::move(point));
    }
    return points;
}

}  // namespace

ExitStatus run_card_sweep(const CardSweepOptions& options, const std::stop_token& stop) {
    const Outputs outputs{.files = {{"-o", options.output}},
                          .folders = {},
                          .replace = options.replace,
                          .json = options.json};
    const auto file = read_card(options.card);
    if (!file) return refuse(file.error(), options.json);
    SweepInstruments instruments;
    for (const auto& [text, option, connect] :
         {std::tuple{&options.supply, "--supply", &instruments.supply},
          std::tuple{&options.meter, "--meter", &instruments.meter}}) {
        if (text->empty()) continue;
        const auto address = parse_address(*text);
        if (!address) {
            return refuse(
                option_problem(address.error().cause,
                               fmt::format("{} \"{}\": {}", option, *text, address.error().message),
                               address.error().remedy),
                options.json);
        }
        *connect = connector(*address);
    }
    if (!options.commands.empty()) {
        const auto text = read_file(options.commands);
        if (!text) return refuse(text.error(), options.json);
        auto table = read_command_table(*text);
        if (!table) return refuse(table.error(), options.json);
        instruments.table = std::move(*table);
    }
    const auto plan = plan_of(file->card, options);
    if (!plan) return refuse(plan.error(), options.json);
    if (const auto unfit = find_unfit(*plan); !unfit.empty()) {
        Problems problems;
        for (const auto& reason : unfit) {
            problems.push_back(
                option_problem(Cause::out_of_range, reason, "nothing was sent").front());
        }
        return refuse(problems, options.json);
    }
    if (const auto refusal = refuse_outputs(outputs)) return *refusal;
    if (!options.json) tell_text(sweep_cautions());
    SweepResult result;
    {
        ProgressLine line;
        SteadyClock clock;
        result = run_sweep(
            instruments, *plan, clock, stop,
            [&](const SweepPoint& point, std::size_t done, std::size_t all) {
                line.show(fmt::format("{} of {} points, {} at {}; Ctrl-C takes the output off",
                                      done, all, engineering(point.voltage, Dimension::voltage),
                                      engineering(point.current, Dimension::current)));
            });
    }
    // What is known of the output comes first and on its own, whatever else goes wrong.
    if (result.output_may_be_on()) tell("{}\n", output_words(result.output));
    const auto points = points_of(result, options.specimen);
    // The file before the words: what was measured is not to hang on who reads these.
    std::vector<OutputFile> files;
    if (!points.empty()) add_file(files, options.output, points_csv(points));
    const auto failed = write_files(files, outputs, stop);
    const bool told = write_answer(
        options.json ? sweep_json(result) : sweep_text(result, wants_colour()), outputs);
    if (failed) return *failed;
    if (!told) return exit_failed;
    if (!files.empty() && !outputs.take_stdout()) {
        tell("gapwright: {} of {} points are written to {}\n", points.size(), plan->currents.size(),
             options.output);
    }
    ask_about_part(file->card, result);
    if (result.end == SweepEnd::complete && !result.output_may_be_on()) return exit_kept;
    tell("gapwright: the sweep {}{}{}: {}\n",
         result.end == SweepEnd::stopped ? "was stopped" : "failed", result.step.empty() ? "" : " ",
         result.step, result.message);
    if (const auto hint = remedy_of(result.fault); !hint.empty() && result.points.empty()) {
        tell("  {}\n", hint);
    }
    return result.end == SweepEnd::refused ? exit_bad_input : exit_failed;
}

}  // namespace gapwright
