// Two links whose usual pull-up keeps everything at rest and breaks a promise in time; what design
// chooses keeps it.
#include <gtest/gtest.h>

#include <filesystem>

#include "design/design.hpp"
#include "link/link_circuit.hpp"
#include "proof/proof.hpp"
#include "proof/prove.hpp"
#include "support/how_many.hpp"

namespace gapwright {
namespace {

const std::string folder = PROJECT_FOLDER "/examples/clock-tower/speed";

Proof proven(std::string text, const std::string& chosen) {
    const std::string open = "value = \"choose\"";
    if (const auto at = text.find(open); at != std::string::npos) {
        text.replace(at, open.size(), chosen);
    }
    const auto link =
        read_link(std::make_shared<const SourceText>("speed.link.toml", text), folder);
    if (!link) throw std::runtime_error(to_text(link.error()));
    const auto circuit = build_circuit(*link);
    if (!circuit) throw std::runtime_error(to_text(circuit.error()));
    auto proof = prove(*link, *circuit, {.samples = 1000, .timed_samples = 20});
    if (!proof) throw std::runtime_error(proof.error().message);
    return std::move(*proof);
}

// Promises at rest, and those in time.
std::pair<Verdict, Verdict> verdicts(const Proof& proof) {
    Verdict at_rest = Verdict::kept;
    Verdict in_time = Verdict::kept;
    for (const auto& p : proof.promises) {
        Verdict& whose = p.timed ? in_time : at_rest;
        whose = worse(whose, p.verdict);
    }
    return {at_rest, in_time};
}

class Speed : public testing::TestWithParam<std::string> {};

TEST_P(Speed, TheUsualResistorIsTooSlowAndTheChosenOneIsNot) {
    const std::string path = folder + "/" + GetParam() + ".link.toml";
    const auto text = read_file(path);
    ASSERT_TRUE(text);
    const auto usual = verdicts(
        proven(std::string((*text)->text()), "value = \"10 kΩ ± 5 %\", power = \"0.25 W\""));
    EXPECT_NE(usual.first, Verdict::broken);
    EXPECT_EQ(usual.second, Verdict::broken);

    const auto design = design_file(path, {.samples = 1000});
    ASSERT_TRUE(design) << design.error().message;
    const Answer& answer = design->answers.front();
    const auto chosen = verdicts(proven(answer.text, ""));
    EXPECT_NE(chosen.first, Verdict::broken);
    EXPECT_NE(chosen.second, Verdict::broken);

    // The window's upper end is the promise in time, and lies below the usual value.
    ASSERT_EQ(answer.values.size(), 1U);
    ASSERT_TRUE(answer.values[0].window);
    const ValueWindow& window = *answer.values[0].window;
    EXPECT_FALSE(window.open_above);
    EXPECT_LT(window.holds_to, 10e3);
    EXPECT_GT(window.holds_to, answer.values[0].value.nominal);
    const bool in_time = window.ends_above.find("within") != std::string::npos ||
                         window.ends_above.find("pulse width") != std::string::npos;
    EXPECT_TRUE(in_time) << window.ends_above;

    // Just above it the promise breaks, by waveforms of its own.
    const std::string above = std::to_string(1.15 * window.holds_to) + " Ω ± 5 %";
    const auto beyond = verdicts(
        proven(std::string((*text)->text()), "value = \"" + above + "\", power = \"0.25 W\""));
    EXPECT_EQ(beyond.second, Verdict::broken) << above;
}

// A train of pulses (chime-bus) takes long.
INSTANTIATE_TEST_SUITE_P(Examples, Speed,
                         testing::ValuesIn(testing_support::how_many<std::vector<std::string>>(
                             {"night-silence"}, {"night-silence", "chime-bus"})));

}  // namespace
}  // namespace gapwright
