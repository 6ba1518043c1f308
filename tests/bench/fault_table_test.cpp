// The table of faults: what must be in it, that every one can be built, and what some of them do.
#include "bench/faults/fault.hpp"

#include <gtest/gtest.h>

#include <set>

#include "bench/faulty_readings.hpp"
#include "card/key.hpp"
#include "support/link_text.hpp"

namespace gapwright {
namespace {

using testing_support::bench_examples;
using testing_support::example_at_bench;
using testing_support::LinkAtBench;
using testing_support::readings_with;

// A few nominal points of unpowered parts that hang on nothing but 3 GΩ may not settle; specimens
// of the same faults do (the test after this one).
TEST(FaultTable, EveryFaultBuildsAndNominalsSettle) {
    std::size_t all = 0;
    std::size_t unsettled = 0;
    for (const char* name : bench_examples) {
        const LinkAtBench& at = example_at_bench(name);
        for (const Fault& fault : at.dictionary.faults) {
            const auto readings = readings_with(at, fault);
            for (std::size_t m = 0; m < readings.size(); ++m) {
                ++all;
                if (!std::isnan(readings[m])) continue;
                ++unsettled;
                EXPECT_FALSE(fault.is_none()) << name;
            }
        }
    }
    EXPECT_GT(all, 8000U);
    EXPECT_LE(static_cast<double>(unsettled), 0.002 * static_cast<double>(all));
}

TEST(FaultTable, DictionaryHasReadingsOfEveryFault) {
    std::size_t all = 0;
    std::size_t whole = 0;
    for (const char* name : bench_examples) {
        const FaultDictionary& d = example_at_bench(name).dictionary;
        ASSERT_EQ(d.readings.size(), d.faults.size());
        ASSERT_EQ(d.suspect_of.size(), d.faults.size());
        EXPECT_TRUE(d.faults.front().is_none());
        for (std::size_t f = 0; f < d.faults.size(); ++f) {
            const std::size_t drawn = f == 0 ? d.options.good_specimens : d.options.specimens;
            ++all;
            whole += d.readings[f].specimens >= drawn * 9 / 10 ? 1 : 0;
            // Where lanes settle none, some stand for all.
            EXPECT_GE(d.readings[f].specimens, 48U) << name << ' ' << d.faults[f].suspect;
            EXPECT_EQ(d.suspects[d.suspect_of[f]], d.faults[f].suspect);
            EXPECT_EQ(d.faults[f].weight > 0, f > 0);
        }
        EXPECT_EQ(std::set(d.suspects.begin(), d.suspects.end()).size(), d.suspects.size());
    }
    EXPECT_GE(static_cast<double>(whole), 0.9 * static_cast<double>(all));
}

TEST(FaultTable, MeasurementsAreThereOnce) {
    for (const char* name : bench_examples) {
        std::set<std::pair<std::string, std::string>> seen;
        const auto& link = example_at_bench(name).link;
        for (const Measurement& m : measurements_of(link)) {
            EXPECT_TRUE(seen.emplace(m.measure, m.state).second) << name << ' ' << m.measure;
            EXPECT_EQ(link.find_state(m.state).has_value(), m.state != unpowered);
            EXPECT_GT(m.cost, 0);
        }
        EXPECT_TRUE(seen.contains({"isolation", std::string(unpowered)}));
    }
}

TEST(FaultTable, HoldsEveryKindOfFault) {
    const struct {
        const char* example;
        std::vector<const char*> suspects;
    } expected[] = {
        {"bell-hammer",
         {"R1 is open",
          "R2 is bridged",
          "R3 has another value",
          "D1 is open",
          "D1 is shorted",
          "D1 is the wrong way round",
          "D1 has a bad joint",
          "U1 is turned round",
          "U1 is weak",
          "U1.emitter is open",
          "U1.emitter is shorted",
          "U1.emitter is the wrong way round",
          "U1.receiver is open",
          "U1.receiver is shorted",
          "U1.receiver has collector and emitter exchanged",
          "Q1.base is open",
          "Q1.collector is open",
          "Q1.emitter is open",
          "Q1.base has a bad joint",
          "Q1 is shorted from collector to emitter",
          "Q1 is shorted from base to emitter",
          "Q1 is shorted from base to collector",
          "Q1 has collector and emitter exchanged",
          "Q1 has base and collector exchanged",
          "Q1 has base and emitter exchanged",
          "Q1 has little gain",
          "K1 is open",
          "K1 is bridged",
          "K1 has another resistance",
          "P1 stays high",
          "P1 stays low",
          "P1 is open",
          "the input supply is missing",
          "the output supply is missing",
          "the output supply is too low",
          "the input supply is too high",
          "the output supply is the wrong way round",
          "Q1 leaks",
          "Q1 is a pnp",
          "Q1 is a MOSFET",
          "D1 is of another type",
          "U1.receiver leaks",
          "output.supply and Q1.base are joined",
          "the meter's fuse for currents is blown",
          "R1 and R2 are exchanged",
          "R1 and R3 are exchanged"}},
        {"lamp-watch",
         {"S1 stays open", "S1 stays closed", "stray light reaches U1", "D1 is the wrong way round",
          "U1.emitter gives little light, or is out of line", "U1.receiver is open",
          "U1.receiver is shorted", "R1 and R2 are exchanged"}},
        {"pendulum-beat",
         {"S1 stays open", "stray light reaches U1", "U1.emitter is the wrong way round",
          "U1.receiver has collector and emitter exchanged", "L1 is shorted"}},
        {"winder-motor",
         {"M1.gate is open", "M1.drain is open", "M1.source is open",
          "M1 is shorted from drain to source", "M1 has gate and drain exchanged",
          "M1 has gate and source exchanged", "M1 has drain and source exchanged",
          "M1 is an npn transistor", "W1 is open", "R2 and R3 are exchanged"}},
        {"chime-bus",
         {"D1 is the wrong way round", "R1 and R4 are exchanged", "U1 is turned round"}},
        {"night-silence", {"S1 stays closed", "L1 draws current"}},
    };
    for (const auto& [example, suspects] : expected) {
        for (const char* suspect : suspects) {
            const auto& all = example_at_bench(example).dictionary.suspects;
            EXPECT_EQ(std::ranges::count(all, suspect), 1) << example << ": " << suspect;
        }
    }
}

// Equal parts exchanged are no fault, nor is a resistor of light one that can stand the wrong way.
TEST(FaultTable, LeavesOutWhatChangesNothing) {
    const auto absent = [](const char* example, std::string_view suspect) {
        const auto& suspects = example_at_bench(example).dictionary.suspects;
        return std::ranges::find(suspects, suspect) == suspects.end();
    };
    EXPECT_TRUE(absent("bell-hammer", "R2 and R3 are exchanged"));  // both 10 kΩ
    EXPECT_TRUE(absent("chime-bus", "R1 and R2 are exchanged"));
    EXPECT_TRUE(absent("lamp-watch", "U1.receiver has collector and emitter exchanged"));
    EXPECT_TRUE(absent("bell-hammer", "stray light reaches U1"));  // a closed package
    EXPECT_TRUE(absent("bell-hammer", "R1 is the wrong way round"));
}

// A base that is led out can be open or shorted, and is off where its coupler is turned round.
TEST(FaultTable, HoldsWhatABaseThatIsLedOutCanHave) {
    const auto link = testing_support::link_from(testing_support::six_pin_link());
    ASSERT_TRUE(link) << to_text(link.error());
    const auto circuit = build_circuit(*link);
    ASSERT_TRUE(circuit);
    const Link prepared = prepared_for_faults(*link, *circuit);
    const auto faults = fault_table(prepared);
    const std::size_t u1 = *prepared.find_part("U1");
    const auto base_after = [&](const std::string& suspect) -> std::optional<Node> {
        const auto fault = std::ranges::find(faults, suspect, &Fault::suspect);
        if (fault == faults.end()) {
            ADD_FAILURE() << "no fault " << suspect;
            return std::nullopt;
        }
        Link faulty = prepared;
        fault->edit(faulty);
        EXPECT_TRUE(build_circuit(faulty)) << suspect;
        return faulty.parts[u1].output->control;
    };
    const auto base = prepared.parts[u1].output->control;
    for (const char* off :
         {"U1.receiver.base is open", "U1.receiver.base has a bad joint", "U1 is turned round"}) {
        EXPECT_NE(base_after(off), base) << off;
    }
    for (const char* on : {"U1.receiver is shorted from base to emitter",
                           "U1.receiver is shorted from base to collector"}) {
        EXPECT_EQ(base_after(on), base) << on;
    }
    // Without the base there is none of them.
    const auto plain = testing_support::link_from(testing_support::with(
        testing_support::with(testing_support::six_pin_link(), ", \"U1.base > R3 > return\"", ""),
        "R3 = { kind = \"resistor\", value = \"150 kΩ ± 5 %\" }\n", ""));
    ASSERT_TRUE(plain) << to_text(plain.error());
    const auto plain_circuit = build_circuit(*plain);
    ASSERT_TRUE(plain_circuit);
    for (const Fault& fault : fault_table(prepared_for_faults(*plain, *plain_circuit))) {
        EXPECT_EQ(fault.suspect.find("base"), std::string::npos) << fault.suspect;
    }
}

// A resistor's other values: every factor from a hundredth to a hundredfold that is far from one
// lies in a cell, or so near to one that its specimens' kernels reach there.
TEST(FaultTable, OtherValuesLeaveNoWideGap) {
    const LinkAtBench& at = example_at_bench("bell-hammer");
    for (double factor = 0.01; factor < 100; factor *= 1.02) {
        if (factor > 0.75 && factor < 1.3) continue;
        const bool held = std::ranges::any_of(at.dictionary.faults, [&](const Fault& fault) {
            if (fault.suspect != "R3 has another value") return false;
            Link faulty = at.prepared;
            fault.edit(faulty);
            const auto& value =
                faulty.parts[*faulty.find_part("R3")].description.find(Key::value)->spread;
            return value.lowest <= 1.06 * factor * 10e3 && factor * 10e3 <= 1.06 * value.highest;
        });
        EXPECT_TRUE(held) << factor;
    }
}

TEST(FaultTable, EditsLeaveTheLinkAlone) {
    const LinkAtBench& at = example_at_bench("pendulum-beat");
    const auto before = readings_with(at, at.dictionary.faults.front());
    for (const Fault& fault : at.dictionary.faults) {
        Link faulty = at.prepared;
        if (fault.edit) fault.edit(faulty);  // a pair's halves are shared with its copies
    }
    EXPECT_EQ(readings_with(at, at.dictionary.faults.front()), before);
}

}  // namespace
}  // namespace gapwright
