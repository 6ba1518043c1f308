// Links whose specimens lie on both sides of a transistor's saturation: they settle in lanes like
// others, or a page that follows a value while it is dragged stands still just there.
#include <gtest/gtest.h>

#include <fstream>
#include <sstream>

#include "population/engine.hpp"

namespace gapwright {
namespace {

std::string example_with(const std::string& value) {
    std::ifstream stream(PROJECT_FOLDER "/examples/clock-tower/bell-hammer.link.toml");
    std::ostringstream text;
    text << stream.rdbuf();
    std::string link = text.str();
    const std::string from = "330 Ω ± 5 %";
    return link.replace(link.find(from), from.size(), value);
}

class BetweenRegions : public testing::TestWithParam<const char*> {};

TEST_P(BetweenRegions, SpecimensSettleInLanes) {
    const auto link = read_link(
        std::make_shared<const SourceText>("bell.link.toml", example_with(GetParam())), ".");
    ASSERT_TRUE(link);
    const auto circuit = build_circuit(*link);
    ASSERT_TRUE(circuit);
    const auto ranges = condition_ranges(*link);
    const auto u1 = link->find_part("U1");
    const std::vector<Measure> measures = {
        {static_cast<StateIndex>(0), circuit->of(*u1, Side::output)->voltage()}};
    const Engine engine(circuit->circuit, measures, nominal_specimen(*circuit, ranges),
                        figure_ranges(*circuit, ranges));
    constexpr std::size_t count = 4000;
    double least = 1e9;
    double most = -1e9;
    EngineOptions options;
    options.threads = 1;
    const auto outcome = engine.run(
        population_source(*circuit, ranges, 1, count),
        [&](std::size_t, const MeasuredGroup& group) {
            for (std::size_t lane = 0; lane < group.count; ++lane) {
                least = std::min(least, group.at(lane, 0));
                most = std::max(most, group.at(lane, 0));
            }
        },
        options);
    EXPECT_EQ(outcome.unsettled, 0U);
    EXPECT_LE(outcome.by_single_points, count / 100);
    EXPECT_LT(least, 0.3);  // saturated in some of them,
    EXPECT_GT(most, 3.0);   // and not in others
}

INSTANTIATE_TEST_SUITE_P(Values, BetweenRegions,
                         testing::Values("1788 Ω ± 5 %", "1966 Ω ± 5 %", "2163 Ω ± 5 %"));

}  // namespace
}  // namespace gapwright
