// `gapwright card fit`.
#include <fmt/format.h>

#include <cstddef>
#include <expected>
#include <optional>
#include <stop_token>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "app/card_command.hpp"
#include "app/card_points.hpp"
#include "app/card_settings.hpp"
#include "app/exit_status.hpp"
#include "app/outputs.hpp"
#include "app/terminal.hpp"
#include "card/card_reading.hpp"
#include "card/default_card.hpp"
#include "card/description.hpp"
#include "card/part_kind.hpp"
#include "card/points.hpp"
#include "card/sheet_limits.hpp"
#include "card/trade_words.hpp"
#include "fit/card_curves.hpp"
#include "fit/card_file.hpp"
#include "fit/card_fit.hpp"
#include "fit/specimen_charts.hpp"
#include "folder/output_file.hpp"
#include "report/card_report.hpp"
#include "source/diagnostics.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

constexpr std::string_view card_ending = ".card.toml";

// "1.1 .. 1.4 V", "1.1 .. 1.4 V at 20 mA", "≥ 50 %" …
TextExpected<StatedLimits> stated_limits(const KeyRule& key, std::string text) {
    if (const auto printed = sheet_limits(text, key.dimension, key.key)) {
        if (!*printed) return std::unexpected(printed->error());
        text = (*printed)->spread + (*printed)->conditions;
    }
    if (text.find(" at ") == std::string::npos) {
        const auto range = parse_spread(text, key.dimension);
        if (!range) return std::unexpected(range.error());
        return StatedLimits{.spread = *range};
    }
    const auto range = parse_spread_at(text, key.dimension, key.conditions);
    if (!range) return std::unexpected(range.error());
    return StatedLimits{.spread = range->spread, .conditions = range->conditions};
}

std::optional<Problems> read_limits(const std::vector<std::string>& limits, Kind kind,
                                    CardFitOptions& options) {
    for (const auto& text : limits) {
        const auto stated = stated_setting(text, "--limits", "--limits \"forward = 1.8 .. 2.3 V\"");
        if (!stated) return stated.error();
        const auto* key = find_named_key(kind_rule(kind), stated->first);
        if (!key) {
            std::vector<std::string> names;
            for (const auto& k : kind_rule(kind).keys) names.emplace_back(k.name());
            return option_problem(Cause::unknown_key,
                                  fmt::format("a {} has no figure \"{}\"{}", kind_rule(kind).name,
                                              stated->first, did_you_mean(stated->first, names)),
                                  "name a figure of the card, as card show lists them");
        }
        const auto range = stated_limits(*key, stated->second);
        if (!range) {
            return option_problem(range.error().cause,
                                  fmt::format("--limits \"{}\": {}", text, range.error().message),
                                  range.error().remedy);
        }
        options.limits[key->key] = *range;
    }
    return std::nullopt;
}

// Points, and what a fit of them begins with.
struct FitInput {
    std::vector<MeasuredPoint> points;
    Description base;
    std::string based_on;  // the card's name; empty for defaults of the kind
};

Expected<FitInput> read_input(const CardFitOptionsOfCommand& options) {
    FitInput input;
    const bool from_card = options.files.front().ends_with(card_ending);
    if (from_card && options.files.size() > 1) {
        return std::unexpected(option_problem(Cause::contradiction,
                                              "a card's points are fitted by themselves",
                                              "name one card, or several CSV files"));
    }
    if (from_card) {
        auto card = read_card(options.files.front());
        if (!card) return std::unexpected(card.error());
        input.points = std::move(card->points);
        input.base = std::move(card->card);
        input.based_on = card->name;
    }
    if (!from_card) {
        auto points = read_point_files(options.files);
        if (!points) return std::unexpected(points.error());
        input.points = std::move(*points);
    }
    if (!options.based_on.empty()) {
        auto card = read_card(options.based_on);
        if (!card) return std::unexpected(card.error());
        input.base = std::move(card->card);
        input.based_on = card->name;
        return input;
    }
    if (options.kind.empty() && from_card) return input;
    const auto kind = kind_named(options.kind);
    const auto base = kind ? default_card(kind->kind) : std::nullopt;
    if (!base) {
        const std::string meant = kind ? "" : kind_remedy(options.kind, KindPlace::option);
        return std::unexpected(option_problem(
            options.kind.empty() ? Cause::missing_key : Cause::unknown_name,
            options.kind.empty() ? "points alone do not say of what kind of part they are"
            : kind               ? fmt::format("a {} cannot begin with defaults", options.kind)
                                 : fmt::format("no part is of kind \"{}\"", options.kind),
            !meant.empty() ? meant
                           : "add --kind led, diode, coupler, phototransistor, \"light-dependent "
                             "resistor\" or pair, or --based-on CARD"));
    }
    input.base = *base;
    input.based_on.clear();
    return input;
}

std::string card_text_of(const CardFitOptionsOfCommand& options, const FitInput& input,
                         const CardFit& fit) {
    CardFileHead head{.name = options.name, .based_on = input.based_on, .source = options.source};
    if (head.name.empty()) head.name = card_name_of(options.output);
    if (head.source.empty()) head.source = source_of_points(options.files, input.points);
    return card_file_text(fit, input.points, head);
}

}  // namespace

ExitStatus run_card_fit(const CardFitOptionsOfCommand& options, const std::stop_token& stop) {
    const bool for_pair = !options.emitter.empty() || !options.receiver.empty();
    if (options.kind == kind_rule(Kind::pair).name || for_pair) return run_pair_fit(options, stop);
    const Outputs outputs{.files = {{"-o", options.output}},
                          .folders = options.pictures.named(),
                          .replace = options.replace,
                          .json = options.json};
    const bool names_a_card = !options.output.empty() && !outputs.take_stdout();
    if (names_a_card) {
        if (auto problems = refuse_card_name(options.output))
            return refuse(*problems, options.json);
    }
    auto input = read_input(options);
    if (!input) return refuse(input.error(), options.json);
    if (const auto refusal = refuse_outputs(outputs)) return *refusal;
    if (names_a_card && input->based_on == card_name_of(options.output)) {
        return refuse(
            option_problem(
                Cause::card_cycle,
                fmt::format("{} would be based on the card of the same name", options.output),
                "give it another name: what the base card states besides would be lost"),
            options.json);
    }
    if (auto problems = apply_at(options.at, input->points)) {
        return refuse(*problems, options.json);
    }
    CardFitOptions fit_options{.seed = options.seed};
    if (auto problems = read_limits(options.limits, input->base.kind, fit_options)) {
        return refuse(*problems, options.json);
    }
    std::expected<CardFit, CardFitFailure> fit;
    {
        ProgressLine line;
        fit_options.stop = stop;
        fit_options.progress = [&](std::size_t done, std::size_t of) {
            line.show(fmt::format("{} of {} specimens fitted; Ctrl-C stops", done, of));
        };
        fit = fit_card(input->base, input->points, fit_options);
    }
    if (!fit && !fit.error().problems.empty()) return refuse(fit.error().problems, options.json);
    if (!fit) return fail(fit.error().message, options.json);
    const std::string text =
        options.json ? fit_json(*fit) : fit_text(*fit, {.colour = wants_colour()});
    if (!write_answer(text, outputs)) return exit_failed;
    if (const std::string origins = origins_of(input->points); !origins.empty()) {
        tell("gapwright: the points say of themselves: {}\n", origins);
    }
    std::vector<OutputFile> files;
    if (!options.output.empty())
        add_file(files, options.output, card_text_of(options, *input, *fit));
    if (options.pictures.any()) {
        const NamedCard card{card_name_of(options.output), fit->card};
        const auto charts = card_charts(fit->card, fit->observations);
        if (!charts) return refuse(charts.error(), options.json);
        const auto specimens = specimen_charts(*fit);
        if (!specimens) return refuse(specimens.error(), options.json);
        auto pictures = fit_pictures(card, *fit, *charts);
        for (auto& picture : specimen_pictures(card, *specimens)) {
            pictures.push_back(std::move(picture));
        }
        if (!add_pictures(files, pictures, options.pictures)) return exit_failed;
    }
    if (const auto failed = write_files(files, outputs, stop)) return *failed;
    if (names_a_card) tell("gapwright: the card is written to {}\n", options.output);
    return exit_kept;
}

}  // namespace gapwright
