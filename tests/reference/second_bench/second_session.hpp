// A guided session of the program at this bench's link, and what its end comes to.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "bench/reasoning/bench_verdict.hpp"
#include "reference/second_bench/second_bench.hpp"
#include "reference/second_bench/verdict_match.hpp"

namespace gapwright::reference {

struct SecondSession {
    BenchVerdict end;                    // verdict, suspects with their shares, the way across
    std::vector<TakenReading> readings;  // in the order in which they were taken
    // A reading with the power on was taken though something joins the sides.
    bool powered_while_bridged = false;
    bool endless = false;  // it asked for more than any bench would take
};

SecondSession run_session(const Link& link, const FaultDictionary& dictionary,
                          const std::vector<ReadingBand>& bands, SecondBench& bench,
                          const SessionOptions& options);

enum class Outcome : std::uint8_t {
    // of a link with a fault
    found,     // the truth is first
    real_tie,  // what is first cannot be told from it by any reading
    half,      // the right part, something else wrong with it
    wrong,
    unexplained,
    undecided_near,  // the truth is among the first three
    undecided_far,
    harmless,  // no reading shows it, and every promise holds
    good_on_bad,
    // of a good one
    cleared,
    false_alarm,
    unexplained_good,
    undecided_good,
    count_of_outcomes,
};
inline constexpr std::size_t outcomes = static_cast<std::size_t>(Outcome::count_of_outcomes);
std::string_view outcome_word(Outcome outcome);

// Judges sessions of one link; keeps what this bench's faults read.
class SessionJudge {
  public:
    explicit SessionJudge(const Link& link, JunctionTest test = JunctionTest::constant);

    Outcome judge(const SecondSession& session, const SecondFault* fault) const;

    using Samples = std::vector<std::vector<double>>;  // by measurement and specimen
    Samples samples_of(const SecondFault* fault) const;
    // Whether some reading shows that fault apart from those specimens by more than their spread
    // and the meter's error.
    bool is_apart(const SecondFault& fault, const Samples& from) const;

    const Naming& naming() const { return naming_; }

  private:
    bool is_harmless(const SecondSession& session, const SecondFault& fault) const;
    bool first_is_right(const SecondSession& session, const SecondFault& fault) const;
    Outcome judge_joined(const SecondSession& session, const SecondFault& fault) const;

    const Link& link_;
    JunctionTest test_;
    Naming naming_;
    std::vector<Measurement> measurements_;
    Samples good_;
};

}  // namespace gapwright::reference
