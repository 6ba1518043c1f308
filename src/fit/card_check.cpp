#include "fit/card_check.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

#include "device/constants.hpp"
#include "device/light.hpp"
#include "fit/part_model.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

// What a figure of the trade is: beyond `least` or `most` is nonsense, beyond the inner two only
// unlikely. Common practice.
struct Likely {
    std::string_view key;
    std::vector<Kind> kinds;
    double least, unlikely_below, unlikely_above, most;
    std::string_view why;
};

const std::vector<Likely>& likely_figures() {
    using K = Kind;
    static const std::vector<Likely> all = {
        {"ideality", {K::diode, K::zener}, 0.9, 1, 2.3, 4, "a diode's lies between 1 and 2"},
        {"ideality", {K::led}, 0.9, 1, 5, 8, "an LED's lies between 1 and about 5"},
        {"ideality", {K::coupler}, 0.9, 1, 2.5, 4, "an infrared emitter's lies between 1 and 2"},
        {"bandgap",
         {K::diode, K::zener, K::led, K::coupler},
         0.5,
         0.6,
         3.5,
         6.5,
         "silicon has 1.12 eV, infrared emitters 1.4 eV, blue ones 2.7 eV"},
        {"gamma",
         {K::light_dependent_resistor},
         0.2,
         0.45,
         1.1,
         2,
         "a cadmium sulphide cell's lies between 0.5 and 1"},
        {"gain", {K::transistor}, 1, 10, 1000, 10000, "a transistor's lies between 20 and 800"},
        {"early_voltage",
         {K::transistor, K::coupler, K::phototransistor},
         2,
         8,
         500,
         1e5,
         "it lies between 10 and 300 V"},
        {"ctr",
         {K::coupler},
         1e-4,
         0.02,
         50,
         300,
         "couplers with one transistor have 10 to 600 %, darlingtons up to some 1000 %"},
        {"temperature_coefficient",
         {K::coupler, K::led},
         -0.03,
         -0.015,
         0.005,
         0.03,
         "an emitter loses 0.3 to 1 % of its light per kelvin"},
    };
    return all;
}

std::string shown(double value, const KeyRule& rule) {
    if (rule.name == "ctr") return percent(value);
    if (rule.dimension == Dimension::ratio) return fmt::format("{:.3g}", value);
    return engineering_short(value, rule.dimension, 3);
}

class Checker {
  public:
    Checker(const Description& card, std::span<const Observation> measured)
        : card_(card), measured_(measured) {}

    std::vector<CardFinding> run() {
        check_likely();
        check_forward();
        check_limits();
        check_transfer();
        check_dark();
        check_light();
        check_points();
        check_gaps();
        std::ranges::stable_sort(findings_, std::ranges::greater(), &CardFinding::nonsense);
        return std::move(findings_);
    }

  private:
    void add(bool nonsense, std::string_view figure, std::string text, std::string remedy = {}) {
        const auto* stated = card_.find(figure);
        findings_.push_back({.nonsense = nonsense,
                             .figure = std::string(figure),
                             .text = std::move(text),
                             .remedy = std::move(remedy),
                             .place = stated ? stated->place : card_.place});
    }

    std::optional<double> figure(std::string_view key) const {
        const auto* found = card_.find(key);
        return found ? std::optional(found->spread.nominal) : std::nullopt;
    }

    static std::string text(double value, Dimension dimension) {
        return engineering_short(value, dimension, 3);
    }

    // What the model says of an observation; none where it has no answer.
    std::optional<double> model(const Observation& o) {
        if (!model_) {
            Description asked = card_;
            if (asked.find("saturation_current")) asked = forward_at(std::move(asked), 10e-3);
            auto made = part_model(asked, {});
            if (!made) return std::nullopt;
            model_ = std::move(*made);
        }
        double value = 0;
        if (!model_->predict(o, {}, value, {})) return std::nullopt;
        return value;
    }

    void check_likely() {
        for (const auto& rule : likely_figures()) {
            const auto* stated = card_.find(rule.key);
            if (!stated || std::ranges::find(rule.kinds, card_.kind) == rule.kinds.end()) continue;
            const auto& key = *find_key(kind_rule(card_.kind), rule.key);
            const auto beyond = [&](double value) {
                return value < rule.least || value > rule.most;
            };
            const auto unlikely = [&](double value) {
                return value < rule.unlikely_below || value > rule.unlikely_above;
            };
            const std::array values = {stated->spread.nominal, stated->spread.lowest,
                                       stated->spread.highest};
            // The worst of the three: nonsense at one end is not hidden by another's unlikeliness.
            auto worst = std::ranges::find_if(values, beyond);
            const bool nonsense = worst != values.end();
            if (!nonsense) worst = std::ranges::find_if(values, unlikely);
            if (worst == values.end()) continue;
            add(nonsense, rule.key,
                fmt::format("{} of {}: {}", rule.key, shown(*worst, key), rule.why),
                "check the figure, or the points it was fitted to");
        }
    }

    void check_forward() {
        if (!has_junction()) return;
        const auto series = figure("series_resistance");
        if (const auto* forward = card_.find("forward")) {
            const double drop = *series * forward->conditions[0];
            if (drop > 0.5 * forward->spread.nominal) {
                add(false, "series_resistance",
                    fmt::format("the series resistance alone drops {} of the {} forward",
                                text(drop, Dimension::voltage),
                                text(forward->spread.nominal, Dimension::voltage)));
            }
            beyond_current("forward", forward->conditions[0]);
        }
        const auto most = figure("forward_current");
        const auto power = figure("power");
        if (!most || !power) return;
        Observation o{.measured = Measured::forward_voltage};
        o.forward_current = *most;
        const auto volts = model(o);
        if (volts && *volts * *most > *power * 1.02) {
            add(true, "power",
                fmt::format("at its own largest forward current, {}, the model drops {} and turns "
                            "{} into heat, more than the {} it may",
                            text(*most, Dimension::current), text(*volts, Dimension::voltage),
                            text(*volts * *most, Dimension::power), text(*power, Dimension::power)),
                "check forward voltage, series resistance and both limits");
        }
    }

    bool has_junction() const { return find_key(kind_rule(card_.kind), "forward") != nullptr; }

    // A figure that is stated at a current that the card forbids.
    void beyond_current(std::string_view key, double current) {
        const auto most = figure("forward_current");
        if (most && current > *most) {
            add(true, key,
                fmt::format("{} is stated at {}, above the largest forward current, {}", key,
                            text(current, Dimension::current), text(*most, Dimension::current)));
        }
    }

    // Limits that contradict one another, whatever the kind.
    void check_limits() {
        struct Pair {
            std::string_view smaller, larger, why;
            Dimension dimension;
        };
        constexpr std::array pairs = {
            Pair{"pull_in", "voltage", "the coil may not have the voltage that pulls it in",
                 Dimension::voltage},
            Pair{"threshold", "gate_source_voltage",
                 "the gate may not have the voltage that opens it", Dimension::voltage},
            Pair{"emitter_collector_voltage", "collector_emitter_voltage",
                 "a receiver stands less backwards than forwards", Dimension::voltage},
        };
        for (const auto& pair : pairs) {
            const auto small = figure(pair.smaller);
            const auto large = figure(pair.larger);
            if (!small || !large || std::abs(*small) <= *large) continue;
            add(true, pair.smaller,
                fmt::format("{} is {}, {} only {}: {}", pair.smaller,
                            text(std::abs(*small), pair.dimension), pair.larger,
                            text(*large, pair.dimension), pair.why));
        }
        for (const auto key : {"radiant_intensity", "luminous_intensity"}) {
            if (const auto* stated = card_.find(key)) beyond_current(key, stated->conditions[0]);
        }
        if (card_.find("to_80_percent")) beyond_current("at_current", *figure("at_current"));
        if (card_.kind == Kind::coil) {
            const auto volts = figure("voltage");
            const auto watts = figure("power");
            if (volts && watts && *volts * *volts / *figure("resistance") > *watts * 1.02) {
                add(true, "power",
                    fmt::format("at its largest voltage the coil takes {}, more than the {} it may",
                                text(*volts * *volts / *figure("resistance"), Dimension::power),
                                text(*watts, Dimension::power)));
            }
        }
    }

    void check_transfer() {
        if (card_.kind != Kind::coupler) return;
        if (const auto* ctr = card_.find("ctr")) beyond_current("ctr", ctr->conditions[0]);
        const double most = figure("forward_current").value_or(0.1);
        // Whether it still rises at the largest current it may have.
        const Transfer<double> transfer{.photocurrent_ratio = 1,
                                        .low_knee = *figure("low_knee"),
                                        .high_knee = *figure("high_knee"),
                                        .temperature_coefficient = 0,
                                        .dark_current = 0};
        if (transfer_shape(transfer, most) > transfer_shape(transfer, 0.8 * most)) {
            add(true, "high_knee",
                fmt::format("the transfer ratio rises for ever: it still grows at {}, where real "
                            "ones fall",
                            text(most, Dimension::current)),
                "low_knee or high_knee is too large, or the points do not reach far enough");
        }
        check_dimming("temperature_coefficient");
    }

    void check_dimming(std::string_view key) {
        const auto coefficient = figure(key);
        if (!coefficient || *coefficient == 0) return;
        const double end = *coefficient < 0 ? hottest_temperature : coldest_temperature;
        const double left = 1 + *coefficient * (end - reference_temperature);
        if (left <= 0.05) {
            add(true, key,
                fmt::format("at {} there would be {} of the light left",
                            text(end, Dimension::temperature), percent(std::max(left, 0.0))));
        }
    }

    void check_dark() {
        const bool receiver = card_.kind == Kind::coupler || card_.kind == Kind::phototransistor;
        if (!receiver) {
            if (card_.kind == Kind::led) check_dimming("temperature_coefficient");
            return;
        }
        Observation dark{.measured = Measured::dark_current};
        dark.collector_emitter_voltage = 5;
        dark.temperature = 343.15;
        const auto current = model(dark);
        if (current && *current > 0.5e-3) {
            add(*current > 5e-3, "dark_current",
                fmt::format("at 70 °C {} flow without light", text(*current, Dimension::current)),
                "data sheets state nanoamperes at 25 °C; it doubles every 10 °C");
        }
    }

    void check_light() {
        if (card_.kind != Kind::light_dependent_resistor) return;
        const auto& stated = *card_.find("resistance");
        const double dark = *figure("dark_resistance");
        if (dark <= stated.spread.nominal * 1.5) {
            add(true, "dark_resistance",
                fmt::format("it is {} in the dark, and {} at {}", text(dark, Dimension::resistance),
                            text(stated.spread.nominal, Dimension::resistance),
                            text(stated.conditions[0], Dimension::illuminance)));
        }
    }

    // The card's own points against its own model.
    void check_points() {
        std::size_t off = 0;
        double furthest = 0;
        const Observation* which = nullptr;
        for (const auto& o : measured_) {
            const auto value = model(o);
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
        add(false, "",
            fmt::format("{} of the card's {} points lie far from its model; the worst, {} of {}, "
                        "by {:.0f} %",
                        off, measured_.size(), measured_words(which->measured),
                        text(which->value, measured_dimension(which->measured)),
                        100 * std::expm1(furthest)),
            "fit the card anew with gapwright card fit");
    }

    // What is not said, and so is taken as exact.
    void check_gaps() {
        if (card_.source.empty()) {
            add(false, "", "it does not say where its figures come from", "add source = \"…\"");
        }
        for (const auto key : {"forward", "ctr", "photocurrent_ratio", "resistance", "sensitivity",
                               "gain", "threshold"}) {
            const auto* stated = card_.find(key);
            const bool counts = stated && !stated->assumed && find_key(kind_rule(card_.kind), key);
            const bool receiver_gain =
                std::string_view(key) == "gain" && card_.kind != Kind::transistor;
            if (!counts || receiver_gain || stated->spread.varies()) continue;
            add(false, key,
                fmt::format("{} has no spread: every specimen counts as the nominal one", key),
                "state limits, from a data sheet or from several specimens");
        }
    }

    const Description& card_;
    std::span<const Observation> measured_;
    std::vector<CardFinding> findings_;
    std::unique_ptr<PartModel> model_;
};

}  // namespace

std::vector<CardFinding> check_card(const Description& card,
                                    std::span<const Observation> measured) {
    return Checker(card, measured).run();
}

}  // namespace gapwright
