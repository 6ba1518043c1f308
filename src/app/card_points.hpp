// Points and names that the commands making cards of points share.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "card/points.hpp"
#include "source/diagnostics.hpp"

namespace gapwright {

// The points of several CSV files; rows that are skipped and columns that are passed over are told.
// Errors: those of read_file and read_points_csv.
Expected<std::vector<MeasuredPoint>> read_point_files(const std::vector<std::string>& files);

// Puts what holds for all points ("collector_emitter_voltage = 5 V") into those that do not state
// it themselves. Problems: those of stated_quantity.
std::optional<Problems> apply_at(const std::vector<std::string>& at,
                                 std::vector<MeasuredPoint>& points);

// "fitted to 5 points of led.csv, 2026-11-30".
std::string source_of_points(const std::vector<std::string>& files,
                             const std::vector<MeasuredPoint>& points);

// The name under which links would know a card written to `output`.
std::string card_name_of(const std::string& output);

// A problem where no link would find a card in that file.
std::optional<Problems> refuse_card_name(const std::string& output);

}  // namespace gapwright
