#include "bench/reasoning/bench_verdict.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "bench/faults/fault.hpp"
#include "bench/reasoning/fault_dictionary.hpp"
#include "bench/reasoning/fault_pairs.hpp"
#include "bench/reasoning/next_measurement.hpp"
#include "bench/reasoning/outlier.hpp"
#include "bench/reasoning/reading_band.hpp"
#include "bench/reasoning/suspicion.hpp"
#include "bench/sessions/guided_session.hpp"
#include "link/link.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

constexpr std::size_t most_suspects = 10;
constexpr double told_unexplained = 0.5;

// The likeliest of a suspect's faults.
std::size_t main_fault(const Suspicion& suspicion, std::size_t suspect) {
    const FaultDictionary& dictionary = suspicion.dictionary();
    std::size_t best = 0;
    double most = -1;
    for (std::size_t f = 0; f < dictionary.faults.size(); ++f) {
        if (dictionary.suspect_of[f] != suspect || suspicion.of_faults()[f] <= most) continue;
        most = suspicion.of_faults()[f];
        best = f;
    }
    return best;
}

// What the readings say of a suspect's figure: its expectation, of the logarithm; none where
// nothing is known of it.
std::optional<double> estimate(const Suspicion& suspicion, std::size_t suspect) {
    const FaultDictionary& dictionary = suspicion.dictionary();
    double weight = 0;
    double sum = 0;
    for (std::size_t f = 0; f < dictionary.faults.size(); ++f) {
        const auto& figure = dictionary.readings[f].figure;
        const double share = suspicion.of_faults()[f];
        if (dictionary.suspect_of[f] != suspect || share <= 0) continue;
        const auto weights = suspicion.specimen_weights(f);
        if (figure.empty() || weights.size() != figure.size()) return std::nullopt;
        std::vector<double> logs;
        for (const double value : figure) {
            if (!(value > 0)) return std::nullopt;
            logs.push_back(std::log(value));
        }
        sum += share * suspicion.expectation(f, logs);
        weight += share;
    }
    return weight > 0 ? std::optional(std::exp(sum / weight)) : std::nullopt;
}

std::string words_of(const Suspicion& suspicion, std::size_t suspect) {
    const FaultDictionary& dictionary = suspicion.dictionary();
    if (suspect == 0) return "no fault";
    const auto& figure = dictionary.faults[main_fault(suspicion, suspect)].figure;
    const auto value = figure ? estimate(suspicion, suspect) : std::nullopt;
    // Off both ways alike: the readings say that it is off, not by how much.
    constexpr double undecided = 0.15;
    const bool both_ways = value && figure->nominal > 0 && !figure->as_share &&
                           std::abs(std::log(*value / figure->nominal)) < undecided;
    if (!value || both_ways) return dictionary.suspects[suspect];
    if (figure->as_share) {
        return fmt::format("{} about {} of what it should", figure->words,
                           percent(*value / figure->nominal, 2));
    }
    const auto text = [&](double v) { return engineering_short(v, figure->dimension, 2); };
    if (figure->nominal == 0) return fmt::format("{} about {}", figure->words, text(*value));
    return fmt::format("{} about {} instead of {}", figure->words, text(*value),
                       engineering_short(figure->nominal, figure->dimension));
}

std::vector<SuspectWords> suspects_of(const Suspicion& suspicion, const Conclusion& conclusion,
                                      const std::vector<TakenReading>& readings) {
    std::vector<SuspectWords> result;
    for (const Suspect& s : conclusion.suspects) {
        if (result.size() == most_suspects) break;
        SuspectWords words{.text = words_of(suspicion, s.suspect), .share = s.share};
        words.readings = readings.size();
        const std::size_t fault = main_fault(suspicion, s.suspect);
        const Fault& likeliest = suspicion.dictionary().faults[fault];
        words.parts = likeliest.parts;
        if (likeliest.shows_at && !likeliest.parts.empty()) words.driver = likeliest.parts.front();
        words.explained =
            static_cast<std::size_t>(std::ranges::count_if(readings, [&](const TakenReading& r) {
                return explains(suspicion.dictionary(), fault, r);
            }));
        constexpr double told = 1e-3;
        if (words.explained == 0 && !readings.empty() && s.share < told) continue;
        words.alike = std::ranges::find(conclusion.alike, s.suspect) != conclusion.alike.end() &&
                      conclusion.alike.size() > 1;
        result.push_back(std::move(words));
    }
    return result;
}

LinkVerdict verdict_of(const Conclusion& conclusion, bool any_reading,
                       const SessionOptions& options) {
    if (conclusion.isolation.across) return LinkVerdict::joined;
    if (conclusion.unexplained > told_unexplained) return LinkVerdict::unexplained;
    if (!any_reading || !conclusion.ended() || conclusion.suspects.empty()) {
        return LinkVerdict::undecided;
    }
    if (conclusion.cleared(options)) return LinkVerdict::good;
    const bool good_is_alike = std::ranges::find(conclusion.alike, 0) != conclusion.alike.end();
    const bool sure = conclusion.together >= options.sure && !good_is_alike;
    return sure ? LinkVerdict::faulty : LinkVerdict::undecided;
}

// Each measurement once; what was taken again stands where it was taken first.
std::vector<TakenReading> latest(const std::vector<TakenReading>& readings) {
    std::vector<TakenReading> result;
    for (const TakenReading& r : readings) {
        const auto before = std::ranges::find(result, r.measurement, &TakenReading::measurement);
        if (before == result.end()) {
            result.push_back(r);
        } else {
            *before = {.measurement = r.measurement, .value = r.value, .confirmed = true};
        }
    }
    return result;
}

// Whether single faults leave something to be explained that more readings would not clear up.
bool badly_explained(const BenchVerdict& verdict) {
    constexpr double doubt = 0.05;
    if (verdict.unexplained > told_unexplained) return true;
    const bool first_falls_short =
        !verdict.suspects.empty() &&
        verdict.suspects.front().explained < verdict.suspects.front().readings;
    return !verdict.next && (verdict.unexplained > doubt || first_falls_short);
}

// Where nothing known explains what was read, further readings only cost.
constexpr std::size_t enough_unexplained = 8;

}  // namespace

std::string_view link_verdict_word(LinkVerdict verdict) {
    switch (verdict) {
        case LinkVerdict::good:
            return "good";
        case LinkVerdict::undecided:
            return "undecided";
        case LinkVerdict::faulty:
            return "faulty";
        case LinkVerdict::joined:
            return "joined";
        case LinkVerdict::unexplained:
            break;
    }
    return "unexplained";
}

BenchVerdict bench_verdict(const Link& link, const FaultDictionary& dictionary,
                           const std::vector<ReadingBand>& bands,
                           const std::vector<TakenReading>& taken, const SessionOptions& options) {
    BenchVerdict result;
    const auto readings = latest(taken);
    for (const TakenReading& r : readings) {
        const ReadingBand& band = bands[r.measurement];
        const Judgement judgement = judge(band, r.value);
        const bool turned = judgement != Judgement::in_band && r.value < 0 &&
                            judge(band, -r.value) == Judgement::in_band;
        result.readings.push_back({r, band, judgement, turned});
    }
    for (const std::size_t s : unseen_suspects(dictionary)) {
        result.unseen.push_back(dictionary.suspects[s]);
    }
    const auto fill = [&](Suspicion& suspicion) {
        const Conclusion conclusion = conclude(suspicion, readings, options);
        result.suspects = suspects_of(suspicion, conclusion, readings);
        result.unexplained = conclusion.unexplained;
        result.isolation = conclusion.isolation;
        result.next = conclusion.next;
        result.verdict = verdict_of(conclusion, !readings.empty(), options);
    };
    Suspicion single(dictionary, options.no_fault);
    fill(single);
    if (result.isolation.across) {
        // What a board's plan makes likely may tell why; all else has nothing to say of it.
        std::erase_if(result.suspects,
                      [](const SuspectWords& s) { return s.explained < s.readings; });
        result.unexplained = 0;
        return result;
    }
    if (readings.size() < 2 || !badly_explained(result)) return result;
    result.again = find_outlier(dictionary, options.no_fault, readings);
    if (result.again && options.ask_again) {
        result.next = Proposal{.measurement = readings[result.again->reading].measurement};
        result.verdict = LinkVerdict::undecided;
        return result;
    }
    const auto pairs = dictionary_of_pairs(link, single, readings, options.engine);
    if (!pairs) return result;
    Suspicion double_faults(*pairs, options.no_fault);
    fill(double_faults);
    result.two_faults = true;
    if (result.verdict == LinkVerdict::unexplained && readings.size() >= enough_unexplained) {
        result.next.reset();
    }
    return result;
}

}  // namespace gapwright
