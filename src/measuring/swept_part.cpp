#include "measuring/swept_part.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <expected>
#include <numbers>
#include <optional>
#include <string>
#include <string_view>
#include <utility>

#include "card/assumed_limits.hpp"
#include "card/description.hpp"
#include "card/key.hpp"
#include "card/kind_words.hpp"
#include "card/part_kind.hpp"
#include "fit/observation.hpp"
#include "fit/part_model.hpp"
#include "instrument/sweep_plan.hpp"
#include "source/diagnostics.hpp"
#include "units/extra_low_voltage.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

constexpr double voltage_margin = 1.25;  // above what the card needs; own choice
constexpr double usual_feed = 5;  // V, at which data sheets state collectors (common practice)
// Of what the fed part may have: a coarse supply may hold more than it is sent. Own choice.
constexpr double feed_share = 0.9;
// V: a silicon transistor's base has less at any current that it may have (common practice).
constexpr double highest_base_voltage = 1;

Problems problem(Cause cause, std::string message, std::string remedy) {
    Diagnostic one{.cause = cause, .place = {}, .message = {}, .remedy = {}};
    one.message = std::move(message);
    one.remedy = std::move(remedy);
    return only(std::move(one));
}

bool has_junction(Kind kind) {
    return find_key(kind_rule(kind), Key::forward) != nullptr;
}

std::optional<double> lowest_limit(const Description& card, Key key) {
    if (const auto* stated = card.find(key)) return stated->spread.lowest;
    if (const auto assumed = assumed_limit(card, key)) return assumed->value;
    return std::nullopt;
}

std::optional<double> highest_forward(const Description& card, double current) {
    Description weakest = forward_at(card, 10e-3);
    if (const auto* forward = card.find(Key::forward)) {
        weakest = card;
        weakest.figures[Key::forward].spread = exactly(forward->spread.highest);
    }
    const auto model = part_model(weakest, {});
    if (!model) return std::nullopt;
    Observation o{.measured = Measured::forward_voltage};
    o.forward_current = current;
    double volts = 0;
    if (!(*model)->predict(o, {}, volts, {})) return std::nullopt;
    return volts;
}

// What the driven part may have; 0 where nothing says so.
double largest_drive(const SweptPart& swept) {
    const Description& card = swept.driven();
    if (swept.way == SweptWay::gain) return lowest_limit(card, Key::base_current).value_or(0);
    if (swept.way != SweptWay::reverse) {
        const auto* most = card.find(Key::forward_current);
        return most ? most->spread.lowest : 0;
    }
    if (const auto* most = card.find(Key::reverse_current)) return most->spread.lowest;
    const auto* power = card.find(Key::power);
    return power ? power->spread.lowest / card.at(Key::zener_voltage).spread.highest : 0;
}

std::string_view drive_limit(SweptWay way) {
    switch (way) {
        case SweptWay::reverse:
            return "reverse_current";
        case SweptWay::gain:
            return "base_current";
        case SweptWay::forward:
        case SweptWay::transfer:
        case SweptWay::light:
            break;
    }
    return "forward_current";
}

Expected<FeedPlan> feed_for(const SweptPart& swept, const SweepWishes& wishes) {
    FeedPlan feed;
    feed.voltage = wishes.feed_voltage.value_or(usual_feed);
    const bool resistor = swept.part.kind == Kind::light_dependent_resistor;
    const Key voltage = resistor ? Key::voltage : Key::collector_emitter_voltage;
    const Key power = swept.part.kind == Kind::coupler ? Key::receiver_power : Key::power;
    const auto most_power = lowest_limit(swept.part, power);
    const auto most_voltage = lowest_limit(swept.part, voltage);
    if (!most_power || !most_voltage) {
        return std::unexpected(problem(
            Cause::missing_key,
            fmt::format("the card states no {}: nothing says how much the fed part may have",
                        key_name(most_power ? voltage : power)),
            "add it under [limits], or name a card that states it"));
    }
    feed.largest_power = *most_power;
    feed.largest_voltage = *most_voltage;
    const double by_power = feed.largest_power / feed.voltage;
    const auto most_current =
        resistor ? by_power : lowest_limit(swept.part, Key::collector_current);
    feed.largest_current = most_current.value_or(by_power);
    feed.current_limit = feed_share * std::min(feed.largest_current, by_power);
    return feed;
}

Expected<MeterPlace> meter_place(const SweptPart& swept, const SweepWishes& wishes) {
    const bool fed = is_fed(swept.way);
    if (wishes.shunt && wishes.meter_in_series) {
        return std::unexpected(problem(Cause::contradiction,
                                       "the meter is either across a resistor or in series",
                                       "leave out --shunt or --ammeter"));
    }
    if ((wishes.shunt || wishes.meter_in_series) && !wishes.has_meter) {
        return std::unexpected(problem(Cause::missing_key, "no meter is named",
                                       "add --meter, or leave out --shunt and --ammeter"));
    }
    if (wishes.shunt) return MeterPlace::across_shunt;
    if (wishes.meter_in_series) return MeterPlace::in_series;
    if (fed) {
        return std::unexpected(problem(
            Cause::missing_key, "nothing says how the fed part's current is read",
            "add --meter and --shunt \"100 Ω\", the resistor between it and the second supply "
            "that the meter is across; or --ammeter for a meter in series"));
    }
    return wishes.has_meter ? MeterPlace::across_part : MeterPlace::none;
}

// Where a spread's limits are all that is known: as likely anywhere between them (JCGM 100:2008,
// 4.3.7).
double share_within(const Spread& spread) {
    return (spread.highest - spread.lowest) / 2 / std::numbers::sqrt3 / spread.nominal;
}

// The light of an emitter's card that the receiver sees.
const Figure* intensity(const SweptPart& swept) {
    const bool eye = swept.part.kind == Kind::light_dependent_resistor;
    return swept.emitter->find(eye ? Key::luminous_intensity : Key::radiant_intensity);
}

}  // namespace

Expected<SweptPart> swept_part(const Description& part, bool fed, bool reverse) {
    const bool receiver =
        part.kind == Kind::phototransistor || part.kind == Kind::light_dependent_resistor;
    if (receiver) {
        return std::unexpected(
            problem(Cause::missing_key, fmt::format("{} needs light", with_article(part.kind)),
                    "add --emitter CARD, --distance and --feed, the supply of the receiver"));
    }
    if (part.kind == Kind::transistor && fed && !reverse) {
        return SweptPart{.way = SweptWay::gain, .part = part};
    }
    if (!has_junction(part.kind)) {
        return std::unexpected(
            problem(Cause::contradiction,
                    fmt::format("a {} has no forward voltage to sweep", kind_rule(part.kind).name),
                    part.kind == Kind::transistor
                        ? "add --feed, the supply of its collector, for its gain"
                        : "name the card of an LED, a diode, a coupler or a receiver of light"));
    }
    if (reverse && part.kind != Kind::zener) {
        return std::unexpected(
            problem(Cause::contradiction,
                    fmt::format("{} is not to be driven backwards", with_article(part.kind)),
                    "leave out --reverse: only zener diodes are"));
    }
    if (fed && part.kind != Kind::coupler) {
        return std::unexpected(problem(Cause::contradiction,
                                       fmt::format("{} feeds nothing", with_article(part.kind)),
                                       "leave out --feed"));
    }
    SweptPart swept{.way = SweptWay::forward, .part = part};
    if (reverse) swept.way = SweptWay::reverse;
    if (fed) swept.way = SweptWay::transfer;
    return swept;
}

Expected<SweptPart> swept_receiver(const Description& part, const Description& emitter,
                                   const std::string& emitter_name, double distance, bool fed) {
    if (part.kind != Kind::phototransistor && part.kind != Kind::light_dependent_resistor) {
        return std::unexpected(
            problem(Cause::contradiction,
                    fmt::format("{} is not lit from outside", with_article(part.kind)),
                    "leave out --emitter, or name the card of a phototransistor or light-dependent "
                    "resistor"));
    }
    SweptPart swept{.way = SweptWay::light,
                    .part = part,
                    .emitter = emitter,
                    .emitter_name = emitter_name,
                    .distance = distance};
    const bool eye = part.kind == Kind::light_dependent_resistor;
    if (!intensity(swept)) {
        return std::unexpected(problem(
            Cause::missing_key,
            fmt::format("the emitter's card states no {}: nothing says how much light the {} gets",
                        eye ? "luminous_intensity" : "radiant_intensity",
                        kind_rule(part.kind).name),
            "name an emitter whose card states it"));
    }
    if (!(distance > 0)) {
        return std::unexpected(problem(Cause::missing_key, "nothing says how far the emitter is",
                                       "add --distance \"20 mm\""));
    }
    if (!fed) {
        return std::unexpected(problem(Cause::missing_key, "the receiver has no supply",
                                       "add --feed, the address of a second supply"));
    }
    return swept;
}

Expected<SweepPlan> plan_for(const SweptPart& swept, const SweepWishes& wishes) {
    SweepPlan plan;
    plan.largest_current = largest_drive(swept);
    if (!(plan.largest_current > 0)) {
        return std::unexpected(
            problem(Cause::missing_key,
                    fmt::format("the card states no {}: nothing says how much the part may have",
                                drive_limit(swept.way)),
                    "add it under [limits], or name a card that states it"));
    }
    const bool fed = is_fed(swept.way);
    const auto place = meter_place(swept, wishes);
    if (!place) return std::unexpected(place.error());
    plan.meter = *place;
    if (wishes.shunt) {
        plan.shunt = wishes.shunt->nominal;
        plan.shunt_assumed = !wishes.shunt->varies();
        const double nominal = wishes.shunt->nominal;
        const Spread usual = {nominal, nominal * (1 - usual_tolerance),
                              nominal * (1 + usual_tolerance)};
        plan.shunt_uncertainty = share_within(plan.shunt_assumed ? usual : *wishes.shunt);
    }
    if (fed) {
        auto feed = feed_for(swept, wishes);
        if (!feed) return std::unexpected(feed.error());
        plan.feed = *feed;
    }
    double highest = 0.5 * plan.largest_current;
    if (swept.way == SweptWay::gain) {
        // Half of what the collector may have, by the largest gain of the card.
        const double base = plan.feed->current_limit / swept.part.at(Key::gain).spread.highest;
        highest = std::min(highest, 0.5 * base);
    }
    const double to = wishes.to.value_or(highest);
    const double from = wishes.from.value_or(to / 100);
    plan.may_begin_higher = !wishes.from;
    double needed = highest_voltage(swept, to).value_or(0) * voltage_margin;
    if (!fed && plan.meter == MeterPlace::across_shunt) needed += plan.shunt * to;
    plan.voltage_limit = wishes.voltage_limit.value_or(std::min(needed, extra_low_voltage));
    plan.largest_voltage = std::max(plan.voltage_limit, needed);
    // (a transistor's own power is its collector's)
    const auto* power = swept.way == SweptWay::gain ? nullptr : swept.driven().find(Key::power);
    plan.largest_power =
        power ? power->spread.lowest
              : plan.largest_current * highest_voltage(swept, plan.largest_current).value_or(0);
    // A light-dependent resistor is slow; five times its slower time leaves less than 1 %.
    if (const auto* decay = swept.part.find(Key::decay_time);
        decay && swept.part.kind == Kind::light_dependent_resistor) {
        plan.settle = std::max(plan.settle, 5 * decay->spread.highest);
    }
    for (int k = 0; k < wishes.points; ++k) {
        const double share =
            wishes.points == 1 ? 1.0 : static_cast<double>(k) / (wishes.points - 1);
        plan.currents.push_back(k + 1 == wishes.points ? to : from * std::pow(to / from, share));
    }
    return plan;
}

std::optional<double> highest_voltage(const SweptPart& swept, double current) {
    if (swept.way == SweptWay::gain) return highest_base_voltage;
    if (swept.way != SweptWay::reverse) return highest_forward(swept.driven(), current);
    const double above = current - swept.part.nominal(Key::zener_current);
    return swept.part.at(Key::zener_voltage).spread.highest +
           std::max(0.0, above) * swept.part.at(Key::zener_resistance).spread.highest;
}

double light_at(const SweptPart& swept, double current) {
    const Figure& figure = *intensity(swept);
    return figure.spread.nominal * current / figure.conditions[0] /
           (swept.distance * swept.distance);
}

double light_uncertainty(const SweptPart& swept) {
    return share_within(intensity(swept)->spread);
}

}  // namespace gapwright
