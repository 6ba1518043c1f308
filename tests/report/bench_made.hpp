// A test sheet and a verdict made by hand, for tests of what is told of them.
#pragma once

#include <gtest/gtest.h>

#include <algorithm>
#include <limits>

#include "report/bench_report.hpp"
#include "support/link_text.hpp"

namespace gapwright::testing_support {

inline constexpr double over_range = std::numeric_limits<double>::infinity();

struct Made {
    Link link;
    FaultDictionary dictionary;
    TestSheet sheet;
    std::vector<ReadingBand> bands;

    std::size_t measurement(std::string_view measure, std::string_view state) const {
        const auto& all = dictionary.measurements;
        const auto found = std::ranges::find_if(
            all, [&](const Measurement& m) { return m.measure == measure && m.state == state; });
        EXPECT_NE(found, all.end()) << measure;
        return static_cast<std::size_t>(found - all.begin());
    }
    void add(std::string_view measure, std::string_view state, ReadingBand band,
             std::vector<SheetHint> hints) {
        sheet.lines.push_back({measurement(measure, state), band, std::move(hints)});
    }
    BenchAnswer answer() const {
        return {.link = link, .dictionary = dictionary, .sheet = sheet, .bands = bands};
    }
};

inline Made made(const std::string& text = plain_link()) {
    auto link = link_from(text);
    EXPECT_TRUE(link) << to_text(link.error());
    Made m{.link = std::move(*link), .dictionary = {}, .sheet = {}, .bands = {}};
    m.dictionary.measurements = measurements_of(m.link);
    m.dictionary.suspects = {"",           "R2 is open",    "U1.collector is open",
                             "R1 is open", "the gap leaks", "R9 & <b>R8</b> are exchanged"};
    m.bands.assign(m.dictionary.measurements.size(), {5.0, 4.72, 5.28, 4.7, 5.3});
    m.add("isolation", "unpowered", {over_range, 20e6, over_range, 2e6, over_range},
          {{.lowest = 990, .highest = 1.01e6, .suspects = {4}}});
    m.add("resistance across R1", "unpowered", {1000, 942, 1058, 930, 1070},
          {{.lowest = over_range, .highest = over_range, .suspects = {3}}});
    m.add("voltage at signal", "on", {0.12345, 0.1166, 0.1301, 0.11, 0.14},
          {{.lowest = 4.98, .highest = 5.02, .suspects = {2, 3}},
           {.lowest = -1e-5, .highest = 2e-5, .suspects = {1, 5}}});
    m.add("current input.supply", "on", {7.8e-3, 7.2e-3, 8.4e-3, 7e-3, 9e-3}, {});
    m.sheet.checks = {"The emitter points at the receiver."};
    m.sheet.unseen = {5};
    return m;
}

inline BenchVerdict verdict_of(const Made& m) {
    BenchVerdict verdict;
    verdict.readings = {
        {{m.measurement("voltage at signal", "on"), 5.01}, m.sheet.lines[2].band, Judgement::wrong},
        {{m.measurement("isolation", "unpowered"), over_range},
         m.sheet.lines[0].band,
         Judgement::in_band},
        {{m.measurement("voltage at signal", "off"), 4.71}, m.bands[0], Judgement::suspicious}};
    verdict.verdict = LinkVerdict::faulty;
    verdict.isolation.whole = true;
    verdict.suspects = {{"U1.collector is open", 0.62, 3, 3, false},
                        {"R1 is open", 0.33, 2, 3, true},
                        {"no fault", 0.01, 1, 3, false}};
    verdict.unexplained = 0.04;
    verdict.next =
        Proposal{.measurement = m.measurement("voltage across R1", "on"), .information = 0.5};
    return verdict;
}

inline bool has(const std::string& text, std::string_view part) {
    return text.find(part) != std::string::npos;
}

}  // namespace gapwright::testing_support
