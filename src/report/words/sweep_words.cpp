#include "report/words/sweep_words.hpp"

#include <fmt/format.h>

#include <cmath>
#include <string>
#include <utility>

#include "instrument/output_guard.hpp"
#include "instrument/sweep.hpp"
#include "instrument/sweep_point.hpp"
#include "report/json/json_parts.hpp"
#include "report/json/ordered_json.hpp"
#include "report/text/text_table.hpp"
#include "report/words/words.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

// What a person looks at again about a point.
std::string note_of(const SweepPoint& point) {
    std::string note;
    if (!point.settled) note = "! not settled";
    if (point.current_from == CurrentFrom::setting) {
        if (!note.empty()) note += "; ";
        note += std::isfinite(point.current_uncertainty)
                    ? fmt::format("as set, ± {}", percent(point.current_uncertainty, 2))
                    : "as set, and nothing shows it";
    }
    return note;
}

Table table_of(const SweepResult& result, bool fed) {
    if (!fed) {
        Table table({true, true, true, false}, "  ");
        table.add({"set", "current", "voltage", ""});
        for (const auto& p : result.points) {
            table.add({engineering(p.set_current, Dimension::current),
                       engineering(p.current, Dimension::current, 4),
                       engineering(p.voltage, Dimension::voltage, 4), note_of(p)});
        }
        return table;
    }
    Table table({true, true, true, true, false}, "  ");
    table.add({"set", "current", "received", "voltage left", ""});
    for (const auto& p : result.points) {
        table.add({engineering(p.set_current, Dimension::current),
                   engineering(p.current, Dimension::current, 4),
                   engineering(p.received, Dimension::current, 4),
                   engineering(p.received_voltage, Dimension::voltage, 4), note_of(p)});
    }
    return table;
}

// What is not finite has no place in JSON.
Json finite(double value) {
    return std::isfinite(value) ? Json(value) : Json();
}

Json point_json(const SweepPoint& p, bool fed) {
    Json json = {{"set_current", p.set_current},
                 {"current", p.current},
                 {"current_from", std::string(current_from_name(p.current_from))},
                 {"current_uncertainty", finite(p.current_uncertainty)},
                 {"voltage", p.voltage}};
    if (fed) {
        json["received"] = p.received;
        json["received_voltage"] = p.received_voltage;
    }
    json["time"] = p.time;
    json["settled"] = p.settled;
    return json;
}

}  // namespace

std::string sweep_cautions(bool fed, bool apart) {
    return fmt::format(
        "Stay at the bench, with {} own switch within reach.\n"
        "Do not look into the part: infrared cannot be seen, and the eye does not close against "
        "it.\n"
        "Nothing else is connected to the part{}.\n",
        fed ? "both supplies'" : "the supply's",
        fed && apart ? ", and the two supplies have no wire in common" : "");
}

std::string simulated_words() {
    return "SIMULATED: no instrument is asked; the part is drawn from its card's spread\n";
}

std::string output_lines(const SweepResult& result) {
    std::string text = output_words(result.output) + "\n";
    if (result.feed_output) text += output_words(*result.feed_output, "the second supply") + "\n";
    return text;
}

std::string sweep_text(const SweepResult& result, const SweepTelling& telling, bool colour) {
    std::string text = telling.simulated ? simulated_words() : "";
    if (!result.supply_identity.empty()) {
        text += fmt::format("supply  {}\n", result.supply_identity);
    }
    if (!result.feed_identity.empty()) text += fmt::format("second  {}\n", result.feed_identity);
    if (!result.meter_identity.empty()) text += fmt::format("meter   {}\n", result.meter_identity);
    if (!result.points.empty()) {
        text += "\n" + shown_heading("Points", colour) + "\n";
        text += table_of(result, telling.fed).text();
    }
    if (!telling.remarks.empty()) text += "\n";
    for (const auto& remark : telling.remarks) text += fmt::format("  - {}\n", remark);
    text += fmt::format("\n  {}\n", output_words(result.output));
    if (result.feed_output) {
        text += fmt::format("  {}\n", output_words(*result.feed_output, "the second supply"));
    }
    return text;
}

std::string sweep_json(const SweepResult& result, const SweepTelling& telling) {
    Json points = Json::array();
    for (const auto& p : result.points) points.push_back(point_json(p, telling.fed));
    Json json = {{"simulated", telling.simulated},
                 {"end", std::string(end_name(result.end))},
                 {"message", result.message},
                 {"step", result.step},
                 {"output", std::string(output_name(result.output))},
                 {"output_may_be_on", result.output_may_be_on()},
                 {"supply", result.supply_identity},
                 {"meter", result.meter_identity}};
    if (result.feed_output) {
        json["second_supply"] = result.feed_identity;
        json["second_output"] = std::string(output_name(*result.feed_output));
    }
    json["latest_answer"] = result.latest_answer;
    json["remarks"] = telling.remarks;
    json["points"] = std::move(points);
    return text_of(json);
}

}  // namespace gapwright
