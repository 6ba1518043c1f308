#include "report/text/analogue_text.hpp"

#include <fmt/format.h>
#include <string>

#include "circuit/index.hpp"
#include "report/json/json_parts.hpp"
#include "report/json/ordered_json.hpp"
#include "report/text/text_table.hpp"
#include "report/text/verdict_text.hpp"
#include "report/words/words.hpp"
#include "time/analogue.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"
#include "waveform/small_signal.hpp"

namespace gapwright {
namespace {

constexpr double least_told = 1e-6;  // of the fundamental

std::string drive_name(const Link& link) {
    const auto& drive = link.analogue->drive;
    return drive ? link.parts[*drive].name : "supply";
}

const std::string& output_name(const Link& link) {
    return link.output.node_names[to_index(link.analogue->output)];
}

std::string share_text(double share) {
    return share < least_told ? "< " + percent(least_told) : percent(share, 3);
}

Table::Row row_of(const std::string& name, const AnalogueBias& bias) {
    return {name,
            engineering(bias.drive, Dimension::voltage),
            engineering(bias.gain, Dimension::ratio) + " V/V",
            share_text(bias.harmonics.second),
            share_text(bias.harmonics.third),
            share_text(bias.harmonics.total)};
}

Json harmonics_json(const Harmonics& h) {
    return {{"second", h.second}, {"third", h.third}, {"total", h.total}};
}

}  // namespace

std::string analogue_text(const Link& link, const AnalogueAnswer& answer, const TextStyle& style) {
    const Analogue& stated = *link.analogue;
    std::string text =
        fmt::format("{}: analogue, {}\n", shown_title(link), link.states[stated.state].name);
    text += fmt::format("  nominal specimen; {} {} ± {} to {}\n", drive_name(link),
                        engineering_short(answer.present.drive, Dimension::voltage),
                        engineering_short(stated.swing, Dimension::voltage), output_name(link));
    text += fmt::format("  gain {} V/V at rest\n",
                        engineering(answer.present.gain, Dimension::ratio, 4));
    text +=
        answer.bandwidth
            ? fmt::format("  −3 dB at {}\n", engineering(*answer.bandwidth, Dimension::frequency))
            : fmt::format("  no fall by 3 dB up to {}\n",
                          engineering_short(highest_bandwidth, Dimension::frequency));
    text += "\n" + shown_heading("Harmonics at that swing", style.colour) + "\n";
    Table table({false, true, true, true, true, true});
    table.add({"", drive_name(link), "gain", "second", "third", "total"});
    table.add(row_of("now", answer.present));
    const bool better = answer.most_linear && answer.most_linear->drive != answer.present.drive;
    if (better) table.add(row_of("most linear", *answer.most_linear));
    text += table.text();
    text += "  at low frequency, where the link is always at rest\n";
    if (better) {
        text += "  limits of parts are not looked at: check the link with that drive\n";
    } else if (answer.most_linear) {
        text += fmt::format("  no {} nearby is more linear\n", drive_name(link));
    }
    return text;
}

std::string analogue_json(const Link& link, const AnalogueAnswer& answer) {
    const Analogue& stated = *link.analogue;
    Json best;
    if (answer.most_linear) {
        best = harmonics_json(answer.most_linear->harmonics);
        best["value"] = answer.most_linear->drive;
        best["gain"] = answer.most_linear->gain;
    }
    return text_of(Json{{"title", link.title},
                        {"state", link.states[stated.state].name},
                        {"drive", drive_name(link)},
                        {"bias", answer.present.drive},
                        {"swing", stated.swing},
                        {"output", output_name(link)},
                        {"gain", answer.present.gain},
                        {"bandwidth", optional_json(answer.bandwidth)},
                        {"harmonics", harmonics_json(answer.present.harmonics)},
                        {"best_bias", best}});
}

}  // namespace gapwright
