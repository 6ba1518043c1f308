#include "report/words/sweep_words.hpp"

#include <fmt/format.h>
#include <string>
#include <utility>

#include "instrument/output_guard.hpp"
#include "instrument/sweep.hpp"
#include "report/json/json_parts.hpp"
#include "report/json/ordered_json.hpp"
#include "report/text/text_table.hpp"
#include "report/words/words.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"

namespace gapwright {

std::string sweep_cautions() {
    return "Stay at the bench, with the supply's own switch within reach.\n"
           "Do not look into the part: infrared cannot be seen, and the eye does not close against "
           "it.\n"
           "Nothing else is connected to the part.\n";
}

std::string sweep_text(const SweepResult& result, bool colour) {
    std::string text;
    if (!result.supply_identity.empty()) {
        text += fmt::format("supply  {}\n", result.supply_identity);
    }
    if (!result.meter_identity.empty()) text += fmt::format("meter   {}\n", result.meter_identity);
    if (!result.points.empty()) {
        text += "\n" + shown_heading("Points", colour) + "\n";
        Table table({true, true, true, false}, "  ");
        table.add({"set", "current", "voltage", ""});
        for (const auto& p : result.points) {
            table.add({engineering(p.set_current, Dimension::current),
                       engineering(p.current, Dimension::current, 4),
                       engineering(p.voltage, Dimension::voltage, 4),
                       p.settled ? "" : "! not settled"});
        }
        text += table.text();
    }
    return text + fmt::format("\n  {}\n", output_words(result.output));
}

std::string sweep_json(const SweepResult& result) {
    Json points = Json::array();
    for (const auto& p : result.points) {
        points.push_back({{"set_current", p.set_current},
                          {"current", p.current},
                          {"voltage", p.voltage},
                          {"time", p.time},
                          {"settled", p.settled}});
    }
    return text_of(Json{{"end", std::string(end_name(result.end))},
                        {"message", result.message},
                        {"step", result.step},
                        {"output", std::string(output_name(result.output))},
                        {"output_may_be_on", result.output_may_be_on()},
                        {"supply", result.supply_identity},
                        {"meter", result.meter_identity},
                        {"points", std::move(points)}});
}

}  // namespace gapwright
