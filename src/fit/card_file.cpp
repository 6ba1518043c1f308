#include "fit/card_file.hpp"

#include <fmt/format.h>

#include <array>
#include <cstddef>
#include <string>
#include <vector>

#include "card/description.hpp"
#include "card/key.hpp"
#include "card/kind_words.hpp"
#include "card/part_kind.hpp"
#include "card/points.hpp"
#include "card/receiver.hpp"
#include "fit/card_fit.hpp"
#include "fit/pair_fit.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

// One more than a card's own: the limits that a half's card states must not stand in for those that
// were measured.
std::string plain_line(Key key, const Figure& figure, Dimension dimension, Dimension at) {
    const auto text = [&](double value) { return figure_text(value, dimension); };
    return fmt::format("{} = \"{} ({} .. {}) at {}\"\n", key, text(figure.spread.nominal),
                       text(figure.spread.lowest), text(figure.spread.highest),
                       figure_text(figure.conditions[0], at));
}

// A basic string of TOML: quotes and control characters have no place in a name.
std::string quoted(std::string text) {
    for (char& c : text) {
        if (c == '"' || c == '\\' || static_cast<unsigned char>(c) < ' ' || c == 0x7f) c = ' ';
    }
    return '"' + text + '"';
}

bool is_percent(Key key) {
    return key == Key::ctr;
}

std::string shown(const FittedFigure& figure, double value) {
    return is_percent(figure.key) ? fmt::format("{:.4g} %", value * 100)
                                  : figure_text(value, figure.dimension);
}

// `always`: with its limits though they be the value itself.
std::string stated(const FittedFigure& figure, bool always = false) {
    std::string text = shown(figure, figure.value);
    const bool has_spread =
        figure.spread && (always || shown(figure, figure.spread->lowest) != text ||
                          shown(figure, figure.spread->highest) != text);
    if (has_spread) {
        text += fmt::format(" ({} .. {})", shown(figure, figure.spread->lowest),
                            shown(figure, figure.spread->highest));
    }
    constexpr std::array conditions_of_ctr = {Dimension::current, Dimension::voltage};
    for (std::size_t k = 0; k < figure.conditions.size(); ++k) {
        Dimension dimension = conditions_of_ctr[k];
        if (figure.key == Key::resistance) dimension = Dimension::illuminance;
        if (figure.key == Key::sensitivity) dimension = Dimension::irradiance;
        text += (k == 0 ? " at " : ", ") + figure_text(figure.conditions[k], dimension);
    }
    return text;
}

std::string figure_line(const CardFit& fit, const FittedFigure& figure, bool always = false) {
    if (figure.kept) return fmt::format("# {}: {}\n", figure.key, kept_words(fit, figure));
    std::string line = fmt::format("{} = \"{}\"", figure.key, stated(figure, always));
    line += fmt::format("  # {} … {} in 95 of 100 such fits", shown(figure, figure.lowest),
                        shown(figure, figure.highest));
    if (figure.spread) line += fmt::format("; spread {}", figure.spread_from);
    return line + "\n";
}

}  // namespace

std::string figure_text(double value, Dimension dimension) {
    if (dimension == Dimension::ratio) return fmt::format("{:.4g}", value);
    return engineering_short(value, dimension, 4);
}

std::string kept_words(const CardFit& fit, const FittedFigure& figure) {
    const auto* kept = fit.card.find(figure.key);
    return fmt::format(
        "the points cannot tell it: {}, {}",
        kept ? figure_text(kept->spread.nominal, figure.dimension) : shown(figure, figure.value),
        !kept || kept->assumed ? fmt::format("as assumed of any {}", spoken_kind(fit.card.kind))
                               : "as on the card it is based on");
}

std::string card_file_text(const CardFit& fit, const std::vector<MeasuredPoint>& points,
                           const CardFileHead& head) {
    std::string text = fmt::format("name = {}\n", quoted(head.name));
    text += head.based_on.empty()
                ? fmt::format("kind = {}\n", quoted(std::string(kind_rule(fit.card.kind).name)))
                : fmt::format("based_on = {}\n", quoted(head.based_on));
    text += fmt::format("source = {}\n", quoted(head.source));
    // What the kind needs and no point told.
    if (head.based_on.empty()) {
        for (const auto& key : kind_rule(fit.card.kind).keys) {
            const auto* figure = fit.card.find(key.key);
            const bool needed = key.needed || key.key == Key::forward || key.key == Key::gamma;
            if (!needed || !figure || !figure->assumed) continue;
            FittedFigure plain;
            plain.key = key.key;
            plain.dimension = key.dimension;
            plain.value = figure->spread.nominal;
            plain.conditions = figure->conditions;
            text +=
                fmt::format("{} = \"{}\"  # assumed: no point tells it\n", key.key, stated(plain));
        }
    }
    for (const auto* group : {"model", "emitter", "transfer", "receiver"}) {
        std::string lines;
        for (const auto& figure : fit.figures) {
            if (figure.group == group) lines += figure_line(fit, figure);
        }
        if (!lines.empty()) text += fmt::format("\n[{}]\n{}", group, lines);
    }
    return text + "\n" + points_toml(points);
}

std::string pair_file_text(const PairFit& fit, const std::vector<MeasuredPoint>& points,
                           const CardFileHead& head) {
    const Key intensity = receiver_rule(receiver_of(fit.receiver.card)).intensity;
    std::string text = fmt::format("name = {}\nkind = \"pair\"\nsource = {}\n", quoted(head.name),
                                   quoted(head.source));
    for (const auto& note : fit.notes) text += fmt::format("# {}\n", note);
    text += fmt::format("distance = \"{}\"\n", figure_text(fit.pair.distance, Dimension::length));
    if (!fit.several_distances) text += "over_distance = \"as built\"\n";
    const auto share = [](double value) { return fmt::format("{:.6g} %", value * 100); };
    if (const Spread& s = fit.shroud.spread; s.highest > 0) {
        text += fmt::format("shroud = \"{} ({} .. {})\"\n", share(s.nominal), share(s.lowest),
                            share(s.highest));
    }
    text += fmt::format("\n[emitter]\ncard = {}\n", quoted(fit.pair.emitter.card));
    const auto* key = find_key(kind_rule(fit.pair.emitter.description.kind), intensity);
    text += plain_line(intensity, fit.intensity, key->dimension, Dimension::current);
    text += fmt::format("\n[receiver]\ncard = {}\n", quoted(fit.pair.receiver.card));
    for (const auto& figure : fit.receiver.figures) {
        text += figure_line(fit.receiver, figure, true);
    }
    for (const Key each : {Key::gain, Key::second_gain}) {
        const auto* gain = fit.receiver.card.find(each);
        if (!gain || gain->spread.varies() || !fit.receiver.specimens.empty()) continue;
        text +=
            fmt::format("{} = \"{:.4g} ({:.4g} .. {:.4g})\"  # its spread is in the sensitivity\n",
                        each, gain->spread.nominal, gain->spread.lowest, gain->spread.highest);
    }
    if (fit.ambient_sensitivity) {
        text += plain_line(Key::ambient_sensitivity, *fit.ambient_sensitivity, Dimension::current,
                           Dimension::illuminance);
    }
    return text + "\n" + points_toml(points);
}

}  // namespace gapwright
