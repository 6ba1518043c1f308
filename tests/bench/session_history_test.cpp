// Sessions read back from their records, and what they tell together; expectations by hand.
#include "bench/sessions/session_history.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <fstream>

#include "bench/hand_links.hpp"
#include "bench/sessions/measured_points.hpp"
#include "bench/sessions/record_reading.hpp"
#include "support/link_text.hpp"
#include "support/record_folder.hpp"

namespace gapwright {
namespace {

using Sessions = testing_support::RecordFolder;
using testing_support::least_text;

constexpr double over_range = std::numeric_limits<double>::infinity();

Link least() {
    return *testing_support::link_from(least_text);
}

RecordedReading volts(const char* state, const char* measure, double value) {
    return {state, measure, value, Dimension::voltage, "in band"};
}

BenchRecord session(const std::string& specimen, std::vector<RecordedReading> readings) {
    return {.title = "Least",
            .link = "least.link.toml",
            .who = "the night shift",
            .specimen = specimen,
            .when = "2026-11-26T18:05:00+01:00",
            .readings = std::move(readings),
            .verdict = "good",
            .suspects = {{.text = "no fault", .probability = 0.97}}};
}

// Good links read 0.1 … 0.3 V, whatever is measured.
std::vector<ReadingBand> bands(std::size_t count) {
    return std::vector<ReadingBand>(count, {0.2, 0.1, 0.3, 0.05, 0.4});
}

TEST_F(Sessions, AreReadBackAsTheyWereRecorded) {
    const auto measurements = measurements_of(least());
    ASSERT_TRUE(append_record(link_, session("board 1", {volts("on", "voltage at signal", 0.19),
                                                         {"unpowered", "isolation", over_range,
                                                          Dimension::resistance}})));
    ASSERT_TRUE(append_record(link_, session("", {volts("on", "voltage at a bell", 1),
                                                  volts("on", "voltage at signal", 0.2)})));
    std::ofstream(folder() / "0003-2026-11-27.toml") << "title = \"torn";
    std::ofstream(folder() / "notes.txt") << "no record";
    const auto past = past_sessions(link_, measurements);
    ASSERT_TRUE(past) << past.error();
    ASSERT_EQ(past->sessions.size(), 2U);
    const PastSession& first = past->sessions[0];
    EXPECT_EQ(first.file, "0001-2026-11-26.toml");
    EXPECT_EQ(first.record.specimen, "board 1");
    EXPECT_EQ(first.record.verdict, "good");
    EXPECT_EQ(first.record.suspects.at(0).text, "no fault");
    EXPECT_EQ(first.record.suspects.at(0).probability, 0.97);
    ASSERT_EQ(first.readings.size(), 2U);
    EXPECT_EQ(measurements[first.readings[0].measurement].measure, "voltage at signal");
    EXPECT_EQ(first.readings[0].value, 0.19);
    EXPECT_EQ(first.readings[1].value, over_range);
    // What the link does not have is told, and takes nothing else along; so is what is no record.
    EXPECT_EQ(past->sessions[1].unknown, std::vector<std::string>{"voltage at a bell, on"});
    EXPECT_EQ(past->sessions[1].readings.size(), 1U);
    ASSERT_EQ(past->unreadable.size(), 1U);
    EXPECT_TRUE(past->unreadable[0].starts_with("0003-2026-11-27.toml: ")) << past->unreadable[0];
}

TEST_F(Sessions, AreNoneWhereNothingWasRecorded) {
    const auto past = past_sessions(link_, measurements_of(least()));
    ASSERT_TRUE(past);
    EXPECT_TRUE(past->sessions.empty());
    EXPECT_TRUE(past->unreadable.empty());
}

class TellTogether : public Sessions {
  protected:
    SessionHistory told() {
        const Link link = least();
        const auto measurements = measurements_of(link);
        const auto past = past_sessions(link_, measurements);
        return history_of(past->sessions, measurements, link.meter, bands(measurements.size()));
    }
    void add(const std::string& specimen, double value) {
        ASSERT_TRUE(
            append_record(link_, session(specimen, {volts("on", "voltage at signal", value)})));
    }
};

TEST_F(TellTogether, WhatChangedOnOneSpecimen) {
    add("board 1", 0.19);
    add("board 2", 4.9);    // another board is no change
    add("board 1", 0.191);  // a meter of three and a half digits may read so of 0.19 V
    add("board 1", 4.98);
    const auto history = told();
    ASSERT_EQ(history.changes.size(), 1U);
    EXPECT_EQ(history.changes[0].before, 0.191);
    EXPECT_EQ(history.changes[0].after, 4.98);
    EXPECT_EQ(history.changes[0].earlier, 2U);
    EXPECT_EQ(history.changes[0].session, 3U);
}

TEST_F(TellTogether, HowSpecimensLieBesideOneAnother) {
    for (const double value : {0.20, 0.21, 0.19, 0.20, 0.28, 0.5}) {
        add("board at " + std::to_string(value), value);
    }
    add("", 0.2);  // a class: who measured stands for the specimen
    const auto history = told();
    EXPECT_EQ(history.specimens.size(), 6U);  // two boards read 0.20 V under one name
    ASSERT_EQ(history.pooled.size(), 1U);
    const PooledReading& pooled = history.pooled[0];
    EXPECT_EQ(pooled.lowest, 0.19);
    EXPECT_EQ(pooled.highest, 0.5);
    // Of 0.19, 0.20, 0.20, 0.21, 0.28, 0.5: deviations 0.015, 0.005, 0.005, 0.005, 0.075, 0.295
    // from 0.205, their median 0.01; a score of 3.5 is 0.052 away.
    EXPECT_NEAR(pooled.median, 0.205, 1e-12);
    for (const auto& one : pooled.values) {
        EXPECT_EQ(one.apart, one.value > 0.25) << one.value;
        EXPECT_EQ(one.judgement, one.value == 0.5 ? Judgement::wrong : Judgement::in_band);
    }
}

TEST_F(TellTogether, NothingOfTooFew) {
    for (const double value : {0.20, 0.21, 0.19, 0.29}) add(std::to_string(value), value);
    for (const auto& one : told().pooled.at(0).values) EXPECT_FALSE(one.apart);
}

// R1 of 1002 Ω with 7.75 V across it, R2 of 9.98 kΩ with 4.81 V, and nothing else at the signal.
TEST_F(Sessions, HoldPointsOfParts) {
    const Link link = *testing_support::link_from(R"(
[input]
supply = "9 V"
paths = ["supply > R1 > U1 > return"]
[output]
supply = "5 V"
paths = ["supply > R2 > signal", "signal > U1 > return"]
[parts]
R1 = { kind = "resistor", value = "1 kΩ ± 5 %", power = "0.25 W" }
U1 = { card = "four-pin-coupler-b" }
R2 = { kind = "resistor", value = "10 kΩ ± 5 %" }
)");
    const auto measurements = measurements_of(link);
    const auto ohms = [](const char* measure, double value) {
        return RecordedReading{"unpowered", measure, value, Dimension::resistance, "in band"};
    };
    ASSERT_TRUE(append_record(
        link_,
        session("board 1",
                {ohms("resistance across R1", 1002), ohms("resistance across R2", 9980),
                 volts("on", "voltage across R1", 7.75), volts("on", "voltage at R1/U1", 1.2),
                 volts("on", "voltage across R2", 4.81), volts("on", "voltage at signal", 0.19)})));
    // Of the dark state no current was read, and what stands backwards is no point.
    ASSERT_TRUE(append_record(link_, session("board 2", {ohms("resistance across R1", 1000),
                                                         volts("on", "voltage across R1", -7.7),
                                                         volts("on", "voltage at R1/U1", -1)})));
    const auto past = past_sessions(link_, measurements);
    const auto parts = points_of_sessions(link, past->sessions, measurements);
    ASSERT_EQ(parts.size(), 1U);
    EXPECT_EQ(link.parts[parts[0].part].name, "U1");
    const auto& points = parts[0].points;
    ASSERT_EQ(points.size(), 2U);
    EXPECT_EQ(points[0].specimen, "board 1");
    EXPECT_NEAR(*points[0].find("forward_current"), 7.75 / 1002, 1e-9);
    EXPECT_NEAR(*points[0].find("forward_voltage"), 1.2, 1e-12);
    EXPECT_NEAR(*points[1].find("forward_current"), 7.75 / 1002, 1e-9);
    EXPECT_NEAR(*points[1].find("collector_current"), 4.81 / 9980, 1e-9);
    EXPECT_NEAR(*points[1].find("collector_emitter_voltage"), 0.19, 1e-12);
    for (const auto& point : points) {
        EXPECT_GT(*point.uncertainty, 1e-3);
        EXPECT_LT(*point.uncertainty, 0.02);
    }
}

}  // namespace
}  // namespace gapwright
