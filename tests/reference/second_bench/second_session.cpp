#include "reference/second_bench/second_session.hpp"

#include <algorithm>
#include <cmath>
#include <memory>
#include <stdexcept>

namespace gapwright::reference {
namespace {

// Nobody takes more readings of one link before asking somebody else (own choice).
constexpr std::size_t patience = 80;
// Specimens by which two faults are compared: their readings' extremes then hold nine tenths of
// all specimens (own choice).
constexpr std::size_t specimens = 14;

// Whether two heaps of readings have nothing in common.
bool apart(const std::vector<double>& a, const std::vector<double>& b) {
    const auto over = [](double value) { return std::isinf(value); };
    const auto over_a = std::count_if(a.begin(), a.end(), over);
    const auto over_b = std::count_if(b.begin(), b.end(), over);
    const auto all_a = static_cast<std::ptrdiff_t>(a.size());
    const auto all_b = static_cast<std::ptrdiff_t>(b.size());
    if (over_a > 0 && over_b > 0) return false;
    if (over_a == all_a || over_b == all_b) return true;
    const auto [low_a, high_a] = std::minmax_element(a.begin(), a.end());
    const auto [low_b, high_b] = std::minmax_element(b.begin(), b.end());
    return *low_a > *high_b || *low_b > *high_a;
}

}  // namespace

SecondSession run_session(const Link& link, const FaultDictionary& dictionary,
                          const std::vector<ReadingBand>& bands, SecondBench& bench,
                          const SessionOptions& options) {
    SecondSession session;
    while (true) {
        session.end = bench_verdict(link, dictionary, bands, session.readings, options);
        if (!session.end.next) return session;
        if (session.readings.size() >= patience) {
            session.endless = true;
            return session;
        }
        const std::size_t asked = session.end.next->measurement;
        const Measurement& measurement = dictionary.measurements[asked];
        if (measurement.state != unpowered && bench.sides_are_bridged()) {
            session.powered_while_bridged = true;
        }
        session.readings.push_back({asked, bench.read(measurement)});
    }
}

SessionJudge::SessionJudge(const Link& link, JunctionTest test)
    : link_(link), test_(test), naming_(link), measurements_(measurements_of(link)) {
    good_ = samples_of(nullptr);
}

SessionJudge::Samples SessionJudge::samples_of(const SecondFault* fault) const {
    Samples samples(measurements_.size());
    for (std::size_t s = 0; s < specimens; ++s) {
        SecondBench bench(link_, 71000 + s, fault, test_);
        for (std::size_t m = 0; m < measurements_.size(); ++m) {
            samples[m].push_back(bench.read(measurements_[m]));
        }
    }
    return samples;
}

bool SessionJudge::is_apart(const SecondFault& fault, const Samples& from) const {
    std::vector<std::unique_ptr<SecondBench>> benches;
    for (std::size_t s = 0; s < specimens; ++s) {
        benches.push_back(std::make_unique<SecondBench>(link_, 72000 + s, &fault, test_));
    }
    for (std::size_t m = 0; m < measurements_.size(); ++m) {
        std::vector<double> values;
        for (const auto& bench : benches) values.push_back(bench->read(measurements_[m]));
        if (apart(values, from[m])) return true;
    }
    return false;
}

bool SessionJudge::is_harmless(const SecondSession& session, const SecondFault& fault) const {
    if (fault.kind == FaultKind::intermittent_joint) {
        // Whoever measured while it happened to hold has seen a good link.
        return std::all_of(
            session.end.readings.begin(), session.end.readings.end(),
            [](const JudgedReading& r) { return r.judgement == Judgement::in_band; });
    }
    if (is_apart(fault, good_)) return false;
    for (std::uint64_t s = 0; s < specimens; ++s) {
        SecondBench broken(link_, 74000 + s, &fault, test_);
        SecondBench sound(link_, 74000 + s, nullptr, test_);
        const auto now = broken.kept(), before = sound.kept();
        for (std::size_t k = 0; k < now.size(); ++k) {
            if (before[k] && !now[k]) return false;
        }
    }
    return true;
}

Outcome SessionJudge::judge_joined(const SecondSession& session, const SecondFault& fault) const {
    if (group_of(fault.kind) != FaultGroup::across) return Outcome::wrong;
    const auto& across = session.end.isolation.across;
    if (!across) return Outcome::half;
    const Board& board = naming_.board();
    const auto is_told = [&](const std::vector<Node>& told, Side side, std::size_t node) {
        return std::any_of(told.begin(), told.end(),
                           [&](Node n) { return board.node(side, n) == node; });
    };
    // More nodes than one may be told where parts of next to no resistance join them.
    const bool places = is_told(across->input, Side::input, fault.nodes[0]) &&
                        is_told(across->output, Side::output, fault.nodes[1]);
    return places ? Outcome::found : Outcome::half;
}

bool SessionJudge::first_is_right(const SecondSession& session, const SecondFault& fault) const {
    const auto& suspects = session.end.suspects;
    return !suspects.empty() && naming_.names(suspects.front().text, fault) == Match::whole;
}

Outcome SessionJudge::judge(const SecondSession& session, const SecondFault* fault) const {
    const LinkVerdict verdict = session.end.verdict;
    if (!fault) {
        switch (verdict) {
            case LinkVerdict::good:
                return Outcome::cleared;
            case LinkVerdict::undecided:
                return Outcome::undecided_good;
            case LinkVerdict::faulty:
            case LinkVerdict::joined:
                return Outcome::false_alarm;
            case LinkVerdict::unexplained:
                return Outcome::unexplained_good;
        }
    }
    if (verdict == LinkVerdict::joined) return judge_joined(session, *fault);
    const auto& suspects = session.end.suspects;
    if (verdict == LinkVerdict::faulty) {
        if (first_is_right(session, *fault)) return Outcome::found;
        // Told together with what is first: a tie, if it is one in this world too.
        if (fault->kind != FaultKind::intermittent_joint) {
            const Samples truth = samples_of(fault);
            for (const auto& meaning : naming_.meanings(suspects.front().text, fault)) {
                if (!is_apart(meaning, truth)) return Outcome::real_tie;
            }
        }
        if (is_harmless(session, *fault)) return Outcome::wrong;
        const bool among = std::any_of(suspects.begin(), suspects.end(), [&](const auto& s) {
            return s.alike && naming_.names(s.text, *fault) == Match::whole;
        });
        if (among) return Outcome::half;
        return naming_.names(suspects.front().text, *fault) == Match::place ? Outcome::half
                                                                            : Outcome::wrong;
    }
    if (is_harmless(session, *fault)) return Outcome::harmless;
    // A link is good whatever is wrong with the meter.
    const bool of_meter = group_of(fault->kind) == FaultGroup::meter;
    if (verdict == LinkVerdict::good) return of_meter ? Outcome::harmless : Outcome::good_on_bad;
    if (verdict == LinkVerdict::unexplained) return Outcome::unexplained;
    for (std::size_t k = 0; k < std::min<std::size_t>(3, suspects.size()); ++k) {
        if (naming_.names(suspects[k].text, *fault) == Match::whole) return Outcome::undecided_near;
    }
    return Outcome::undecided_far;
}

std::string_view outcome_word(Outcome outcome) {
    static constexpr std::array<std::string_view, outcomes> words{
        "found",          "real tie",         "half",          "wrong",       "unexplained",
        "undecided near", "undecided far",    "harmless",      "good on bad", "cleared",
        "false alarm",    "unexplained good", "undecided good"};
    return words.at(static_cast<std::size_t>(outcome));
}

}  // namespace gapwright::reference
