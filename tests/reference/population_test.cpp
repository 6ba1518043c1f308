// Every specimen of a large population of each example, solved a second time: other equations,
// KINSOL, and long double.
//
// The bar: 1e-8 of the value, and 0.1 nV for voltages and 1 pA for currents. Kirchhoff's law is
// held to 1 pA, and doubles leave about that much of 24 V to rounding.
#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <filesystem>
#include <iostream>
#include <map>
#include <mutex>
#include <stdexcept>
#include <string>
#include <thread>
#include <vector>

#include "population/engine.hpp"
#include "reference/specimen_link.hpp"
#include "support/how_many.hpp"

namespace gapwright::reference {
namespace {

const std::size_t specimens = testing_support::how_many(500U, 10000U);
constexpr std::uint64_t seed = 1;
constexpr double relative_bar = 1e-8;
constexpr double voltage_floor = 1e-10;  // V
constexpr double current_floor = 1e-12;  // A

struct Comparison {
    std::size_t compared = 0;
    std::size_t numbers = 0;
    std::size_t beyond = 0;                 // numbers that miss the bar
    std::vector<std::size_t> not_solved{};  // by the second solver
    std::size_t first_try = 0;              // sides that KINSOL solved from the nominal's solution
    std::size_t sides = 0;
    double units = 0;  // largest difference, of the bar
    // Of values above ten million floors, 1 mV and 10 µA: of less, as of what a dark receiver
    // leaks, 1e-8 is no more than the last bits of the node voltages (24 V) that it is the
    // difference of.
    double relative = 0;
    std::string where{};
    std::string where_relative{};

    void take(double engine, double second, double floor, const auto& name) {
        const double apart = std::abs(engine - second);
        const double here = apart / (relative_bar * std::abs(second) + floor);
        ++numbers;
        if (!(here <= 1)) ++beyond;
        const auto told = [&] {
            std::array<char, 120> text;
            std::snprintf(text.data(), text.size(), ": %.17g against %.17g", engine, second);
            return name() + text.data();
        };
        if (!(here <= units)) {
            units = std::isnan(here) ? 1e300 : here;
            where = told();
        }
        if (std::abs(second) > 1e7 * floor && apart / std::abs(second) > relative) {
            relative = apart / std::abs(second);
            where_relative = told();
        }
    }
    void add(const Comparison& other) {
        compared += other.compared;
        numbers += other.numbers;
        beyond += other.beyond;
        not_solved.insert(not_solved.end(), other.not_solved.begin(), other.not_solved.end());
        first_try += other.first_try;
        sides += other.sides;
        if (other.units > units) {
            units = other.units;
            where = other.where;
        }
        if (other.relative > relative) {
            relative = other.relative;
            where_relative = other.where_relative;
        }
    }
};

// Where the engine's measures of one placed part begin, its current and then its voltage, for the
// first state.
using Places = std::map<std::string, std::size_t>;

struct Subject {
    std::string name;
    Link link;
    LinkCircuit circuit;
    ConditionRanges ranges;
    std::vector<Measure> measures{};
    std::size_t measures_a_state = 0;
    Places input{};
    Places output{};
};

Subject subject(const std::filesystem::path& file) {
    const auto link = read_link_file(file.string());
    if (!link) throw std::runtime_error(to_text(link.error()));
    auto circuit = build_circuit(*link);
    if (!circuit) throw std::runtime_error(to_text(circuit.error()));
    Subject s{file.stem().stem().string(), *link, std::move(*circuit), condition_ranges(*link)};
    for (std::size_t k = 0; k < link->states.size(); ++k) {
        for (std::size_t p = 0; p < link->parts.size(); ++p) {
            for (const Side side : {Side::input, Side::output}) {
                const auto& placed = s.circuit.of(p, side);
                if (!placed) continue;
                auto& places = side == Side::input ? s.input : s.output;
                places.try_emplace(link->parts[p].name, s.measures.size());
                for (const Probe& probe : {placed->current(), placed->voltage()}) {
                    s.measures.push_back({static_cast<StateIndex>(k), probe});
                }
            }
        }
        if (k == 0) s.measures_a_state = s.measures.size();
    }
    return s;
}

// One side of one state; `at` gives the engine's measure of a number.
void compare_side(const SecondSide& side, const SecondPoint& point, const Places& places,
                  const auto& at, const std::string& where, Comparison& result) {
    std::size_t seen = 0;
    for (const auto& part : side.parts()) {
        const auto place = places.find(part.name);
        if (place == places.end()) continue;  // the supply
        ++seen;
        const auto current = side.currents(part, point.x, 1.0L).main;
        const auto voltage =
            SecondSide::voltage(point.x, part.before) - SecondSide::voltage(point.x, part.to);
        const auto named = [&](const char* what) {
            return [&, what] { return where + what + part.name; };
        };
        result.take(at(place->second), static_cast<double>(current), current_floor,
                    named(", current "));
        result.take(at(place->second + 1), static_cast<double>(voltage), voltage_floor,
                    named(", voltage "));
    }
    EXPECT_EQ(seen, places.size()) << where;
}

// Specimens begin, begin + step … of a subject against what the engine measured.
Comparison compare(const Subject& s, const Measurements& measured, std::size_t begin,
                   std::size_t step) {
    Comparison result;
    SpecimenLink second(s.link, s.circuit);
    second.take(nominal_specimen(s.circuit, s.ranges));
    const auto nominal = second.solve();
    EXPECT_TRUE(nominal) << s.name;
    for (std::size_t k = begin; k < specimens; k += step) {
        second.take(draw_specimen(s.circuit, s.ranges, seed, k));
        const auto states = second.solve(nominal ? &*nominal : nullptr);
        if (!states) {
            result.not_solved.push_back(k);
            continue;
        }
        ++result.compared;
        for (std::size_t state = 0; state < states->size(); ++state) {
            const auto& solved = (*states)[state];
            const auto at = [&](std::size_t m) {
                return measured.at(k, state * s.measures_a_state + m);
            };
            const std::string where =
                s.name + " " + std::to_string(k) + ", " + s.link.states[state].name;
            compare_side(solved.input, solved.input_point, s.input, at, where, result);
            compare_side(solved.output, solved.output_point, s.output, at, where, result);
            for (const auto* point : {&solved.input_point, &solved.output_point}) {
                ++result.sides;
                if (point->kinsol_runs == 1) ++result.first_try;
            }
        }
    }
    return result;
}

void print(const std::string& name, const Comparison& c, std::size_t not_by_engine) {
    std::cout << name << ": " << c.compared << " specimens compared (" << c.numbers << " numbers), "
              << not_by_engine << " not solved by the engine, " << c.not_solved.size()
              << " not solved by the second solver; " << c.first_try << " of " << c.sides
              << " sides by one run of KINSOL\n  largest difference " << c.units << " of the bar ("
              << c.where << ")\n  largest relative " << c.relative << " (" << c.where_relative
              << ")\n";
    for (std::size_t k = 0; k < std::min<std::size_t>(5, c.not_solved.size()); ++k) {
        std::cout << "  specimen " << c.not_solved[k] << " has no second solution\n";
    }
}

TEST(Population, EverySpecimenAgreesWithASecondSolution) {
    std::vector<std::filesystem::path> files;
    for (const auto& entry :
         std::filesystem::directory_iterator(PROJECT_FOLDER "/examples/clock-tower")) {
        if (entry.path().string().ends_with(".link.toml")) files.push_back(entry.path());
    }
    std::sort(files.begin(), files.end());
    EXPECT_EQ(files.size(), 6U);
    Comparison all;
    std::size_t all_unsettled = 0;
    for (const auto& file : files) {
        const Subject s = subject(file);
        const Engine engine(s.circuit.circuit, s.measures, nominal_specimen(s.circuit, s.ranges),
                            figure_ranges(s.circuit, s.ranges));
        const auto measured =
            measure_all(engine, population_source(s.circuit, s.ranges, seed, specimens));
        const std::size_t unsettled = measured.outcome.unsettled;
        EXPECT_EQ(unsettled, 0U) << s.name;
        EXPECT_EQ(measured.outcome.solved, specimens) << s.name;
        Comparison result;
        std::mutex adding;
        {
            const std::size_t workers = std::max(1U, std::thread::hardware_concurrency());
            std::vector<std::jthread> threads;
            for (std::size_t worker = 0; worker < workers; ++worker) {
                threads.emplace_back([&, worker] {
                    const auto part = compare(s, measured, worker, workers);
                    const std::lock_guard lock(adding);
                    result.add(part);
                });
            }
        }
        print(s.name, result, unsettled);
        EXPECT_EQ(result.beyond, 0U) << result.where;
        EXPECT_LE(result.units, 1) << result.where;
        EXPECT_LE(result.relative, relative_bar) << result.where_relative;  // without any floor
        EXPECT_LT(result.not_solved.size(), specimens / 100) << s.name;
        EXPECT_EQ(result.compared + result.not_solved.size(), specimens);
        all.add(result);
        all_unsettled += unsettled;
    }
    print("all examples", all, all_unsettled);
}

}  // namespace
}  // namespace gapwright::reference
