// A pair measured as it stands: readings of its receiver at currents of its emitter become a pair's
// card, without a lux meter. The light between the halves is counted in the measure of the
// emitter's card; how strong it really is only a reading in the room's light can tell.
#pragma once

#include <expected>
#include <optional>
#include <string>
#include <vector>

#include "card/description.hpp"
#include "card/points.hpp"
#include "fit/card_fit.hpp"
#include "source/diagnostics.hpp"
#include "units/quantity.hpp"

namespace gapwright {

// One half, by the card that it begins with.
struct PairHalf {
    std::string card;  // its name
    Description description;
};

// How the pair was built when it was measured.
struct MeasuredPair {
    PairHalf emitter;
    PairHalf receiver;
    double distance = 0;  // m; where points state none; zero: they all do
    double shroud = 0;    // share of the ambient light kept out, where no reading tells it
};

struct PairFit {
    MeasuredPair pair;
    // Of the receiver. Its figures' spreads are their 95 % intervals where one pair was measured:
    // the card is of that very pair.
    CardFit receiver;
    Figure intensity;  // of the emitter: its card's, or weaker where the room's light tells so
    Figure shroud;     // as stated, or as the room's light tells of a light-dependent resistor
    std::optional<Figure> ambient_sensitivity;  // of a phototransistor, as the room's light tells
    bool room_light = false;         // a reading in stated ambient light is among the points
    bool several_distances = false;  // measured at two and more: the inverse square was tried
    std::vector<std::string> notes;  // what the card takes for granted, one sentence each
};

// Fits a pair. Points state forward_current and what the receiver showed: resistance; or
// collector_current and collector_emitter_voltage; or receiver_voltage with supply_voltage and
// load_resistance. forward_current 0 is the receiver covered, or, with illuminance, in the room's
// light. `distance` may vary. Errors: missing_key, contradiction or out_of_range, at the point;
// those of fit_card for the receiver.
std::expected<PairFit, CardFitFailure> fit_pair(const MeasuredPair& pair,
                                                const std::vector<MeasuredPoint>& points,
                                                const CardFitOptions& options = {});

}  // namespace gapwright
