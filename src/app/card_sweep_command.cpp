// `gapwright card sweep`.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <expected>
#include <memory>
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
#include "card/points.hpp"
#include "folder/output_file.hpp"
#include "instrument/address.hpp"
#include "instrument/channel.hpp"
#include "instrument/clock.hpp"
#include "instrument/command_table.hpp"
#include "instrument/sweep.hpp"
#include "instrument/sweep_plan.hpp"
#include "instrument/sweep_point.hpp"
#include "measuring/demo_bench.hpp"
#include "measuring/demo_part.hpp"
#include "measuring/swept_part.hpp"
#include "measuring/swept_points.hpp"
#include "report/words/sweep_words.hpp"
#include "source/diagnostics.hpp"
#include "source/toml_document.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

constexpr std::string_view demo_address = "demo";

void add_problem(const TextError& error, std::string_view option, const std::string& text,
                 Problems& problems) {
    problems.push_back(option_problem(error.cause,
                                      fmt::format("{} \"{}\": {}", option, text, error.message),
                                      error.remedy)
                           .front());
}

// What an option states, or nothing where it is not given; problems are added.
std::optional<double> stated(const std::string& text, std::string_view option, Dimension dimension,
                             Problems& problems) {
    if (text.empty()) return std::nullopt;
    const auto value = parse_quantity(text, dimension);
    if (value) return *value;
    add_problem(value.error(), option, text, problems);
    return std::nullopt;
}

// The options that state quantities, and flags.
Expected<SweepWishes> wishes_of(const CardSweepOptions& options) {
    Problems problems;
    const auto wish = [&](const std::string& text, std::string_view option, Dimension dimension) {
        return stated(text, option, dimension, problems);
    };
    SweepWishes wishes{
        .from = wish(options.from, "--from", Dimension::current),
        .to = wish(options.to, "--to", Dimension::current),
        .points = options.points,
        .voltage_limit = wish(options.voltage_limit, "--voltage-limit", Dimension::voltage),
        .feed_voltage = wish(options.feed_voltage, "--feed-voltage", Dimension::voltage)};
    if (!options.shunt.empty()) {
        const auto shunt = parse_spread(options.shunt, Dimension::resistance);
        if (shunt) {
            wishes.shunt = *shunt;
        } else {
            add_problem(shunt.error(), "--shunt", options.shunt, problems);
        }
    }
    wishes.has_meter = !options.meter.empty() || options.supply == demo_address;
    wishes.meter_in_series = options.ammeter;
    if (!problems.empty()) return std::unexpected(std::move(problems));
    return wishes;
}

Expected<SweptPart> swept_of(const Description& card, const CardSweepOptions& options) {
    const bool fed = !options.feed.empty();
    if (options.emitter.empty()) return swept_part(card, fed, options.reverse);
    Problems problems;
    const double distance =
        stated(options.distance, "--distance", Dimension::length, problems).value_or(0);
    if (!problems.empty()) return std::unexpected(std::move(problems));
    const auto emitter = read_card(options.emitter);
    if (!emitter) return std::unexpected(emitter.error());
    return swept_receiver(card, emitter->card, emitter->name, distance, fed);
}

Expected<SweepPlan> plan_of(const SweptPart& swept, const CardSweepOptions& options) {
    const auto wishes = wishes_of(options);
    if (!wishes) return std::unexpected(wishes.error());
    auto plan = plan_for(swept, *wishes);
    if (!plan) return plan;
    Problems problems;
    const auto time = [&](const std::string& text, std::string_view option, double& into) {
        into = stated(text, option, Dimension::time, problems).value_or(into);
    };
    time(options.settle, "--settle", plan->settle);
    time(options.rest, "--rest", plan->rest);
    time(options.answer_time, "--answer-time", plan->patience.answer);
    for (const auto& reason : find_unfit(*plan)) {
        problems.push_back(option_problem(Cause::out_of_range, reason, "nothing was sent").front());
    }
    if (!problems.empty()) return std::unexpected(std::move(problems));
    return plan;
}

// A forward voltage that no part of the card's kind has: another part, or a short, and perhaps
// other limits.
void ask_about_part(const SweptPart& swept, const SweepResult& result) {
    if (swept.way != SweptWay::forward) return;
    for (const auto& point : result.points) {
        const auto highest = highest_voltage(swept, point.current);
        if (!highest) return;
        constexpr double odd_below = 0.7;
        constexpr double odd_above = 1.3;
        const auto* forward = swept.part.find(Key::forward);
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

// What to look at where an instrument could not be talked to, or did not do as it was told.
std::string remedy_of(const SweepResult& result) {
    const bool nothing_read = result.points.empty();
    switch (result.fault) {
        case InstrumentFault::refused:
            if (!nothing_read) return {};
            return "is it switched on, reachable, and does it listen for SCPI there?";
        case InstrumentFault::late:
            // Twice as long, in whole seconds: what was late once may be later again.
            return fmt::format("wait longer for answers: --answer-time \"{:.0f} s\"",
                               std::ceil(2 * result.latest_answer));
        case InstrumentFault::timeout:
        case InstrumentFault::wrong_answer:
        case InstrumentFault::told_error:
            if (!nothing_read) return {};
            return "are the addresses of supply and meter exchanged? If it speaks otherwise, see "
                   "--commands and docs/instruments.md";
        case InstrumentFault::implausible:
            if (!nothing_read || !(result.held_from > 0)) return {};
            return fmt::format("the supply sets currents in coarser steps: --from \"{}\"",
                               engineering_short(result.held_from, Dimension::current));
        case InstrumentFault::closed:
        case InstrumentFault::too_long:
        case InstrumentFault::not_text:
        case InstrumentFault::interrupted:
            break;
    }
    return {};
}

// The instruments of the options' addresses.
Expected<SweepInstruments> instruments_of(const CardSweepOptions& options) {
    SweepInstruments instruments;
    std::vector<Address> used;
    for (const auto& [text, option, connect] :
         {std::tuple{&options.supply, "--supply", &instruments.supply},
          std::tuple{&options.feed, "--feed", &instruments.feed},
          std::tuple{&options.meter, "--meter", &instruments.meter}}) {
        if (text->empty()) continue;
        if (*text == demo_address) {
            return std::unexpected(
                option_problem(Cause::contradiction,
                               fmt::format("{} is of the simulated bench, --supply is not", option),
                               "name --supply demo as well, or an address in its place"));
        }
        const auto address = parse_address(*text);
        if (!address) {
            Problems problems;
            add_problem(address.error(), option, *text, problems);
            return std::unexpected(std::move(problems));
        }
        // One supply cannot be set for two parts at a time.
        if (std::ranges::find(used, *address) != used.end()) {
            return std::unexpected(option_problem(
                Cause::contradiction,
                fmt::format("{} names an instrument that has another task already", option),
                "name a second instrument"));
        }
        used.push_back(*address);
        *connect = connector(*address);
    }
    if (!options.commands.empty()) {
        const auto text = read_file(options.commands);
        if (!text) return std::unexpected(text.error());
        auto table = read_command_table(*text);
        if (!table) return std::unexpected(table.error());
        instruments.table = std::move(*table);
    }
    return instruments;
}

// What a sweep is done with: instruments, or a bench that is only simulated.
struct SweepBench {
    SweepInstruments instruments;
    std::unique_ptr<DemoBench> demo;  // outlives what connects to it
    std::unique_ptr<Clock> clock;
};

Expected<SweepBench> bench_of(const CardSweepOptions& options, const SweptPart& swept,
                              const SweepPlan& plan) {
    if (options.supply != demo_address) {
        auto instruments = instruments_of(options);
        if (!instruments) return std::unexpected(instruments.error());
        return SweepBench{std::move(*instruments), nullptr, std::make_unique<SteadyClock>()};
    }
    for (const auto& [text, option] :
         {std::pair{&options.feed, "--feed"}, std::pair{&options.meter, "--meter"}}) {
        if (text->empty() || *text == demo_address) continue;
        return std::unexpected(option_problem(
            Cause::contradiction, fmt::format("--supply is simulated, {} is not", option),
            fmt::format("write {} demo", option)));
    }
    if (!options.commands.empty()) {
        return std::unexpected(option_problem(Cause::contradiction,
                                              "a simulated bench speaks the built-in commands",
                                              "leave out --commands"));
    }
    const std::uint64_t seed = demo_seed(options.specimen);
    auto part = DemoPart::of(swept, seed);
    if (!part) return std::unexpected(part.error());
    SweepBench bench{{},
                     std::make_unique<DemoBench>(std::move(*part), plan, seed),
                     std::make_unique<DemoClock>()};
    bench.instruments.supply = bench.demo->connect(DemoRole::supply);
    bench.instruments.feed = bench.demo->connect(DemoRole::feed);
    bench.instruments.meter = bench.demo->connect(DemoRole::meter);
    return bench;
}

SweepResult swept_with(const SweepBench& bench, const SweepPlan& plan,
                       const std::stop_token& stop) {
    ProgressLine line;
    return run_sweep(bench.instruments, plan, *bench.clock, stop,
                     [&](const SweepPoint& point, std::size_t done, std::size_t all) {
                         line.show(fmt::format(
                             "{} of {} points, {} at {}; Ctrl-C takes the output off", done, all,
                             plan.feed ? engineering(point.received, Dimension::current)
                                       : engineering(point.voltage, Dimension::voltage),
                             engineering(point.current, Dimension::current)));
                     });
}

// How it ended, where it is not complete; and what was slow.
ExitStatus tell_end(const SweepResult& result, const SweepPlan& plan) {
    if (result.latest_answer > 0 && result.fault != InstrumentFault::late) {
        tell(
            "gapwright: an answer came late, after {:.2g} s, and was asked for again; {:g} s are "
            "waited for: --answer-time\n",
            result.latest_answer, plan.patience.answer);
    }
    if (result.end == SweepEnd::complete && !result.output_may_be_on()) return exit_kept;
    tell("gapwright: the sweep {}{}{}: {}\n",
         result.end == SweepEnd::stopped ? "was stopped" : "failed", result.step.empty() ? "" : " ",
         result.step, result.message);
    if (const auto hint = remedy_of(result); !hint.empty()) tell("  {}\n", hint);
    return result.end == SweepEnd::refused ? exit_bad_input : exit_failed;
}

}  // namespace

ExitStatus run_card_sweep(const CardSweepOptions& options, const std::stop_token& stop) {
    const Outputs outputs{.files = {{"-o", options.output}},
                          .folders = {},
                          .replace = options.replace,
                          .json = options.json};
    const auto file = read_card(options.card);
    if (!file) return refuse(file.error(), options.json);
    const auto swept = swept_of(file->card, options);
    if (!swept) return refuse(swept.error(), options.json);
    const auto plan = plan_of(*swept, options);
    if (!plan) return refuse(plan.error(), options.json);
    const auto bench = bench_of(options, *swept, *plan);
    if (!bench) return refuse(bench.error(), options.json);
    if (const auto refusal = refuse_outputs(outputs)) return *refusal;
    const bool simulated = bench->demo != nullptr;
    if (!options.json) {
        tell_text(simulated ? simulated_words()
                            : sweep_cautions(plan->feed.has_value(), swept->way != SweptWay::gain));
    }
    const SweepResult result = swept_with(*bench, *plan, stop);
    // What is known of the outputs comes first and on its own, whatever else goes wrong.
    if (result.output_may_be_on()) tell_text(output_lines(result));
    auto points = swept_points(*swept, result, options.specimen, simulated);
    if (plan->shunt_assumed) {
        points.remarks.push_back(fmt::format(
            "nothing says how far the resistor may be off: ± {} are assumed; write for "
            "example --shunt \"{} ± 1 %\"",
            percent(usual_tolerance), engineering_short(plan->shunt, Dimension::resistance)));
    }
    const SweepTelling telling{
        .fed = plan->feed.has_value(), .simulated = simulated, .remarks = points.remarks};
    // The file before the words: what was measured is not to hang on who reads these.
    std::vector<OutputFile> files;
    if (!points.points.empty()) add_file(files, options.output, points_csv(points.points));
    const auto failed = write_files(files, outputs, stop);
    const bool told = write_answer(
        options.json ? sweep_json(result, telling) : sweep_text(result, telling, wants_colour()),
        outputs);
    if (failed) return *failed;
    if (!told) return exit_failed;
    if (!files.empty() && !outputs.take_stdout()) {
        tell("gapwright: {}{} point{} written to {}\n", points.points.size(),
             simulated ? " simulated" : "", points.points.size() == 1 ? " is" : "s are",
             options.output);
    }
    ask_about_part(*swept, result);
    return tell_end(result, *plan);
}

}  // namespace gapwright
