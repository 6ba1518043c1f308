#include "bench/meter/measure_names.hpp"

#include <gtest/gtest.h>

#include <memory>

#include "bench/bench_links.hpp"
#include "bench/sessions/readings_file.hpp"

namespace gapwright {
namespace {

using testing_support::bench_examples;
using testing_support::example_at_bench;

TEST(MeasureNames, TwoWaysOfWritingTheSame) {
    const std::pair<const char*, const char*> same[] = {
        {"voltage at D2/U1", "voltage at U1/D2"},
        {"voltage at D2/U1", "voltage  at between D2 and U1"},
        {"voltage at D2/U1", "voltage between U1 and D2"},
        {"resistance at R1/R2/U1", "resistance at U1/R1/R2"},
        {"voltage at input.supply", "voltage at input supply"},
        {"isolation D2/U1 to all of the output",
         "isolation between U1 and D2 to all of the output"},
    };
    for (const auto& [one, other] : same) EXPECT_EQ(plain_name(one), plain_name(other)) << other;
    EXPECT_NE(plain_name("voltage at D1"), plain_name("voltage across D1"));
    EXPECT_NE(plain_name("voltage at a"), plain_name("voltage at A"));
}

Expected<std::vector<Reading>> read_as(const Link& link, const std::string& state,
                                       const std::string& measure, const std::string& value) {
    const std::string csv =
        "state,measure,value\n" + state + ",\"" + measure + "\"," + value + "\n";
    return read_readings(std::make_shared<const SourceText>("readings.csv", csv),
                         measurements_of(link));
}

// Whatever the sheet prints of a point can be typed, and every part's current and voltage.
TEST(MeasureNames, EverythingPrintedCanBeTyped) {
    for (const char* name : bench_examples) {
        const Link& link = example_at_bench(name).link;
        for (const Measurement& m : measurements_of(link)) {
            for (const std::string& called : names_of(m)) {
                const auto read = read_as(link, m.state, called, "1");
                ASSERT_TRUE(read.has_value()) << name << ' ' << called;
                EXPECT_EQ(measurements_of(link)[read->front().measurement].measure, m.measure);
            }
            if (m.kind != MeasurementKind::voltage || m.minus != Node::side_return) continue;
            // As the sheet tells where a lead goes: "between R1 and U1".
            const std::string& node = link.side(m.side).node_names[to_index(m.plus)];
            const std::string point =
                node == "supply" ? (m.side == Side::input ? "input supply" : "output supply")
                                 : node;
            EXPECT_TRUE(read_as(link, m.state, "voltage at " + point, "1").has_value())
                << name << " voltage at " << point;
        }
        const std::string state = link.states.front().name;
        for (const Part& part : link.parts) {
            if (part.is_gap()) continue;
            const Kind kind = part.description.kind;
            if (kind != Kind::logic_output) {
                EXPECT_TRUE(read_as(link, state, "voltage across " + part.name, "1").has_value())
                    << name << ' ' << part.name;
            }
            if (kind == Kind::logic_input || kind == Kind::capacitor) continue;
            EXPECT_TRUE(read_as(link, state, "current " + part.name, "1 mA").has_value())
                << name << ' ' << part.name;
        }
    }
}

// What is unknown is not answered with a name from the other side of the gap.
TEST(MeasureNames, NobodyIsLedAcrossTheGap) {
    const Link& link = example_at_bench("bell-hammer").link;
    const auto read = read_as(link, "on", "voltage across U1.emiter", "1.2");
    ASSERT_FALSE(read.has_value());
    const std::string text = read.error().front().message;
    EXPECT_EQ(text.find("receiver"), std::string::npos) << text;
    const auto input = read_as(link, "on", "voltage at R1/U2", "1.2");
    ASSERT_FALSE(input.has_value());
    EXPECT_EQ(input.error().front().message.find("U1/R2"), std::string::npos)
        << input.error().front().message;
}

}  // namespace
}  // namespace gapwright
