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
#include <vector>

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

bool reinforced(const Insulation& asked) {
    return asked.grade == Insulation::Grade::reinforced;
}

// The sentences that tell how distances were found.
struct Told {
    std::vector<std::string> steps = {};

    template <class... Values>
    void step(fmt::format_string<Values...> text, Values&&... values) {
        steps.push_back(fmt::format(text, std::forward<Values>(values)...));
    }
};

// Between the sides.
struct Stress {
    double voltage = 0;  // as RequiredDistances has them
    double peak = 0;
    bool extra_low = true;
};

Stress stress_of(std::optional<double> working, const Insulation& asked, Told& told) {
    if (!working && !asked.mains) {
        told.step(
            "voltage {}: none is stated, so the limit of extra-low voltage (IEC 62368-1, ES1, "
            "from memory)",
            volts(es1_direct));
        return {.voltage = es1_direct, .peak = es1_direct};
    }
    const double voltage = std::max(working.value_or(0), asked.mains.value_or(0));
    if (!asked.mains) {
        told.step(
            "voltage {}: the working voltage between the sides, taken as d.c.; of what is not d.c. "
            "the peak belongs there",
            volts(voltage));
        return {.voltage = voltage, .peak = voltage, .extra_low = voltage <= es1_direct};
    }
    const double peak = std::numbers::sqrt2 * voltage;
    told.step("voltage {} r.m.s., {} peak: the higher of working voltage and mains", volts(voltage),
              volts(peak));
    return {.voltage = voltage, .peak = peak, .extra_low = voltage <= es1_rms};
}

struct Clearance {
    double impulse = 0;  // V, that it withstands
    double distance = 0;
};

// None where the tables do not cover it; likewise below.
std::optional<Clearance> clearance_of(const Stress& stress, const Insulation& asked, Told& told) {
    const auto basic =
        rated_impulse(asked.mains.value_or(unstated_mains), asked.overvoltage_category);
    if (!basic) return std::nullopt;
    told.step(
        "impulse voltage {}: {}, overvoltage category {} (IEC 60664-1 table F.1, from memory)",
        volts(*basic),
        asked.mains ? volts(*asked.mains) + " mains"
                    : std::string("no mains stated, so as for mains of up to 50 V"),
        categories.at(static_cast<std::size_t>(asked.overvoltage_category - 1)));
    double impulse = *basic;
    double lasting = stress.peak;
    if (reinforced(asked)) {
        impulse = reinforced_impulse(*basic);
        lasting *= reinforced_share;
        told.step(
            "reinforced: impulse voltage {} in its place, and 160 % of the peak, {} "
            "(IEC 60664-1, 5.1.6, from memory)",
            volts(impulse), volts(lasting));
    }
    const auto for_impulse = impulse_clearance(impulse, asked.pollution_degree);
    const auto steady = steady_clearance(lasting);
    if (!for_impulse || !steady) return std::nullopt;
    const double distance = std::max(*for_impulse, *steady);
    told.step(
        "clearance {}: the larger of {} for the impulse, pollution degree {} (table F.2, "
        "inhomogeneous field) and {} for the peak (table F.7a; both from memory)",
        millimetres(distance), millimetres(*for_impulse), asked.pollution_degree,
        millimetres(*steady));
    return Clearance{impulse, distance};
}

struct Creepage {
    double surfaces = 0;
    double board = 0;
};

// The voltage by which tables give creepage.
std::optional<double> creepage_voltage(const Stress& stress, const Insulation& asked, Told& told) {
    if (!asked.mains || asked.grade == Insulation::Grade::functional) return stress.voltage;
    const auto row = rationalised_voltage(stress.voltage);
    if (row && *row > stress.voltage) {
        told.step(
            "creepage by the row of {}: on mains the one at or above {} counts (table F.3a, from "
            "memory)",
            volts(*row), volts(stress.voltage));
    }
    return row;
}

// Along the board, where the columns for printed wiring may count.
double board_creepage(double voltage, double surfaces, const Insulation& asked, Told& told) {
    const auto printed = asked.grade == Insulation::Grade::functional
                             ? printed_creepage(voltage, asked.pollution_degree, asked.group)
                             : std::nullopt;
    if (!printed) {
        told.step(
            "along the board the same columns: those for printed wiring are used for functional "
            "insulation in pollution degree 1 or 2 only");
        return surfaces;
    }
    told.step(
        "along the board {}: functional insulation may take the column for printed wiring, "
        "pollution degree {} (table F.4, from memory)",
        millimetres(*printed), asked.pollution_degree);
    return *printed;
}

std::optional<Creepage> creepage_of(const Stress& stress, double clearance, const Insulation& asked,
                                    Told& told) {
    const auto voltage = creepage_voltage(stress, asked, told);
    if (!voltage) return std::nullopt;
    const auto normal = creepage_distance(*voltage, asked.pollution_degree, asked.group);
    if (!normal) return std::nullopt;
    told.step(
        "creepage {} at {}: pollution degree {}, material group {} (table F.4, from memory), "
        "linear between its rows",
        millimetres(*normal), volts(*voltage), asked.pollution_degree,
        groups.at(static_cast<std::size_t>(asked.group)));
    double surfaces = *normal;
    if (reinforced(asked)) {
        surfaces *= times_reinforced;
        told.step("reinforced: double that, {}", millimetres(surfaces));
    }
    const double board = board_creepage(*voltage, surfaces, asked, told);
    const auto at_least_clearance = [&](double creepage, std::string_view where) {
        if (creepage >= clearance) return creepage;
        told.step("creepage {} {}: never less than the clearance", where, millimetres(clearance));
        return clearance;
    };
    const double raised = at_least_clearance(surfaces, "along surfaces");
    return Creepage{raised, at_least_clearance(board, "along the board")};
}

}  // namespace

std::expected<RequiredDistances, std::string> required_distances(
    std::optional<double> working_voltage, const Insulation& insulation) {
    Told told;
    const Stress stress = stress_of(working_voltage, insulation, told);
    const auto clearance = clearance_of(stress, insulation, told);
    const auto creepage =
        clearance ? creepage_of(stress, clearance->distance, insulation, told) : std::nullopt;
    if (!creepage) {
        return std::unexpected(
            fmt::format("{} between the sides is more than the tables of IEC 60664-1 that are "
                        "kept here cover: no distances can be stated",
                        volts(stress.voltage)));
    }
    return RequiredDistances{.voltage = stress.voltage,
                             .peak = stress.peak,
                             .impulse = clearance->impulse,
                             .clearance = clearance->distance,
                             .creepage = creepage->surfaces,
                             .board_creepage = creepage->board,
                             .extra_low = stress.extra_low,
                             .steps = std::move(told.steps)};
}

bool InsulationVerdict::kept() const {
    return required && std::ranges::all_of(findings, &InsulationFinding::kept);
}

}  // namespace gapwright
