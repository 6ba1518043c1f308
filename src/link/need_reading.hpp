// The steps of reading a need, beside those of reading.hpp. Internal to the layer.
#pragma once

#include <optional>
#include <string>
#include "circuit/index.hpp"
#include "link/file_table.hpp"
#include "link/need.hpp"
#include "link/reading.hpp"
#include "source/toml_document.hpp"

namespace gapwright::reading {

void read_drive(Reading& reading, const Stated<NeedKey>& table, Need& need);  // [need] drive
void read_load(Reading& reading, const Stated<NeedKey>& table, Need& need);   // [need] load
void read_need_duty(Reading& reading, Need& need);   // duty of [surroundings]
void read_need_sides(Reading& reading, Need& need);  // supplies, and where paths will stand

// Where paths of a side can be written so that they are read as that side's; none where the file's
// way of writing the table leaves no such place. `supply_line` is written before them.
std::optional<PathsSpot> find_paths_spot(const TomlDocument& document, Side side,
                                         const std::string& supply_line);

// A value as the file writes it; tables and lists of any form on one line between braces.
std::string toml_text(const TomlValue& value);

}  // namespace gapwright::reading
