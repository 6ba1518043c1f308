#include "fit/pair_fit.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <expected>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "card/description.hpp"
#include "card/key.hpp"
#include "card/points.hpp"
#include "card/receiver.hpp"
#include "device/constants.hpp"
#include "device/figures.hpp"
#include "device/light.hpp"
#include "fit/card_fit.hpp"
#include "fit/observation.hpp"
#include "fit/part_model.hpp"
#include "source/diagnostics.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

constexpr double far_apart = 1.3;    // of two distances that tell a law; own choice
constexpr double voltmeter = 0.003;  // of a reading, and of the resistor behind it; own choices:
constexpr double resistor_error = 0.006;  // a hand-held meter's, ± 1 %
constexpr double tells_nothing = 2;       // a reading this uncertain, a share; own choice
constexpr double sunlight = 120e3;        // lx, the brightest sun (common practice: 100 klx)
constexpr double room_doubt = 1.5;  // of a room's light without a lux meter, a factor; own choice

// Points as the receiver alone would have them, and those taken in the room's light.
struct ReceiverPoints {
    std::vector<MeasuredPoint> lit;  // or covered
    std::vector<MeasuredPoint> room;
    std::size_t told_nothing = 0;  // left out: within the meter's error of the supply's voltage
    double brightest = 0;          // A, of the emitter
    double nearest = 0;            // m
    double farthest = 0;
};

Problems problem_at(const MeasuredPoint& point, Cause cause, std::string message,
                    std::string remedy) {
    return only({.cause = cause,
                 .place = point.place,
                 .message = std::move(message),
                 .remedy = std::move(remedy)});
}

// What the receiver's voltage behind a resistor says of it.
std::optional<Problems> resolve_divider(Receiver receiver, MeasuredPoint& point) {
    const double* across = point.find("receiver_voltage");
    if (!across) return std::nullopt;
    const double* supply = point.find("supply_voltage");
    const double* load = point.find("load_resistance");
    if (!supply || !load) {
        return problem_at(point, Cause::missing_key,
                          "receiver_voltage says nothing without supply_voltage and "
                          "load_resistance",
                          "add both columns, or --at \"load_resistance = 10 kΩ\" for all points");
    }
    const double current = (*supply - *across) / *load;
    if (!(*across > 0) || !(current > 0)) {
        return problem_at(
            point, Cause::out_of_range,
            "the receiver's voltage lies not between zero and the supply's",
            "measure across the receiver; leave this point out where no current flows");
    }
    switch (receiver) {
        case Receiver::light_dependent_resistor:
            point.values["resistance"] = *across / current;
            break;
        case Receiver::phototransistor:
            point.values["collector_current"] = current;
            point.values["collector_emitter_voltage"] = *across;
            break;
    }
    // A small difference of two voltages is known badly: that is so of a receiver in the dark.
    if (!point.uncertainty) {
        const double difference = std::hypot(*supply, *across) / (*supply - *across);
        const double share = receiver == Receiver::light_dependent_resistor
                                 ? std::hypot(difference, 1.0)
                                 : difference;
        point.uncertainty = std::hypot(voltmeter * share, resistor_error);
    }
    for (const char* used : {"receiver_voltage", "supply_voltage", "load_resistance"}) {
        point.values.erase(used);
    }
    return std::nullopt;
}

// The light at the receiver in the measure of the emitter's card, lx or W/m².
double light_of(const MeasuredPair& pair, const MeasuredPoint& point, double current) {
    const Description& emitter = pair.emitter.description;
    const Figure& stated =
        emitter.at(receiver_rule(receiver_of(pair.receiver.description)).intensity);
    const double* distance = point.find("distance");
    const double* temperature = point.find("temperature");
    const Beam<double> beam{
        .intensity = stated.spread.nominal / stated.conditions[0],
        .half_angle = emitter.nominal(Key::half_angle),
        .temperature_coefficient = emitter.nominal(Key::temperature_coefficient),
        .distance = distance ? *distance : pair.distance,
        .angle = 0,
        .shroud = 0};
    return beam_at_receiver(beam, current, temperature ? *temperature : reference_temperature, 1.0);
}

Expected<ReceiverPoints> receiver_points(const MeasuredPair& pair,
                                         const std::vector<MeasuredPoint>& points) {
    const Receiver receiver = receiver_of(pair.receiver.description);
    const bool resistor = receiver == Receiver::light_dependent_resistor;
    ReceiverPoints result;
    for (MeasuredPoint point : points) {
        if (auto problems = resolve_divider(receiver, point)) return std::unexpected(*problems);
        if (point.uncertainty.value_or(0) > tells_nothing) {
            ++result.told_nothing;
            continue;
        }
        const double* stated = point.find("forward_current");
        const double* room = point.find("illuminance");
        const bool in_room = room && *room > 0;
        if (!stated && !room) {
            return std::unexpected(
                problem_at(point, Cause::missing_key,
                           "a reading of a pair says nothing without forward_current",
                           "state the emitter's current; 0 where the receiver was covered"));
        }
        const double current = stated ? *stated : 0.0;
        if (in_room && *room > sunlight) {
            return std::unexpected(problem_at(point, Cause::out_of_range,
                                              "this room is brighter than the sun",
                                              "look at the unit: a room has 50 to 1000 lx"));
        }
        if (current > 0 && !point.find("distance") && !(pair.distance > 0)) {
            return std::unexpected(problem_at(point, Cause::missing_key,
                                              "how far apart the halves stood is not stated",
                                              "add --distance \"8 mm\", or a column distance"));
        }
        if (current > 0 && in_room) {
            return std::unexpected(problem_at(
                point, Cause::contradiction, "this reading was taken in two lights at once",
                "switch the emitter off for a reading in the room's light, or cover the pair"));
        }
        if (!(current >= 0)) {
            return std::unexpected(problem_at(point, Cause::out_of_range,
                                              "forward_current is below zero",
                                              "state it as a positive current"));
        }
        point.values.erase("forward_current");
        if (in_room) {
            result.room.push_back(std::move(point));
            continue;
        }
        point.values.erase("illuminance");
        if (current > 0) {
            const double* distance = point.find("distance");
            const double at = distance ? *distance : pair.distance;
            result.brightest = std::max(result.brightest, current);
            result.nearest = result.nearest > 0 ? std::min(result.nearest, at) : at;
            result.farthest = std::max(result.farthest, at);
            point.values[resistor ? "illuminance" : "irradiance"] = light_of(pair, point, current);
        } else if (resistor) {
            point.values["illuminance"] = 0;
        } else if (const auto dark = point.values.extract("collector_current"); !dark.empty()) {
            point.values["dark_current"] = dark.mapped();
        }
        point.values.erase("distance");
        result.lit.push_back(std::move(point));
    }
    if (!(result.farthest > 0)) {
        Diagnostic none{.cause = Cause::missing_key, .place = {}, .message = {}, .remedy = {}};
        none.message = "no reading was taken with the emitter on";
        none.remedy = "add one at a forward_current above zero";
        return std::unexpected(only(std::move(none)));
    }
    return result;
}

// The light, in the measure of the emitter's card, in which the fitted receiver shows the same;
// none where no light does.
std::optional<double> light_that_shows(const PartModel& model, Observation o) {
    const bool resistor = o.measured == Measured::resistance;
    double Observation::* const light =
        resistor ? &Observation::illuminance : &Observation::irradiance;
    const double wanted = o.value;
    double least = -14;  // decades
    double most = 10;
    const auto above = [&](double decades) -> std::optional<bool> {
        o.*light = std::pow(10.0, decades);
        double shown = 0;
        if (!model.predict(o, {}, shown, {})) return std::nullopt;
        return resistor ? shown < wanted : shown > wanted;  // more light than that
    };
    if (above(least).value_or(true) || !above(most).value_or(true)) return std::nullopt;
    for (int k = 0; k < 60; ++k) {
        const double middle = 0.5 * (least + most);
        const auto more = above(middle);
        if (!more) return std::nullopt;
        (*more ? most : least) = middle;
    }
    return std::pow(10.0, 0.5 * (least + most));
}

// Lux of the room for each unit of light in the measure of the emitter's card; the geometric middle
// of all such readings.
std::expected<double, CardFitFailure> room_measure(const Description& receiver,
                                                   const std::vector<MeasuredPoint>& room) {
    const bool resistor = receiver_of(receiver) == Receiver::light_dependent_resistor;
    const auto model = part_model(receiver, {});
    if (!model) return std::unexpected(CardFitFailure{model.error()});
    double sum = 0;
    for (MeasuredPoint point : room) {
        const double lux = *point.find("illuminance");
        // (which light it is does not matter here: it is looked for)
        if (!resistor) {
            point.values.erase("illuminance");
            point.values["irradiance"] = 1;
        }
        point.values.erase("distance");
        auto seen = observations_of(receiver.kind, {point});
        if (!seen) return std::unexpected(CardFitFailure{seen.error()});
        const auto light = light_that_shows(**model, seen->front());
        if (!light) {
            return std::unexpected(CardFitFailure{problem_at(
                point, Cause::contradiction,
                "no light makes this receiver show what was read in the room",
                "a receiver in light conducts better than a covered one: check the reading")});
        }
        sum += std::log(lux / *light);
    }
    return std::exp(sum / static_cast<double>(room.size()));
}

// A pair that was measured by itself: how far its figures lie is how well they are known.
void take_intervals(CardFit& fit) {
    if (!fit.specimens.empty()) return;
    for (auto& figure : fit.figures) {
        if (figure.kept) continue;
        figure.spread = Spread{figure.value, std::min(figure.lowest, figure.value),
                               std::max(figure.highest, figure.value)};
        figure.spread_from = "of the measurement";
        fit.card.figures.at(figure.key).spread = *figure.spread;
    }
    // Of a phototransistor the product of both was measured: its gain's spread is in that.
    for (const Key key : {Key::gain, Key::second_gain}) {
        const auto gain = fit.card.figures.find(key);
        if (gain != fit.card.figures.end()) {
            gain->second.spread = exactly(gain->second.spread.nominal);
        }
    }
}

// What the room's light does; `lux` of it do as much as one unit of the emitter's card.
void measure_by_room(PairFit& fit, double lux) {
    const Description& receiver = fit.receiver.card;
    switch (receiver_of(receiver)) {
        case Receiver::light_dependent_resistor: {
            // Less of the room's light came to it than would in the open: as it stands, the rest is
            // kept out. More: the emitter is weaker than its card has it.
            const double share = std::min(1.0, 1 / lux);
            const auto kept_out = [&](double factor) { return std::max(0.0, 1 - share * factor); };
            fit.shroud =
                Figure{.spread = {1 - share, kept_out(room_doubt), kept_out(1 / room_doubt)},
                       .conditions = {},
                       .place = receiver.place};
            const double weaker = std::min(1.0, lux);
            for (double* end : {&fit.intensity.spread.lowest, &fit.intensity.spread.nominal,
                                &fit.intensity.spread.highest}) {
                *end *= weaker;
            }
            for (auto& figure : fit.receiver.figures) {
                if (figure.key != Key::resistance) continue;
                figure.conditions[0] *= weaker;
                fit.receiver.card.figures.at(figure.key).conditions = figure.conditions;
            }
            break;
        }
        case Receiver::phototransistor: {
            const Figure& lit = receiver.at(Key::sensitivity);
            const double per_lux = lit.spread.nominal / lit.conditions[0] / lux;
            constexpr double at = 100;  // lx
            fit.ambient_sensitivity = Figure{
                .spread = {per_lux * at, per_lux * at / room_doubt, per_lux * at * room_doubt},
                .conditions = {at},
                .place = receiver.place};
            break;
        }
    }
}

// A receiver whose light has another measure than its card's: the limits of that are not its own.
Description without_limits_of_light(Description receiver) {
    for (const Key key : {Key::resistance, Key::sensitivity}) {
        const auto figure = receiver.figures.find(key);
        if (figure == receiver.figures.end()) continue;
        figure->second.spread = exactly(figure->second.spread.nominal);
    }
    return receiver;
}

// What is odd about the readings: a wrong unit, as a rule.
void add_oddities(const PairFit& fit, const ReceiverPoints& points, double lux,
                  std::vector<std::string>& notes) {
    const Description& emitter = fit.pair.emitter.description;
    const auto* most = emitter.find(Key::forward_current);
    if (most && points.brightest > most->spread.nominal) {
        notes.push_back(fmt::format(
            "{} is more than {} allows, {}: look at the unit of forward_current",
            engineering_short(points.brightest, Dimension::current, 3), fit.pair.emitter.card,
            engineering_short(most->spread.nominal, Dimension::current, 3)));
    }
    if (!fit.room_light) return;
    const MeasuredPoint at_most{
        .values = {{"forward_current", points.brightest}, {"distance", points.nearest}}};
    const double emitted = light_of(fit.pair, at_most, points.brightest) * lux;
    for (const MeasuredPoint& point : points.room) {
        if (*point.find("illuminance") < emitted) continue;
        notes.emplace_back(
            "in the room it showed more light than from its emitter: look at the unit of that "
            "reading, and whether the emitter was off");
        break;
    }
    if (fit.pair.shroud > 0 && !fit.ambient_sensitivity) {
        notes.emplace_back("the reading in the room tells what is kept out: --shroud is not taken");
    }
}

std::vector<std::string> notes_of(const PairFit& fit, const ReceiverPoints& points, double lux) {
    std::vector<std::string> notes;
    if (fit.receiver.specimens.empty()) {
        notes.emplace_back(
            "the card is of this very pair: its limits are how well it is known, and say nothing "
            "of "
            "another pair of such parts");
    }
    if (!fit.several_distances) {
        notes.push_back(fmt::format(
            "measured at {} alone: distance and aim are as it was built, and a link cannot change "
            "them",
            engineering_short(points.farthest, Dimension::length, 3)));
    }
    if (!fit.room_light) {
        notes.emplace_back(
            "no reading in the room's light: what daylight does to it rests on the light that the "
            "emitter's card states, and may be several times off; read it once as it stands with "
            "the emitter off and illuminance stated, or keep all light out");
    } else {
        notes.push_back(fmt::format(
            "what daylight does to it rests on the room's illuminance as stated, taken as right "
            "within a factor of {}",
            room_doubt));
    }
    if (fit.room_light && !fit.ambient_sensitivity) {
        notes.emplace_back(
            "how it scales with light and how much is kept out are taken as independent, so in the "
            "room's light a link is given more than what was read");
    }
    add_oddities(fit, points, lux, notes);
    if (points.told_nothing > 0) {
        notes.push_back(fmt::format(
            "{} reading{} within the meter's error of the supply's voltage tell{} nothing and {} "
            "left out: measure the current, or behind a larger resistor",
            points.told_nothing, points.told_nothing == 1 ? "" : "s",
            points.told_nothing == 1 ? "s" : "", points.told_nothing == 1 ? "is" : "are"));
    }
    return notes;
}

}  // namespace

std::expected<PairFit, CardFitFailure> fit_pair(const MeasuredPair& pair,
                                                const std::vector<MeasuredPoint>& points,
                                                const CardFitOptions& options) {
    const auto own = receiver_points(pair, points);
    if (!own) return std::unexpected(CardFitFailure{own.error()});
    auto fitted = fit_card(without_limits_of_light(pair.receiver.description), own->lit, options);
    if (!fitted) return std::unexpected(std::move(fitted.error()));
    PairFit fit{.pair = pair,
                .receiver = std::move(*fitted),
                .intensity = pair.emitter.description.at(
                    receiver_rule(receiver_of(pair.receiver.description)).intensity),
                .shroud = {},
                .ambient_sensitivity = {},
                .notes = {}};
    fit.pair.distance = own->farthest;
    fit.several_distances = own->farthest > far_apart * own->nearest;
    fit.intensity.spread = exactly(fit.intensity.spread.nominal);
    fit.shroud = {.spread = exactly(pair.shroud), .conditions = {}, .place = {}};
    take_intervals(fit.receiver);
    double lux = 1;
    if (!own->room.empty()) {
        const auto measured = room_measure(fit.receiver.card, own->room);
        if (!measured) return std::unexpected(measured.error());
        lux = *measured;
        measure_by_room(fit, lux);
        fit.room_light = true;
    }
    fit.notes = notes_of(fit, *own, lux);
    return fit;
}

}  // namespace gapwright
