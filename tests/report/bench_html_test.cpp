// Test sheets as pages to print and write on.
#include "report/bench_report.hpp"

#include <gtest/gtest.h>

#include <pugixml.hpp>

#include "bench_made.hpp"

namespace gapwright {
namespace {

using testing_support::has;
using testing_support::made;
using testing_support::Made;
using testing_support::verdict_of;

// Quantities are kept together by spaces that do not break.
std::string spaced(std::string html) {
    constexpr std::string_view fixed = "\u00a0";
    for (auto at = html.find(fixed); at != std::string::npos; at = html.find(fixed, at)) {
        html.replace(at, fixed.size(), " ");
    }
    return html;
}

std::size_t count(const std::string& text, std::string_view part) {
    std::size_t found = 0;
    for (auto at = text.find(part); at != std::string::npos; at = text.find(part, at + 1)) ++found;
    return found;
}

// From <main> on: what stands before has tags that HTML leaves open.
pugi::xml_document body_of(const std::string& html) {
    pugi::xml_document document;
    const auto begin = html.find("<main>");
    const auto end = html.find("</main>");
    const auto parsed = document.load_string(html.substr(begin, end + 7 - begin).c_str());
    EXPECT_TRUE(parsed) << parsed.description();
    return document;
}

TEST(BenchHtml, HasABoxForEachLineAndATickForEachCheck) {
    const std::string html = bench_html(made().answer());
    const auto body = body_of(html);
    EXPECT_EQ(body.select_nodes("//span[@class='entry' and not(text())]").size(), 4U);
    EXPECT_EQ(body.select_nodes("//table//span[@class='square']").size(), 4U);
    EXPECT_EQ(body.select_nodes("//ul[@class='checks']//span[@class='square']").size(), 1U);
    EXPECT_EQ(body.select_nodes("//tr[@class='setting']").size(), 3U);
    EXPECT_EQ(body.select_nodes("//tr[@class='hints']").size(), 3U);
    EXPECT_EQ(body.select_nodes("//dd[@class='blank']").size(), 3U);
    const std::string words = spaced(html);
    EXPECT_TRUE(has(words,
                    "If it reads about 5 V: U1.collector is open, or R1 is open. "
                    "If about 0 V: R2 is open, or R9 &amp;"))
        << words;
    EXPECT_TRUE(has(words, "Power off before every isolation, resistance and junction"));
    EXPECT_TRUE(has(words, "No working voltage between the sides is stated"));
    for (const char* never : {"<script", "src=", "@import", "url(", "href=\"http", "safe"}) {
        EXPECT_FALSE(has(html, never)) << never;
    }
}

TEST(BenchHtml, FillsInWhatWasRead) {
    const Made m = made();
    BenchAnswer answer = m.answer();
    answer.verdict = verdict_of(m);
    const std::string html = bench_html(answer);
    const auto body = body_of(html);
    EXPECT_EQ(body.select_nodes("//span[@class='entry' and not(text())]").size(), 2U);
    EXPECT_EQ(body.select_nodes("//div/table//span[@class='square']").size(), 2U);
    const std::string words = spaced(html);
    EXPECT_TRUE(
        has(words, "<span class=\"entry\">5.01 V</span></td><td class=\"whole\">✗ wrong</td>"))
        << words;
    EXPECT_TRUE(has(
        words, "<span class=\"entry\">over range</span></td><td class=\"whole\">✓ in band</td>"));
    EXPECT_TRUE(has(words, "<h3>Readings beside the sheet</h3>"));
    EXPECT_TRUE(has(words, "<td>4.71 V</td>"));
    EXPECT_TRUE(has(words, "<td>62 %</td><td>U1.collector is open</td>"));
    EXPECT_TRUE(has(words, "<strong>Next:</strong> voltage across R1 in state on"));
    EXPECT_TRUE(has(words, "Link: <strong>✗ faulty</strong>"));
}

TEST(BenchHtml, NamesCannotBreakIt) {
    const std::string html =
        bench_html(made(testing_support::with(testing_support::plain_link(), "\"Plain\"",
                                              R"("</title><script>x</script>&\"")"))
                       .answer());
    body_of(html);
    EXPECT_FALSE(has(html, "<script"));
    EXPECT_FALSE(has(html, "<b>"));
    EXPECT_EQ(count(spaced(html), "R9 &amp; &lt;b&gt;R8&lt;/b&gt; are exchanged"), 2U);
}

TEST(BenchHtml, DefersAboveExtraLowVoltage) {
    const std::string text = testing_support::with(testing_support::plain_link(), "[input]",
                                                   "[surroundings]\nworking_voltage = \"230 V\"\n"
                                                   "[input]");
    const std::string html = spaced(bench_html(made(text).answer()));
    EXPECT_TRUE(has(html, "230 V is above extra-low voltage (60 V d.c., 30 V r.m.s. a.c.)"));
    EXPECT_TRUE(has(html, "Local codes and licensed practice"));
    const std::string low = testing_support::with(text, "230 V", "24 V");
    EXPECT_FALSE(has(spaced(bench_html(made(low).answer())), "extra-low voltage"));
}

}  // namespace
}  // namespace gapwright
