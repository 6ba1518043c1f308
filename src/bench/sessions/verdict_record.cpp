#include "bench/sessions/verdict_record.hpp"

#include <chrono>
#include <cmath>
#include <ctime>
#include <string>
#include "bench/meter/measurement.hpp"
#include "bench/reasoning/bench_verdict.hpp"
#include "bench/reasoning/fault_dictionary.hpp"
#include "bench/reasoning/reading_band.hpp"
#include "bench/sessions/bench_record.hpp"
#include "link/link.hpp"

namespace gapwright {
namespace {

// 2026-11-26T18:05:00+01:00.
std::string now_in_words() {
    const std::time_t now = std::chrono::system_clock::to_time_t(std::chrono::system_clock::now());
    std::tm local{};
    localtime_r(&now, &local);
    char text[64];
    std::strftime(text, sizeof text, "%Y-%m-%dT%H:%M:%S%z", &local);
    std::string words = text;
    if (words.size() > 2) words.insert(words.size() - 2, ":");
    return words;
}

}  // namespace

BenchRecord record_of(const Link& link, const FaultDictionary& dictionary,
                      const BenchVerdict& verdict) {
    BenchRecord record{.title = link.title,
                       .link = {},
                       .when = now_in_words(),
                       .verdict = std::string(link_verdict_word(verdict.verdict))};
    for (const auto& one : verdict.readings) {
        const Measurement& m = dictionary.measurements[one.reading.measurement];
        record.readings.push_back({m.state, m.measure, one.reading.value, m.dimension(),
                                   std::string(judgement_word(one.judgement))});
    }
    for (const auto& suspect : verdict.suspects) {
        constexpr double place = 1e4;  // more says nothing
        record.suspects.push_back({suspect.text, std::round(suspect.share * place) / place});
    }
    return record;
}

}  // namespace gapwright
