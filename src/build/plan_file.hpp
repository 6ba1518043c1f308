// A board plan as a CSV file: the wiring table that a person builds from, and that is read back
// when somebody has changed it.
#pragma once

#include <memory>
#include <string>

#include "board/plan.hpp"
#include "board/plan_table.hpp"
#include "board/wiring.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"

namespace gapwright {

// Header `item,name,pin,hole,to,node,length`; items: `board` (its kind; first and last hole), `gap`
// (the holes of the first row next to it), `part` and `lead` (one a pin), `wire`, `cut`.
std::string plan_csv(const Plan& plan, const Wiring& wiring);

// Holes and pins are taken as they are written: read_back judges them. Errors: those of read_csv;
// unknown_key for another header, unknown_name for an item or board that is not known, missing_key
// without a board or gap, out_of_range for a board without rows.
Expected<PlanTable> read_plan_csv(std::shared_ptr<const SourceText> text);

}  // namespace gapwright
