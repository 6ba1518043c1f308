// Marks and curves as the options of `gapwright card trace` state them.
#pragma once

#include <cstddef>
#include <functional>
#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "app/card_command.hpp"
#include "card/points.hpp"
#include "chart/axis_scale.hpp"
#include "chart/chart_marks.hpp"
#include "source/diagnostics.hpp"

namespace gapwright {

struct TraceMarks {
    const PointQuantity* x = nullptr;  // what runs along the axes
    const PointQuantity* y = nullptr;
    std::vector<ChartMark> marks = {};
};

// Errors: unknown_key for a quantity that points do not have, not_a_quantity and those of
// parse_quantity for a mark, missing_key with fewer than two of an axis.
Expected<TraceMarks> trace_marks(const CardTraceOptions& options);

// A curve: places on it, and what it was measured at.
struct CurveInput {
    std::string name;  // "2", "2, temperature = 85 °C"
    std::vector<PixelPoint> seeds = {};
    std::map<std::string, double, std::less<>> at = {};
};

// "310,220 400,100; temperature = 85 °C". Errors: not_a_quantity, missing_key without a place,
// those of stated_quantity.
Expected<CurveInput> curve_input(const std::string& text, std::size_t number);

}  // namespace gapwright
