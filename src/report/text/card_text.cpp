// Cards, comparisons, findings and fits for a terminal.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "card/description.hpp"
#include "card/key.hpp"
#include "card/kind_words.hpp"
#include "card/part_kind.hpp"
#include "fit/card_check.hpp"
#include "fit/card_curves.hpp"
#include "fit/card_file.hpp"
#include "fit/card_fit.hpp"
#include "fit/observation.hpp"
#include "fit/pair_fit.hpp"
#include "proof/verdict.hpp"
#include "report/card_report.hpp"
#include "report/text/text_table.hpp"
#include "report/text/verdict_text.hpp"
#include "report/words/card_words.hpp"
#include "report/words/words.hpp"
#include "source/terminal_text.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

struct Group {
    std::string_view key;
    std::string_view title;
};
constexpr auto groups = std::to_array<Group>({{"", "Figures"},
                                              {"model", "Model"},
                                              {"emitter", "Emitter"},
                                              {"transfer", "Transfer"},
                                              {"receiver", "Receiver"},
                                              {"limits", "Limits"},
                                              {"insulation", "Insulation"},
                                              {"life", "Life"}});

std::string title_of(const NamedCard& card) {
    return card.card.name.empty() ? card.name : card.card.name;
}

std::string head(const NamedCard& card, bool colour) {
    std::string text =
        shown_heading(title_of(card), colour) +
        fmt::format("\n  {}, {}\n", in_one_line(card.name), spoken_kind(card.card.kind));
    if (!card.card.source.empty()) text += fmt::format("  {}\n", shown_prose(card.card.source));
    return text;
}

// Each curve at round settings, to read off without a ruler.
std::string curve_table(const CardChart& chart) {
    const bool one = chart.curves.size() == 1;
    const bool band = one && !chart.weakest.empty() && !chart.strongest.empty();
    // (what is weaker needs more volts: a forward curve's band is told by its voltage)
    const bool by_size = chart.set_upright;
    const auto value = [&](std::optional<double> v) {
        if (!v) return std::string();
        return chart.result().percent ? percent(*v, 3) : engineering(*v, chart.result().dimension);
    };
    Table table(std::vector<bool>(2 + chart.curves.size(), true), "  ");
    Table::Row names{chart.setting().words};
    for (const auto& curve : chart.curves) {
        names.push_back(curve.name.empty() ? chart.result().words : curve.name);
    }
    if (band) names.push_back(by_size ? "lowest … highest" : "weakest … strongest");
    table.add(names);
    for (const double reading : chart.readings) {
        Table::Row row{engineering_short(reading, chart.setting().dimension)};
        for (const auto& curve : chart.curves) row.push_back(value(read_at(chart, curve, reading)));
        if (band) {
            auto from = read_at(chart, chart.weakest.front(), reading);
            auto to = read_at(chart, chart.strongest.front(), reading);
            if (by_size && from > to) std::swap(from, to);
            row.push_back(from && to ? fmt::format("{} … {}", value(from), value(to)) : "");
        }
        table.add(row);
    }
    return table.text();
}

std::string finding_line(const CardFinding& finding, bool colour) {
    const auto sign = shown_verdict(finding.nonsense ? Verdict::broken : Verdict::thin, false);
    const std::string mark = sign.substr(0, sign.find(' '));
    std::string text = fmt::format("  {} {}{}\n", colour ? shown_heading(mark, true) : mark,
                                   finding.nonsense ? "cannot be: " : "doubtful: ", finding.text);
    if (!finding.remedy.empty()) text += fmt::format("    {}\n", finding.remedy);
    return text;
}

// Data sheets state what flows from collector to emitter, cards what the light's place leaks.
std::string_view remark(Kind kind, const KeyRule& key) {
    const bool amplified = find_key(kind_rule(kind), Key::gain) != nullptr;
    return amplified && key.key == Key::dark_current ? ", before the receiver's gain" : "";
}

// How far the points lie off the curves.
std::string misfit_words(const CardFit& fit) {
    if (fit.observations.size() == 1) return "one point cannot show how well the curve fits";
    const double share = 100 * fit.noise;
    const std::string size = share < 0.01 ? "less than 0.01"
                             : share < 10 ? fmt::format("{:.2g}", share)
                                          : fmt::format("{:.0f}", share);
    return fmt::format("the points lie {} % off the curves (root mean square)", size);
}

double difference(const Figure& a, const Figure& b) {
    return b.spread.nominal / a.spread.nominal - 1;
}

// The figures of a card, group by group.
std::string figures_text(const NamedCard& card, const TextStyle& style) {
    std::string text;
    const KindRule& rule = kind_rule(card.card.kind);
    for (const auto& group : groups) {
        Table table({false, false, false}, "  ");
        for (const auto& key : rule.keys) {
            if (key.group != group.key) continue;
            if (const auto word = card.card.choice(key.key, ""); !word.empty()) {
                table.add({spoken_key(key.key), word, ""});
            }
            const auto* figure = card.card.find(key.key);
            if (!figure) continue;
            std::string words = figure_words(key, *figure);
            words += remark(card.card.kind, key);
            table.add({spoken_key(key.key), words, figure->assumed ? "assumed" : ""});
        }
        if (!table.empty()) {
            text += "\n" + shown_heading(group.title, style.colour) + "\n" + table.text();
        }
    }
    return text;
}

// One half of a pair.
std::string half_text(std::string_view what, const Description& half, const TextStyle& style) {
    return "\n" + shown_heading(fmt::format("{}: {}", what, half.card), style.colour) +
           figures_text({half.card, half}, style);
}

}  // namespace

std::string card_text(const NamedCard& card, const TextStyle& style) {
    std::string text = head(card, style.colour) + figures_text(card, style);
    if (card.card.emitter) text += half_text("Its emitter", *card.card.emitter, style);
    if (card.card.receiver) text += half_text("Its receiver", *card.card.receiver, style);
    if (const auto charts = card_charts(card.card, {})) {
        for (const auto& chart : *charts) {
            text += "\n" + shown_heading(chart.title, style.colour) + "\n" + curve_table(chart);
        }
    }
    return text;
}

std::string comparison_text(const NamedCard& one, const NamedCard& other, const TextStyle& style) {
    std::string text = head(one, style.colour) + head(other, style.colour);
    Table differing({false, false, false, true}, "  ");
    Table same({false, false}, "  ");
    Table only({false, false, false}, "  ");
    differing.add({"", one.name, other.name, "difference"});
    only.add({"", one.name, other.name});
    bool any = false;
    bool any_only = false;
    for (const auto& key : kind_rule(one.card.kind).keys) {
        const auto* a = one.card.find(key.key);
        const auto* key_of_other = find_key(kind_rule(other.card.kind), key.key);
        const auto* b = key_of_other ? other.card.find(key.key) : nullptr;
        if (!a && !b) continue;
        const std::string name = spoken_key(key.key);
        if (a && b && figure_words(key, *a) == figure_words(key, *b)) {
            same.add({name, figure_words(key, *a)});
        } else if (a && b) {
            any = true;
            differing.add({name, figure_words(key, *a), figure_words(key, *b),
                           a->conditions == b->conditions && a->spread.nominal != 0
                               ? difference_words(difference(*a, *b))
                               : "stated elsewhere"});
        } else {
            any_only = true;
            only.add({name, a ? figure_words(key, *a) : "not stated",
                      b ? figure_words(key, *b) : "not stated"});
        }
    }
    if (any) text += "\n" + shown_heading("Differ", style.colour) + "\n" + differing.text();
    if (any_only) text += "\n" + shown_heading("Stated by one", style.colour) + "\n" + only.text();
    if (!same.empty()) text += "\n" + shown_heading("Alike", style.colour) + "\n" + same.text();
    return text;
}

std::string findings_text(const NamedCard& card, const std::vector<CardFinding>& findings,
                          const TextStyle& style) {
    std::string text = head(card, style.colour);
    if (findings.empty()) return text + "\n  ✓ nothing found that cannot be\n";
    text += "\n";
    for (const auto& finding : findings) text += finding_line(finding, style.colour);
    return text;
}

std::string fit_text(const CardFit& fit, const TextStyle& style) {
    const KindRule& rule = kind_rule(fit.card.kind);
    std::string text = shown_heading(
        fmt::format(
            "{} from {} measured value{}{}", spoken_kind(fit.card.kind), fit.observations.size(),
            fit.observations.size() == 1 ? "" : "s",
            fit.specimens.empty() ? "" : fmt::format(" of {} specimens", fit.specimens.size())),
        style.colour);
    text += "\n";
    Table told({false, false, false, false}, "  ");
    told.add({"", "fitted", "95 % interval", "specimens (99 of 100)"});
    std::string kept;
    for (const auto& figure : fit.figures) {
        const auto* key = find_key(rule, figure.key);
        if (figure.kept) {
            kept += fmt::format("  {}: {}\n", spoken_key(figure.key), kept_words(fit, figure));
            continue;
        }
        const Figure plain{.spread = exactly(figure.value),
                           .conditions = figure.conditions,
                           .place = fit.card.place};
        told.add({spoken_key(figure.key), figure_words(*key, plain),
                  fmt::format("{} … {}", key_value(*key, figure.lowest),
                              key_value(*key, figure.highest)),
                  figure.spread
                      ? fmt::format("{} … {}, {}", key_value(*key, figure.spread->lowest),
                                    key_value(*key, figure.spread->highest), figure.spread_from)
                      : "not known: one specimen says nothing of others"});
    }
    text += told.text();
    if (!kept.empty()) {
        text += "\n" + shown_heading("Not told by these points", style.colour) + "\n" + kept;
    }
    text += fmt::format("\n  {}\n", misfit_words(fit));
    for (const auto& doubt : fit.doubts) text += fmt::format("  ! {}\n", doubt);
    for (const std::size_t k : fit.strays) {
        const auto& o = fit.observations[k];
        text += fmt::format(
            "  ! far off, and hardly counted: point {}, {} {} where the curve has "
            "{}\n",
            o.point + 1, measured_words(o.measured),
            engineering(o.value, measured_dimension(o.measured)),
            engineering(fit.predicted[k], measured_dimension(o.measured)));
    }
    return text;
}

std::string pair_fit_text(const PairFit& fit, const TextStyle& style) {
    std::string text = shown_heading(
        fmt::format("Pair of {} and {}, {} apart", fit.pair.emitter.card, fit.pair.receiver.card,
                    engineering_short(fit.pair.distance, Dimension::length, 3)),
        style.colour);
    text += "\n" + fit_text(fit.receiver, style) + "\n";
    for (const auto& note : fit.notes) text += fmt::format("  ! {}\n", note);
    return text;
}

}  // namespace gapwright
