// Measured points of a part: rows of a CSV file, or [[points]] of a card.
//
// A point states one measured quantity and what it was measured at: forward_current and
// forward_voltage; forward_current, collector_emitter_voltage and ctr … Which belong together is
// for fits to know (fit/observation.hpp).
#pragma once

#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "source/diagnostics.hpp"
#include "source/source_text.hpp"
#include "source/toml_document.hpp"
#include "units/dimension.hpp"

namespace gapwright {

// A quantity that points may state: one row of the table.
struct PointQuantity {
    std::string_view name;  // as files write it, "forward_current"
    Dimension dimension;
    std::string_view words;  // as people read it, "forward current"
};
std::span<const PointQuantity> point_quantities();
const PointQuantity* find_point_quantity(std::string_view name);  // nullptr if there is none

struct MeasuredPoint {
    std::map<std::string, double, std::less<>> values;  // by quantity, in its inner unit
    // Standard uncertainty of the measured quantity, as a share of it; none where nothing is said.
    std::optional<double> uncertainty = {};
    // The part of it that all points of one chart have in common, as marks of its axes have;
    // standard, a share of the measured quantity; none where nothing is said.
    std::optional<double> shared_uncertainty = {};
    int curve = 0;              // which curve of a chart, from 1; 0: none
    std::string specimen = {};  // which of several parts; empty: one and the same
    std::string origin = {};    // where it comes from, "simulated"; empty: nothing is said
    Place place = {};

    const double* find(std::string_view quantity) const;
};

struct PointTable {
    std::vector<MeasuredPoint> points;
    Problems skipped;  // one for each row that could not be read; they are not among `points`
    std::vector<std::string> ignored;  // columns that are none of points and were passed over
};

// Reads points: a header of quantities, `specimen`, `uncertainty`, `shared_uncertainty`, `curve`
// and `origin`, in any order; columns of other names are passed over, with a remark unless they
// start with "note". A header may give the unit of its column in brackets, `forward_current (mA)`:
// then plain numbers are in it. Cells are quantities otherwise. Semicolons, tabs and decimal commas
// are taken as spreadsheets write them. A bad row is skipped and reported. Errors: those of
// read_csv; unknown_key for a header without any quantity, or with a name that is nearly a
// column's: a slip must not lose it.
Expected<PointTable> read_points_csv(std::shared_ptr<const SourceText> text);

// The [[points]] of a card's root table, `{ forward_current = "20 mA", … }`; problems are added.
std::vector<MeasuredPoint> read_points(const TomlTable& card, Problems& problems);

// As a CSV file with the columns that occur, in the order of the table, each with its unit.
std::string points_csv(const std::vector<MeasuredPoint>& points);

// What the points say of where they come from, each once: "simulated"; empty where they say
// nothing.
std::string origins_of(const std::vector<MeasuredPoint>& points);

// As [[points]] of a card.
std::string points_toml(const std::vector<MeasuredPoint>& points);

}  // namespace gapwright
