// The evidence on a link's promises: nominal points, worst cases, population, verdicts, cautions.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "card/key.hpp"
#include "population/survey.hpp"
#include "proof/cases/case.hpp"
#include "proof/cases/influence.hpp"
#include "proof/cautions/cautions.hpp"
#include "proof/limits/emitter_hours.hpp"
#include "proof/verdict.hpp"
#include "proof/worked_steps.hpp"
#include "units/dimension.hpp"

namespace gapwright {

// Lowest and highest of a quantity over every specimen solved: those drawn, and those of the search
// for the worst.
struct Band {
    double lowest = 0;
    double highest = 0;
};

// The nominal point of one state: middle of the temperature and light ranges, new parts.
struct NominalState {
    std::string name;
    std::vector<std::pair<std::string, double>> currents;  // A, "R1", "U1.receiver", "Q1.base"
    std::vector<std::pair<std::string, double>> voltages;  // V, "input.supply", "output.Q1.base"
    std::vector<std::pair<std::string, double>> powers;    // W, "R1", "U1.receiver"
    std::vector<Band> current_bands;  // beside `currents`; empty without a proof
    std::vector<Band> voltage_bands;
};

// How far every spread may be widened before a bound gives way (proof/search/stretch.hpp).
struct Stretch {
    double factor = 0;    // below 1: how narrow every spread would have to be; 0: not even then
    bool beyond = false;  // no end was found up to `factor`
    std::string through;  // the figure that moves it most there, "U1.gain"; empty for none
};

struct PromiseResult {
    std::string state;                         // "on", "off > on" for a change, "signal"
    std::string quantity;                      // "current D2", "voltage data reaches 3.5 V"
    Dimension dimension = Dimension::voltage;  // of the bounds: a time for a change
    std::optional<double> at_least;
    std::optional<double> at_most;
    double nominal = 0;
    double lowest = 0;
    double highest = 0;
    Case lowest_case;
    Case highest_case;
    std::size_t kept = 0;     // of the samples
    std::size_t samples = 0;  // 0 without a proof
    double share_kept_low95 = 0;
    Verdict verdict = Verdict::broken;
    bool timed = false;        // about a change or the signal
    bool either_sign = false;  // the bound holds for the size of the value
    // Of a change whose level is not reached in the worst case: the value that it comes to, and
    // its dimension. Delays are then `never` (time/timed_measure.hpp) or more.
    std::optional<double> comes_to;
    Dimension reaches_dimension = Dimension::voltage;
    std::optional<Stretch> stretch = {};  // none where it was not looked for
    std::string reason;   // of a highest rate: what ends it; of an unknown verdict: why
    Histogram histogram;  // of the drawn specimens
    std::vector<Influence> influences;  // what its spread comes from
    std::vector<double> first_drawn;    // the values of the first few of them

    double share_kept() const {
        return samples ? static_cast<double>(kept) / static_cast<double>(samples) : 0;
    }
    // The bound that is nearer to being broken, and the worst value against it.
    struct Worst {
        double bound;
        double value;
        Sense sense;
        const Case* where;
    };
    Worst worst() const;
};

struct RatingResult {
    std::string state;
    std::string part;
    Key limit = {};  // power, forward_current …
    Dimension dimension = Dimension::voltage;
    Sense sense = Sense::at_most;
    double rated = 0;  // as the card states it
    double bound = 0;  // derated to the worst case's temperature
    double nominal = 0;
    double lowest = 0;  // extremes; `worst()` is the one that counts
    double highest = 0;
    Case worst_case;
    Verdict verdict = Verdict::broken;
    std::optional<Stretch> stretch = {};  // none of an assumed limit
    bool limit_stated = true;             // false: what is usual of such parts stands in for it
    std::string reason = {};              // of an unknown verdict: what would settle it

    double worst() const { return sense == Sense::at_most ? highest : lowest; }
};

// What the link has and the proof could not look at.
struct NotJudged {
    std::string state;      // "on > off"
    std::string what;       // "the limits of U1 and K1 on the way"
    std::string reason;     // what stood in the way, with its place
    bool promised = false;  // a promise of the link; its result is `Verdict::unknown`
};

// The least stretch of all promises and ratings, and whose it is.
struct LinkStretch {
    Stretch stretch;
    std::string state;
    std::string what;  // "voltage coil", "R1 power"
};

// What a logic input reads in each state, at the nominal point.
struct Level {
    std::string part;
    std::vector<std::pair<std::string, std::string>> by_state;  // state, "low" | "high" | "between"
};

struct Proof {
    Verdict verdict = Verdict::broken;
    bool nominal_only = false;
    std::vector<NominalState> states;
    std::vector<PromiseResult> promises;
    std::vector<RatingResult> ratings;
    std::vector<Level> levels;
    std::vector<WorkedSteps> steps;
    std::vector<Caution> cautions;
    std::vector<EmitterHours> emitters;  // none where no service life is stated
    std::vector<NotJudged> not_judged;
    std::optional<LinkStretch> stretch = {};  // none where nothing varies or it was not looked for
    std::uint64_t seed = 1;
    std::size_t samples = 0;  // drawn
    std::size_t asked = 0;    // that were to be drawn; more when the user stopped the drawing
    std::size_t worst_case_specimens = 0;  // solved in the search for extremes
    std::size_t timed_samples = 0;         // drawn for what takes waveforms
};

// What a reader needs of the ratings: of each part's limit the state with the least reserve, and
// every state in which it is broken.
std::vector<RatingResult> decisive_ratings(const Proof& proof);

}  // namespace gapwright
