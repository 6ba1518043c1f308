#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <iterator>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "build/insulation.hpp"
#include "build/insulation_tables.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "link/link.hpp"
#include "proof/cautions/cautions.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

constexpr double temporary_rise = 1200;          // V r.m.s. above the mains; IEC 60664-1, 5.3.3.2
constexpr double reinforced_thickness = 0.4e-3;  // m, through insulation; IEC 62368-1, 5.4.4.2
constexpr double wet_group_iiib = 630;           // V: table F.4 advises against IIIb above
constexpr double rounding = 1e-9;                // share, of lengths that were added up

constexpr std::array<std::pair<std::string_view, Insulation::Group>, 4> groups = {
    {{"I", Insulation::Group::i},
     {"II", Insulation::Group::ii},
     {"IIIa", Insulation::Group::iiia},
     {"IIIb", Insulation::Group::iiib}}};

std::string shown(double value, Dimension dimension) {
    return dimension == Dimension::length ? fmt::format("{:.4g} mm", value * 1e3)
                                          : engineering_short(value, dimension);
}

using Findings = std::vector<InsulationFinding>;

// What distances are asked of, and the distances.
struct Asked {
    const Link& link;
    Insulation insulation;
    RequiredDistances required;

    bool reinforced() const { return insulation.grade == Insulation::Grade::reinforced; }
};

double highest_stated(const Link& link, const Insulation& asked) {
    return std::max(link.surroundings.working_voltage.value_or(0), asked.mains.value_or(0));
}

InsulationFinding compared(std::string id, std::string what, Dimension dimension, double found,
                           double required, std::string_view why) {
    const bool kept = found >= required * (1 - rounding);
    std::string text =
        fmt::format("{}: {}, at least {} asked {}: {}.", what, shown(found, dimension),
                    shown(required, dimension), why, kept ? "kept" : "broken");
    return {std::move(id), std::move(what), dimension, found, required, kept, std::move(text)};
}

// What nobody states: nothing to say of extra-low voltage, and broken above.
Findings compared_stated(const Asked& asked, std::string id, std::string what, Dimension dimension,
                         std::optional<double> found, double required, std::string_view why) {
    if (found) {
        return {compared(std::move(id), std::move(what), dimension, *found, required, why)};
    }
    if (asked.required.extra_low) return {};
    std::string text = fmt::format("{}: not stated, at least {} asked {}: broken.", what,
                                   shown(required, dimension), why);
    return {{std::move(id), std::move(what), dimension, 0, required, false, std::move(text)}};
}

// A thing without any rating may stand up to extra-low voltage and no further.
InsulationFinding compared_unrated(const Asked& asked, std::string id, std::string what,
                                   std::string_view why) {
    const RequiredDistances& required = asked.required;
    const double limit = asked.insulation.mains ? es1_rms : es1_direct;
    std::string text = fmt::format(
        "{} {}: extra-low voltage only, up to {}, and {} lies between the sides: {}.", what, why,
        shown(limit, Dimension::voltage), shown(required.voltage, Dimension::voltage),
        required.extra_low ? "kept" : "broken");
    return {std::move(id),    std::move(what),    Dimension::voltage, limit,
            required.voltage, required.extra_low, std::move(text)};
}

Findings judged_board(const Asked& asked, const FoundDistances& found) {
    const RequiredDistances& required = asked.required;
    if (found.solderless) {
        return {compared_unrated(asked, "solderless-board", "the solderless board",
                                 "has no rating at all")};
    }
    // Straight from conductor to conductor on one surface: path in air and path along it.
    Findings findings = compared_stated(asked, "board-distance", "between the sides on the board",
                                        Dimension::length, found.between_sides,
                                        std::max(required.clearance, required.board_creepage),
                                        "along the board and in air");
    for (const auto& gap : found.gaps) {
        const std::string& name = asked.link.parts[gap.part].name;
        findings.push_back(compared("under-coupler-air", fmt::format("under {} in air", name),
                                    Dimension::length, gap.air, required.clearance,
                                    "of a clearance"));
        findings.push_back(compared(
            "under-coupler-surface", fmt::format("under {} along the board", name),
            Dimension::length, gap.surface, required.board_creepage, "of a creepage distance"));
    }
    return findings;
}

// A case may be of another material than the board.
double creepage_over(const Part& part, const Asked& asked) {
    const std::string word = part.description.choice(Key::material_group, "");
    const auto group =
        std::ranges::find(groups, word, &std::pair<std::string_view, Insulation::Group>::first);
    if (group == groups.end()) return asked.required.creepage;
    Insulation of_case = asked.insulation;
    of_case.group = group->second;
    // What the tables cover they cover for every group.
    return required_distances(asked.link.surroundings.working_voltage, of_case)->creepage;
}

Findings judged_coupler(const Asked& asked, const Part& part) {
    const RequiredDistances& required = asked.required;
    Findings findings;
    const auto judge = [&](std::string id, std::string_view what, Key key, Dimension dimension,
                           double least, std::string_view why) {
        const auto* figure = part.description.find(key);
        std::optional<double> stated;
        if (figure) stated = figure->spread.lowest;
        std::ranges::move(
            compared_stated(asked, std::move(id), fmt::format("{} of {}", what, part.name),
                            dimension, stated, least, why),
            std::back_inserter(findings));
    };
    judge("repetitive-peak", "repetitive peak voltage V_IORM", Key::repetitive_peak_voltage,
          Dimension::voltage, required.peak, "by the voltage between the sides");
    judge("transient-peak", "transient peak voltage V_IOTM", Key::transient_peak_voltage,
          Dimension::voltage, required.impulse, "by the impulse voltage");
    if (const auto& mains = asked.insulation.mains) {
        judge("test-voltage", "isolation test voltage V_ISO", Key::isolation_test_voltage,
              Dimension::voltage, (*mains + temporary_rise) * (asked.reinforced() ? 2 : 1),
              "by temporary overvoltages of the mains (IEC 60664-1, from memory)");
    }
    judge("external-clearance", "external clearance", Key::external_clearance, Dimension::length,
          required.clearance, "in air");
    judge("external-creepage", "external creepage", Key::external_creepage, Dimension::length,
          creepage_over(part, asked), "along its case");
    if (asked.reinforced() && !required.extra_low) {
        judge("through-insulation", "distance through the insulation",
              Key::distance_through_insulation, Dimension::length, reinforced_thickness,
              "of reinforced insulation (IEC 62368-1, from memory)");
    }
    return findings;
}

Findings judged_part(const Asked& asked, const Part& part) {
    if (part.description.kind == Kind::coupler) return judged_coupler(asked, part);
    if (part.description.kind != Kind::pair) return {};
    return {compared_unrated(asked, "home-made-gap", part.name,
                             "is a gap made by hand and has no rating")};
}

std::vector<Caution> cautions_of(const Link& link, const Insulation& asked) {
    std::vector<Caution> cautions;
    const auto caution = [&](std::string id, std::string text) {
        cautions.push_back({.id = std::move(id), .text = std::move(text)});
    };
    caution("local-codes",
            "Above extra-low voltage (60 V d.c., 30 V r.m.s. a.c.) local codes and licensed "
            "practice decide what may be built and used. These distances follow figures of "
            "IEC 60664-1 and IEC 62368-1 from memory: check them against the standards.");
    if (!link.insulation) {
        caution("insulation-unstated",
                "No [insulation] is stated: distances are those of basic insulation without "
                "mains, overvoltage category II, pollution degree 2, material group IIIa.");
    }
    if (!link.surroundings.working_voltage) {
        caution("working-voltage-unstated",
                asked.mains ? "No working voltage between the sides is stated: the mains "
                              "stands for it."
                            : "No working voltage between the sides is stated: keep both "
                              "within extra-low voltage (60 V d.c., 30 V r.m.s. a.c.).");
    }
    if (asked.mains) {
        caution("outside-tables",
                "Distances hold up to 2000 m above the sea and 30 kHz. Fuses, earthing, "
                "enclosure and what can come loose are not looked at.");
    }
    if (asked.pollution_degree == 3 && asked.group == Insulation::Group::iiib &&
        highest_stated(link, asked) > wet_group_iiib) {
        caution("material-group",
                "IEC 60664-1 advises against material group IIIb in pollution degree 3 above "
                "630 V (from memory).");
    }
    return cautions;
}

}  // namespace

InsulationVerdict judge_insulation(const Link& link, const FoundDistances& found) {
    const Insulation asked = link.insulation.value_or(Insulation{});
    InsulationVerdict verdict{.required = {}, .findings = {}, .cautions = cautions_of(link, asked)};
    const auto required = required_distances(link.surroundings.working_voltage, asked);
    if (!required) {
        verdict.findings.push_back({.id = "beyond-tables",
                                    .what = "the voltage between the sides",
                                    .dimension = Dimension::voltage,
                                    .found = 0,
                                    .required = highest_stated(link, asked),
                                    .kept = false,
                                    .text = required.error() + "."});
        return verdict;
    }
    verdict.required = *required;
    const Asked of{link, asked, *required};
    verdict.findings = judged_board(of, found);
    for (const auto& part : link.parts) {
        std::ranges::move(judged_part(of, part), std::back_inserter(verdict.findings));
    }
    return verdict;
}

}  // namespace gapwright
