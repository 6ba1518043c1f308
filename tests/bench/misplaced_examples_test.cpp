// Misplaced pins and wires of every example on every board, against the plan's table with the same
// hole changed in it, read back, and against a simpler check of what holes join.
#include <gtest/gtest.h>

#include <fmt/format.h>

#include <filesystem>
#include <set>

#include "bench/faults/misplaced.hpp"
#include "bench/joined_in_link.hpp"
#include "bench/reasoning/fault_dictionary.hpp"
#include "board/hole_check.hpp"
#include "board/plan_board.hpp"
#include "board/read_back.hpp"
#include "build/wiring_of_link.hpp"
#include "support/link_text.hpp"

namespace gapwright {
namespace {

namespace fs = std::filesystem;
using testing_support::HoleCheck;
using testing_support::JoinedInLink;
using testing_support::renumbered;

// Which pins that are on a node the holes join.
std::vector<std::size_t> sets_on_board(const Plan& plan, const Wiring& wiring) {
    const HoleCheck check(plan, wiring);
    std::vector<std::size_t> sets;
    for (std::size_t k = 0; k < wiring.parts.size(); ++k) {
        for (std::size_t p = 0; p < wiring.parts[k].pins.size(); ++p) {
            if (wiring.parts[k].pins[p].node) sets.push_back(check.set_of(plan.holes[k][p]));
        }
    }
    return renumbered(sets);
}

// Whether reading back finds pins that are on nodes joined wrongly, bridged or not joined.
bool told_by_read_back(const PlanTable& table, const Wiring& wiring) {
    using Kind = BoardFault::Kind;
    return std::ranges::any_of(read_back(table, wiring), [](const BoardFault& fault) {
        // Wire aslant, which joins its ends as any other does, and pins that are on no node.
        if (fault.text.find("does not follow the grid") != std::string::npos) return false;
        if (fault.text.find("nothing may be") != std::string::npos) return false;
        return fault.kind == Kind::joined_wrongly || fault.kind == Kind::not_joined ||
               fault.kind == Kind::bridged;
    });
}

// What stands between two words of a suspect, or up to its end.
std::string between(const std::string& text, const std::string& before, const std::string& after) {
    const std::size_t from = text.find(before) + before.size();
    return text.substr(from, after.empty() ? std::string::npos : text.find(after, from) - from);
}

// The table with what the suspect's words say changed in it.
PlanTable with_mistake(PlanTable table, const std::string& suspect) {
    const std::string right = between(suspect, ", not in ", "");
    if (suspect.starts_with("the wire from ")) {
        const std::string from = between(suspect, "the wire from ", " to ");
        const std::string to = between(suspect, " to ", " ends in ");
        const std::string wrong = between(suspect, " ends in ", ", not in ");
        for (WireRow& wire : table.wires) {
            if (wire.from == from && wire.to == to) (right == from ? wire.from : wire.to) = wrong;
        }
        return table;
    }
    const bool coupler = suspect.find(" stands with ") != std::string::npos;
    const std::string wrong = between(suspect, coupler ? " in " : " stands in ", ", not in ");
    if (!coupler) {
        std::ranges::find(table.pins, right, &PinRow::hole)->hole = wrong;
        return table;
    }
    const Hole a = *hole_named(table.board, right);
    const Hole b = *hole_named(table.board, wrong);
    for (PinRow& pin : table.pins) {
        if (pin.part != suspect.substr(0, suspect.find(' '))) continue;
        Hole hole = *hole_named(table.board, pin.hole);
        hole.column += b.column - a.column;
        hole.row += b.row - a.row;
        pin.hole = hole_name(table.board, hole);
    }
    return table;
}

// Every plan with one thing one hole off that could be built.
std::vector<Plan> slips(const Plan& plan, const Wiring& wiring) {
    const bool grid = plan.board.kind == BoardKind::grid;
    std::multiset<Hole> taken;
    for (const auto& part : plan.holes) taken.insert(part.begin(), part.end());
    for (const auto& wire : plan.wires) {
        if (!grid) taken.insert({wire.from, wire.to});
    }
    const auto fits = [&](Hole hole) {
        return has_hole(plan.board, hole) && !taken.contains(hole);
    };
    std::vector<Plan> all;
    for (const auto& [across, down] : {std::pair{0, 1}, {0, -1}, {1, 0}, {-1, 0}}) {
        const auto off = [&](Hole& hole) { hole = {hole.column + across, hole.row + down}; };
        for (std::size_t k = 0; k < plan.holes.size(); ++k) {
            Plan coupler = plan;
            bool room = true;
            for (std::size_t p = 0; p < plan.holes[k].size(); ++p) {
                Plan pin = plan;
                off(pin.holes[k][p]);
                off(coupler.holes[k][p]);
                const Hole to = pin.holes[k][p];
                room = room && has_hole(plan.board, to) &&
                       (fits(to) || std::ranges::count(plan.holes[k], to) > 0);
                if (wiring.parts[k].footprint.body != Body::coupler && fits(to)) all.push_back(pin);
            }
            if (wiring.parts[k].footprint.body == Body::coupler && room) all.push_back(coupler);
        }
        for (std::size_t w = 0; w < plan.wires.size(); ++w) {
            for (const bool first : {true, false}) {
                Plan changed = plan;
                PlanWire& wire = changed.wires[w];
                Hole& end = first ? wire.from : wire.to;
                off(end);
                if (wire.from == wire.to) continue;
                if (grid ? has_hole(plan.board, end) : fits(end)) all.push_back(changed);
            }
        }
    }
    return all;
}

struct Example {
    std::string name;
    Link link;  // prepared
    Wiring wiring;
    Plan plan;
};

class MisplacedInExamples : public ::testing::TestWithParam<BoardKind> {
  protected:
    void SetUp() override {
        std::vector<std::string> files;
        for (const auto& entry : fs::directory_iterator(PROJECT_FOLDER "/examples/clock-tower")) {
            if (entry.path().extension() == ".toml") files.push_back(entry.path());
        }
        std::ranges::sort(files);
        ASSERT_EQ(files.size(), 6U);
        for (const auto& file : files) add(fs::path(file).filename(), read_link_file(file));
        add("a base that is led out", testing_support::link_from(testing_support::six_pin_link()));
    }

    void add(const std::string& name, const Expected<Link>& link) {
        ASSERT_TRUE(link) << name;
        const auto circuit = build_circuit(*link);
        ASSERT_TRUE(circuit) << name;
        const Wiring wiring = wiring_of(*link);
        const auto plan = plan_board(wiring, {.kind = GetParam(), .starts = 4});
        ASSERT_TRUE(plan) << plan.error().message;
        examples_.push_back({name, prepared_for_faults(*link, *circuit), wiring, *plan});
    }
    std::vector<Example> examples_;
};

TEST_P(MisplacedInExamples, EachJoinsWhatTheBoardJoinsAndSolves) {
    for (const auto& [name, good, wiring, plan] : examples_) {
        const PlanTable table = table_of(plan, wiring);
        const auto faults = misplaced_faults(good, wiring, plan);
        EXPECT_GT(faults.size(), 5U) << name;
        std::set<std::string> suspects;
        for (const Fault& fault : faults) {
            EXPECT_TRUE(suspects.insert(fault.suspect).second) << fault.suspect;
            const PlanTable mistaken = with_mistake(table, fault.suspect);
            Link link = good;
            if (fault.edit) fault.edit(link);
            EXPECT_EQ(JoinedInLink(good, link, fault.bridge).sets(wiring),
                      sets_on_board(plan_of(mistaken, wiring), wiring))
                << name << ": " << fault.suspect;
            EXPECT_TRUE(told_by_read_back(mistaken, wiring)) << name << ": " << fault.suspect;
            const auto circuit = build_circuit(link);
            ASSERT_TRUE(circuit) << name << ": " << fault.suspect;
            EXPECT_TRUE(solve_link(circuit->circuit, circuit->nominal_values(), {}))
                << name << ": " << fault.suspect;
        }
    }
}

TEST_P(MisplacedInExamples, AllThatChangeSomethingAreThereOnce) {
    for (const auto& [name, good, wiring, plan] : examples_) {
        const auto right = sets_on_board(plan, wiring);
        std::map<std::vector<std::size_t>, std::size_t> slips_of;  // by what is then joined
        for (const Plan& slip : slips(plan, wiring)) {
            const auto sets = sets_on_board(slip, wiring);
            EXPECT_EQ(sets != right, told_by_read_back(table_of(slip, wiring), wiring)) << name;
            if (sets != right) ++slips_of[sets];
        }
        const auto faults = misplaced_faults(good, wiring, plan);
        EXPECT_EQ(faults.size(), slips_of.size()) << name;
        for (const Fault& fault : faults) {
            Link link = good;
            if (fault.edit) fault.edit(link);
            const auto sets = JoinedInLink(good, link, fault.bridge).sets(wiring);
            EXPECT_NEAR(fault.weight, 0.15 * static_cast<double>(slips_of[sets]), 1e-9)
                << name << ": " << fault.suspect;
        }
    }
}

// A specimen whose floating parts do not settle under the meter's test is left out; some always do.
TEST_P(MisplacedInExamples, GiveReadings) {
    for (const auto& [name, good, wiring, plan] : examples_) {
        const auto faults = misplaced_faults(good, wiring, plan);
        const auto dictionary = fault_dictionary(
            good, {.specimens = 8, .good_specimens = 4, .engine = {.threads = 1}}, faults);
        ASSERT_TRUE(dictionary) << name;
        for (std::size_t f = 0; f < faults.size(); ++f) {
            EXPECT_GT(dictionary->readings[f].specimens, 0U) << name << ": " << faults[f].suspect;
        }
    }
}

INSTANTIATE_TEST_SUITE_P(Kinds, MisplacedInExamples, ::testing::ValuesIn(board_kinds),
                         [](const auto& kind) { return std::string(board_kind_word(kind.param)); });

}  // namespace
}  // namespace gapwright
