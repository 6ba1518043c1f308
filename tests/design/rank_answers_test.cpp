// What is shown of many answers: none that another one shown is better than in everything, and
// names that are true. Judged by the test's own reading of what is told of each.
#include "design/judging/rank_answers.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <memory>
#include <random>

#include "design_support.hpp"
#include "need_support.hpp"
#include "support/how_many.hpp"

namespace gapwright {
namespace {

using namespace testing_support;

Answer random_answer(std::mt19937& random) {
    const auto whole = [&](int from, int to) {
        return std::uniform_int_distribution<int>(from, to)(random);
    };
    Proof proof;
    constexpr std::array verdicts = {Verdict::kept, Verdict::kept, Verdict::thin, Verdict::broken};
    proof.verdict = verdicts[static_cast<std::size_t>(whole(0, 3))];
    proof.stretch.emplace();
    proof.stretch->stretch.factor = 1 + 0.1 * whole(0, 20);
    Answer answer;
    answer.proof = std::make_shared<const Proof>(proof);
    answer.parts = static_cast<std::size_t>(whole(4, 10));
    answer.current = 1e-3 * whole(5, 40);
    for (int k = whole(0, 2); k > 0; --k)
        answer.objections.push_back({.share = 0.25 * whole(1, 4)});
    answer.from_drawer = whole(0, 1) == 1;
    answer.home_made = whole(0, 2) == 0;
    answer.gap_kind = answer.home_made ? "infrared pair" : "coupler";
    answer.text = std::to_string(random());
    return answer;
}

double stretch_of(const Answer& a) {
    return a.proof->stretch ? a.proof->stretch->stretch.factor : 0;
}

double against_practice(const Answer& a) {
    double sum = 0;
    for (const auto& o : a.objections) sum += o.share;
    return sum;
}

// Better in something by as much as a person would notice, or worse in nothing.
bool is_worse_in_everything(const Answer& a, const Answer& b) {
    return static_cast<int>(b.proof->verdict == Verdict::kept) >=
               static_cast<int>(a.proof->verdict == Verdict::kept) &&
           stretch_of(b) >= stretch_of(a) + 0.05 && against_practice(b) <= against_practice(a) &&
           b.parts < a.parts && b.current < 0.95 * a.current && b.from_drawer >= a.from_drawer &&
           b.home_made <= a.home_made;
}

bool has(const Answer& a, Character c) {
    return std::ranges::find(a.characters, c) != a.characters.end();
}

void expect_true_names(const std::vector<Answer>& shown) {
    ASSERT_FALSE(shown.empty());
    EXPECT_LE(shown.size(), 5U);
    for (std::size_t k = 0; k < shown.size(); ++k) {
        const Answer& a = shown[k];
        EXPECT_EQ(has(a, Character::first_choice), k == 0);
        EXPECT_EQ(a.against_first.empty(), k == 0);
        if (k > 0) {
            EXPECT_FALSE(a.characters.empty());
        }
        for (std::size_t o = 0; o < shown.size(); ++o) {
            const Answer& other = shown[o];
            if (o == k) continue;
            EXPECT_FALSE(is_worse_in_everything(a, other)) << k + 1 << " beside " << o + 1;
            if (has(a, Character::most_stretch)) {
                EXPECT_GE(stretch_of(a), stretch_of(other) - 0.05);
            }
            if (has(a, Character::fewest_parts)) {
                EXPECT_LE(a.parts, other.parts);
            }
            if (has(a, Character::least_current)) {
                EXPECT_LE(a.current, 1.06 * other.current);
            }
        }
        if (has(a, Character::from_drawer)) {
            EXPECT_TRUE(a.from_drawer);
        }
        if (has(a, Character::other_gap)) {
            EXPECT_NE(a.gap_kind, shown.front().gap_kind);
        }
    }
}

TEST(RankedAnswers, OfAnyLotHaveTrueNamesAndNoneIsWorseInEverything) {
    std::mt19937 random(22);
    for (int lot = 0; lot < 2000; ++lot) {
        SCOPED_TRACE(lot);
        std::vector<Answer> answers;
        for (int k = std::uniform_int_distribution<int>(1, 9)(random); k > 0; --k) {
            answers.push_back(random_answer(random));
        }
        const auto shown = ranked(answers, 5);
        expect_true_names(shown);
        // A verdict is never passed over for a weaker one.
        const bool some_kept = std::ranges::any_of(answers, [](const Answer& a) {
            const bool passable = std::ranges::none_of(
                a.objections, [](const Objection& o) { return o.share > 0.9; });
            return a.proof->verdict == Verdict::kept && passable;
        });
        if (some_kept) {
            EXPECT_EQ(shown.front().proof->verdict, Verdict::kept);
        }
    }
}

TEST(RankedAnswers, APartThatDoesNothingIsNoAnswer) {
    std::mt19937 random(1);
    Answer idle = random_answer(random);
    Answer other = random_answer(random);
    idle.objections = {{.share = 1, .part = "Q2", .idle = true}};
    other.objections.clear();
    EXPECT_EQ(ranked({idle, other}, 5).size(), 1U);
    EXPECT_EQ(ranked({idle, other}, 5).front().text, other.text);
    EXPECT_EQ(ranked({idle}, 5).size(), 1U);  // better than nothing
}

// Needs drawn from what benches have: drive, load and supply.
std::string drawn_need(unsigned k) {
    std::mt19937 random(k);
    const auto one_of = [&](const std::vector<std::string>& list) {
        return list[std::uniform_int_distribution<std::size_t>(0, list.size() - 1)(random)];
    };
    const std::string volts = one_of({"5 V", "12 V", "24 V"});
    const std::string load =
        volts == "5 V"
            ? R"({ kind = "coil", resistance = "70 Ω ± 10 %", pull_in = "3.75 V", drop_out = "0.5 V" })"
        : volts == "12 V"
            ? R"({ kind = "coil", resistance = "400 Ω ± 10 %", pull_in = "8.4 V", drop_out = "1.2 V" })"
            : R"({ kind = "coil", resistance = "1440 Ω ± 10 %", pull_in = "16.8 V", drop_out = "2.4 V" })";
    return "title = \"Drawn " + std::to_string(k) + "\"\n[surroundings]\ntemperature = \"" +
           one_of({"0 .. 40 °C", "-10 .. 50 °C"}) + "\"\n[input]\nsupply = \"5 V ± " +
           one_of({"5 %", "10 %"}) + "\"\n[output]\nsupply = \"" + volts + " ± " +
           one_of({"5 %", "10 %"}) + "\"\n[need]\ndrive = " +
           one_of({R"({ card = "logic-output-5v" })", R"({ kind = "contact" })"}) +
           "\nload = " + load + "\n";
}

class DesignedNeeds : public testing::TestWithParam<unsigned> {};

TEST_P(DesignedNeeds, ShowNoAnswerThatAnotherBeatsInEverything) {
    const Folder folder;
    const auto design =
        design_file(folder.write("drawn.link.toml", drawn_need(GetParam())), {.samples = 200});
    ASSERT_TRUE(design) << design.error().message;
    expect_true_names(design->answers);
    for (const auto& answer : design->answers) {
        // A load is off when the input side is dead, unless it is asked for.
        if (answer.proof->verdict == Verdict::broken) continue;
        EXPECT_EQ(answer.when_dead, std::vector<std::string>{"off"});
    }
}

INSTANTIATE_TEST_SUITE_P(Drawn, DesignedNeeds,
                         testing::Range(0U, testing_support::how_many(3U, 12U)));

}  // namespace
}  // namespace gapwright
