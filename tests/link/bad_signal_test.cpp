// Mistakes in [signal], [disturbance] and promises in time: cause, line, column and caret.
#include <gtest/gtest.h>

#include <algorithm>

#include "link/link_circuit.hpp"
#include "support/link_text.hpp"

namespace gapwright {
namespace {

using testing_support::link_from;
using testing_support::plain_link;
using testing_support::with;

const char* const timed = R"([signal]
rate = "9600 Bd"
states = ["on", "off"]
[disturbance]
edge = "500 V/µs"
amplitude = "24 V"
dip = "30 %"
dip_time = "1 ms"
[[promise]]
change = ["off", "on"]
voltage = "signal"
reaches = "1 V"
within = "20 µs"
[[promise]]
signal = "pulse width error"
voltage = "signal"
reaches = "2.5 V"
at_most = "10 %"
)";

struct Mistake {
    std::string name;
    std::string from;  // what is replaced
    Cause cause;
    std::string to;    // by what, « and » around what the caret stands under
    std::string told;  // part of the message or remedy
};

void PrintTo(const Mistake& mistake, std::ostream* out) {
    *out << mistake.name;
}

std::size_t characters(std::string_view text) {
    return static_cast<std::size_t>(
        std::ranges::count_if(text, [](char c) { return (c & 0xC0) != 0x80; }));
}

class BadTime : public testing::TestWithParam<Mistake> {};

TEST_P(BadTime, IsToldWithCauseLineAndCaret) {
    const Mistake& m = GetParam();
    const std::string before = plain_link() + timed;
    // The mistaken text with marks around what the caret must stand under.
    std::string marked = with(before, m.from, m.to);
    ASSERT_NE(marked, before) << "the mistake was not made";
    const std::string left = "«";
    const std::string right = "»";
    const auto begin = marked.find(left);
    ASSERT_NE(begin, std::string::npos);
    marked.erase(begin, left.size());
    const auto end = marked.find(right);
    ASSERT_NE(end, std::string::npos);
    marked.erase(end, right.size());
    const std::string& text = marked;

    const auto link = link_from(text);
    ASSERT_FALSE(link) << "nothing was told";
    const auto found = std::ranges::find(link.error(), m.cause, &Diagnostic::cause);
    ASSERT_NE(found, link.error().end()) << to_text(link.error());
    const std::string shown = to_text(*found);
    EXPECT_NE(shown.find(m.told), std::string::npos) << shown;

    // Line and column as a person counts them.
    const auto line_begin = text.rfind('\n', begin) + 1;
    const auto line =
        std::count(text.begin(), text.begin() + static_cast<std::ptrdiff_t>(begin), '\n') + 1;
    const auto column = characters(std::string_view(text).substr(line_begin, begin - line_begin));
    const std::string head =
        "test.link.toml:" + std::to_string(line) + ":" + std::to_string(column + 1) + ": error: ";
    EXPECT_TRUE(shown.starts_with(head)) << head << '\n' << shown;
    // The line under it, and as many carets as characters.
    const auto quoted = text.substr(line_begin, text.find('\n', begin) - line_begin);
    EXPECT_NE(shown.find("| " + quoted + "\n"), std::string::npos) << shown;
    const std::string carets =
        "| " + std::string(column, ' ') + '^' +
        std::string(characters(std::string_view(text).substr(begin, end - begin)) - 1, '~') + "\n";
    EXPECT_NE(shown.find(carets), std::string::npos) << carets << '\n' << shown;
}

const Mistake mistakes[] = {
    {"RateOfZero", "\"9600 Bd\"", Cause::out_of_range, "«\"0 Bd\"»", "above zero"},
    {"RateInVolts", "\"9600 Bd\"", Cause::wrong_unit, "\"«9600 V»\"", "not volts"},
    {"RateAndFrequency", "rate = \"9600 Bd\"", Cause::contradiction,
     "rate = \"9600 Bd\"\n«frequency» = \"1 kHz\"", "not both"},
    {"RateWithDuty", "rate = \"9600 Bd\"", Cause::contradiction,
     "rate = \"9600 Bd\"\n«duty» = \"30 %\"", "no duty"},
    {"NoRate", "[signal]\nrate = \"9600 Bd\"", Cause::missing_key, "[«signal»]",
     "the signal states no rate"},
    {"DutyOfNothing", "rate = \"9600 Bd\"", Cause::out_of_range,
     "frequency = \"1 kHz\"\nduty = «\"0 %\"»", "between 0 and 100 %"},
    {"DutyOfAll", "rate = \"9600 Bd\"", Cause::out_of_range,
     "frequency = \"1 kHz\"\nduty = «\"100 %\"»", "between 0 and 100 %"},
    {"UnknownState", "[\"on\", \"off\"]", Cause::unknown_name, "[\"on\", «\"of\"»]",
     "did you mean \"off\""},
    {"EqualStates", "[\"on\", \"off\"]", Cause::contradiction, "«[\"on\", \"on\"]»",
     "two different states"},
    {"ThreeStates", "[\"on\", \"off\"]", Cause::wrong_type, "«[\"on\", \"off\", \"on\"]»",
     "a list of two states"},
    {"OneState", "[\"on\", \"off\"]", Cause::wrong_type, "«\"on\"»", "a list of two states"},
    {"UnknownSignalKey", "rate = \"9600 Bd\"", Cause::unknown_key,
     "rate = \"9600 Bd\"\n«dutty» = \"30 %\"", "did you mean \"duty\""},

    {"UnknownSignalWord", "\"pulse width error\"", Cause::unknown_name, "«\"pulse width eror\"»",
     "\"pulse width error\""},
    {"SignalPromiseWithoutLevel",
     "[[promise]]\nsignal = \"pulse width error\"\nvoltage = "
     "\"signal\"\nreaches = \"2.5 V\"\n",
     Cause::missing_key, "«[[promise]]»\nsignal = \"pulse width error\"\nvoltage = \"signal\"\n",
     "needs the level"},
    {"SignalPromiseWithoutBound",
     "[[promise]]\nsignal = \"pulse width error\"\nvoltage = "
     "\"signal\"\nreaches = \"2.5 V\"\nat_most = \"10 %\"\n",
     Cause::missing_key,
     "«[[promise]]»\nsignal = \"pulse width error\"\nvoltage = \"signal\"\nreaches = \"2.5 V\"\n",
     "states no bound"},
    {"WidthErrorAtLeast", "at_most = \"10 %\"", Cause::contradiction,
     "at_most = \"10 %\"\n«at_least» = \"1 %\"", "bounded by at_most"},
    {"WidthErrorInVolts", "\"10 %\"", Cause::wrong_unit, "\"«10 V»\"", "not volts"},
    {"SignalAndState", "signal = \"pulse width error\"", Cause::contradiction,
     "signal = \"pulse width error\"\n«state» = \"on\"", "does not belong"},
    {"ChangeWithoutLevel",
     "[[promise]]\nchange = [\"off\", \"on\"]\nvoltage = \"signal\"\n"
     "reaches = \"1 V\"\n",
     Cause::missing_key, "«[[promise]]»\nchange = [\"off\", \"on\"]\nvoltage = \"signal\"\n",
     "needs reaches"},
    {"ChangeWithoutTime",
     "[[promise]]\nchange = [\"off\", \"on\"]\nvoltage = \"signal\"\n"
     "reaches = \"1 V\"\nwithin = \"20 µs\"\n",
     Cause::missing_key,
     "«[[promise]]»\nchange = [\"off\", \"on\"]\nvoltage = \"signal\"\nreaches = \"1 V\"\n",
     "needs within"},
    {"ChangeWithinNoTime", "\"20 µs\"", Cause::out_of_range, "«\"0 s\"»", "above zero"},
    {"ChangeToUnknownState", "[\"off\", \"on\"]", Cause::unknown_name, "[\"off\", «\"onn\"»]",
     "did you mean \"on\""},
    {"EdgeWithoutAmplitude", "edge = \"500 V/µs\"\namplitude = \"24 V\"\n", Cause::missing_key,
     "«edge» = \"500 V/µs\"\n", "edge needs amplitude"},
    {"AmplitudeWithoutEdge", "edge = \"500 V/µs\"\namplitude", Cause::missing_key, "«amplitude»",
     "amplitude needs edge"},
    {"EdgeInVolts", "\"500 V/µs\"", Cause::wrong_unit, "\"«500 V»\"", "not volts"},
    {"EdgeOfZero", "\"500 V/µs\"", Cause::out_of_range, "«\"0 V/µs\"»", "above zero"},
    {"DipWithoutTime", "dip = \"30 %\"\ndip_time = \"1 ms\"\n", Cause::missing_key,
     "«dip» = \"30 %\"\n", "dip needs dip_time"},
    {"DipOfMoreThanAll", "\"30 %\"", Cause::out_of_range, "«\"130 %\"»", "100 %"},
};

std::string name_of(const testing::TestParamInfo<Mistake>& info) {
    return info.param.name;
}
INSTANTIATE_TEST_SUITE_P(EachMistake, BadTime, testing::ValuesIn(mistakes), name_of);

TEST(TimedText, WithoutMistakesIsRead) {
    const auto link = link_from(plain_link() + timed);
    ASSERT_TRUE(link) << to_text(link.error());
    ASSERT_TRUE(link->signal);
    EXPECT_EQ(link->states[link->signal->rest].name, "on");
    EXPECT_EQ(link->states[link->signal->active].name, "off");
    EXPECT_NEAR(link->signal->bit, 1 / 9600.0, 1e-12);
    EXPECT_NEAR(link->signal->period, 2 / 9600.0, 1e-12);
    ASSERT_TRUE(link->disturbance);
    EXPECT_NEAR(link->disturbance->edge, 500e6, 1);
    EXPECT_NEAR(link->disturbance->dip, 0.3, 1e-12);
    ASSERT_EQ(link->promises.size(), 3U);
    EXPECT_EQ(link->promises[1].within, 20e-6);
    EXPECT_EQ(link->promises[2].at_most, 0.1);
}

TEST(TimedText, APromiseAboutTheSignalNeedsOne) {
    const auto link = link_from(with(
        plain_link() + timed, "[signal]\nrate = \"9600 Bd\"\nstates = [\"on\", \"off\"]\n", ""));
    ASSERT_FALSE(link);
    ASSERT_EQ(link.error().size(), 1U) << to_text(link.error());
    EXPECT_EQ(link.error()[0].cause, Cause::missing_key);
    const std::string shown = to_text(link.error());
    EXPECT_NE(shown.find("signal = \"pulse width error\"\n"), std::string::npos) << shown;
    EXPECT_NE(shown.find("|          ^~~~~~~~~~~~~~~~~~~\n"), std::string::npos) << shown;
    EXPECT_NE(shown.find("no readable [signal]"), std::string::npos) << shown;
}

TEST(TimedText, AHighestRateNeedsABoundBesides) {
    const std::string alone =
        plain_link() +
        "[signal]\nrate = \"9600 Bd\"\n[[promise]]\nsignal = \"highest rate\"\n"
        "at_least = \"9600 Bd\"\n";
    const auto link = link_from(alone);
    ASSERT_FALSE(link);
    EXPECT_EQ(link.error()[0].cause, Cause::missing_key);
    EXPECT_NE(to_text(link.error()).find("pulse width error"), std::string::npos);
    EXPECT_TRUE(link_from(alone +
                          "[[promise]]\nsignal = \"pulse width error\"\nvoltage = \"signal\"\n"
                          "reaches = \"2.5 V\"\nat_most = \"10 %\"\n"));
}

TEST(TimedText, AChangeIsBetweenTwoStates) {
    const auto link = link_from(
        with(plain_link() + timed, "change = [\"off\", \"on\"]", "change = [\"on\", \"on\"]"));
    ASSERT_FALSE(link);
    EXPECT_EQ(link.error()[0].cause, Cause::contradiction);
}

TEST(TimedText, AFrequencysBitIsItsShorterHalf) {
    const auto link = link_from(
        with(plain_link() + timed, "rate = \"9600 Bd\"", "frequency = \"1 kHz\"\nduty = \"70 %\""));
    ASSERT_TRUE(link) << to_text(link.error());
    EXPECT_NEAR(link->signal->period, 1e-3, 1e-12);
    EXPECT_NEAR(link->signal->width, 0.7e-3, 1e-12);
    EXPECT_NEAR(link->signal->bit, 0.3e-3, 1e-12);
}

}  // namespace
}  // namespace gapwright
