// Designs of whole files: what is found holds, is proven, is best among its neighbours, and what
// cannot be is told.
#include "design/design.hpp"

#include <gtest/gtest.h>
#include <unistd.h>

#include <algorithm>
#include <atomic>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <functional>
#include <map>
#include <set>
#include <sstream>

#include "design/fill_values.hpp"
#include "design/open_stock.hpp"
#include "support/link_text.hpp"
#include "value_support.hpp"

namespace gapwright {
namespace {

using namespace testing_support;

// A folder of its own for files of a test.
class Folder {
  public:
    Folder() {
        static std::atomic<int> number = 0;
        path_ = std::filesystem::path(testing::TempDir()) /
                ("design-" + std::to_string(getpid()) + "-" + std::to_string(number++));
        std::filesystem::create_directories(path_);
    }
    ~Folder() {
        std::error_code ignored;
        std::filesystem::remove_all(path_, ignored);
    }
    Folder(const Folder&) = delete;
    Folder& operator=(const Folder&) = delete;

    std::string write(const std::string& name, const std::string& text) const {
        std::ofstream(path_ / name, std::ios::binary) << text;
        return (path_ / name).string();
    }

  private:
    std::filesystem::path path_;
};

DesignOptions quick() {
    return {.samples = 1000};
}

std::string need_file(const std::string& name) {
    return needs_folder + "/" + name + ".link.toml";
}

Drawer example_drawer() {
    return read_drawer(read_file(needs_folder + "/drawer.csv").value()).value();
}

std::expected<Design, DesignFailure> designed(const std::string& text,
                                              const DesignOptions& options = quick()) {
    const Folder folder;
    folder.write("drawer.csv", [] {
        std::ostringstream drawer;
        drawer << std::ifstream(needs_folder + "/drawer.csv", std::ios::binary).rdbuf();
        return drawer.str();
    }());
    return design_file(folder.write("test.link.toml", text), options);
}

std::string told(const DesignFailure& failure) {
    return to_text(failure.problems) + failure.message;
}

Proof proven(const Link& link, std::size_t samples) {
    const auto circuit = build_circuit(link);
    EXPECT_TRUE(circuit) << to_text(circuit.error());
    auto proof = prove(link, circuit.value(), {.samples = samples});
    EXPECT_TRUE(proof) << proof.error().message;
    return std::move(proof).value_or(Proof{});
}

// As a proof has it: by its own list of promises and ratings.
double least_reserve(const Proof& proof) {
    double least = std::numeric_limits<double>::infinity();
    for (const auto& p : proof.promises) {
        if (p.at_least) {
            least = std::min(least, reserve_left(p.lowest, *p.at_least, Sense::at_least));
        }
        if (p.at_most) {
            least = std::min(least, reserve_left(p.highest, *p.at_most, Sense::at_most));
        }
    }
    for (const auto& r : proof.ratings) {
        least = std::min(least, reserve_left(r.worst(), r.bound, r.sense));
    }
    return least;
}

// --- the six needs ---

class Needs : public testing::TestWithParam<std::string> {};

// Every line of one text stands in the other, in order.
bool keeps_lines(const std::string& text, const std::string& of) {
    std::istringstream lines(of);
    std::istringstream all(text);
    std::string there;
    for (std::string line; std::getline(lines, line);) {
        bool found = false;
        while (!found && std::getline(all, there)) found = there == line;
        if (!found) return false;
    }
    return true;
}

void expect_proven(const Answer& answer) {
    const auto link = link_of(answer.text);
    ASSERT_TRUE(link) << to_text(link.error()) << answer.text;
    const Proof again = proven(*link, quick().samples);
    ASSERT_EQ(again.promises.size(), answer.proof.promises.size());
    ASSERT_EQ(again.ratings.size(), answer.proof.ratings.size());
    EXPECT_EQ(again.verdict, answer.proof.verdict);
    // The same bits.
    for (std::size_t k = 0; k < again.promises.size(); ++k) {
        EXPECT_EQ(again.promises[k].lowest, answer.proof.promises[k].lowest);
        EXPECT_EQ(again.promises[k].highest, answer.proof.promises[k].highest);
        EXPECT_EQ(again.promises[k].kept, answer.proof.promises[k].kept);
    }
    for (std::size_t k = 0; k < again.ratings.size(); ++k) {
        EXPECT_EQ(again.ratings[k].worst(), answer.proof.ratings[k].worst());
    }
    EXPECT_EQ(answer.limit.reserve, least_reserve(again));
    EXPECT_EQ(answer.broken.empty(), again.verdict != Verdict::broken);
}

// Resistors are those of the drawer, and no more of them than it holds.
void expect_in_drawer(const Answer& answer, const Drawer& drawer) {
    std::map<long, unsigned> left;  // by mΩ
    for (const auto& row : drawer.rows) {
        if (row.kind == Kind::resistor) {
            left[std::lround(row.value->nominal * 1e3)] += row.count.value();
        }
    }
    for (const auto& part : answer.link.parts) {
        if (part.description.kind != Kind::resistor) continue;
        auto& count = left[std::lround(part.description.find("value")->spread.nominal * 1e3)];
        EXPECT_GT(count, 0U) << part.name;
        --count;
    }
}

// Parts but those of the user's own circuits: drive and load.
void expect_cards_in_drawer(const Answer& answer, const Drawer& drawer) {
    std::set<std::string> cards;
    for (const auto& row : drawer.rows) cards.insert(row.card);
    const std::set<Kind> own = {Kind::contact,     Kind::logic_output, Kind::coil,
                                Kind::logic_input, Kind::load,         Kind::resistor};
    for (const auto& part : answer.link.parts) {
        const Description& d = part.description;
        if (own.contains(d.kind)) continue;
        if (d.kind == Kind::pair) {
            EXPECT_TRUE(cards.contains(d.emitter->card)) << part.name;
            EXPECT_TRUE(cards.contains(d.receiver->card)) << part.name;
        } else {
            EXPECT_TRUE(cards.contains(d.card)) << part.name << ' ' << d.card;
        }
    }
}

TEST_P(Needs, AreMetByWhatIsProven) {
    const auto design = design_file(need_file(GetParam()), quick());
    ASSERT_TRUE(design) << told(design.error());
    ASSERT_FALSE(design->answers.empty());
    EXPECT_FALSE(design->stopped);
    EXPECT_TRUE(design->skipped.empty());
    EXPECT_NE(design->answers.front().proof.verdict, Verdict::broken);
    const Drawer drawer = example_drawer();
    std::set<Character> seen;
    for (const auto& answer : design->answers) {
        SCOPED_TRACE(answer.text);
        expect_proven(answer);
        EXPECT_TRUE(keeps_lines(answer.text, example_text(GetParam())));
        EXPECT_FALSE(answer.characters.empty());
        for (const Character character : answer.characters) {
            EXPECT_TRUE(seen.insert(character).second) << character_name(character);
        }
        EXPECT_EQ(answer.parts, answer.link.parts.size());
        expect_in_drawer(answer, drawer);
        if (std::ranges::find(answer.characters, Character::from_drawer) !=
            answer.characters.end()) {
            expect_cards_in_drawer(answer, drawer);
        }
    }
}

INSTANTIATE_TEST_SUITE_P(Averley, Needs, testing::ValuesIn(example_needs()), [](const auto& named) {
    std::string name = named.param;
    std::erase(name, '-');
    return name;
});

// However many threads look.
TEST(Design, IsTheSameEveryTime) {
    std::vector<std::string> texts;
    for (const unsigned threads : {1U, 3U}) {
        DesignOptions options = quick();
        options.engine.threads = threads;
        const auto design = design_file(need_file("chime-bus"), options);
        ASSERT_TRUE(design) << told(design.error());
        std::string all;
        for (const auto& answer : design->answers) all += answer.text;
        texts.push_back(all);
    }
    EXPECT_EQ(texts[0], texts[1]);
}

// --- neighbours ---

// Every set next to the found one: each resistor, and all together, up to two choices below and
// above. None has more reserve.
void expect_best_of_neighbours(const std::string& open_text, const Answer& answer) {
    const auto source = std::make_shared<const SourceText>("open.link.toml", open_text);
    const auto link = link_of(open_text);
    ASSERT_TRUE(link) << to_text(link.error());
    const auto stock = open_stock(link->stock, needs_folder);
    ASSERT_TRUE(stock) << to_text(stock.error());
    std::vector<std::size_t> parts;
    std::vector<std::size_t> taken;
    for (const auto& value : answer.values) {
        parts.push_back(link->find_part(value.part).value());
        // Of those that are called alike the first.
        const auto choice = std::ranges::find(
            stock->choices, value.text, [&](const Choice& c) { return choice_text(*stock, c); });
        ASSERT_NE(choice, stock->choices.end()) << value.text;
        taken.push_back(static_cast<std::size_t>(choice - stock->choices.begin()));
    }
    std::vector<std::vector<std::size_t>> sets;
    const auto moved = [&](const std::vector<int>& by) {
        std::vector<std::size_t> set = taken;
        for (std::size_t k = 0; k < set.size(); ++k) {
            const auto at = static_cast<std::ptrdiff_t>(set[k]) + by[k];
            if (at < 0 || at >= static_cast<std::ptrdiff_t>(stock->choices.size())) return;
            set[k] = static_cast<std::size_t>(at);
        }
        sets.push_back(set);
    };
    for (const int by : {-2, -1, 1, 2}) {
        for (std::size_t k = 0; k < taken.size(); ++k) {
            std::vector<int> alone(taken.size(), 0);
            alone[k] = by;
            moved(alone);
        }
        moved(std::vector<int>(taken.size(), by));
        std::vector<int> apart(taken.size(), -by);
        apart.front() = by;
        if (apart.size() > 1) moved(apart);
    }
    std::size_t looked_at = 0;
    for (const auto& set : sets) {
        std::vector<ValueToFill> values;
        std::vector<std::uint32_t> choices;
        std::string words;
        for (std::size_t k = 0; k < set.size(); ++k) {
            choices.push_back(static_cast<std::uint32_t>(set[k]));
            values.push_back(value_to_fill(*stock, stock->choices[set[k]], parts[k]));
            words += choice_text(*stock, stock->choices[set[k]]) + "; ";
        }
        if (!in_stock(*stock, choices)) continue;
        ++looked_at;
        const auto filled = link_of(fill_values(source, *link, values));
        ASSERT_TRUE(filled) << to_text(filled.error());
        EXPECT_LE(least_reserve(proven(*filled, 0)), answer.limit.reserve + 2e-6) << words;
    }
    EXPECT_GE(looked_at, 4 * taken.size());
}

TEST(Neighbours, OfANeedsFirstAnswerHaveNoMoreReserve) {
    const auto design = design_file(need_file("pendulum-beat"), quick());
    ASSERT_TRUE(design) << told(design.error());
    const Answer& answer = design->answers.front();
    ASSERT_TRUE(answer.draft);
    expect_best_of_neighbours(answer.draft->text, answer);
}

const std::string two_to_choose = R"(title = "Two"
[surroundings]
temperature = "0 .. 50 °C"
[input]
supply = "9 V ± 5 %"
paths = ["supply > S1 > R1 > U1 > return"]
[output]
supply = "5 V ± 5 %"
paths = ["supply > R2 > data", "data > U1 > return"]
[parts]
S1 = { kind = "contact" }
R1 = { kind = "resistor", value = "choose" }
R2 = { kind = "resistor", value = "choose" }
U1 = { card = "four-pin-coupler-b" }
[states]
on = { S1 = "closed" }
off = { S1 = "open" }
[[promise]]
state = "on"
voltage = "data"
at_most = "0.8 V"
[[promise]]
state = "off"
voltage = "data"
at_least = "4 V"
[[promise]]
state = "on"
current = "R1"
at_least = "3 mA"
at_most = "12 mA"
[[promise]]
state = "on"
current = "R2"
at_least = "0.2 mA"
at_most = "1 mA"
[choose]
drawer = "drawer.csv"
)";

TEST(Neighbours, OfALinksFirstAnswerHaveNoMoreReserve) {
    DesignOptions options = quick();
    options.proof_time = 0.5;
    const auto design = designed(two_to_choose, options);
    ASSERT_TRUE(design) << told(design.error());
    expect_best_of_neighbours(two_to_choose, design->answers.front());
}

// --- a sensor's input ---

// IEC 61131-2, from memory: what an input of each type takes. On: lowest and highest voltage, and
// the current there; off: voltages; what a sensor that is off may leak.
struct SensorInput {
    int type;
    double on_lowest;  // V
    double at_least;   // A
    double at_most;    // A
    double leakage;    // A
};
constexpr std::array<SensorInput, 3> sensor_inputs = {
    {{1, 15, 2e-3, 15e-3, 0.5e-3}, {2, 11, 6e-3, 30e-3, 2e-3}, {3, 11, 2e-3, 15e-3, 1.5e-3}}};
constexpr double on_highest = 30;  // V
constexpr std::array<double, 2> off_voltages = {-3, 5};

std::string volts(double v) {
    std::ostringstream text;
    text << v << " V";
    return text.str();
}

std::string amperes(double a) {
    std::ostringstream text;
    text << a * 1e3 << " mA";
    return text.str();
}

// Sets a key of a part.
std::string set_after(const std::string& text, const std::string& part, const std::string& key,
                      const std::string& value) {
    const std::string before = " " + key + " = \"";
    const auto at = text.find(before, text.find("\n" + part));
    EXPECT_NE(at, std::string::npos) << part << key << text;
    if (at == std::string::npos) return text;
    const auto from = at + before.size();
    return text.substr(0, from) + value + text.substr(text.find('"', from));
}

const NominalState* state_with(const Proof& proof, const Link& link, Setting p1, Setting s1) {
    for (std::size_t k = 0; k < link.states.size(); ++k) {
        const auto& settings = link.states[k].settings;
        if (settings.at(link.find_part("P1").value()) == p1 &&
            settings.at(link.find_part("S1").value()) == s1) {
            return &proof.states[k];
        }
    }
    return nullptr;
}

std::string level_in(const Proof& proof, const std::string& state) {
    for (const auto& level : proof.levels) {
        for (const auto& [name, word] : level.by_state) {
            if (name == state) return word;
        }
    }
    return "none";
}

Band band_of(const std::vector<std::pair<std::string, double>>& list,
             const std::vector<Band>& bands, const std::string& name) {
    const auto at = std::ranges::find(list, name, [](const auto& entry) { return entry.first; });
    EXPECT_NE(at, list.end()) << name;
    return at == list.end() ? Band{} : bands.at(static_cast<std::size_t>(at - list.begin()));
}

// The answer at single points of the standard, and at both ends of the output's supply.
void expect_meets(const std::string& text, const SensorInput& input) {
    for (const double on : {input.on_lowest, on_highest}) {
        for (const double off : off_voltages) {
            for (const std::string supply : {"3.135 V", "3.465 V"}) {
                std::string row = set_after(text, "P1 = {", "high", volts(on));
                row = set_after(row, "P1 = {", "low", volts(off));
                row = set_after(row, "S1 = {", "leakage", amperes(input.leakage));
                row = with(row, "supply = \"3.3 V ± 5 %\"", "supply = \"" + supply + "\"");
                SCOPED_TRACE(row);
                const auto link = link_of(row);
                ASSERT_TRUE(link) << to_text(link.error());
                const Proof proof = proven(*link, 100);
                EXPECT_NE(proof.verdict, Verdict::broken);
                const auto* driven = state_with(proof, *link, Setting::high, Setting::closed);
                const auto* idle = state_with(proof, *link, Setting::low, Setting::closed);
                const auto* leaking = state_with(proof, *link, Setting::high, Setting::open);
                ASSERT_TRUE(driven && idle && leaking);
                const Band current = band_of(driven->currents, driven->current_bands, "S1");
                EXPECT_GE(current.lowest, input.at_least);
                EXPECT_LE(current.highest, input.at_most);
                // What leaks is all that flows; the open contact's insulation adds a trace.
                const Band leak = band_of(leaking->currents, leaking->current_bands, "S1");
                EXPECT_LE(leak.highest, input.leakage * 1.001);
                // High while idle.
                EXPECT_EQ(level_in(proof, driven->name), "low");
                EXPECT_EQ(level_in(proof, idle->name), "high");
                EXPECT_EQ(level_in(proof, leaking->name), "high");
            }
        }
    }
}

std::string sensor_need(int type) {
    std::string text = example_text("night-silence");
    return with(text, "input_type = 3", "input_type = " + std::to_string(type));
}

class Sensors : public testing::TestWithParam<SensorInput> {};

TEST_P(Sensors, AreMetAtEveryRowOfTheStandard) {
    const auto design = designed(sensor_need(GetParam().type));
    ASSERT_TRUE(design) << told(design.error());
    const Answer& answer = design->answers.front();
    ASSERT_NE(answer.proof.verdict, Verdict::broken)
        << answer.text << answer.broken.front().subject;
    expect_meets(answer.text, GetParam());
}

INSTANTIATE_TEST_SUITE_P(Types, Sensors, testing::ValuesIn(sensor_inputs), [](const auto& named) {
    return "Type" + std::to_string(named.param.type);
});

// --- stopping ---

TEST(DesignStop, BeforeTheStartGivesNothing) {
    std::stop_source source;
    source.request_stop();
    DesignOptions options = quick();
    options.engine.stop = source.get_token();
    const auto need = design_file(need_file("chime-bus"), options);
    ASSERT_FALSE(need);
    EXPECT_TRUE(need.error().stopped);
    EXPECT_TRUE(need.error().problems.empty());
    const auto link = designed(two_to_choose, options);
    ASSERT_FALSE(link);
    EXPECT_TRUE(link.error().stopped);
}

TEST(DesignStop, LaterGivesTheBestSoFar) {
    for (const std::string& text : {example_text("chime-bus"), two_to_choose}) {
        std::stop_source source;
        DesignOptions options = quick();
        options.engine.stop = source.get_token();
        options.progress = [&](const DesignProgress& progress) {
            if (progress.best) source.request_stop();
        };
        const auto design = designed(text, options);
        ASSERT_TRUE(design) << told(design.error());
        EXPECT_TRUE(design->stopped);
        ASSERT_FALSE(design->answers.empty());
        EXPECT_EQ(design->answers.front().proof.samples, options.samples);
        EXPECT_TRUE(link_of(design->answers.front().text));
    }
}

// --- what cannot be designed ---

std::vector<Cause> causes_of(const std::expected<Design, DesignFailure>& design) {
    std::vector<Cause> causes;
    if (design) return causes;
    for (const auto& problem : design.error().problems) causes.push_back(problem.cause);
    EXPECT_FALSE(design.error().stopped);
    return causes;
}

TEST(DesignProblems, NameTheirCause) {
    using Causes = std::vector<Cause>;
    EXPECT_EQ(causes_of(designed(plain_link())), Causes{Cause::missing_key});  // nothing to choose
    EXPECT_EQ(causes_of(designed(with(two_to_choose, "drawer.csv", "none.csv"))),
              Causes{Cause::unreadable_file});
    EXPECT_EQ(causes_of(designed(with(example_text("chime-bus"), "drawer.csv", "none.csv"))),
              Causes{Cause::unreadable_file});
    EXPECT_EQ(
        causes_of(designed(with(two_to_choose, "at_least = \"3 mA\"", "at_least = \"13 mA\""))),
        Causes{Cause::contradiction});
    EXPECT_EQ(causes_of(design_file(needs_folder + "/none.link.toml", quick())),
              Causes{Cause::unreadable_file});
}

TEST(DesignProblems, TellAnEmptyDrawer) {
    const Folder folder;
    folder.write("drawer.csv", "kind,value,tolerance,power,count,card,note\n");
    for (const std::string& text : {two_to_choose, example_text("chime-bus")}) {
        const auto design = design_file(folder.write("test.link.toml", text), quick());
        EXPECT_EQ(causes_of(design), std::vector<Cause>{Cause::missing_key});
    }
}

TEST(DesignProblems, TellWhatBreaksWhereNothingHolds) {
    const auto design = designed(with(plain_need(), "pull_in = \"8.4 V\"", "pull_in = \"15 V\""));
    ASSERT_TRUE(design) << told(design.error());
    ASSERT_EQ(design->answers.size(), 1U);
    const Answer& answer = design->answers.front();
    EXPECT_EQ(answer.proof.verdict, Verdict::broken);
    ASSERT_FALSE(answer.broken.empty());
    EXPECT_EQ(answer.broken.front().reserve, answer.limit.reserve);
    EXPECT_LT(answer.limit.reserve, 0);
}

}  // namespace
}  // namespace gapwright
