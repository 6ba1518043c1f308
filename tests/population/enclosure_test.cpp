// Proven bounds against the single-point solver at many choices inside the ranges.
#include "circuit/enclosure.hpp"
#include "card/key.hpp"

#include <gtest/gtest.h>

#include <iostream>
#include <random>

#include "population/sensitivity_subject.hpp"
#include "reference/made_networks.hpp"
#include "support/link_text.hpp"

namespace gapwright {
namespace {

using namespace testing_support;

// What a width of ranges has given, over all links.
struct Met {
    std::size_t asked = 0;
    std::size_t proven = 0;
    std::size_t points = 0;   // solved inside ranges
    std::size_t numbers = 0;  // compared
    std::size_t outside = 0;
    std::size_t judged = 0;  // measures that move by more than their floor
    std::size_t tight = 0;   // of these: the bounds are less than twice as wide as what was found
    std::vector<double> excess{};  // width of bounds over width found
};

// What the single-point solver leaves of a measure: Kirchhoff's law is held to 1 pA and 1e-9.
double floor_of(const Measure& m, double value) {
    const double least = m.probe.kind == Probe::Kind::voltage ? 1e-9 : 1e-11;
    return least + 2e-8 * std::abs(value);
}

std::vector<Slot> resistors(const Subject& s) {
    std::vector<Slot> slots;
    for (std::size_t k = 0; k < s.circuit.parameters.size(); ++k) {
        const Parameter& p = s.circuit.parameters[k];
        if (p.dimension == Dimension::resistance && p.id.key == Key::value &&
            p.id.of == FigureId::Of::part) {
            slots.push_back(static_cast<Slot>(k));
        }
    }
    return slots;
}

// Choices inside the ranges: all corners, then some at random.
std::vector<std::vector<double>> choices(std::span<const SlotRange> ranges, std::mt19937_64& draw) {
    std::vector<std::vector<double>> result;
    for (std::size_t corner = 0; corner < (1U << ranges.size()); ++corner) {
        std::vector<double> choice;
        for (std::size_t k = 0; k < ranges.size(); ++k) {
            choice.push_back(corner >> k & 1U ? ranges[k].highest : ranges[k].lowest);
        }
        result.push_back(choice);
    }
    for (int n = 0; n < 12; ++n) {
        std::vector<double> choice;
        for (const auto& r : ranges) {
            choice.push_back(std::uniform_real_distribution(r.lowest, r.highest)(draw));
        }
        result.push_back(choice);
    }
    return result;
}

void compare(const Subject& s, const Specimen& specimen, std::span<const SlotRange> ranges,
             const std::vector<Interval>& bounds, std::mt19937_64& draw, Met& met) {
    std::vector<Interval> found(s.measures.size());
    std::vector<double> values = specimen.values;
    bool first = true;
    for (const auto& choice : choices(ranges, draw)) {
        for (std::size_t k = 0; k < ranges.size(); ++k)
            values[to_index(ranges[k].slot)] = choice[k];
        const auto points = solve_link(s.circuit.circuit, values, specimen.conditions);
        if (!points) continue;
        ++met.points;
        for (std::size_t m = 0; m < s.measures.size(); ++m) {
            const double value =
                measure(s.measures[m].probe, (*points)[to_index(s.measures[m].state)]);
            const double floor = floor_of(s.measures[m], value);
            ++met.numbers;
            found[m] = first ? Interval(value) : hull(found[m], Interval(value));
            if (value >= bounds[m].lower() - floor && value <= bounds[m].upper() + floor) continue;
            ++met.outside;
            ADD_FAILURE() << s.name << ", measure " << m << " (kind "
                          << static_cast<int>(s.measures[m].probe.kind) << "): " << value
                          << " outside " << bounds[m].lower() << " .. " << bounds[m].upper();
        }
        first = false;
    }
    for (std::size_t m = 0; m < s.measures.size(); ++m) {
        const double floor = floor_of(s.measures[m], found[m].magnitude());
        if (found[m].width() <= 10 * floor) continue;
        ++met.judged;
        met.tight += bounds[m].width() <= 2 * found[m].width() + floor ? 1 : 0;
        met.excess.push_back(bounds[m].width() / found[m].width());
    }
}

// Asks for one to three resistors within ±`share`, some times.
void ask(const Subject& s, const Specimen& specimen, double share, int times, Met& met) {
    const auto all = resistors(s);
    if (all.empty() || !solve_link(s.circuit.circuit, specimen.values, specimen.conditions)) return;
    const Enclosure enclosure(s.circuit.circuit, specimen.values, specimen.conditions, s.measures);
    std::mt19937_64 draw(1);
    for (int n = 0; n < times; ++n) {
        std::vector<Slot> slots = all;
        std::shuffle(slots.begin(), slots.end(), draw);
        slots.resize(std::min(slots.size(), static_cast<std::size_t>(1 + n % 3)));
        std::vector<SlotRange> ranges;
        for (const Slot slot : slots) {
            const double value = specimen.values[to_index(slot)];
            ranges.push_back({slot, value * (1 - share), value * (1 + share)});
        }
        ++met.asked;
        const auto bounds = enclosure.over(ranges);
        if (!bounds) continue;
        ++met.proven;
        compare(s, specimen, ranges, *bounds, draw, met);
    }
}

void say(const std::string& what, double share, Met& met) {
    std::ranges::sort(met.excess);
    const auto at = [&](double q) {
        return met.excess.empty() ? 0.0
                                  : met.excess[static_cast<std::size_t>(
                                        q * static_cast<double>(met.excess.size() - 1))];
    };
    std::cout << what << ", ±" << share * 100 << " %: " << met.proven << " of " << met.asked
              << " proven, " << met.points << " points, " << met.numbers << " numbers, "
              << met.outside << " outside; width over width found: median " << at(0.5) << ", 90 % "
              << at(0.9) << ", worst " << at(1) << "; " << met.tight << " of " << met.judged
              << " below 2\n";
}

// What must be proven, and how tightly, at a width of ranges: shares.
struct Bar {
    double share;  // the ranges are ± this
    double proven;
    double tight;
};

// Nominal specimens, and drawn ones: warm or cold, lit, and not new.
void hold_to(const Bar& bar, const std::string& what, const std::vector<Subject>& subjects,
             int times) {
    Met met;
    for (const auto& s : subjects) {
        ask(s, nominal_specimen(s.circuit, s.ranges), bar.share, times, met);
        ask(s, draw_specimen(s.circuit, s.ranges, 3, 0), bar.share, times, met);
    }
    say(what, bar.share, met);
    const auto share = [](std::size_t part, std::size_t of) {
        return static_cast<double>(part) / static_cast<double>(std::max<std::size_t>(of, 1));
    };
    EXPECT_EQ(met.outside, 0U);
    EXPECT_GE(share(met.proven, met.asked), bar.proven) << what << " " << bar.share;
    EXPECT_GE(share(met.tight, met.judged), bar.tight) << what << " " << bar.share;
}

TEST(Enclosure, HoldsEveryChoiceInExamples) {
    const auto subjects = examples();
    ASSERT_EQ(subjects.size(), 6U);
    hold_to({.share = 0.01, .proven = 1, .tight = 0.99}, "examples", subjects, 6);
    hold_to({.share = 0.05, .proven = 0.95, .tight = 0.98}, "examples", subjects, 6);
    hold_to({.share = 0.20, .proven = 0.60, .tight = 0.90}, "examples", subjects, 6);
}

TEST(Enclosure, HoldsEveryChoiceInGeneratedLinks) {
    std::vector<Subject> subjects;
    for (std::uint64_t seed = 1; seed <= 60; ++seed) {
        const auto link = link_from(reference::file_text(reference::made_network(seed)));
        Subject s("generated link " + std::to_string(seed), *link);
        s.ranges.age = {.nominal = 0, .lowest = 0, .highest = 3e8};
        if (seed % 2 == 0) {
            s.circuit.circuit.shares = uneven_shares(s.circuit.circuit.states.size());
        }
        const Specimen specimen = nominal_specimen(s.circuit, s.ranges);
        if (!solve_link(s.circuit.circuit, specimen.values, specimen.conditions)) continue;
        subjects.push_back(std::move(s));
    }
    ASSERT_GE(subjects.size(), 50U);
    hold_to({.share = 0.01, .proven = 0.97, .tight = 0.99}, "generated", subjects, 3);
    hold_to({.share = 0.05, .proven = 0.90, .tight = 0.98}, "generated", subjects, 3);
    hold_to({.share = 0.20, .proven = 0.50, .tight = 0.90}, "generated", subjects, 3);
}

// Without ranges the bounds are as narrow as rounding; a figure of a law may be ranged as well.
TEST(Enclosure, HoldsFiguresOfLaws) {
    std::mt19937_64 draw(4);
    for (const auto& s : examples()) {
        const Specimen specimen = nominal_specimen(s.circuit, s.ranges);
        const Enclosure enclosure(s.circuit.circuit, specimen.values, specimen.conditions,
                                  s.measures);
        const auto exact = enclosure.over({});
        ASSERT_TRUE(exact) << s.name;
        Met met;
        compare(s, specimen, {}, *exact, draw, met);
        for (std::size_t m = 0; m < s.measures.size(); ++m) {
            EXPECT_LE((*exact)[m].width(), floor_of(s.measures[m], (*exact)[m].magnitude()));
        }
        for (std::size_t k = 0; k < s.circuit.parameters.size(); ++k) {
            const double value = specimen.values[k];
            if (!(value > 0)) continue;
            const std::vector<SlotRange> ranges{
                {static_cast<Slot>(k), value * 0.998, value * 1.002}};
            ++met.asked;
            const auto bounds = enclosure.over(ranges);
            if (!bounds) continue;
            ++met.proven;
            compare(s, specimen, ranges, *bounds, draw, met);
        }
        say(s.name + ", each figure", 0.002, met);
        EXPECT_GE(met.proven * 10, met.asked * 9) << s.name;
        EXPECT_EQ(met.outside, 0U);
    }
}

TEST(Enclosure, TellsWhereNothingIsProven) {
    const auto subjects = examples();
    const Subject& s = subjects.front();
    const Specimen specimen = nominal_specimen(s.circuit, s.ranges);
    std::vector<SlotRange> ranges;
    for (const Slot slot : resistors(s)) ranges.push_back({slot, 1.0, 1e7});
    EXPECT_FALSE(
        enclose(s.circuit.circuit, specimen.values, specimen.conditions, ranges, s.measures));
}

}  // namespace
}  // namespace gapwright
