// What the proof calls the worst found, against a search that shares nothing with the proof's own.
//
// The bar: nothing found from outside lies more than 0.1 % of its size and 1e-9 of the bound beyond
// what the proof tells.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <iostream>

#include "population/engine.hpp"
#include "proof/proof.hpp"
#include "proof/prove.hpp"
#include "reference/made_networks.hpp"
#include "reference/outside_aims.hpp"
#include "support/how_many.hpp"
#include "support/link_text.hpp"

namespace gapwright::reference {
namespace {

using testing_support::how_many;
using testing_support::link_from;

// The drawn specimens must not be what makes up for a worst case that was not found.
constexpr std::size_t samples = 1000;
constexpr double bar = 1e-3;

struct Subject {
    std::string name;
    Link link;
    LinkCircuit circuit;
};

Subject subject(const std::filesystem::path& file) {
    const auto link = read_link_file(file.string());
    if (!link) throw std::runtime_error(to_text(link.error()));
    auto circuit = build_circuit(*link);
    if (!circuit) throw std::runtime_error(to_text(circuit.error()));
    return {file.stem().stem().string(), *link, std::move(*circuit)};
}

std::vector<Subject> subjects_in(const std::filesystem::path& folder) {
    std::vector<std::filesystem::path> files;
    for (const auto& entry : std::filesystem::directory_iterator(folder)) {
        if (entry.path().string().ends_with(".link.toml")) files.push_back(entry.path());
    }
    std::ranges::sort(files);
    std::vector<Subject> all;
    for (const auto& file : files) all.push_back(subject(file));
    return all;
}

std::vector<Subject> ridges() {
    return subjects_in(PROJECT_FOLDER "/tests/reference/ridges");
}

// A link that cannot be proven is a failure, and does not take the others along.
std::optional<Proof> proof_of(const Subject& s, std::uint64_t seed, std::size_t drawn) {
    ProofOptions options;
    options.samples = drawn;
    options.seed = seed;
    options.limits_on_the_way = false;
    options.stretch = false;
    options.engine.threads = 1;
    auto proof = prove(s.link, s.circuit, options);
    if (proof) return std::move(*proof);
    ADD_FAILURE() << s.name << ": " << proof.error().message;
    return std::nullopt;
}

// The figures of a specimen that are not nominal, for messages.
std::string case_text(const Subject& s, const Specimen& specimen) {
    std::string text;
    for (std::size_t k = 0; k < s.circuit.parameters.size(); ++k) {
        const auto& p = s.circuit.parameters[k];
        if (specimen.values[k] == p.spread.nominal) continue;
        text += p.name + " " + std::to_string(specimen.values[k]) + ", ";
    }
    const auto& c = specimen.conditions;
    return text + "T " + std::to_string(c.temperature) + ", light " + std::to_string(c.light) +
           ", age " + std::to_string(c.age);
}

// The found specimen measured by the solver for single points.
double checked(const Subject& s, const Aim& aim, const Specimen& specimen) {
    const auto points = solve_link(s.circuit.circuit, specimen.values, specimen.conditions);
    if (!points) return std::nan("");
    const auto& point = (*points)[to_index(aim.measure.state)];
    return aim.badness(measure(aim.measure.probe, point), specimen.conditions.temperature);
}

// Whether the solver for single points has to settle more than a tenth of the specimens, which
// takes a hundred times as long.
bool laborious(const Subject& s) {
    const auto ranges = condition_ranges(s.link);
    const Engine engine(s.circuit.circuit, {}, nominal_specimen(s.circuit, ranges));
    const auto measured =
        measure_all(engine, population_source(s.circuit, ranges, 1, 100), {.threads = 1});
    return measured.outcome.by_single_points > 10;
}

Effort effort(const Subject& s) {
    if (laborious(s)) return {.generations = 10, .simplex_steps = 15};
    return {.restarts = how_many(1, 4),
            .generations = how_many(35, 200),
            .simplex_steps = how_many(50, 400)};
}

void hides_nothing(const Subject& s) {
    const auto proof = proof_of(s, 1, samples);
    if (!proof) return;  // which has failed
    const auto told = told_by(s.link, s.circuit, *proof);
    std::vector<Aim> aims;
    for (const auto& t : told) aims.push_back(t.aim);
    const auto found = worst_from_outside(s.circuit, condition_ranges(s.link), aims, effort(s), 7);
    double largest = -1;
    std::size_t short_of = 0;
    for (std::size_t k = 0; k < told.size(); ++k) {
        const double size = std::abs(told[k].badness);
        const double beyond = found[k].badness - told[k].badness;
        const double allowed = bar * size + 1e-9 * std::abs(told[k].bound);
        if (beyond < -allowed) ++short_of;
        if (size > 1e-9 * std::abs(told[k].bound)) largest = std::max(largest, beyond / size);
        EXPECT_LE(beyond, allowed)
            << s.name << ", " << told[k].name << ": told " << told[k].badness << ", found "
            << found[k].badness << " (" << checked(s, aims[k], found[k].where)
            << " by single points), " << 100 * beyond / size << " % beyond, bound " << told[k].bound
            << "; " << case_text(s, found[k].where);
    }
    std::cout << s.name << ": " << told.size() << " worst cases, at most " << 100 * largest
              << " % beyond; " << short_of << " not found from outside\n";
}

bool looked_at(const Subject& s) {
    return testing_support::looks_at_all_cases() || !laborious(s);
}

TEST(OutsideSearch, RidgesHideNothing) {
    const auto all = ridges();
    EXPECT_GE(all.size(), 10U);
    for (const auto& s : all) {
        if (looked_at(s)) hides_nothing(s);
    }
}

TEST(OutsideSearch, ExamplesHideNothing) {
    const auto all = subjects_in(PROJECT_FOLDER "/examples/clock-tower");
    EXPECT_EQ(all.size(), 6U);
    for (std::size_t k = 0; k < how_many<std::size_t>(2, all.size()); ++k) hides_nothing(all[k]);
}

// A made-up link has no spreads: they are put on here, as wide as benches see them.
double width_of(const std::string& name) {
    const auto ends = [&](const char* end) { return name.ends_with(end); };
    if (ends(".value") || ends(".resistance")) return 0.05;
    if (ends("supply.voltage")) return 0.15;
    if (ends(".gain") || ends(".photocurrent_ratio") || ends(".sensitivity")) return 0.4;
    if (ends(".transconductance")) return 0.4;
    if (ends(".threshold") || ends(".zener_voltage")) return 0.1;
    if (ends(".forward")) return 0.06;
    return 0;
}

Subject generated(std::uint64_t seed) {
    const auto read = link_from(file_text(made_network(seed)));
    if (!read) throw std::runtime_error(to_text(read.error()));
    Link link = *read;
    link.surroundings.temperature = {298.15, 273.15, 323.15};
    for (std::size_t k = 0; k < link.parts.size(); ++k) {
        const auto& part = link.parts[k];
        if (part.is_gap()) continue;
        Promise promise;
        promise.quantity = Promise::Quantity::current;
        promise.side = part.input ? Side::input : Side::output;
        promise.part = k;
        promise.text = "current " + part.name;
        promise.state = k % link.states.size();
        promise.at_least = -1e3;
        promise.at_most = 1e3;
        link.promises.push_back(promise);
    }
    auto circuit = build_circuit(link);
    if (!circuit) throw std::runtime_error(to_text(circuit.error()));
    for (auto& p : circuit->parameters) {
        const double nominal = p.spread.nominal;
        const double width = std::abs(nominal) * width_of(p.name);
        if (!p.spread.varies()) p.spread = {nominal, nominal - width, nominal + width};
    }
    return {"made up " + std::to_string(seed), link, std::move(*circuit)};
}

// Four lots, so that none takes as long as all.
class GeneratedLot : public testing::TestWithParam<std::uint64_t> {};

TEST_P(GeneratedLot, HidesNothing) {
    const std::uint64_t first = 1001 + 10 * GetParam();
    int seen = 0;
    for (std::uint64_t seed = first; seed < first + 10 && seen < how_many(2, 10); ++seed) {
        const auto s = generated(seed);
        if (!looked_at(s)) continue;
        ++seen;
        hides_nothing(s);
    }
    EXPECT_GE(seen, 2);
}
INSTANTIATE_TEST_SUITE_P(OutsideSearch, GeneratedLot, testing::Range<std::uint64_t>(0, 4));

TEST(RidgeLinks, HaveOneVerdictAndWorstForEverySeed) {
    const std::size_t drawn = how_many<std::size_t>(2000, 100000);
    for (const auto& s : ridges()) {
        if (!looked_at(s)) continue;
        const auto first = proof_of(s, 1, drawn);
        if (!first) continue;
        const auto told = told_by(s.link, s.circuit, *first);
        for (std::uint64_t seed = 2; seed <= 5; ++seed) {
            const auto other = proof_of(s, seed, drawn);
            if (!other) break;
            const std::string which = s.name + ", seed " + std::to_string(seed);
            EXPECT_EQ(verdict_name(other->verdict), verdict_name(first->verdict)) << which;
            const auto again = told_by(s.link, s.circuit, *other);
            ASSERT_EQ(again.size(), told.size());
            for (std::size_t k = 0; k < told.size(); ++k) {
                const double allowed =
                    bar * std::abs(told[k].badness) + 1e-9 * std::abs(told[k].bound);
                EXPECT_NEAR(again[k].badness, told[k].badness, allowed)
                    << which << ", " << told[k].name;
            }
        }
    }
}

}  // namespace
}  // namespace gapwright::reference
