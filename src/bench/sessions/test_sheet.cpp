#include "bench/sessions/test_sheet.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "bench/faults/fault.hpp"
#include "bench/meter/measurement.hpp"
#include "bench/meter/reading_scale.hpp"
#include "bench/reasoning/fault_dictionary.hpp"
#include "bench/reasoning/reading_band.hpp"
#include "card/part_kind.hpp"
#include "card/receiver.hpp"
#include "link/link.hpp"

namespace gapwright {
namespace {

constexpr double tail = 0.05;         // of a fault's readings that may overlap another's, each end
constexpr double meter_share = 1.7;   // standard errors that the meter adds at either end
constexpr double least_gain = 0.003;  // of all pairs that a further line has to tell apart
constexpr double same_hint = 0.5;     // on the scale: readings that near are one hint
constexpr std::size_t most_hints = 3;
constexpr std::size_t most_suspects = 4;  // that one hint names

// Where nine tenths of a fault's readings lie, on the scale.
struct Extent {
    double low = 0;
    double high = 0;
    double middle = 0;
    bool clear_of(const Extent& other) const { return low > other.high || other.low > high; }
};

Extent extent_of(const FaultDictionary& dictionary, std::size_t fault, std::size_t m) {
    if (!dictionary.readings[fault].knows(m)) return {-scale_end, scale_end, 0};
    // By either sort of meter.
    const auto values = dictionary.readings[fault].of(m);
    std::vector<double> sorted(values.begin(), values.end());
    const auto others = dictionary.readings[fault].by_other(m);
    sorted.insert(sorted.end(), others.begin(), others.end());
    std::ranges::sort(sorted);
    const auto at = [&](double share) {
        return sorted[static_cast<std::size_t>(share * static_cast<double>(sorted.size() - 1))];
    };
    const MeasurementKind kind = dictionary.measurements[m].kind;
    const auto spread = [&](double y) {
        return meter_share * scaled_error(dictionary.meter, kind, unscaled(kind, y));
    };
    const double low = at(tail);
    const double high = at(1 - tail);
    return {low - spread(low), high + spread(high), at(0.5)};
}

// What measurements show of the faults whose readings are known.
struct Told {
    const FaultDictionary& dictionary;
    std::vector<std::size_t> known = {};            // the first is none
    std::vector<std::vector<Extent>> extents = {};  // by measurement, then by known fault

    bool apart(std::size_t m, std::size_t a, std::size_t b) const {
        return extents[m][a].clear_of(extents[m][b]);
    }
};

Told told_by(const FaultDictionary& dictionary) {
    Told told{dictionary};
    for (std::size_t f = 0; f < dictionary.faults.size(); ++f) {
        if (dictionary.faults[f].loose) continue;  // no one line tells it from open, or whole
        if (dictionary.readings[f].specimens > 0) told.known.push_back(f);
    }
    for (std::size_t m = 0; m < dictionary.measurements.size(); ++m) {
        auto& row = told.extents.emplace_back();
        for (const std::size_t f : told.known) row.push_back(extent_of(dictionary, f, m));
    }
    return told;
}

// Isolation, unpowered, then the link's states in their order; there as they are listed.
std::pair<std::size_t, std::size_t> place_of(const Link& link, const FaultDictionary& dictionary,
                                             std::size_t m) {
    const Measurement& measurement = dictionary.measurements[m];
    if (crosses_gap(measurement)) return {0, m};
    const auto state = link.find_state(measurement.state);
    return {state ? 2 + *state : 1, m};
}

// Goes over all pairs of different suspects, with a number and a weight for each: a good link
// against a fault counts as much as that fault against all others.
template <class Work>
void for_pairs(const Told& told, const Work& work) {
    double faults = 0;
    for (const std::size_t f : told.known) faults += told.dictionary.faults[f].weight;
    std::size_t pair = 0;
    for (std::size_t a = 0; a < told.known.size(); ++a) {
        for (std::size_t b = a + 1; b < told.known.size(); ++b, ++pair) {
            const Fault& first = told.dictionary.faults[told.known[a]];
            const Fault& second = told.dictionary.faults[told.known[b]];
            if (first.suspect == second.suspect) continue;
            const double weight = first.is_none()    ? faults * second.weight
                                  : second.is_none() ? faults * first.weight
                                                     : first.weight * second.weight;
            work(a, b, pair, weight);
        }
    }
}

// The measurements that tell most pairs apart for their cost, isolation among them.
std::vector<std::size_t> choose(const Told& told, std::size_t most_lines) {
    const auto& measurements = told.dictionary.measurements;
    std::vector<bool> done(told.known.size() * (told.known.size() + 1) / 2, false);  // by pair
    std::vector<std::size_t> chosen;
    const auto take = [&](std::size_t m) {
        chosen.push_back(m);
        for_pairs(told, [&](std::size_t a, std::size_t b, std::size_t pair, double) {
            if (told.apart(m, a, b)) done[pair] = true;
        });
    };
    double all = 0;
    for_pairs(told, [&](std::size_t, std::size_t, std::size_t, double weight) { all += weight; });
    for (std::size_t m = 0; m < measurements.size(); ++m) {
        if (measurements[m].all_input && measurements[m].all_output) take(m);
    }
    while (chosen.size() < most_lines) {
        std::optional<std::size_t> best;
        double best_worth = 0;
        for (std::size_t m = 0; m < measurements.size(); ++m) {
            if (std::ranges::find(chosen, m) != chosen.end() || crosses_gap(measurements[m])) {
                continue;
            }
            double gained = 0;
            for_pairs(told, [&](std::size_t a, std::size_t b, std::size_t pair, double weight) {
                if (!done[pair] && told.apart(m, a, b)) gained += weight;
            });
            const double worth = gained / measurements[m].cost;
            if (gained < least_gain * all || worth <= best_worth) continue;
            best = m;
            best_worth = worth;
        }
        if (!best) break;
        take(*best);
    }
    return chosen;
}

// Where a group's readings lie, without what lies in the band of good links.
SheetHint outside_band(MeasurementKind kind, double low, double high, double middle,
                       const ReadingBand& band) {
    const auto value = [&](double y) { return is_over_range(y) ? INFINITY : unscaled(kind, y); };
    SheetHint hint{value(low), value(high), {}};
    if (value(middle) > band.highest) {
        hint.lowest = std::max(hint.lowest, band.highest);
    } else {
        hint.highest = std::min(hint.highest, band.lowest);
    }
    return hint;
}

std::vector<std::size_t> heaviest(const std::map<std::size_t, double>& weights) {
    std::vector<std::pair<std::size_t, double>> sorted(weights.begin(), weights.end());
    std::ranges::stable_sort(sorted, std::greater(), [](const auto& w) { return w.second; });
    std::vector<std::size_t> result;
    for (const auto& [suspect, weight] : sorted) {
        if (result.size() < most_suspects) result.push_back(suspect);
    }
    return result;
}

// Faults that move this line out of its band, those of like readings together.
std::vector<SheetHint> hints(const Told& told, const ReadingBand& band, std::size_t m) {
    struct Moved {
        double middle, low, high, weight;
        std::size_t suspect;
    };
    std::vector<Moved> moved;
    const MeasurementKind kind = told.dictionary.measurements[m].kind;
    const Extent& good = told.extents[m].front();  // the first fault is none
    for (std::size_t k = 1; k < told.known.size(); ++k) {
        const Extent& e = told.extents[m][k];
        if (!e.clear_of(good)) continue;
        moved.push_back({e.middle, e.low, e.high, told.dictionary.faults[told.known[k]].weight,
                         told.dictionary.suspect_of[told.known[k]]});
    }
    std::ranges::sort(moved, {}, &Moved::middle);
    struct Group {
        SheetHint hint;
        double weight = 0;
    };
    std::vector<Group> groups;
    for (std::size_t begin = 0; begin < moved.size();) {
        std::size_t end = begin + 1;
        // (what reads too little and what reads too much are two hints, however near)
        const auto too_much = [&](const Moved& one) {
            return is_over_range(one.middle) || unscaled(kind, one.middle) > band.highest;
        };
        while (end < moved.size() && moved[end].middle - moved[begin].middle < same_hint &&
               too_much(moved[end]) == too_much(moved[begin])) {
            ++end;
        }
        Group group;
        // Of a fault whose readings go far apart, its middle stands for it.
        double low = scale_end;
        double high = -scale_end;
        for (std::size_t k = begin; k < end; ++k) {
            const bool far_apart = moved[k].high - moved[k].low > same_hint;
            low = std::min(low, far_apart ? moved[k].middle : moved[k].low);
            high = std::max(high, far_apart ? moved[k].middle : moved[k].high);
        }
        group.hint = outside_band(kind, low, high, moved[begin].middle, band);
        // A few good links in a thousand may read so, too.
        if (group.hint.lowest > group.hint.highest) {
            begin = end;
            continue;
        }
        std::map<std::size_t, double> weights;
        for (std::size_t k = begin; k < end; ++k) {
            weights[moved[k].suspect] += moved[k].weight;
            group.weight += moved[k].weight;
        }
        group.hint.suspects = heaviest(weights);
        groups.push_back(std::move(group));
        begin = end;
    }
    std::ranges::stable_sort(groups, std::greater(), &Group::weight);
    std::vector<SheetHint> result;
    for (const Group& group : groups) {
        if (result.size() < most_hints) result.push_back(group.hint);
    }
    return result;
}

// Suspects none of whose faults any line of the sheet shows.
std::vector<std::size_t> unseen(const Told& told, const std::vector<std::size_t>& chosen) {
    std::vector<bool> seen(told.dictionary.suspects.size(), false);
    seen[0] = true;
    for (std::size_t k = 1; k < told.known.size(); ++k) {
        for (const std::size_t m : chosen) {
            if (!told.extents[m][k].clear_of(told.extents[m].front())) continue;
            seen[told.dictionary.suspect_of[told.known[k]]] = true;
        }
    }
    for (std::size_t f = 1; f < told.dictionary.faults.size(); ++f) {
        const auto& suspect_of = told.dictionary.suspect_of;
        if (told.dictionary.faults[f].loose) seen[suspect_of[f]] = seen[suspect_of[f - 1]];
    }
    std::vector<std::size_t> result;
    for (std::size_t s = 0; s < seen.size(); ++s) {
        if (!seen[s]) result.push_back(s);
    }
    return result;
}

// Common practice, no source.
std::vector<std::string> checks(const Link& link) {
    std::vector<std::string> checks;
    for (const Part& part : link.parts) {
        if (part.description.kind != Kind::pair) continue;
        const bool infrared = receiver_rule(receiver_of(part.description)).infrared;
        if (infrared) {
            checks.push_back(fmt::format(
                "{}'s emitter lights in infrared and looks dead to the eye: look at it through "
                "the camera of a telephone, which shows it as a pale glow. Some cameras "
                "filter it out: try yours on a remote control first.",
                part.name));
        } else {
            checks.push_back(fmt::format(
                "{}'s receiver, one lead lifted, reads tens of kΩ in the light of a room, some "
                "MΩ in the dark after a minute, and tens of Ω close under a lamp.",
                part.name));
        }
    }
    return checks;
}

}  // namespace

TestSheet test_sheet(const Link& link, const FaultDictionary& dictionary,
                     const SheetOptions& options) {
    const Told told = told_by(dictionary);
    const auto bands = reading_bands(dictionary, options.seed);
    auto chosen = choose(told, options.most_lines);
    std::ranges::sort(chosen, {}, [&](std::size_t m) { return place_of(link, dictionary, m); });
    TestSheet sheet;
    for (const std::size_t m : chosen) {
        sheet.lines.push_back({m, bands[m], hints(told, bands[m], m)});
    }
    sheet.unseen = unseen(told, chosen);
    sheet.checks = checks(link);
    return sheet;
}

}  // namespace gapwright
