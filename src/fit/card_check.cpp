#include "fit/card_check.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "device/constants.hpp"
#include "device/figures.hpp"
#include "device/light.hpp"
#include "fit/card_findings.hpp"
#include "fit/observation.hpp"
#include "fit/part_model.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

using checking::Findings;
using checking::text;

// What the card's model says, made when it is first asked.
class CardModel {
  public:
    explicit CardModel(const Description& card) : card_(card) {}

    // None where it has no answer.
    std::optional<double> of(const Observation& o) {
        if (!model_) {
            Description asked = card_;
            if (asked.find(Key::saturation_current)) asked = forward_at(std::move(asked), 10e-3);
            auto made = part_model(asked, {});
            if (!made) return std::nullopt;
            model_ = std::move(*made);
        }
        double value = 0;
        if (!model_->predict(o, {}, value, {})) return std::nullopt;
        return value;
    }

  private:
    const Description& card_;
    std::unique_ptr<PartModel> model_;
};

// A figure that is stated at a current that the card forbids.
void beyond_current(Key key, double current, Findings& findings) {
    const auto most = findings.figure(Key::forward_current);
    if (most && current > *most) {
        findings.add(
            true, key,
            fmt::format("{} is stated at {}, above the largest forward current, {}", key,
                        text(current, Dimension::current), text(*most, Dimension::current)));
    }
}

void check_forward(CardModel& model, Findings& findings) {
    if (!find_key(kind_rule(findings.card().kind), Key::forward)) return;
    const auto series = findings.figure(Key::series_resistance);
    if (const auto* forward = findings.card().find(Key::forward)) {
        const double drop = *series * forward->conditions[0];
        // (own choices; a junction that is hardly there is none)
        const double share = drop / forward->spread.nominal;
        if (share > 0.5) {
            findings.add(share > 0.85, Key::series_resistance,
                         fmt::format("the series resistance alone drops {} of the {} forward{}",
                                     text(drop, Dimension::voltage),
                                     text(forward->spread.nominal, Dimension::voltage),
                                     share > 0.85 ? ", as a resistor does" : ""));
        }
        beyond_current(Key::forward, forward->conditions[0], findings);
    }
    const auto most = findings.figure(Key::forward_current);
    const auto power = findings.figure(Key::power);
    if (!most || !power) return;
    Observation o{.measured = Measured::forward_voltage};
    o.forward_current = *most;
    const auto volts = model.of(o);
    if (volts && *volts * *most > *power * 1.02) {
        findings.add(
            true, Key::power,
            fmt::format("at its own largest forward current, {}, the model drops {} and turns "
                        "{} into heat, more than the {} it may",
                        text(*most, Dimension::current), text(*volts, Dimension::voltage),
                        text(*volts * *most, Dimension::power), text(*power, Dimension::power)),
            "check forward voltage, series resistance and both limits");
    }
}

// Limits that forbid what the card states.
void check_limits(Findings& findings) {
    for (const Key key : {Key::radiant_intensity, Key::luminous_intensity}) {
        if (const auto* stated = findings.card().find(key))
            beyond_current(key, stated->conditions[0], findings);
    }
    if (findings.stated(Key::to_80_percent))
        beyond_current(Key::at_current, *findings.figure(Key::at_current), findings);
    if (findings.card().kind == Kind::coil) {
        const auto volts = findings.figure(Key::voltage);
        const auto watts = findings.figure(Key::power);
        if (volts && watts && *volts * *volts / *findings.figure(Key::resistance) > *watts * 1.02) {
            findings.add(
                true, Key::power,
                fmt::format(
                    "at its largest voltage the coil takes {}, more than the {} it may",
                    text(*volts * *volts / *findings.figure(Key::resistance), Dimension::power),
                    text(*watts, Dimension::power)));
        }
    }
}

void check_dimming(Key key, Findings& findings) {
    const auto coefficient = findings.figure(key);
    if (!coefficient || *coefficient == 0) return;
    const double end = *coefficient < 0 ? hottest_temperature : coldest_temperature;
    const double left = 1 + *coefficient * (end - reference_temperature);
    if (left <= 0.05) {
        // (a straight law may well be stretched too far at the very end)
        constexpr double warm = 358.15;  // 85 °C
        const bool nonsense =
            *coefficient > 0 || 1 + *coefficient * (warm - reference_temperature) <= 0.05;
        findings.add(nonsense, key,
                     fmt::format("at {} there would be {} of the light left",
                                 text(end, Dimension::temperature), percent(std::max(left, 0.0))));
    }
}

void check_transfer(Findings& findings) {
    if (findings.card().kind != Kind::coupler) return;
    if (const auto* ctr = findings.card().find(Key::ctr))
        beyond_current(Key::ctr, ctr->conditions[0], findings);
    const double most = findings.figure(Key::forward_current).value_or(0.1);
    // Whether it still rises at the largest current it may have.
    const Transfer<double> transfer{.photocurrent_ratio = 1,
                                    .low_knee = *findings.figure(Key::low_knee),
                                    .high_knee = *findings.figure(Key::high_knee),
                                    .temperature_coefficient = 0,
                                    .dark_current = 0};
    if (transfer_shape(transfer, most) > transfer_shape(transfer, 0.8 * most)) {
        findings.add(
            true, Key::high_knee,
            fmt::format("the transfer ratio rises for ever: it still grows at {}, where real "
                        "ones fall",
                        text(most, Dimension::current)),
            "low_knee or high_knee is too large, or the points do not reach far enough");
    }
    check_dimming(Key::temperature_coefficient, findings);
}

void check_dark(CardModel& model, Findings& findings) {
    if (!findings.card().find(Key::dark_current)) {
        if (findings.card().kind == Kind::led)
            check_dimming(Key::temperature_coefficient, findings);
        return;
    }
    Observation dark{.measured = Measured::dark_current};
    dark.collector_emitter_voltage = 5;
    dark.temperature = 343.15;
    const auto current = model.of(dark);
    if (current && *current > 0.5e-3) {
        findings.add(
            *current > 5e-3, Key::dark_current,
            fmt::format("at 70 °C {} flow without light", text(*current, Dimension::current)),
            "data sheets state nanoamperes at 25 °C; it doubles every 10 °C");
    }
}

void check_light(Findings& findings) {
    if (!findings.card().find(Key::dark_resistance)) return;
    const auto& stated = findings.card().at(Key::resistance);
    const double dark = *findings.figure(Key::dark_resistance);
    if (dark <= stated.spread.nominal * 1.5) {
        findings.add(
            true, Key::dark_resistance,
            fmt::format("it is {} in the dark, and {} at {}", text(dark, Dimension::resistance),
                        text(stated.spread.nominal, Dimension::resistance),
                        text(stated.conditions[0], Dimension::illuminance)));
    }
}

void check_all_figures(CardModel& model, Findings& findings) {
    checking::check_stated(findings);
    check_forward(model, findings);
    check_limits(findings);
    check_transfer(findings);
    check_dark(model, findings);
    check_light(findings);
}

// The card's own points against its own model.
void check_own_points(std::span<const Observation> measured, CardModel& model, Findings& findings) {
    std::size_t off = 0;
    double furthest = 0;
    const Observation* which = nullptr;
    for (const auto& o : measured) {
        const auto value = model.of(o);
        if (!value || !(*value > 0)) continue;
        const double away = std::abs(std::log(o.value / *value));
        constexpr double far = 0.2;  // own choice
        const double bound = o.measured == Measured::forward_voltage ? 0.25 * far : far;
        if (away <= bound) continue;
        ++off;
        if (away > furthest) {
            furthest = away;
            which = &o;
        }
    }
    if (off == 0) return;
    findings.add(
        false, std::nullopt,
        fmt::format("{} of the card's {} points lie far from its model; the worst, {} of {}, "
                    "by {:.0f} %",
                    off, measured.size(), measured_words(which->measured),
                    text(which->value, measured_dimension(which->measured)),
                    100 * std::expm1(furthest)),
        "check the points' units and columns, or leave out those far off");
}

}  // namespace

namespace {

// Those of a pair's half, each told with whose it is.
void add_half(std::string_view whose, const Description* half, std::vector<CardFinding>& all) {
    if (!half) return;
    for (auto& finding : check_figures(*half)) {
        finding.text = fmt::format("{}: {}", whose, finding.text);
        all.push_back(std::move(finding));
    }
}

}  // namespace

std::vector<CardFinding> check_card(const Description& card,
                                    std::span<const Observation> measured) {
    if (card.kind == Kind::pair) {
        std::vector<CardFinding> all;
        add_half("emitter", card.emitter.get(), all);
        add_half("receiver", card.receiver.get(), all);
        std::ranges::stable_partition(all, &CardFinding::nonsense);
        return all;
    }
    CardModel model(card);
    Findings findings(card);
    check_all_figures(model, findings);
    check_own_points(measured, model, findings);
    checking::check_gaps(findings);
    return findings.sorted();
}

std::vector<CardFinding> check_figures(const Description& description) {
    CardModel model(description);
    Findings findings(description);
    check_all_figures(model, findings);
    return findings.sorted();
}

std::vector<CardFinding> check_points(const Description& card,
                                      std::span<const Observation> measured) {
    CardModel model(card);
    Findings findings(card);
    check_own_points(measured, model, findings);
    return findings.sorted();
}

}  // namespace gapwright
