// What a part's card says that a measurement would show, with derivatives: the laws of device/, and
// for receivers the same circuit that links are proven with, set up as a measuring bench.
#pragma once

#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "card/description.hpp"
#include "card/key.hpp"
#include "fit/observation.hpp"
#include "source/diagnostics.hpp"

namespace gapwright {

class PartModel {
  public:
    virtual ~PartModel() = default;

    // The measured quantity of `observation`, in its unit, with the figures `keys` of the card set
    // to `figures`; `slopes`, unless empty, takes its derivative to each. False where the card has
    // no answer (a saturation current beyond all doubles, an operating point that is not found).
    virtual bool predict(const Observation& observation, std::span<const double> figures,
                         double& value, std::span<double> slopes) const = 0;

    // The keys' figures as the card states them.
    virtual std::vector<double> figures() const = 0;
};

// The model of a card, whose figures `keys` may be set. A coupler is asked for by its
// photocurrent_ratio, a phototransistor's `sensitivity` is in A per W/m². Errors: a card that has
// no such figure, or whose transfer ratio no photocurrent gives (contradiction).
Expected<std::unique_ptr<PartModel>> part_model(const Description& card,
                                                const std::vector<Key>& keys);

// The description with its forward voltage stated "at" this current: the same curve. Requires a
// junction.
Description forward_at(Description card, double current);

// A figure "X at Y" as the card has it at other conditions; none where it has no answer or the
// figure has none.
std::optional<double> value_at(const Description& card, Key key,
                               const std::vector<double>& conditions);

// Likewise with what temperature does stated as `forward_slope` at this current, in place of a
// bandgap.
Description slope_stated(Description card, double current);

}  // namespace gapwright
