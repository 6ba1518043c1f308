// The stock that a file's [choose] names.
#pragma once

#include <optional>
#include <string>
#include "card/drawer.hpp"
#include "design/values/stock.hpp"
#include "link/link.hpp"
#include "source/diagnostics.hpp"

namespace gapwright {

// Reads the drawer, relative to `folder`, or makes the series' values. Errors: those of reading a
// drawer, at the drawer's own lines or, where there is no such file, at the place that names it;
// missing_key for a drawer without a single resistor.
Expected<Stock> open_stock(const ChosenStock& chosen, const std::string& folder);

// What it is called: "the E24 series", or the drawer as the file names it.
std::string stock_name(const ChosenStock& chosen);

// The whole drawer, other parts than resistors too; none where the file names no drawer. Errors:
// those of reading a drawer, as above.
Expected<std::optional<Drawer>> named_drawer(const ChosenStock& chosen, const std::string& folder);

}  // namespace gapwright
