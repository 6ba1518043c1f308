// Build sheets: everything that the plan holds is told, in HTML, tables and JSON alike.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>
#include <pugixml.hpp>

#include "board/plan_board.hpp"
#include "build/wiring_of_link.hpp"
#include "proof/proof.hpp"
#include "proof/prove.hpp"
#include "report/build_report.hpp"
#include "source/csv_document.hpp"

namespace gapwright {
namespace {

struct Made {
    Link link;
    Proof proof;
    PartsToPull parts;
    BuildSheet sheet;

    BuildAnswer answer() const { return {link, proof, parts, sheet}; }
};

Made made(const std::string& name, BoardKind kind) {
    const std::string folder = PROJECT_FOLDER "/examples/clock-tower";
    const std::string file = folder + "/" + name + ".link.toml";
    Link link = *read_link_file(file);
    const auto circuit = build_circuit(link);
    Proof proof = *prove(link, *circuit, {.samples = 50, .timed_samples = 2});
    const auto drawer = read_drawer(*read_file(folder + "/needs/drawer.csv"));
    PartsToPull parts = *parts_to_pull(*read_file(file), folder, link, *drawer);
    const Wiring wiring = wiring_of(link);
    const auto currents = first_currents(link, *circuit, 1, {});
    BuildSheet sheet = build_sheet({link, proof, currents}, wiring,
                                   *plan_board(wiring, {.kind = kind, .starts = 3}));
    return {std::move(link), std::move(proof), std::move(parts), std::move(sheet)};
}

// Quantities are kept together by spaces that do not break.
std::string spaced(std::string html) {
    constexpr std::string_view fixed = "\u00a0";
    for (auto at = html.find(fixed); at != std::string::npos; at = html.find(fixed, at)) {
        html.replace(at, fixed.size(), " ");
    }
    return html;
}

TEST(BuildReport, TellsEveryPinAndWire) {
    for (const char* name : {"bell-hammer", "lamp-watch"}) {
        for (const BoardKind kind : board_kinds) {
            const Made m = made(name, kind);
            const BuildPictures pictures = build_pictures(m.answer());
            const std::string html = spaced(build_html(m.answer(), pictures));
            const auto json = nlohmann::json::parse(build_json({m.answer()}));
            const auto& board = json["boards"][0];
            std::size_t pin = 0;
            for (std::size_t k = 0; k < m.sheet.wiring.parts.size(); ++k) {
                const WiringPart& part = m.sheet.wiring.parts[k];
                for (std::size_t p = 0; p < part.pins.size(); ++p, ++pin) {
                    const std::string hole =
                        hole_name(m.sheet.plan.board, m.sheet.plan.holes[k][p]);
                    EXPECT_NE(
                        html.find(fmt::format("{} ({} {})", hole, part.name, part.pins[p].name)),
                        std::string::npos)
                        << name << hole;
                    EXPECT_EQ(board["pins"][pin]["hole"], hole);
                    EXPECT_EQ(board["pins"][pin]["part"], part.name);
                }
            }
            EXPECT_EQ(board["wires"].size(), m.sheet.plan.wires.size());
            EXPECT_NEAR(board["wire_length"].get<double>(), wire_length(m.sheet.plan), 1e-12);
            EXPECT_EQ(html.find("safe"), std::string::npos);
            EXPECT_NE(html.find("local codes"), std::string::npos);
            EXPECT_NE(html.find("Stop and check"), std::string::npos);
        }
    }
}

TEST(BuildReport, PicturesAreWholeAndBodiesLieApart) {
    for (const BoardKind kind : board_kinds) {
        const Made m = made("bell-hammer", kind);
        const BuildPictures pictures = build_pictures(m.answer());
        EXPECT_EQ(pictures.plans.size(), kind == BoardKind::solderless ? 1U : 2U);
        EXPECT_EQ(pictures.steps.size(), m.sheet.steps.size());
        EXPECT_EQ(pictures.resistors.size(), 2U);  // 330 Ω, and 10 kΩ twice
        std::set<std::string> names;
        for (const auto* picture : pictures.all()) {
            EXPECT_TRUE(names.insert(picture->name).second) << picture->name;
            pugi::xml_document document;
            const std::string svg = picture->picture.svg(true);
            EXPECT_TRUE(document.load_buffer(svg.data(), svg.size())) << picture->name;
        }
        const auto& bodies = pictures.plans[0].picture.symbol_boxes();
        EXPECT_EQ(bodies.size(), 6U);  // R1, U1, R2, R3, Q1, D1
        for (std::size_t a = 0; a < bodies.size(); ++a) {
            for (std::size_t b = a + 1; b < bodies.size(); ++b) {
                EXPECT_FALSE(bodies[a].overlaps(bodies[b])) << a << " " << b;
            }
        }
        // What puts something in shows it.
        for (std::size_t k = 0; k < m.sheet.steps.size(); ++k) {
            const BuildStep& step = m.sheet.steps[k];
            const bool puts_in = !step.is_check && (!step.parts.empty() || !step.wires.empty());
            if (!puts_in) continue;
            EXPECT_EQ(pictures.steps[k].size(), 1U) << step.title;
        }
    }
}

TEST(BuildReport, TablesAreCsv) {
    const Made m = made("bell-hammer", BoardKind::strip);
    const auto read = [](const std::string& csv) {
        auto document = read_csv(std::make_shared<const SourceText>("table.csv", csv));
        EXPECT_TRUE(document && document->skipped.empty());
        return *document;
    };
    const auto parts = read(parts_csv(m.parts));
    EXPECT_EQ(parts.records.size(), m.parts.items.size());
    EXPECT_EQ(parts.records[1].fields[0].text, "R1");
    EXPECT_EQ(parts.records[1].fields[3].text, "orange orange brown gold");
    const auto nodes = read(nodes_csv(m.sheet.wiring, m.sheet.plan));
    EXPECT_EQ(nodes.header.fields.size(), 3U);
    EXPECT_GE(nodes.records.size(), 7U);
}

}  // namespace
}  // namespace gapwright
