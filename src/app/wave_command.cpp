#include "app/wave_command.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cstddef>
#include <expected>
#include <optional>
#include <stop_token>
#include <string>
#include <utility>
#include <vector>

#include "app/exit_status.hpp"
#include "app/outputs.hpp"
#include "app/prove_file.hpp"
#include "app/terminal.hpp"
#include "card/part_kind.hpp"
#include "fit/link_cards.hpp"
#include "folder/output_file.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "population/engine.hpp"
#include "population/specimen.hpp"
#include "proof/prove.hpp"
#include "proof/timed/delay_study.hpp"
#include "proof/timed/value_sweep.hpp"
#include "proof/timed/wave_answer.hpp"
#include "report/pictures/wave_pictures.hpp"
#include "report/text/sweep_report.hpp"
#include "report/text/wave_text.hpp"
#include "source/diagnostics.hpp"
#include "units/dimension.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

ExitStatus refuse_option(const std::string& message) {
    tell("gapwright wave: {}\n", message);
    return exit_bad_input;
}

std::string trimmed(const std::string& text) {
    const auto first = text.find_first_not_of(' ');
    return first == std::string::npos ? ""
                                      : text.substr(first, text.find_last_not_of(' ') - first + 1);
}

std::string state_names(const Link& link) {
    std::string names;
    for (const auto& state : link.states) names += (names.empty() ? "" : ", ") + state.name;
    return names;
}

std::expected<std::size_t, std::string> state_named(const Link& link, const std::string& name) {
    if (const auto found = link.find_state(name)) return *found;
    return std::unexpected(
        fmt::format("no state is called \"{}\"; the link has {}", name, state_names(link)));
}

// What the options ask for, or what is wrong with them.
std::expected<WaveRequest, std::string> request_of(const WaveCommandOptions& options,
                                                   const Link& link) {
    WaveRequest request;
    if (!options.until.empty()) {
        const auto end = parse_quantity(options.until, Dimension::time);
        if (!end) {
            return std::unexpected(
                fmt::format("--until: {}; {}", end.error().message, end.error().remedy));
        }
        if (!(*end > 0)) {
            return std::unexpected("--until: a time above zero, for example \"20 µs\"");
        }
        request.end = *end;
    }
    if (options.signal) {
        request.kind = WaveRequest::Kind::signal;
        if (!link.signal) {
            return std::unexpected(
                "the link states no [signal]; write for example rate = \"9600 Bd\" below [signal]");
        }
        return request;
    }
    if (!options.disturbed.empty()) {
        request.kind = WaveRequest::Kind::disturbance;
        if (!link.disturbance) {
            return std::unexpected(
                "the link states no [disturbance]; write for example edge = \"500 V/µs\" and "
                "amplitude = \"24 V\" below [disturbance]");
        }
        const auto state = state_named(link, options.disturbed);
        if (!state) return std::unexpected(state.error());
        request.before = *state;
        return request;
    }
    if (link.states.size() < 2) {
        return std::unexpected(
            "nothing changes: the link has one state; declare another below "
            "[states]");
    }
    if (options.change.empty()) {
        const auto promised = std::ranges::find_if(
            link.promises, [](const Promise& promise) { return promise.before.has_value(); });
        if (promised != link.promises.end()) {
            request.before = *promised->before;
            request.after = promised->state;
        }
        return request;
    }
    const auto arrow = options.change.find('>');
    if (arrow == std::string::npos) {
        return std::unexpected(
            fmt::format("--change is two states with > between them, for example \"{} > {}\"",
                        link.states[0].name, link.states[1].name));
    }
    const auto before = state_named(link, trimmed(options.change.substr(0, arrow)));
    if (!before) return std::unexpected(before.error());
    const auto after = state_named(link, trimmed(options.change.substr(arrow + 1)));
    if (!after) return std::unexpected(after.error());
    if (*before == *after) return std::unexpected("--change: the two states are the same");
    request.before = *before;
    request.after = *after;
    return request;
}

Outputs outputs_of(const WaveCommandOptions& options) {
    return {.files = {{"--csv", options.csv}},
            .folders = options.pictures.named(),
            .replace = options.replace,
            .json = options.json};
}

// The resistors that a sweep may be of.
std::vector<std::string> resistors_of(const Link& link) {
    std::vector<std::string> names;
    for (const auto& part : link.parts) {
        if (part.description.kind == Kind::resistor) names.push_back(part.name);
    }
    return names;
}

ExitStatus run_sweep(const WaveCommandOptions& options, const Link& link,
                     const LinkCircuit& circuit, const std::stop_token& stop) {
    if (const auto names = resistors_of(link);
        std::ranges::find(names, options.sweep) == names.end()) {
        const std::string others =
            names.empty() ? "it has none" : fmt::format("it has {}", fmt::join(names, ", "));
        return refuse_option(fmt::format("--sweep: {} is no resistor of this link{}; {}",
                                         options.sweep, did_you_mean(options.sweep, names),
                                         others));
    }
    const Outputs outputs = outputs_of(options);
    std::expected<ValueSweep, ProofFailure> sweep;
    {
        ProgressLine line;
        EngineOptions engine;
        engine.stop = stop;
        line.show("following the link with other values; Ctrl-C stops");
        sweep = value_sweep(link, circuit, options.sweep, engine);
    }
    if (!sweep) return fail(sweep.error().message, options.json);
    const std::string text = options.json ? sweep_json(link, *sweep)
                                          : sweep_text(link, *sweep, {.colour = wants_colour()});
    if (!write_answer(text, outputs)) return exit_failed;
    std::vector<OutputFile> files;
    if (options.pictures.any() &&
        !add_pictures(files, sweep_pictures(link, *sweep), options.pictures)) {
        return exit_failed;
    }
    return write_files(files, outputs, stop).value_or(exit_kept);
}

}  // namespace

ExitStatus run_wave(const WaveCommandOptions& options, const std::stop_token& stop) {
    const auto temperature = temperature_option(options.temperature);
    if (!temperature) return refuse(temperature.error(), options.json);
    const auto read = read_solvable_link_file(options.file);
    if (!read) return refuse(read.error(), options.json);
    const auto& [link, circuit] = *read;
    const Outputs outputs = outputs_of(options);
    if (const auto refusal = refuse_outputs(outputs)) return *refusal;
    if (!options.sweep.empty()) return run_sweep(options, link, circuit, stop);
    auto request = request_of(options, link);
    if (!request) return refuse_option(request.error());
    request->temperature = *temperature;
    if (options.samples > 0 && request->kind != WaveRequest::Kind::change) {
        return refuse_option("--samples studies the delays of a change of state");
    }
    std::expected<WaveAnswer, ProofFailure> answer;
    std::optional<DelayStudy> study;
    bool cut_short = false;
    {
        ProgressLine line;
        request->engine.stop = stop;
        answer = wave_answer(link, circuit, *request);
        if (!answer) return fail(answer.error().message, options.json);
        if (options.samples > 0) {
            EngineOptions engine = request->engine;
            engine.progress = [&](std::size_t done) {
                line.show(
                    fmt::format("{} of {} specimens followed; Ctrl-C stops and tells what "
                                "there is",
                                done, options.samples));
            };
            ConditionRanges ranges = condition_ranges(link);
            if (request->temperature) ranges.temperature = exactly(*request->temperature);
            auto found =
                delay_study(circuit, ranges, answer->delays, options.samples, options.seed, engine);
            if (!found) return fail(found.error().message, options.json);
            cut_short = found->specimens < options.samples;
            study = std::move(*found);
        }
    }
    const std::string text = options.json
                                 ? wave_json(link, *answer, study)
                                 : wave_text(link, *answer, study, {.colour = wants_colour()});
    if (!write_answer(text, outputs)) return exit_failed;
    std::vector<OutputFile> files;
    add_file(files, options.csv, wave_csv(*answer));
    if (options.pictures.any() &&
        !add_pictures(files, wave_pictures(link, *answer), options.pictures)) {
        return exit_failed;
    }
    if (const auto failed = write_files(files, outputs, stop)) return *failed;
    if (cut_short) {
        tell("gapwright: stopped after {} of {} specimens: delays are of these\n", study->specimens,
             options.samples);
        return exit_failed;
    }
    return exit_kept;
}

}  // namespace gapwright
