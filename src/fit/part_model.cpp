#include "fit/part_model.hpp"

#include <fmt/format.h>
#include <cmath>
#include <cstddef>
#include <expected>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include "card/description.hpp"
#include "card/key.hpp"
#include "card/kind_words.hpp"
#include "device/dual.hpp"
#include "device/figures.hpp"
#include "device/junction.hpp"
#include "device/light.hpp"
#include "fit/fitted_law.hpp"
#include "fit/observation.hpp"
#include "fit/receiver_bench.hpp"
#include "link/nominal_junction.hpp"
#include "source/diagnostics.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

// A coupler's emitter and receiver together have ten that points can tell.
constexpr std::size_t most_keys = 16;
using D = Dual<double, most_keys>;

std::vector<double> nominals(const Description& card, const std::vector<Key>& keys) {
    std::vector<double> result;
    for (const auto& key : keys) result.push_back(card.nominal(key));
    return result;
}

// A figure of the card, or the key's, with its derivative.
class Figures {
  public:
    Figures(const Description& card, const std::vector<Key>& keys, std::span<const double> values)
        : card_(card), keys_(keys), values_(values) {}

    D operator()(Key key) const {
        for (std::size_t k = 0; k < keys_.size(); ++k) {
            if (keys_[k] == key) return D::variable(values_[k], k);
        }
        return D(card_.nominal(key));
    }
    double condition(Key key) const { return card_.at(key).conditions[0]; }
    bool has(Key key) const { return card_.find(key) != nullptr; }

  private:
    const Description& card_;
    const std::vector<Key>& keys_;
    std::span<const double> values_;
};

bool give(const D& answer, double& value, std::span<double> slopes) {
    value = answer.value;
    for (std::size_t k = 0; k < slopes.size(); ++k) {
        slopes[k] = k < most_keys ? answer.slope[k] : 0.0;
    }
    return std::isfinite(value);
}

// A junction's forward voltage: its law inverted, and the drop of its series resistance.
D forward_voltage(const Figures& figure, double current, double temperature) {
    Junction<D> card{.saturation_current = D(0.0),
                     .ideality = figure(Key::ideality),
                     .series_resistance = figure(Key::series_resistance),
                     .bandgap = figure.has(Key::forward_slope) ? D(0.0) : figure(Key::bandgap),
                     .temperature_exponent = figure(Key::temperature_exponent)};
    card.saturation_current =
        saturation_current_through(figure(Key::forward), D(figure.condition(Key::forward)),
                                   card.ideality, card.series_resistance);
    if (figure.has(Key::forward_slope)) {
        card.bandgap = bandgap_of_slope(card, figure(Key::forward_slope),
                                        D(figure.condition(Key::forward_slope)));
    }
    return junction_voltage(junction_at(card, D(temperature)), D(current)) +
           card.series_resistance * current;
}

class JunctionModel final : public PartModel {
  public:
    JunctionModel(Description card, std::vector<Key> keys)
        : card_(std::move(card)), keys_(std::move(keys)) {}

    bool predict(const Observation& o, std::span<const double> figures, double& value,
                 std::span<double> slopes) const override {
        return give(
            forward_voltage(Figures(card_, keys_, figures), o.forward_current, o.temperature),
            value, slopes);
    }
    std::vector<double> figures() const override { return nominals(card_, keys_); }

  private:
    Description card_;
    std::vector<Key> keys_;
};

class LightResistorModel final : public PartModel {
  public:
    LightResistorModel(Description card, std::vector<Key> keys)
        : card_(std::move(card)), keys_(std::move(keys)) {}

    bool predict(const Observation& o, std::span<const double> figures, double& value,
                 std::span<double> slopes) const override {
        const Figures figure(card_, keys_, figures);
        const LightResistor<D> law{.resistance = figure(Key::resistance),
                                   .illuminance = D(figure.condition(Key::resistance)),
                                   .gamma = figure(Key::gamma),
                                   .dark_resistance = figure(Key::dark_resistance)};
        // (a power has no slope at zero, where only the dark resistance is left)
        if (o.illuminance == 0) return give(law.dark_resistance, value, slopes);
        return give(1.0 / light_conductance(law, D(o.illuminance)), value, slopes);
    }
    std::vector<double> figures() const override { return nominals(card_, keys_); }

  private:
    Description card_;
    std::vector<Key> keys_;
};

// A coupler: its emitter is a junction, its receiver is measured on the bench.
class ReceiverModel final : public PartModel {
  public:
    ReceiverModel(Description card, std::vector<Key> keys, ReceiverBench bench)
        : card_(std::move(card)), keys_(std::move(keys)), bench_(std::move(bench)) {}

    bool predict(const Observation& o, std::span<const double> figures, double& value,
                 std::span<double> slopes) const override {
        if (o.measured == Measured::forward_voltage) {
            return give(
                forward_voltage(Figures(card_, keys_, figures), o.forward_current, o.temperature),
                value, slopes);
        }
        return bench_.measure(o, figures, value, slopes);
    }
    std::vector<double> figures() const override { return bench_.figures(); }

  private:
    Description card_;
    std::vector<Key> keys_;
    ReceiverBench bench_;
};

}  // namespace

Description forward_at(Description card, double current) {
    if (card.find(Key::forward_slope)) card = slope_stated(std::move(card), current);
    const auto* stated = card.find(Key::forward);
    if (stated && stated->conditions[0] == current) return card;
    Figure figure{.spread = exactly(nominal_drop(card, current)),
                  .conditions = {current},
                  .assumed = stated && stated->assumed,
                  .place = card.place};
    card.figures.erase(Key::saturation_current);
    card.figures[Key::forward] = figure;
    return card;
}

Description slope_stated(Description card, double current) {
    const Junction<double> law = nominal_junction(card);
    const double here = slope_of_bandgap(law, current);
    Figure moved{.spread = exactly(here), .conditions = {current}, .place = card.place};
    if (const auto* slope = card.find(Key::forward_slope)) {
        moved = *slope;
        moved.conditions = {current};
        const double by = here - slope->spread.nominal;
        moved.spread = {here, slope->spread.lowest + by, slope->spread.highest + by};
    } else {
        moved.assumed = card.at(Key::bandgap).assumed;
    }
    card.figures.erase(Key::bandgap);
    card.figures[Key::forward_slope] = moved;
    return card;
}

std::optional<double> value_at(const Description& card, Key key,
                               const std::vector<double>& conditions) {
    Observation o;
    double per = 1;
    if (key == Key::forward) {
        o.measured = Measured::forward_voltage;
        o.forward_current = conditions[0];
    } else if (key == Key::ctr) {
        o.measured = Measured::collector_current;
        o.forward_current = conditions[0];
        o.collector_emitter_voltage = conditions[1];
        per = conditions[0];
    } else if (key == Key::resistance) {
        o.measured = Measured::resistance;
        o.illuminance = conditions[0];
    } else if (key == Key::sensitivity) {
        return card.nominal(key) * conditions[0] / card.at(key).conditions[0];
    } else {
        return std::nullopt;
    }
    const auto model = part_model(card, {});
    double value = 0;
    if (!model || !(*model)->predict(o, {}, value, {})) return std::nullopt;
    return value / per;
}

Expected<std::unique_ptr<PartModel>> part_model(const Description& card,
                                                const std::vector<Key>& keys) {
    if (const auto law = fitted_law(card.kind)) {
        switch (*law) {
            case FittedLaw::junction:
                return std::make_unique<JunctionModel>(card, keys);
            case FittedLaw::light_resistor:
                return std::make_unique<LightResistorModel>(card, keys);
            case FittedLaw::coupler:
            case FittedLaw::phototransistor: {
                auto bench = ReceiverBench::of(card, keys);
                if (!bench) return std::unexpected(bench.error());
                return std::make_unique<ReceiverModel>(card, keys, std::move(*bench));
            }
        }
    }
    Diagnostic none{
        .cause = Cause::contradiction, .place = card.place, .message = {}, .remedy = {}};
    none.message = fmt::format("points of {} cannot be fitted", with_article(card.kind));
    none.remedy =
        "diodes, LEDs, zener diodes (forward), couplers, phototransistors and "
        "light-dependent resistors can";
    return std::unexpected(only(std::move(none)));
}

}  // namespace gapwright
