#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <utility>

#include "build/insulation.hpp"
#include "build/insulation_tables.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "link/link.hpp"
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

class Judge {
  public:
    Judge(const Link& link, const FoundDistances& found)
        : link_(link), found_(found), asked_(link.insulation.value_or(Insulation{})) {}

    InsulationVerdict judge() {
        const auto required = required_distances(link_.surroundings.working_voltage, asked_);
        if (required) {
            result_.required = *required;
            judge_board(*required);
            for (const auto& part : link_.parts) judge_part(part, *required);
        } else {
            result_.findings.push_back({.id = "beyond-tables",
                                        .what = "the voltage between the sides",
                                        .dimension = Dimension::voltage,
                                        .found = 0,
                                        .required = highest_stated(),
                                        .kept = false,
                                        .text = required.error() + "."});
        }
        add_cautions();
        return std::move(result_);
    }

  private:
    bool reinforced() const { return asked_.grade == Insulation::Grade::reinforced; }
    double highest_stated() const {
        return std::max(link_.surroundings.working_voltage.value_or(0), asked_.mains.value_or(0));
    }

    void compare(std::string id, std::string what, Dimension dimension, double found,
                 double required, std::string_view why) {
        const bool kept = found >= required * (1 - rounding);
        std::string text =
            fmt::format("{}: {}, at least {} asked {}: {}.", what, shown(found, dimension),
                        shown(required, dimension), why, kept ? "kept" : "broken");
        result_.findings.push_back(
            {std::move(id), std::move(what), dimension, found, required, kept, std::move(text)});
    }

    // What nobody states: nothing to say of extra-low voltage, and broken above.
    void compare_stated(const RequiredDistances& required, std::string id, std::string what,
                        Dimension dimension, std::optional<double> found, double asked,
                        std::string_view why) {
        if (found) {
            compare(std::move(id), std::move(what), dimension, *found, asked, why);
        } else if (!required.extra_low) {
            std::string text = fmt::format("{}: not stated, at least {} asked {}: broken.", what,
                                           shown(asked, dimension), why);
            result_.findings.push_back(
                {std::move(id), std::move(what), dimension, 0, asked, false, std::move(text)});
        }
    }

    // A thing without any rating may stand up to extra-low voltage and no further.
    void compare_unrated(const RequiredDistances& required, std::string id, std::string what,
                         std::string_view why) {
        const double limit = asked_.mains ? es1_rms : es1_direct;
        std::string text = fmt::format(
            "{} {}: extra-low voltage only, up to {}, and {} lies between the sides: {}.", what,
            why, shown(limit, Dimension::voltage), shown(required.voltage, Dimension::voltage),
            required.extra_low ? "kept" : "broken");
        result_.findings.push_back({std::move(id), std::move(what), Dimension::voltage, limit,
                                    required.voltage, required.extra_low, std::move(text)});
    }

    void judge_board(const RequiredDistances& required) {
        if (found_.solderless) {
            compare_unrated(required, "solderless-board", "the solderless board",
                            "has no rating at all");
            return;
        }
        // Straight from conductor to conductor on one surface: path in air and path along it.
        compare_stated(required, "board-distance", "between the sides on the board",
                       Dimension::length, found_.between_sides,
                       std::max(required.clearance, required.board_creepage),
                       "along the board and in air");
        for (const auto& gap : found_.gaps) {
            const std::string& name = link_.parts[gap.part].name;
            compare("under-coupler-air", fmt::format("under {} in air", name), Dimension::length,
                    gap.air, required.clearance, "of a clearance");
            compare("under-coupler-surface", fmt::format("under {} along the board", name),
                    Dimension::length, gap.surface, required.board_creepage,
                    "of a creepage distance");
        }
    }

    void judge_part(const Part& part, const RequiredDistances& required) {
        if (part.description.kind == Kind::pair) {
            compare_unrated(required, "home-made-gap", part.name,
                            "is a gap made by hand and has no rating");
        } else if (part.description.kind == Kind::coupler) {
            judge_coupler(part, required);
        }
    }

    void judge_coupler(const Part& part, const RequiredDistances& required) {
        const auto stated = [&](Key key) {
            const auto* figure = part.description.find(key);
            return figure ? std::optional(figure->spread.lowest) : std::nullopt;
        };
        const auto judge = [&](std::string id, std::string_view what, Key key, Dimension dimension,
                               double asked, std::string_view why) {
            compare_stated(required, std::move(id), fmt::format("{} of {}", what, part.name),
                           dimension, stated(key), asked, why);
        };
        judge("repetitive-peak", "repetitive peak voltage V_IORM", Key::repetitive_peak_voltage,
              Dimension::voltage, required.peak, "by the voltage between the sides");
        judge("transient-peak", "transient peak voltage V_IOTM", Key::transient_peak_voltage,
              Dimension::voltage, required.impulse, "by the impulse voltage");
        if (asked_.mains) {
            judge("test-voltage", "isolation test voltage V_ISO", Key::isolation_test_voltage,
                  Dimension::voltage, (*asked_.mains + temporary_rise) * (reinforced() ? 2 : 1),
                  "by temporary overvoltages of the mains (IEC 60664-1, from memory)");
        }
        judge("external-clearance", "external clearance", Key::external_clearance,
              Dimension::length, required.clearance, "in air");
        judge("external-creepage", "external creepage", Key::external_creepage, Dimension::length,
              creepage_over(part, required), "along its case");
        if (reinforced() && !required.extra_low) {
            judge("through-insulation", "distance through the insulation",
                  Key::distance_through_insulation, Dimension::length, reinforced_thickness,
                  "of reinforced insulation (IEC 62368-1, from memory)");
        }
    }

    // A case may be of another material than the board.
    double creepage_over(const Part& part, const RequiredDistances& required) const {
        const std::string word = part.description.choice(Key::material_group, "");
        const auto group =
            std::ranges::find(groups, word, &std::pair<std::string_view, Insulation::Group>::first);
        if (group == groups.end()) return required.creepage;
        Insulation of_case = asked_;
        of_case.group = group->second;
        // What the tables cover they cover for every group.
        return required_distances(link_.surroundings.working_voltage, of_case)->creepage;
    }

    void caution(std::string id, std::string text) {
        result_.cautions.push_back({.id = std::move(id), .text = std::move(text)});
    }

    void add_cautions() {
        caution("local-codes",
                "Above extra-low voltage (60 V d.c., 30 V r.m.s. a.c.) local codes and licensed "
                "practice decide what may be built and used. These distances follow figures of "
                "IEC 60664-1 and IEC 62368-1 from memory: check them against the standards.");
        if (!link_.insulation) {
            caution("insulation-unstated",
                    "No [insulation] is stated: distances are those of basic insulation without "
                    "mains, overvoltage category II, pollution degree 2, material group IIIa.");
        }
        if (!link_.surroundings.working_voltage) {
            caution("working-voltage-unstated",
                    asked_.mains ? "No working voltage between the sides is stated: the mains "
                                   "stands for it."
                                 : "No working voltage between the sides is stated: keep both "
                                   "within extra-low voltage (60 V d.c., 30 V r.m.s. a.c.).");
        }
        if (asked_.mains) {
            caution("outside-tables",
                    "Distances hold up to 2000 m above the sea and 30 kHz. Fuses, earthing, "
                    "enclosure and what can come loose are not looked at.");
        }
        if (asked_.pollution_degree == 3 && asked_.group == Insulation::Group::iiib &&
            highest_stated() > wet_group_iiib) {
            caution("material-group",
                    "IEC 60664-1 advises against material group IIIb in pollution degree 3 above "
                    "630 V (from memory).");
        }
    }

    const Link& link_;
    const FoundDistances& found_;
    Insulation asked_;
    InsulationVerdict result_;
};

}  // namespace

InsulationVerdict judge_insulation(const Link& link, const FoundDistances& found) {
    return Judge(link, found).judge();
}

}  // namespace gapwright
