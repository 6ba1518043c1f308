#include <cmath>
#include <cstddef>
#include <string_view>
#include <vector>

#include "bench/meter/measurement.hpp"
#include "bench/reasoning/bench_verdict.hpp"
#include "bench/reasoning/fault_dictionary.hpp"
#include "bench/reasoning/isolation_check.hpp"
#include "bench/reasoning/next_measurement.hpp"
#include "bench/reasoning/reading_band.hpp"
#include "circuit/index.hpp"
#include "device/constants.hpp"
#include "link/link.hpp"
#include "link/meter.hpp"
#include "report/bench_report.hpp"
#include "report/json/json_parts.hpp"
#include "report/json/ordered_json.hpp"
#include "report/words/bench_points.hpp"
#include "report/words/bench_words.hpp"
#include "units/dimension.hpp"

namespace gapwright {
namespace {

Json number(double value) {
    return std::isinf(value) ? Json("over range") : Json(value);
}

std::string_view kind_word(MeasurementKind kind) {
    switch (kind) {
        case MeasurementKind::voltage:
            return "voltage";
        case MeasurementKind::current:
            return "current";
        case MeasurementKind::resistance:
            return "resistance";
        case MeasurementKind::junction:
            return "junction";
        case MeasurementKind::insulation:
            return "insulation";
        case MeasurementKind::isolation:
            break;
    }
    return "isolation";
}

Json measurement_json(const Measurement& m) {
    return {{"state", m.state},
            {"measure", m.measure},
            {"kind", kind_word(m.kind)},
            {"unit", dimension_unit(m.dimension())}};
}

// Whether the sides are apart, and where a way across ends.
Json isolation_json(const Link& link, const IsolationCheck& check) {
    Json across;
    if (check.across) {
        const auto names = [&](Side side, const std::vector<Node>& nodes) {
            Json list = Json::array();
            for (const Node node : nodes) list.push_back(node_word(link, side, node));
            return list;
        };
        across = {{"resistance", check.across->resistance},
                  {"input", names(Side::input, check.across->input)},
                  {"output", names(Side::output, check.across->output)}};
    }
    return {{"whole", check.whole}, {"across", across}};
}

void add_band(Json& object, const ReadingBand& band) {
    object["nominal"] = number(band.nominal);
    object["lowest"] = number(band.lowest);
    object["highest"] = number(band.highest);
    object["least"] = number(band.least);
    object["most"] = number(band.most);
}

Json point_json(const MeterPoint& point) {
    return {{"name", point.name}, {"pins", point.pins}, {"holes", point.holes}};
}

void add_leads(Json& object, const LeadPoints& leads) {
    object["plus"] = point_json(leads.red);
    object["minus"] = point_json(leads.black);
    object["opened"] = leads.opened.empty() ? Json() : Json(leads.opened);
}

Json texts_of(const FaultDictionary& dictionary, const std::vector<std::size_t>& suspects) {
    Json texts = Json::array();
    for (const std::size_t s : suspects) texts.push_back(suspect_text(dictionary, s));
    return texts;
}

Json sheet_json(const BenchAnswer& answer, const MeterPoints& points) {
    Json lines = Json::array();
    for (const auto& line : answer.sheet.lines) {
        const Measurement& m = answer.dictionary.measurements[line.measurement];
        Json object = measurement_json(m);
        add_band(object, line.band);
        add_leads(object, points.of(m));
        Json hints = Json::array();
        for (const auto& hint : line.hints) {
            hints.push_back({{"lowest", number(hint.lowest)},
                             {"highest", number(hint.highest)},
                             {"suspects", texts_of(answer.dictionary, hint.suspects)}});
        }
        object["hints"] = hints;
        lines.push_back(object);
    }
    return lines;
}

Json readings_json(const BenchAnswer& answer) {
    Json readings = Json::array();
    if (!answer.verdict) return readings;
    for (const auto& judged : answer.verdict->readings) {
        Json object = measurement_json(answer.dictionary.measurements[judged.reading.measurement]);
        object["value"] = number(judged.reading.value);
        object["judgement"] = judgement_word(judged.judgement);
        add_band(object, judged.band);
        readings.push_back(object);
    }
    return readings;
}

Json suspects_json(const BenchAnswer& answer) {
    Json suspects = Json::array();
    if (!answer.verdict) return suspects;
    for (const auto& s : answer.verdict->suspects) {
        suspects.push_back({{"text", s.text},
                            {"share", s.share},
                            {"explained", s.explained},
                            {"readings", s.readings},
                            {"alike", s.alike}});
    }
    return suspects;
}

Json next_json(const BenchAnswer& answer, const MeterPoints& points) {
    if (!answer.verdict || !answer.verdict->next) return {};
    const Proposal& next = *answer.verdict->next;
    const Measurement& m = answer.dictionary.measurements[next.measurement];
    Json object = measurement_json(m);
    add_band(object, answer.bands.at(next.measurement));
    add_leads(object, points.of(m));
    object["information"] = next.information;
    return object;
}

Json accuracy_json(const Accuracy& accuracy) {
    return {{"share", accuracy.share}, {"digits", accuracy.digits}};
}

Json meter_json(const Meter& meter) {
    return {{"voltage", accuracy_json(meter.voltage)},
            {"current", accuracy_json(meter.current)},
            {"resistance", accuracy_json(meter.resistance)},
            {"counts", meter.counts},
            {"input_resistance", meter.input_resistance},
            {"burden_voltage", meter.burden_voltage},
            {"test_voltage", meter.test_voltage},
            {"junction_voltage", meter.junction_voltage},
            {"junction_current", meter.junction_current}};
}

}  // namespace

std::string bench_json(const BenchAnswer& answer) {
    const MeterPoints points(answer.link, answer.holes);
    const auto& verdict = answer.verdict;
    return text_of(Json{
        {"title", answer.link.title},
        {"isolation", verdict ? isolation_json(answer.link, verdict->isolation) : Json()},
        {"again", verdict && verdict->again ? Json(again_words(answer)) : Json()},
        {"verdict", verdict ? Json(link_verdict_word(verdict->verdict)) : Json()},
        {"sheet", sheet_json(answer, points)},
        {"checks", answer.sheet.checks},
        {"unseen", texts_of(answer.dictionary, answer.sheet.unseen)},
        {"readings", readings_json(answer)},
        {"suspects", suspects_json(answer)},
        {"unexplained", verdict ? Json(verdict->unexplained) : Json()},
        {"two_faults", verdict && verdict->two_faults},
        {"next", next_json(answer, points)},
        {"cautions", bench_cautions(answer.link)},
        {"meter", meter_json(answer.dictionary.meter)},
        {"temperature",
         {answer.temperature.lowest - zero_celsius, answer.temperature.highest - zero_celsius}},
        {"age", answer.age},
        {"built", answer.built}});
}

}  // namespace gapwright
