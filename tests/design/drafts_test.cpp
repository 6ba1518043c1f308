// The drafts of needs: readable as links, true to the user's text, of the right polarity.
#include <gtest/gtest.h>

#include <algorithm>
#include <set>

#include "circuit/link_point.hpp"
#include "circuit/probe.hpp"
#include "design/need_support.hpp"
#include "link/link_circuit.hpp"
#include "support/link_text.hpp"

namespace gapwright {
namespace {

using testing_support::example_needs;
using testing_support::example_text;
using testing_support::link_of;
using testing_support::need_from;
using testing_support::plain_need;
using testing_support::with;

std::vector<Draft> drafts_from(const std::string& text) {
    const auto need = need_from(text);
    EXPECT_TRUE(need) << to_text(need.error());
    return need ? drafts_of(*need) : std::vector<Draft>{};
}

std::string described(const Draft& draft) {
    return draft.input + " / " + draft.gap + " / " + draft.output;
}

std::string without(std::string text, char c) {
    std::erase(text, c);
    return text;
}

// `duty = …` as a text holds it; empty where it states none.
std::string duty_in(const std::string& text) {
    const auto at = text.find("duty = ");
    if (at == std::string::npos) return "";
    const auto value = at + std::string("duty = ").size();
    return text.substr(at, text.find(text[value] == '{' ? '}' : '"', value + 1) + 1 - at);
}

std::string with_duty(const std::string& text, const std::string& duty) {
    const std::string stated = duty_in(text);
    return stated.empty() ? text : with(text, stated, duty);
}

// Whether a draft is the need's text with something put in at its two spots and its end; its duty
// may say of the link's states what it said of the load.
bool keeps(const std::string& draft, const std::string& text) {
    const auto need = need_from(text);
    const std::size_t in = need->input.paths.at;
    const std::size_t out = need->output.paths.at;
    const std::size_t first = std::min(in, out);
    const std::size_t second = std::max(in, out);
    std::size_t from = 0;
    for (const auto& as_stated :
         {text.substr(0, first), text.substr(first, second - first), text.substr(second)}) {
        const std::string piece = with_duty(as_stated, duty_in(draft));
        const auto found = draft.find(piece, from);
        if (found == std::string::npos || (from == 0 && found != 0)) return false;
        from = found + piece.size();
    }
    return true;
}

// The load of the night's silence is high by day, 60 % of the time, when the contact is open;
// whether it leaks then is not known, and leaking wears the emitter more.
TEST(Draft, ShareOfTheLoadBecomesSharesOfStates) {
    const auto stated_in = [](const std::string& text) {
        std::set<std::string> stated;
        for (const auto& draft : drafts_from(text)) stated.insert(duty_in(draft.text));
        return stated;
    };
    using Stated = std::set<std::string>;
    EXPECT_EQ(stated_in(example_text("night-silence")),
              Stated{"duty = { off = \"40 %\", on = \"0 %\", leaking = \"60 %\" }"});
    // The first state is the one in which the load is on: the figure stands as it was.
    EXPECT_EQ(stated_in(example_text("bell-hammer")), Stated{"duty = \"5 %\""});
    const std::string idle = with(example_text("pendulum-beat"), "service = \"5 years\"",
                                  "service = \"5 years\"\nduty = \"12.5 %\"");
    EXPECT_EQ(stated_in(idle), Stated{"duty = { off = \"87.5 %\", on = \"12.5 %\" }"});
    for (const auto& draft : drafts_from(idle)) {
        const auto link = link_of(draft.text);
        ASSERT_TRUE(link) << to_text(link.error());
        EXPECT_EQ(link->shares(), (std::vector<double>{0.875, 0.125})) << draft.text;
    }
}

class Drafts : public testing::TestWithParam<std::string> {};

TEST_P(Drafts, AreReadAsLinks) {
    const auto drafts = drafts_from(example_text(GetParam()));
    ASSERT_FALSE(drafts.empty());
    RecordProperty("drafts", static_cast<int>(drafts.size()));
    std::set<std::string> seen;
    for (const auto& draft : drafts) {
        const auto link = link_of(draft.text);
        ASSERT_TRUE(link) << described(draft) << '\n' << to_text(link.error()) << draft.text;
        EXPECT_TRUE(seen.insert(described(draft)).second) << described(draft);
        for (const auto& name : draft.sets_speed) {
            const auto part = link->find_part(name);
            ASSERT_TRUE(part) << described(draft);
            EXPECT_TRUE(link->parts[*part].description.value_to_choose);
        }
        for (const auto& state : link->states) EXPECT_TRUE(state.assumed.empty());
        const std::size_t least = link->states.size();
        EXPECT_GE(link->promises.size(), least) << described(draft);
    }
}

TEST_P(Drafts, KeepTheUsersTextAsItStood) {
    const std::string text = example_text(GetParam());
    for (const auto& draft : drafts_from(text)) {
        EXPECT_TRUE(keeps(draft.text, text)) << draft.text;
    }
}

TEST_P(Drafts, KeepCarriageReturns) {
    const std::string text = example_text(GetParam());
    std::string windows;
    for (const char c : text) windows += c == '\n' ? std::string("\r\n") : std::string(1, c);
    const auto plain = drafts_from(text);
    const auto drafts = drafts_from(windows);
    ASSERT_EQ(drafts.size(), plain.size());
    for (std::size_t k = 0; k < drafts.size(); ++k) {
        EXPECT_TRUE(keeps(drafts[k].text, windows));
        EXPECT_EQ(without(drafts[k].text, '\r'), plain[k].text);
        EXPECT_EQ(std::ranges::count(drafts[k].text, '\r'),
                  std::ranges::count(drafts[k].text, '\n'));
        EXPECT_TRUE(link_of(drafts[k].text));
    }
}

INSTANTIATE_TEST_SUITE_P(Averley, Drafts, testing::ValuesIn(example_needs()),
                         [](const auto& named) {
                             std::string name = named.param;
                             std::erase(name, '-');
                             return name;
                         });

// Ways to write the same tables.
TEST(DraftText, FindsPlaceInEveryWayToWriteATable) {
    const std::string tables =
        "[input]\nsupply = \"5 V ± 5 %\"\n[output]\nsupply = \"12 V ± 10 %\"\n";
    for (const std::string other : {
             "input = { supply = \"5 V\" }\noutput = { supply = \"12 V\" }\n",
             "input.supply = \"5 V\"\noutput.supply = \"12 V\"   # both\n",
             "[input.supply]\nvoltage = \"5 V\"\n[output.supply]\nvoltage = \"12 V\"\n",
             "[input]\n[input.supply]\nvoltage = \"5 V\"\n[output]\nsupply.voltage = \"12 V\"\n",
             "[output]\nsupply = { voltage = \"12 V\", resistance = \"1 Ω\" } # a }\n",
             "input.supply.voltage = \"5 V\"\noutput.supply.voltage = \"12 V\"\n",
             "[ input ]\n# none\n[ \"output\" ]\nsupply = '12 V'\n",
         }) {
        const std::string text = with(plain_need(), tables, other);
        const auto drafts = drafts_from(text);
        ASSERT_FALSE(drafts.empty()) << text;
        for (const auto& draft : drafts) {
            const auto link = link_of(draft.text);
            ASSERT_TRUE(link) << to_text(link.error()) << draft.text;
            EXPECT_TRUE(keeps(draft.text, text)) << draft.text;
        }
    }
}

TEST(DraftText, EndsAFileWithoutALastLineEnd) {
    std::string text = plain_need();
    text.pop_back();
    for (const auto& draft : drafts_from(text)) {
        EXPECT_TRUE(draft.text.find(text.substr(text.find("[need]")) + "\n\n[parts]\n") !=
                    std::string::npos)
            << draft.text;
        EXPECT_TRUE(link_of(draft.text));
    }
}

TEST(DraftText, SaysThatASupplyIsAssumed) {
    const auto drafts = drafts_from(with(plain_need(), "[input]\nsupply = \"5 V ± 5 %\"\n", ""));
    ASSERT_FALSE(drafts.empty());
    EXPECT_NE(drafts[0].text.find("[input]\nsupply = \"4.75 .. 5 V\"  # the drive's own "
                                  "supply, assumed\npaths = "),
              std::string::npos)
        << drafts[0].text;
}

// Every arrangement has a need that it fits.
TEST(Arrangements, AppearForANeedThatTheyFit) {
    std::set<std::string> inputs;
    std::set<std::string> outputs;
    const auto collect = [&](const std::string& text) {
        for (const auto& draft : drafts_from(text)) {
            inputs.insert(draft.input);
            outputs.insert(draft.output);
        }
    };
    for (const auto& name : example_needs()) collect(example_text(name));
    collect(plain_need());
    collect(with(plain_need(), "[choose]", "when = \"idle\"\n[choose]"));
    // A serial line rests high when its input side is dead, which a pull-down would not give.
    collect(with(example_text("chime-bus"), "[choose]", "when_dead = \"off\"\n[choose]"));
    collect(with(plain_need(), "[choose]", "when_dead = \"any\"\n[choose]"));
    collect(with(plain_need(),
                 R"({ kind = "logic output", high = "4.75 .. 5 V", source_limit = "8 mA" })",
                 R"({ kind = "contact", leakage = "1 mA" })"));
    for (const auto& arrangement : input_arrangements()) {
        EXPECT_TRUE(inputs.contains(std::string(arrangement.name))) << arrangement.name;
        if (arrangement.name == input_arrangements().front().name) {
            EXPECT_TRUE(inputs.contains(std::string(arrangement.name) + ", with an indicator"));
        }
    }
    for (const auto& arrangement : output_arrangements()) {
        EXPECT_TRUE(outputs.contains(std::string(arrangement.name))) << arrangement.name;
    }
}

// Of each promise about the load, what the nominal link gives with the same value for every
// resistor of a side.
void expect_promises_kept(const Draft& draft, const std::map<std::string, std::string>& values) {
    std::string text = draft.text;
    for (const auto& [name, value] : values) {
        text = with(text, name + " = { kind = \"resistor\", value = \"choose\"",
                    name + " = { kind = \"resistor\", value = \"" + value + "\"");
    }
    ASSERT_EQ(text.find("choose\""), std::string::npos) << text;
    const auto link = link_of(text);
    ASSERT_TRUE(link) << to_text(link.error());
    const auto circuit = build_circuit(*link);
    ASSERT_TRUE(circuit) << to_text(circuit.error());
    const auto points = solve_link(circuit->circuit, circuit->nominal_values(), {});
    ASSERT_TRUE(points) << described(draft);
    for (const auto& promise : link->promises) {
        const auto& point = (*points)[promise.state];
        const auto& side = point.side(promise.side);
        double value = 0;
        if (promise.quantity == Promise::Quantity::voltage) {
            value = side.voltage(promise.plus) - side.voltage(promise.minus);
        } else {
            value = measure(circuit->of(promise.part, promise.side)->current(), point);
        }
        const auto& name = link->states[promise.state].name;
        if (promise.at_least) {
            EXPECT_GE(value, *promise.at_least) << described(draft) << ' ' << name << '\n' << text;
        }
        if (promise.at_most) {
            EXPECT_LE(value, *promise.at_most) << described(draft) << ' ' << name << '\n' << text;
        }
    }
}

// Values by a resistor's place, as a person would guess them.
struct Guess {
    std::string path_part;  // a run in a path, with * for the resistor
    std::string value;
};
std::map<std::string, std::string> guessed(const Draft& draft, const std::vector<Guess>& guesses) {
    std::map<std::string, std::string> values;
    const auto link = link_of(draft.text);
    if (!link) return values;
    for (const auto& part : link->parts) {
        if (!part.description.value_to_choose) continue;
        for (const auto& guess : guesses) {
            std::string run = guess.path_part;
            run.replace(run.find('*'), 1, part.name);
            if (draft.text.find(run) == std::string::npos) continue;
            values[part.name] = guess.value;
            break;
        }
    }
    return values;
}

const std::vector<Guess> common_guesses = {
    {"P1 > * > Q1.base", "2.2 kΩ"},
    {"sense > * > return", "470 Ω"},
    {"supply > P1 > S1 > * > sense", "1.5 kΩ"},
    {"supply > S1 > * > sense", "220 Ω"},
    {"supply > P1 > * > D3", "100 Ω"},
    {"supply > P1 > * >", "220 Ω"},
    {"supply > * > U1 > pin", "330 Ω"},
    {"supply > * > D3 > U1 > pin", "100 Ω"},
    {"supply > S1 > * > U1", "330 Ω"},
    {"supply > S1 > * > D3 > U1", "100 Ω"},
    {"supply > * > U1 > Q1 > return", "270 Ω"},
    {"supply > * > D3 > U1 > Q1 > return", "100 Ω"},
    {"supply > * > D2 >", "820 Ω"},
    {"> * > D2 > return", "820 Ω"},
    {"M1.gate > * > return", "47 kΩ"},
    {"supply > * > M1.gate", "47 kΩ"},
    {"supply > * > signal", "10 kΩ"},
    {"signal > * > return", "10 kΩ"},
    {".base > * > U1 > return", "2.2 kΩ"},
    {"supply > * > U1 > Q", "2.2 kΩ"},
    {"supply > * > U1 > M1.gate", "47 kΩ"},
    {"supply > * > Q", "4.7 kΩ"},
    {".base > * > return", "4.7 kΩ"},
};

void expect_all_kept(const std::string& text) {
    const auto drafts = drafts_from(text);
    ASSERT_FALSE(drafts.empty());
    for (const auto& draft : drafts) expect_promises_kept(draft, guessed(draft, common_guesses));
}

const std::string plain_pin =
    R"({ kind = "logic output", high = "4.75 .. 5 V", source_limit = "8 mA" })";
const std::string indicator_load = R"({ card = "red-led", current = "3 mA" })";
const std::string logic_load = R"({ card = "logic-input-5v" })";
const std::string plain_load = R"({ kind = "load", resistance = "1 kΩ", current = "5 mA" })";
const std::string idle = "when = \"idle\"\n[choose]";

TEST(Polarity, OfEveryArrangementForACoil) {
    expect_all_kept(plain_need());
    expect_all_kept(with(plain_need(), "[choose]", idle));
}

TEST(Polarity, OfEveryArrangementForAnIndicator) {
    const std::string text = with(plain_need(), testing_support::plain_coil, indicator_load);
    expect_all_kept(text);
    expect_all_kept(with(text, "[choose]", idle));
}

TEST(Polarity, OfEveryArrangementForALoad) {
    const std::string text = with(plain_need(), testing_support::plain_coil, plain_load);
    expect_all_kept(text);
    expect_all_kept(with(text, "[choose]", idle));
}

TEST(Polarity, OfEveryArrangementForALogicInput) {
    std::string text = with(plain_need(), testing_support::plain_coil, logic_load);
    text = with(text, "12 V ± 10 %", "5 V ± 5 %");
    expect_all_kept(text);
    expect_all_kept(with(text, "[choose]", idle));
}

TEST(Polarity, OfContactsAndSensors) {
    std::string text = with(plain_need(), testing_support::plain_coil, logic_load);
    text = with(text, "12 V ± 10 %", "5 V ± 5 %");
    expect_all_kept(with(text, plain_pin, R"({ kind = "contact" })"));
    const std::string sensor =
        with(with(text, plain_pin, R"({ kind = "contact", input_type = 3 })"), "5 V ± 5 %", "24 V");
    expect_all_kept(sensor);
    expect_all_kept(with(sensor, "[choose]", idle));
}

TEST(Polarity, OfOpenPairs) {
    expect_all_kept(example_text("lamp-watch"));
    expect_all_kept(example_text("pendulum-beat"));
}

TEST(Sensor, LeaksWhatTheStandardAllows) {
    std::string text = with(plain_need(), plain_pin, R"({ kind = "contact", input_type = 2 })");
    const auto drafts = drafts_from(text);
    ASSERT_FALSE(drafts.empty());
    for (const auto& draft : drafts) {
        EXPECT_NE(draft.text.find("leakage = \"2 mA (0 .. 2 mA)\""), std::string::npos);
        EXPECT_NE(draft.text.find("at_least = \"6 mA\""), std::string::npos);
        const auto link = link_of(draft.text);
        ASSERT_TRUE(link);
        EXPECT_TRUE(link->find_state("leaking"));
    }
}

}  // namespace
}  // namespace gapwright
