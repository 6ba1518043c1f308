// A grid of ordinary needs: every shipped drive and load, supplies exact and not, driven and idle,
// cold and hot. Each has an answer, a nearest miss that says what stands in the way, or a reason
// why nothing fits; none ends without.
#include <gtest/gtest.h>

#include <fmt/format.h>

#include <cstddef>
#include <iostream>
#include <memory>
#include <string>
#include <vector>

#include "design/design.hpp"
#include "proof/proof.hpp"
#include "proof/verdict.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"
#include "support/how_many.hpp"

namespace gapwright {
namespace {

struct End {
    std::string what;  // TOML: the drive or load
    std::string volts;
};

const std::vector<End> drives = {
    {"{ card = \"logic-output-3v3\" }", "3.3 V"},
    {"{ card = \"logic-output-5v\" }", "5 V"},
    {"{ kind = \"contact\" }", "9 V"},
};
const std::vector<End> loads = {
    {"{ card = \"relay-coil-5v\" }", "5 V"},
    {"{ card = \"relay-coil-12v\" }", "12 V"},
    {"{ card = \"relay-coil-24v\" }", "24 V"},
    {"{ card = \"logic-input-3v3\" }", "3.3 V"},
    {"{ card = \"logic-input-5v\" }", "5 V"},
    {"{ kind = \"indicator\", card = \"red-led\", current = \"5 mA\" }", "5 V"},
    {"{ kind = \"indicator\", card = \"green-led\", current = \"5 mA\" }", "12 V"},
    {"{ kind = \"indicator\", card = \"white-lamp-led\", current = \"10 mA\" }", "12 V"},
    {"{ kind = \"load\", resistance = \"500 Ω ± 10 %\", current = \"18 mA\" }", "12 V"},
};

struct OrdinaryNeed {
    std::string name;
    std::string text;
};

std::vector<OrdinaryNeed> grid() {
    std::vector<OrdinaryNeed> needs;
    for (const auto& drive : drives) {
        for (const auto& load : loads) {
            for (const std::string spread : {"", " ± 5 %"}) {
                for (const std::string when : {"driven", "idle"}) {
                    for (const std::string air : {"-20 .. 10 °C", "30 .. 60 °C"}) {
                        needs.push_back(
                            {fmt::format("{} to {}, supplies{}, {}, {}", drive.what, load.what,
                                         spread.empty() ? " exact" : spread, when, air),
                             fmt::format("[surroundings]\ntemperature = \"{}\"\n"
                                         "[input]\nsupply = \"{}{}\"\n"
                                         "[output]\nsupply = \"{}{}\"\n"
                                         "[need]\ndrive = {}\nload = {}\nwhen = \"{}\"\n",
                                         air, drive.volts, spread, load.volts, spread, drive.what,
                                         load.what, when)});
                    }
                }
            }
        }
    }
    return needs;
}

struct Ends {
    int answered = 0;
    int missed = 0;  // nothing holds: the nearest miss, and what breaks
    int refused = 0;
};

void design(const OrdinaryNeed& need, Ends& ends) {
    SCOPED_TRACE(need.name);
    DesignOptions options{.most_answers = 1, .samples = 1000};
    const auto design =
        design_of(std::make_shared<const SourceText>("need.link.toml", need.text), "none", options);
    if (!design) {
        ++ends.refused;
        ASSERT_TRUE(design.error().message.empty()) << design.error().message;
        ASSERT_FALSE(design.error().problems.empty());
        EXPECT_FALSE(design.error().problems.front().remedy.empty());
        std::cout << need.name << "\n  refused: " << to_text(design.error().problems) << "\n";
        return;
    }
    EXPECT_TRUE(design->not_looked_at.empty())
        << design->not_looked_at.front().what << ": " << design->not_looked_at.front().reason;
    ASSERT_FALSE(design->answers.empty());
    const Answer& first = design->answers.front();
    if (first.proof->verdict != Verdict::broken) {
        ++ends.answered;
        return;
    }
    ++ends.missed;
    ASSERT_FALSE(first.broken.empty());
    std::cout << need.name << "\n  missed: " << first.broken.front().subject << ", "
              << first.broken.front().state << ", reserve " << first.broken.front().reserve << "\n";
}

TEST(OrdinaryNeeds, EachHasAnAnswerOrAReason) {
    const auto needs = grid();
    const std::size_t count = testing_support::how_many(std::size_t{4}, needs.size());
    Ends ends;
    // Few of them are spread over the whole grid.
    for (std::size_t k = 0; k < count; ++k) {
        design(needs[k * 53 % needs.size()], ends);
    }
    std::cout << count << " needs: " << ends.answered << " with answers, " << ends.missed
              << " with a nearest miss, " << ends.refused << " refused with a reason\n";
}

}  // namespace
}  // namespace gapwright
