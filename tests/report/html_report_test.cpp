// The report's numbers are those of `check --json`, and it needs nothing from outside.
#include "report/html/html_report.hpp"
#include "card/key.hpp"
#include "link/link_circuit.hpp"
#include "proof/proof.hpp"
#include "proof/prove.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <chrono>
#include <nlohmann/json.hpp>
#include <set>

#include "report/json/verdict_json.hpp"
#include "report/words/words.hpp"
#include "support/link_text.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

struct Made {
    Link link;
    Proof proof;
    std::string html;
    double milliseconds;
};

Made report_of(const std::string& text) {
    auto link = testing_support::link_from(text);
    EXPECT_TRUE(link) << to_text(link.error());
    auto circuit = build_circuit(*link);
    ProofOptions options;
    options.samples = 10000;
    auto proof = prove(*link, *circuit, options);
    const auto begin = std::chrono::steady_clock::now();
    const auto contents = report_contents(*link, *circuit, *proof);
    std::string html = html_report(*link, *proof, contents, text);
    const auto end = std::chrono::steady_clock::now();
    return {std::move(*link), std::move(*proof), std::move(html),
            std::chrono::duration<double, std::milli>(end - begin).count()};
}

std::string ohms(double value) {
    return engineering_short(value, Dimension::resistance);
}

// A quantity as a cell of a table has it: number and unit keep together.
std::string in_cell(double value, Dimension dimension) {
    std::string text = engineering(value, dimension, 4);
    return text.replace(text.find(' '), 1, "\u00a0");
}

TEST(HtmlReport, NumbersAreThoseOfTheJson) {
    const auto made = report_of(testing_support::plain_link());
    const auto json = nlohmann::json::parse(verdict_json(made.link, made.proof));
    for (const auto& promise : json["promises"]) {
        const double worst = promise["highest"];
        EXPECT_NE(made.html.find(in_cell(worst, Dimension::voltage)), std::string::npos);
    }
    for (const auto& rating : json["ratings"]) {
        const std::string part = "<td>" + rating["part"].get<std::string>() + "</td>";
        EXPECT_NE(made.html.find(part), std::string::npos) << part;
    }
    const double current = json["states"]["on"]["currents"]["R1"];
    EXPECT_NE(made.html.find(engineering(current, Dimension::current)), std::string::npos);
    EXPECT_NE(made.html.find("✓ kept"), std::string::npos);
}

TEST(HtmlReport, TellsEachEmittersHours) {
    const auto made = report_of(
        testing_support::with(testing_support::plain_link(), "[input]",
                              "[surroundings]\nservice = \"10 years\"\nduty = \"5 %\"\n[input]"));
    EXPECT_NE(made.html.find("<h2>Emitters over 10 years</h2>"), std::string::npos);
    EXPECT_NE(made.html.find("<li>U1: 5 % of it, 4 383 h, at "), std::string::npos);
    EXPECT_NE(made.html.find("95 %, 83 277 h, dark (off)"), std::string::npos);
    const auto unaged = report_of(testing_support::plain_link());
    EXPECT_EQ(unaged.html.find("Emitters over"), std::string::npos);
}

TEST(HtmlReport, TellsTheStretch) {
    using testing_support::plain_link;
    const auto made = report_of(plain_link());
    EXPECT_NE(made.html.find("<p class=\"stretch\">Stretch: holds until every spread is "),
              std::string::npos);
    EXPECT_NE(made.html.find("<th scope=\"col\">Stretch</th>"), std::string::npos);
    ASSERT_TRUE(made.proof.promises[0].stretch);
    const std::string cell = "<td>" + shown_stretch(made.proof.promises[0].stretch) + "</td>";
    EXPECT_NE(made.html.find(cell), std::string::npos) << cell;
    EXPECT_EQ(made.html.find("; asked: "), std::string::npos);
    EXPECT_NE(made.html.find("in the worst case found, with the asked reserve.<"),
              std::string::npos);
    const auto asked = report_of(testing_support::with(
        plain_link(), "[input]", "[surroundings]\nstretch = \"1.1\"\n[input]"));
    EXPECT_NE(asked.html.find("; asked: 1.1.</p>"), std::string::npos);
    EXPECT_NE(asked.html.find("in the worst case found, with the asked reserve and stretch.<"),
              std::string::npos);
}

// What nobody states lies anywhere in a range: that is what counts, and what is told.
TEST(HtmlReport, AssumptionsAreToldWithTheirRange) {
    const auto made = report_of(testing_support::unrated_link());
    const auto part = std::ranges::find(made.link.parts, "U1", &Part::name);
    ASSERT_NE(part, made.link.parts.end());
    const auto assumed = made.html.find("<li>U1&#39;s receiver, by the defaults of its kind");
    ASSERT_NE(assumed, std::string::npos);
    const std::string line = made.html.substr(assumed, made.html.find("</li>", assumed) - assumed);
    const auto& spread = part->description.receiver->find(Key::dark_resistance)->spread;
    ASSERT_TRUE(spread.varies());
    const std::string range = "dark resistance " + ohms(spread.nominal) + " (" +
                              ohms(spread.lowest) + " … " + ohms(spread.highest) + ")";
    EXPECT_NE(line.find(range), std::string::npos) << range << "\n" << line;
}

// A limit that no card states, and is passed.
TEST(HtmlReport, SaysWhatWouldSettleTheUnknownAndWhatIsAssumed) {
    const auto made = report_of(testing_support::unrated_link());
    EXPECT_NE(made.html.find("<h2>Unknown, and what would settle it</h2>"), std::string::npos);
    EXPECT_NE(made.html.find("state U1&#39;s receiver power: it reaches"), std::string::npos);
    EXPECT_NE(made.html.find(", assumed</td>"), std::string::npos);
    EXPECT_NE(made.html.find(", assumed</text>"), std::string::npos);  // beside its bar
    const auto known = report_of(testing_support::plain_link());
    EXPECT_EQ(known.html.find("what would settle it"), std::string::npos);
    EXPECT_EQ(known.html.find(", assumed"), std::string::npos);
}

TEST(HtmlReport, NeedsNothingFromOutsideAndIsSmallAndQuick) {
    const auto made = report_of(testing_support::plain_link());
    for (const char* outside : {"<script", "src=", "@import", "url(", "href=\"http"}) {
        EXPECT_EQ(made.html.find(outside), std::string::npos) << outside;
    }
    EXPECT_LT(made.html.size(), 1'000'000U);
    RecordProperty("milliseconds", static_cast<int>(made.milliseconds));
    EXPECT_LT(made.milliseconds, 3000);  // generous: sanitizers and a busy machine
}

TEST(HtmlReport, TitlesCannotBreakIt) {
    const auto made = report_of(testing_support::with(testing_support::plain_link(), "\"Plain\"",
                                                      "\"</title><script>x</script>&\\\"\""));
    EXPECT_EQ(made.html.find("<script>"), std::string::npos);
    EXPECT_NE(made.html.find("&lt;script&gt;"), std::string::npos);
}

TEST(HtmlReport, EveryPictureHasAName) {
    const auto link = testing_support::link_from(testing_support::plain_link());
    const auto circuit = build_circuit(*link);
    const auto proof = prove(*link, *circuit, {.samples = 200});
    const auto contents = report_contents(*link, *circuit, *proof);
    std::set<std::string> names;
    for (const auto* picture : contents.all()) {
        EXPECT_FALSE(picture->caption.empty());
        EXPECT_TRUE(names.insert(picture->name).second) << picture->name;
    }
    EXPECT_TRUE(names.contains("schematic-on"));
    EXPECT_TRUE(names.contains("load-line-U1.receiver"));
    EXPECT_TRUE(names.contains("histogram-1"));
}

}  // namespace
}  // namespace gapwright
