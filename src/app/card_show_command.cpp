// `gapwright card show`, `compare` and `check`.
#include <fmt/format.h>

#include <algorithm>
#include <string>
#include <utility>
#include <vector>

#include "app/card_command.hpp"
#include "app/exit_status.hpp"
#include "app/outputs.hpp"
#include "app/terminal.hpp"
#include "card/card_reading.hpp"
#include "card/part_kind.hpp"
#include "fit/card_check.hpp"
#include "fit/card_curves.hpp"
#include "fit/observation.hpp"
#include "folder/output_file.hpp"
#include "report/card_report.hpp"
#include "report/html/html_report.hpp"
#include "source/diagnostics.hpp"

namespace gapwright {
namespace {

NamedCard named(const CardFile& file) {
    return {file.name, file.card};
}

// What a card's own points say; points that say nothing of its kind are passed over here.
std::vector<Observation> observed(const CardFile& file) {
    if (file.points.empty() || !can_be_fitted(file.card.kind)) return {};
    auto found = observations_of(file.card.kind, file.points);
    return found ? std::move(*found) : std::vector<Observation>{};
}

Outputs outputs_of(const CardShowOptions& options) {
    return {.files = {},
            .folders = options.pictures.named(),
            .replace = options.replace,
            .json = options.json};
}

ExitStatus finish(const std::string& text, const std::vector<NamedPicture>& pictures,
                  const CardShowOptions& options) {
    const Outputs outputs = outputs_of(options);
    if (options.pictures.any() && pictures.empty()) {
        tell("gapwright: cards of this kind have no curves: no picture is written\n");
    }
    if (!write_answer(text, outputs)) return exit_failed;
    std::vector<OutputFile> files;
    if (!add_pictures(files, pictures, options.pictures)) return exit_failed;
    return write_files(files, outputs, {}).value_or(exit_kept);
}

}  // namespace

ExitStatus run_card_show(const CardShowOptions& options) {
    const auto file = read_card(options.card);
    if (!file) return refuse(file.error(), options.json);
    if (const auto refusal = refuse_outputs(outputs_of(options))) return *refusal;
    const NamedCard card = named(*file);
    const auto charts = card_charts(card.card, observed(*file));
    if (!charts) return refuse(charts.error(), options.json);
    const std::string text =
        options.json ? card_json(card) : card_text(card, {.colour = wants_colour()});
    return finish(text, chart_pictures(card, *charts), options);
}

ExitStatus run_card_compare(const CardShowOptions& options) {
    const auto one = read_card(options.card);
    if (!one) return refuse(one.error(), options.json);
    const auto other = read_card(options.other);
    if (!other) return refuse(other.error(), options.json);
    if (const auto refusal = refuse_outputs(outputs_of(options))) return *refusal;
    const NamedCard a = named(*one);
    const NamedCard b = named(*other);
    if (a.card.kind != b.card.kind) {
        Diagnostic unlike{.cause = Cause::contradiction, .place = {}, .message = {}, .remedy = {}};
        unlike.message =
            fmt::format("{} is a {}, {} a {}: their figures are not of the same kind", a.name,
                        kind_rule(a.card.kind).name, b.name, kind_rule(b.card.kind).name);
        unlike.remedy = "compare two cards of one kind";
        return refuse(only(std::move(unlike)), options.json);
    }
    const auto charts = card_charts(a.card, {});
    const auto other_charts = card_charts(b.card, {});
    if (!charts) return refuse(charts.error(), options.json);
    if (!other_charts) return refuse(other_charts.error(), options.json);
    const std::string text =
        options.json ? comparison_json(a, b) : comparison_text(a, b, {.colour = wants_colour()});
    return finish(text, chart_pictures(a, *charts, b, *other_charts), options);
}

ExitStatus run_card_check(const CardShowOptions& options) {
    const auto file = read_card(options.card);
    if (!file) return refuse(file.error(), options.json);
    const NamedCard card = named(*file);
    const auto findings = check_card(card.card, observed(*file));
    const std::string text = options.json
                                 ? findings_json(card, findings)
                                 : findings_text(card, findings, {.colour = wants_colour()});
    if (!write_answer(text, {.json = options.json})) return exit_failed;
    return std::ranges::any_of(findings, &CardFinding::nonsense) ? exit_broken : exit_kept;
}

}  // namespace gapwright
