// Random links against a second solution: other equations, other solver, other number type.
//
// The bar: node voltages to 1e-7 and 1 nV, currents of parts to 1e-7 and 1 pA.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <iostream>
#include <set>

#include "link/link_circuit.hpp"
#include "proof/proof.hpp"
#include "proof/prove.hpp"
#include "reference/made_networks.hpp"
#include "reference/second_solver.hpp"

namespace gapwright::reference {
namespace {

struct Disagreement {
    double worst = 0;  // in units of what is allowed
    double relative = 0;
    std::string where;

    void take(double project, long double second, double absolute, const std::string& name) {
        const double other = static_cast<double>(second);
        const double apart = std::abs(project - other);
        const double units = apart / (1e-7 * std::abs(other) + absolute);
        if (!(units <= worst)) {
            worst = std::isnan(units) ? 1e300 : units;
            where = name + ": " + std::to_string(project) + " against " + std::to_string(other) +
                    ", apart " + std::to_string(apart / absolute) + " × " +
                    (absolute > 1e-10 ? "1 nV" : "1 pA");
        }
        if (std::abs(other) > 1e4 * absolute) {
            relative = std::max(relative, apart / std::abs(other));
        }
    }
};

struct Solution {
    SecondSide side;
    SecondPoint point;
};

// Both sides of one state.
std::optional<std::pair<Solution, Solution>> second_solution(
    const MadeLink& link, const std::map<std::string, std::string>& settings,
    std::map<std::string, double>& light) {
    SecondSide input(link, true, settings, {});
    auto input_point = second_point(input);
    if (!input_point) return {};
    for (const auto& part : input.parts()) {
        const auto& made =
            link.parts.at(part.name == "the supply" ? link.parts.begin()->first : part.name);
        if (part.name == "the supply" || (made.kind != "coupler" && made.kind != "pair")) continue;
        const auto flow = input.currents(part, input_point->x, 1.0L);
        light[part.name] = second_light(made, static_cast<double>(flow.main), link.temperature);
    }
    SecondSide output(link, false, settings, light);
    auto output_point = second_point(output);
    if (!output_point) return {};
    return {{Solution{input, *input_point}, Solution{output, *output_point}}};
}

void compare(const MadeLink& link, const Solution& solution, bool input, const NominalState& state,
             std::set<std::string>& seen, Disagreement& result) {
    auto find = [&](const auto& list, const std::string& name) -> const double* {
        for (const auto& [key, value] : list) {
            if (key == name) return &value;
        }
        return nullptr;
    };
    for (const auto& [name, node] : solution.side.nodes()) {
        if (node == 0) continue;
        const std::string full = (input ? "input." : "output.") + name;
        const double* project = find(state.voltages, full);
        EXPECT_TRUE(project) << full << " is missing";
        if (!project) continue;
        seen.insert("v " + full);
        result.take(*project, SecondSide::voltage(solution.point.x, node), 1e-9, full);
    }
    for (const auto& part : solution.side.parts()) {
        if (part.name == "the supply") continue;
        const std::string& kind = link.parts.at(part.name).kind;
        const bool gap = kind == "coupler" || kind == "pair";
        const std::string name = part.name + (gap && !input ? ".receiver" : "");
        const double* project = find(state.currents, name);
        EXPECT_TRUE(project) << name << " is missing";
        if (!project) continue;
        const auto flow = solution.side.currents(part, solution.point.x, 1.0L);
        seen.insert("i " + name);
        result.take(*project, flow.main, 1e-12, "current " + name);
        const double* base = find(state.currents, part.name + ".base");
        if (base && !(gap && input)) {
            seen.insert("i " + part.name + ".base");
            result.take(*base, flow.control, 1e-12, "current " + part.name + ".base");
        }
    }
}

struct Counts {
    int generated = 0;
    int compared = 0;
    int not_solved_here = 0;
    int not_solved_by_project = 0;
    int kinsol_runs = 0;
    std::map<std::string, int> kinds;
    double worst = 0;
    double relative = 0;
    std::string where;
};

std::string kind_name(const MadePart& part) {
    if (part.kind == "transistor") return part.mirrored() ? "transistor pnp" : "transistor npn";
    if (part.kind == "mosfet") return part.mirrored() ? "mosfet p" : "mosfet n";
    if (part.kind == "pair") {
        return has_light_resistor(part) ? "pair, light-dependent resistor"
                                        : "pair, phototransistor";
    }
    return part.kind;
}

void check_network(std::uint64_t seed, Counts& counts) {
    const MadeLink made = made_network(seed);
    const std::string text = file_text(made);
    SCOPED_TRACE("seed " + std::to_string(seed) + made.recipe + "\n" + text);
    ++counts.generated;
    const auto link =
        read_link(std::make_shared<const SourceText>("made.link.toml", text), "no-such-folder");
    ASSERT_TRUE(link) << to_text(link.error());
    const auto circuit = build_circuit(*link);
    ASSERT_TRUE(circuit) << to_text(circuit.error());
    ProofOptions options;
    options.nominal_only = true;
    options.temperature = made.temperature;
    const auto proof = prove(*link, *circuit, options);
    if (!proof) {
        ++counts.not_solved_by_project;
        FAIL() << proof.error().message << ", at " << made.temperature << " K";
    }
    ASSERT_EQ(proof->states.size(), made.states.size());
    bool all = true;
    for (const auto& state : proof->states) {
        std::map<std::string, double> light;
        const auto second = second_solution(made, made.states.at(state.name), light);
        if (!second) {
            all = false;
            continue;
        }
        counts.kinsol_runs += second->first.point.kinsol_runs + second->second.point.kinsol_runs;
        Disagreement apart;
        std::set<std::string> seen;
        compare(made, second->first, true, state, seen, apart);
        compare(made, second->second, false, state, seen, apart);
        for (const auto& [name, value] : state.voltages) {
            EXPECT_TRUE(seen.contains("v " + name) || name.ends_with("return")) << "extra " << name;
        }
        for (const auto& [name, value] : state.currents) {
            EXPECT_TRUE(seen.contains("i " + name)) << "extra " << name;
        }
        EXPECT_LE(apart.worst, 1) << "state " << state.name << ", " << apart.where;
        if (apart.worst > counts.worst) {
            counts.worst = apart.worst;
            counts.where = "seed " + std::to_string(seed) + ", " + state.name + ": " + apart.where;
        }
        counts.relative = std::max(counts.relative, apart.relative);
    }
    if (!all) {
        ++counts.not_solved_here;
        return;
    }
    ++counts.compared;
    for (const auto& [name, part] : made.parts) ++counts.kinds[kind_name(part)];
}

TEST(GeneratedNetworks, AgreeWithASecondSolution) {
    const char* asked = std::getenv("REFERENCE_NETWORKS");
    const char* begun = std::getenv("REFERENCE_FIRST_SEED");
    const int count = asked ? std::atoi(asked) : 300;
    const int first = begun ? std::atoi(begun) : 1;
    Counts counts;
    for (int k = first; k < first + count; ++k) {
        check_network(static_cast<std::uint64_t>(k), counts);
    }
    std::cout << counts.generated << " generated, " << counts.compared << " compared, "
              << counts.not_solved_by_project << " not solved by the project, "
              << counts.not_solved_here << " not solved by the second solver; "
              << counts.kinsol_runs << " runs of KINSOL\n"
              << "largest disagreement: " << counts.worst << " of what is allowed (" << counts.where
              << "); " << counts.relative << " relative\n";
    for (const auto& [kind, number] : counts.kinds) {
        std::cout << "  " << kind << ": " << number << '\n';
    }
    EXPECT_GE(counts.compared, std::min(200, count));
}

}  // namespace
}  // namespace gapwright::reference
