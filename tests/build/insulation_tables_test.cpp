// Tables of IEC 60664-1 against values from elsewhere than this code.
//
// Read in a published text, and compared value by value: IEC 60664-1:2007 table F.4 (reproduced on
// a page of a terminal manufacturer's catalogue of 2015) and with it all creepage distances below;
// the marked clearances of table F.2 (a national railway's technical rules, which give 1.5, 2.5, 4
// and 6 kV); the marked impulse voltages of table F.1 (a power supply manufacturer's note).
// Everything else: from memory.
#include "build/insulation_tables.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace gapwright {
namespace {

using Group = Insulation::Group;

constexpr double mm = 1e-3;
constexpr double exactly_so = 1e-12;  // m: table values differ by rounding only

TEST(RatedImpulse, IsTableF1) {
    struct Case {
        double mains;
        int category;
        double impulse;
    };
    const Case cases[] = {
        {50, 1, 330},     {50, 2, 500},    {50, 3, 800},    {50, 4, 1500},
        {100, 1, 500},    {100, 4, 2500},  {120, 2, 1500},                   // from memory
        {150, 1, 800},    {150, 2, 1500},  {150, 3, 2500},  {150, 4, 4000},  // read
        {300, 1, 1500},   {300, 2, 2500},  {300, 3, 4000},  {300, 4, 6000},  // read
        {600, 1, 2500},   {600, 2, 4000},  {600, 3, 6000},  {600, 4, 8000},  // read
        {1000, 1, 4000},  {1000, 2, 6000}, {1000, 3, 8000},                  // read
        {1000, 4, 12000},                                                    // from memory
        {230, 2, 2500},   {230, 3, 4000},  {400, 2, 4000},  // the row above: no interpolation
    };
    for (const auto& c : cases) {
        EXPECT_EQ(rated_impulse(c.mains, c.category), c.impulse) << c.mains << " V, " << c.category;
    }
    EXPECT_FALSE(rated_impulse(1000.1, 2));
}

TEST(ImpulseClearance, IsTableF2) {
    struct Case {
        double impulse;
        int degree;
        double distance;  // mm
    };
    const Case cases[] = {
        {330, 1, 0.01},   {500, 1, 0.04}, {800, 1, 0.10}, {1500, 1, 0.5},  // from memory
        {330, 2, 0.2},    {800, 2, 0.2},  {330, 3, 0.8},  {800, 3, 0.8},   // from memory
        {1500, 2, 0.5},   {2500, 2, 1.5}, {4000, 2, 3.0}, {6000, 2, 5.5},  // read
        {1500, 3, 0.8},                                                    // read
        {2500, 3, 1.5},   {4000, 3, 3.0}, {8000, 2, 8.0}, {12000, 2, 14},  // from memory
        {12000, 1, 14.0}, {20000, 3, 25},                                  // from memory
    };
    for (const auto& c : cases) {
        const auto found = impulse_clearance(c.impulse, c.degree);
        ASSERT_TRUE(found);
        EXPECT_NEAR(*found, c.distance * mm, exactly_so) << c.impulse << " V, " << c.degree;
    }
}

TEST(ImpulseClearance, IsLinearBetweenRowsAndEndsWhereTheTableDoes) {
    EXPECT_NEAR(*impulse_clearance(3500, 2), 2.5 * mm, exactly_so);
    EXPECT_NEAR(*impulse_clearance(1350, 2), 0.375 * mm, exactly_so);
    EXPECT_NEAR(*impulse_clearance(1000, 2), 0.2 * mm, exactly_so) << "the least of the degree";
    EXPECT_NEAR(*impulse_clearance(100, 2), 0.2 * mm, exactly_so) << "the first row";
    EXPECT_TRUE(impulse_clearance(40000, 2));
    EXPECT_FALSE(impulse_clearance(40001, 2));
}

TEST(ReinforcedImpulse, IsTheNextPreferredOneOr160Percent) {
    const double series[] = {330, 500, 800, 1500, 2500, 4000, 6000, 8000, 12000};
    for (std::size_t k = 0; k + 1 < std::size(series); ++k) {
        EXPECT_EQ(reinforced_impulse(series[k]), series[k + 1]);
    }
    EXPECT_DOUBLE_EQ(reinforced_impulse(12000), 19200);
    EXPECT_DOUBLE_EQ(reinforced_impulse(1000), 1600);
}

// From memory, all of it.
TEST(SteadyClearance, IsTableF7a) {
    EXPECT_NEAR(*steady_clearance(100), 0.01 * mm, exactly_so);
    EXPECT_NEAR(*steady_clearance(1000), 0.26 * mm, exactly_so);
    EXPECT_NEAR(*steady_clearance(2500), 1.8 * mm, exactly_so);
    EXPECT_NEAR(*steady_clearance(4500), 4.75 * mm, exactly_so) << "between 3.8 and 5.7";
    EXPECT_FALSE(steady_clearance(10001));
}

TEST(Creepage, IsTableF4) {
    struct Case {
        double voltage;
        int degree;
        Group group;
        double distance;  // mm
    };
    const Case cases[] = {
        {10, 1, Group::i, 0.08},      {50, 1, Group::iiib, 0.18},   {250, 1, Group::ii, 0.56},
        {1000, 1, Group::iiia, 3.2},  {2000, 1, Group::i, 7.5},     {10, 2, Group::iiia, 0.4},
        {50, 2, Group::i, 0.6},       {50, 2, Group::ii, 0.85},     {50, 2, Group::iiia, 1.2},
        {63, 2, Group::iiia, 1.25},   {125, 2, Group::ii, 1.05},    {200, 2, Group::iiib, 2.0},
        {250, 2, Group::i, 1.25},     {250, 2, Group::ii, 1.8},     {250, 2, Group::iiia, 2.5},
        {400, 2, Group::iiia, 4.0},   {630, 2, Group::ii, 4.5},     {1000, 2, Group::iiia, 10.0},
        {2000, 2, Group::iiia, 20.0}, {25, 3, Group::i, 1.25},      {40, 3, Group::ii, 1.6},
        {125, 3, Group::iiia, 2.4},   {250, 3, Group::i, 3.2},      {250, 3, Group::ii, 3.6},
        {250, 3, Group::iiib, 4.0},   {1000, 3, Group::iiia, 16.0}, {1600, 3, Group::ii, 22.0},
    };
    for (const auto& c : cases) {
        const auto found = creepage_distance(c.voltage, c.degree, c.group);
        ASSERT_TRUE(found);
        EXPECT_NEAR(*found, c.distance * mm, exactly_so) << c.voltage << " V, " << c.degree;
    }
}

TEST(Creepage, IsLinearBetweenRowsAndEndsWhereTheTableDoes) {
    EXPECT_NEAR(*creepage_distance(225, 2, Group::iiia), 2.25 * mm, exactly_so);
    EXPECT_NEAR(*creepage_distance(36, 2, Group::ii), 0.665 * mm, exactly_so);
    EXPECT_NEAR(*creepage_distance(5, 2, Group::iiia), 0.4 * mm, exactly_so) << "the first row";
    EXPECT_FALSE(creepage_distance(2000.1, 2, Group::iiia));
}

// More voltage, more dirt or a worse material never asks for less.
TEST(Creepage, NeverFallsWithVoltageDirtOrMaterial) {
    double before[3][3] = {};
    for (double v = 5; v <= 2000; v *= 1.02) {
        for (int degree = 1; degree <= 3; ++degree) {
            for (const Group group : {Group::i, Group::ii, Group::iiia}) {
                const double now = *creepage_distance(v, degree, group);
                double& last = before[degree - 1][static_cast<std::size_t>(group)];
                EXPECT_GE(now, last) << v << " V, " << degree;
                last = now;
                if (degree > 1) {
                    EXPECT_GE(now, *creepage_distance(v, degree - 1, group)) << v;
                }
            }
            EXPECT_LE(*creepage_distance(v, degree, Group::i),
                      *creepage_distance(v, degree, Group::iiia));
        }
    }
}

TEST(PrintedCreepage, HasColumnsForCleanSurfacesOnly) {
    EXPECT_NEAR(*printed_creepage(50, 1, Group::iiib), 0.025 * mm, exactly_so);
    EXPECT_NEAR(*printed_creepage(50, 2, Group::iiia), 0.04 * mm, exactly_so);
    EXPECT_NEAR(*printed_creepage(250, 1, Group::i), 0.56 * mm, exactly_so);
    EXPECT_NEAR(*printed_creepage(250, 2, Group::i), 1.0 * mm, exactly_so);
    EXPECT_NEAR(*printed_creepage(1000, 2, Group::ii), 5.0 * mm, exactly_so);
    EXPECT_FALSE(printed_creepage(50, 2, Group::iiib));
    EXPECT_FALSE(printed_creepage(50, 3, Group::i));
    EXPECT_FALSE(printed_creepage(1000.1, 1, Group::i)) << "the columns end at 1000 V";
}

// Table F.3a, as far as it was read: nominal mains and the voltage for table F.4.
TEST(RationalisedVoltage, IsTheRowAtOrAbove) {
    const std::pair<double, double> pairs[] = {
        {24, 25},   {30, 32},   {42, 50},   {48, 50},   {60, 63},   {110, 125},  {120, 125},
        {150, 160}, {200, 200}, {220, 250}, {300, 320}, {600, 630}, {1000, 1000}};
    for (const auto& [nominal, row] : pairs) EXPECT_EQ(rationalised_voltage(nominal), row);
    EXPECT_FALSE(rationalised_voltage(2000.1));
}

// IEC 62368-1, ES1, from memory; the three belong together.
TEST(ExtraLowVoltage, IsEnergySourceClass1) {
    EXPECT_EQ(es1_direct, 60);
    EXPECT_EQ(es1_rms, 30);
    EXPECT_NEAR(es1_peak, es1_rms * std::sqrt(2), 0.05);
}

}  // namespace
}  // namespace gapwright
