#include "build/insulation.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cstddef>
#include <expected>
#include <numbers>
#include <optional>
#include <string>
#include <string_view>
#include <utility>

#include "build/insulation_tables.hpp"
#include "link/link.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

constexpr double unstated_mains = 50;     // V: the lowest row of table F.1
constexpr double reinforced_share = 1.6;  // of a peak that basic insulation withstands
constexpr double times_reinforced = 2;    // creepage

constexpr std::array<std::string_view, 4> categories = {"I", "II", "III", "IV"};
constexpr std::array<std::string_view, 4> groups = {"I", "II", "IIIa", "IIIb"};

std::string volts(double v) {
    return engineering_short(v, Dimension::voltage);
}

// Board distances are read off a ruler: in millimetres, whatever their size.
std::string millimetres(double metres) {
    return fmt::format("{:.4g} mm", metres * 1e3);
}

// Works out one link's distances, step by step.
class Distances {
  public:
    Distances(std::optional<double> working_voltage, const Insulation& insulation)
        : working_(working_voltage), asked_(insulation) {}

    std::expected<RequiredDistances, std::string> find() {
        find_voltage();
        if (!find_clearance() || !find_creepage()) {
            return std::unexpected(
                fmt::format("{} between the sides is more than the tables of IEC 60664-1 that are "
                            "kept here cover: no distances can be stated",
                            volts(result_.voltage)));
        }
        return std::move(result_);
    }

  private:
    bool reinforced() const { return asked_.grade == Insulation::Grade::reinforced; }

    template <class... Values>
    void step(fmt::format_string<Values...> text, Values&&... values) {
        result_.steps.push_back(fmt::format(text, std::forward<Values>(values)...));
    }

    void find_voltage() {
        if (!working_ && !asked_.mains) {
            result_.voltage = result_.peak = es1_direct;
            step(
                "voltage {}: none is stated, so the limit of extra-low voltage (IEC 62368-1, ES1, "
                "from memory)",
                volts(es1_direct));
            return;
        }
        result_.voltage = std::max(working_.value_or(0), asked_.mains.value_or(0));
        result_.peak = result_.voltage;
        if (!asked_.mains) {
            step(
                "voltage {}: the working voltage between the sides, taken as d.c.; of what is not "
                "d.c. "
                "the peak belongs there",
                volts(result_.voltage));
        } else {
            result_.peak = std::numbers::sqrt2 * result_.voltage;
            step("voltage {} r.m.s., {} peak: the higher of working voltage and mains",
                 volts(result_.voltage), volts(result_.peak));
        }
        result_.extra_low = result_.voltage <= (asked_.mains ? es1_rms : es1_direct);
    }

    bool find_clearance() {
        const auto basic =
            rated_impulse(asked_.mains.value_or(unstated_mains), asked_.overvoltage_category);
        if (!basic) return false;
        step("impulse voltage {}: {}, overvoltage category {} (IEC 60664-1 table F.1, from memory)",
             volts(*basic),
             asked_.mains ? volts(*asked_.mains) + " mains"
                          : std::string("no mains stated, so as for mains of up to 50 V"),
             categories.at(static_cast<std::size_t>(asked_.overvoltage_category - 1)));
        result_.impulse = *basic;
        double lasting = result_.peak;
        if (reinforced()) {
            result_.impulse = reinforced_impulse(*basic);
            lasting *= reinforced_share;
            step(
                "reinforced: impulse voltage {} in its place, and 160 % of the peak, {} "
                "(IEC 60664-1, 5.1.6, from memory)",
                volts(result_.impulse), volts(lasting));
        }
        const auto impulse = impulse_clearance(result_.impulse, asked_.pollution_degree);
        const auto steady = steady_clearance(lasting);
        if (!impulse || !steady) return false;
        result_.clearance = std::max(*impulse, *steady);
        step(
            "clearance {}: the larger of {} for the impulse, pollution degree {} (table F.2, "
            "inhomogeneous field) and {} for the peak (table F.7a; both from memory)",
            millimetres(result_.clearance), millimetres(*impulse), asked_.pollution_degree,
            millimetres(*steady));
        return true;
    }

    bool find_creepage() {
        double voltage = result_.voltage;
        if (asked_.mains && asked_.grade != Insulation::Grade::functional) {
            const auto row = rationalised_voltage(voltage);
            if (!row) return false;
            voltage = *row;
            if (voltage > result_.voltage) {
                step(
                    "creepage by the row of {}: on mains the one at or above {} counts (table "
                    "F.3a, from memory)",
                    volts(voltage), volts(result_.voltage));
            }
        }
        const auto normal = creepage_distance(voltage, asked_.pollution_degree, asked_.group);
        if (!normal) return false;
        result_.creepage = *normal;
        step(
            "creepage {} at {}: pollution degree {}, material group {} (table F.4, from memory), "
            "linear between its rows",
            millimetres(*normal), volts(voltage), asked_.pollution_degree,
            groups.at(static_cast<std::size_t>(asked_.group)));
        if (reinforced()) {
            result_.creepage *= times_reinforced;
            step("reinforced: double that, {}", millimetres(result_.creepage));
        }
        result_.board_creepage = result_.creepage;
        find_printed(voltage);
        keep_above_clearance();
        return true;
    }

    void find_printed(double voltage) {
        const auto printed = asked_.grade == Insulation::Grade::functional
                                 ? printed_creepage(voltage, asked_.pollution_degree, asked_.group)
                                 : std::nullopt;
        if (!printed) {
            step(
                "along the board the same columns: those for printed wiring are used for "
                "functional insulation in pollution degree 1 or 2 only");
            return;
        }
        result_.board_creepage = *printed;
        step(
            "along the board {}: functional insulation may take the column for printed wiring, "
            "pollution degree {} (table F.4, from memory)",
            millimetres(*printed), asked_.pollution_degree);
    }

    void keep_above_clearance() {
        const auto raise = [&](double& creepage, std::string_view where) {
            if (creepage >= result_.clearance) return;
            creepage = result_.clearance;
            step("creepage {} {}: never less than the clearance", where, millimetres(creepage));
        };
        raise(result_.creepage, "along surfaces");
        raise(result_.board_creepage, "along the board");
    }

    std::optional<double> working_;
    const Insulation& asked_;
    RequiredDistances result_;
};

}  // namespace

std::expected<RequiredDistances, std::string> required_distances(
    std::optional<double> working_voltage, const Insulation& insulation) {
    return Distances(working_voltage, insulation).find();
}

bool InsulationVerdict::kept() const {
    return required && std::ranges::all_of(findings, &InsulationFinding::kept);
}

}  // namespace gapwright
