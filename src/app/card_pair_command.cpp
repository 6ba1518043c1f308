// `gapwright card fit --kind pair`: a pair measured as it stands.
#include <fmt/format.h>

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
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "card/receiver.hpp"
#include "fit/card_file.hpp"
#include "fit/pair_fit.hpp"
#include "folder/output_file.hpp"
#include "report/card_report.hpp"
#include "source/diagnostics.hpp"
#include "units/dimension.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

// The card of one half. Error: one that is no such half.
Expected<PairHalf> half(std::string_view option, const std::string& name,
                        std::string_view example) {
    if (name.empty()) {
        return std::unexpected(option_problem(
            Cause::missing_key, fmt::format("of a pair {} is not stated", option),
            fmt::format("name its card, {} {}, or one that is like it: what was measured takes the "
                        "place of its light",
                        option, example)));
    }
    const auto file = read_card(name);
    if (!file) return std::unexpected(file.error());
    return PairHalf{file->name, file->card};
}

Expected<double> stated(std::string_view option, const std::string& text, Dimension dimension) {
    const auto value = parse_quantity(text, dimension);
    if (value) return *value;
    return std::unexpected(option_problem(
        value.error().cause, fmt::format("{} \"{}\": {}", option, text, value.error().message),
        value.error().remedy));
}

Expected<MeasuredPair> read_pair(const CardFitOptionsOfCommand& options) {
    auto emitter = half("--emitter", options.emitter, "white-lamp-led");
    if (!emitter) return std::unexpected(emitter.error());
    auto receiver = half("--receiver", options.receiver, "ldr-5mm");
    if (!receiver) return std::unexpected(receiver.error());
    const auto kind = receiver_of(receiver->description.kind);
    if (!kind || receiver->description.kind == Kind::coupler) {
        return std::unexpected(option_problem(
            Cause::contradiction, fmt::format("{} receives no light by itself", options.receiver),
            "the receiver of a pair is a phototransistor or a light-dependent resistor"));
    }
    const Key intensity = receiver_rule(*kind).intensity;
    if (emitter->description.kind != Kind::led || !emitter->description.find(intensity)) {
        return std::unexpected(option_problem(
            Cause::contradiction, fmt::format("{} states no {}", options.emitter, intensity),
            fmt::format("name an emitter with {} = \"{}\": it need not be exact", intensity,
                        receiver_rule(*kind).intensity_example)));
    }
    MeasuredPair pair{.emitter = std::move(*emitter), .receiver = std::move(*receiver)};
    if (!options.distance.empty()) {
        const auto distance = stated("--distance", options.distance, Dimension::length);
        if (!distance) return std::unexpected(distance.error());
        pair.distance = *distance;
    }
    if (!options.shroud.empty()) {
        const auto shroud = stated("--shroud", options.shroud, Dimension::ratio);
        if (!shroud) return std::unexpected(shroud.error());
        pair.shroud = *shroud;
    }
    if ((!options.distance.empty() && !(pair.distance > 0)) ||
        !(pair.shroud >= 0 && pair.shroud <= 1)) {
        return std::unexpected(option_problem(
            Cause::out_of_range, "a distance lies above zero, a shroud between 0 and 100 %",
            "write for example --distance \"8 mm\" --shroud \"97 %\""));
    }
    return pair;
}

// What only parts by themselves have.
std::optional<Problems> refuse_options(const CardFitOptionsOfCommand& options) {
    std::string_view unfit;
    if (!options.limits.empty()) unfit = "--limits";
    if (!options.based_on.empty()) unfit = "--based-on";
    if (options.pictures.any()) unfit = "pictures";
    if (!options.kind.empty() && options.kind != kind_rule(Kind::pair).name) unfit = "--kind";
    if (unfit.empty()) return std::nullopt;
    return option_problem(
        Cause::contradiction, fmt::format("{} and the halves of a pair do not go together", unfit),
        "a pair is fitted with --kind pair, --emitter, --receiver and --distance alone");
}

}  // namespace

ExitStatus run_pair_fit(const CardFitOptionsOfCommand& options, const std::stop_token& stop) {
    const Outputs outputs{.files = {{"-o", options.output}},
                          .folders = {},
                          .replace = options.replace,
                          .json = options.json};
    const bool names_a_card = !options.output.empty() && !outputs.take_stdout();
    if (auto problems = refuse_options(options)) return refuse(*problems, options.json);
    if (names_a_card) {
        if (auto problems = refuse_card_name(options.output))
            return refuse(*problems, options.json);
    }
    const auto pair = read_pair(options);
    if (!pair) return refuse(pair.error(), options.json);
    auto points = read_point_files(options.files);
    if (!points) return refuse(points.error(), options.json);
    if (const auto refusal = refuse_outputs(outputs)) return *refusal;
    if (auto problems = apply_at(options.at, *points)) return refuse(*problems, options.json);
    const auto fit = fit_pair(*pair, *points, {.seed = options.seed, .stop = stop});
    if (!fit && !fit.error().problems.empty()) return refuse(fit.error().problems, options.json);
    if (!fit) return fail(fit.error().message, options.json);
    const std::string text =
        options.json ? pair_fit_json(*fit) : pair_fit_text(*fit, {.colour = wants_colour()});
    if (!write_answer(text, outputs)) return exit_failed;
    std::vector<OutputFile> files;
    if (!options.output.empty()) {
        CardFileHead head{.name = options.name, .based_on = {}, .source = options.source};
        if (head.name.empty()) head.name = card_name_of(options.output);
        if (head.source.empty()) head.source = source_of_points(options.files, *points);
        add_file(files, options.output, pair_file_text(*fit, *points, head));
    }
    if (const auto failed = write_files(files, outputs, stop)) return *failed;
    if (names_a_card) tell("gapwright: the card is written to {}\n", options.output);
    return exit_kept;
}

}  // namespace gapwright
