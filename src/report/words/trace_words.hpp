// What is said of a chart's scale: how its marks were taken, and what its grid tells of them.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "chart/axis_scale.hpp"
#include "chart/chart_marks.hpp"
#include "chart/mark_snap.hpp"
#include "chart/raster.hpp"
#include "chart/ready_chart.hpp"
#include "chart/trace_curve.hpp"
#include "source/diagnostics.hpp"
#include "units/dimension.hpp"

namespace gapwright {

// Which quantity runs along each axis, and the unit in which people read it.
struct TraceAxes {
    std::string x;
    std::string y;
    Dimension x_dimension = Dimension::voltage;
    Dimension y_dimension = Dimension::current;
    bool at_terminal = false;                // remedies name the command's options
    std::vector<ChartMark> marks = {};       // as they were taken
    std::vector<std::string> notes = {};     // snap_notes
    std::vector<std::string> cautions = {};  // scale_cautions
};

// "1.2 V", a ratio as "50 %".
std::string axis_value(double value, Dimension dimension);
// "1.2 V, 10 mA"
std::string place_words(const TraceAxes& axes, ChartPoint place);
// "1.2 V", or both values.
std::string mark_words(const TraceAxes& axes, const ChartMark& mark);

// Which marks were moved onto lines and by how much, and which lie beside none. One of `snapped`
// for each of `marks`.
std::vector<std::string> snap_notes(const TraceAxes& axes, const std::vector<ChartMark>& marks,
                                    const std::vector<SnappedMark>& snapped);

// The scale of marks as they are taken: moved onto the lines beside them where that makes one too.
// Sets the marks and notes of `axes`, whose quantities are there. Errors: those of scale_of_marks.
Expected<MarkedScale> taken_marks(const Raster& raster, const std::vector<ChartMark>& marks,
                                  LogAxes log, TraceAxes& axes);

// What readings may be wrong by, where marks or grid tell of it: marks that do not fit each other,
// a picture taken at an angle, a bent page; and where nothing tells whether they are right.
std::vector<std::string> scale_cautions(const TraceAxes& axes, const MarkedScale& marked,
                                        const ReadyChart& chart);

// What is to be looked at of a curve that was followed over a small part of the plot alone: a text
// or a mark may have been taken for it. Nothing of others.
std::optional<std::string> stretch_caution(const ReadyChart& chart, const TracedCurve& curve,
                                           int number);

}  // namespace gapwright
