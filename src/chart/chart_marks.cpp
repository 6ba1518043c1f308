#include "chart/chart_marks.hpp"

#include <fmt/format.h>

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <cstddef>
#include <expected>
#include <limits>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "chart/axis_scale.hpp"
#include "source/diagnostics.hpp"

namespace gapwright {
namespace {

using Row3 = Eigen::RowVector3d;

// Own choices.
constexpr double one_line = 0.08;   // breadth of marks by their length that still are on one line
constexpr double least_length = 8;  // px between marks: half a pixel would be six percent
constexpr double least_known = 4;   // px that a mark's pixel may do to the plot's corners
constexpr int rounds = 4;           // of weights, which settle in two or three

std::unexpected<Problems> wrong_marks(Cause cause, std::string message, std::string remedy) {
    Diagnostic diagnostic{.cause = cause, .place = {}, .message = {}, .remedy = {}};
    diagnostic.message = std::move(message);
    diagnostic.remedy = std::move(remedy);
    return std::unexpected(only(std::move(diagnostic)));
}

// Marks that state a value of one axis, with its fraction.
struct Stated {
    PixelPoint at = {};
    double fraction = 0;
};

struct AxisMarks {
    ScaleRange range = {};
    std::vector<Stated> marks = {};
    // The line on which they lie, and how broad they lie about it.
    PixelPoint middle = {}, along = {};
    double length = 0, breadth = 0;  // px, from end to end

    [[nodiscard]] bool on_line() const { return marks.size() < 3 || breadth < one_line * length; }
};

void find_line(AxisMarks& axis) {
    const auto count = static_cast<double>(axis.marks.size());
    for (const Stated& mark : axis.marks) {
        axis.middle.x += mark.at.x / count;
        axis.middle.y += mark.at.y / count;
    }
    double xx = 0, xy = 0, yy = 0;
    for (const Stated& mark : axis.marks) {
        const double x = mark.at.x - axis.middle.x, y = mark.at.y - axis.middle.y;
        xx += x * x;
        xy += x * y;
        yy += y * y;
    }
    const double angle = 0.5 * std::atan2(2 * xy, xx - yy);
    axis.along = {.x = std::cos(angle), .y = std::sin(angle)};
    double low = 0, high = 0, left = 0, right = 0;
    for (const Stated& mark : axis.marks) {
        const double x = mark.at.x - axis.middle.x, y = mark.at.y - axis.middle.y;
        const double way = x * axis.along.x + y * axis.along.y;
        const double aside = y * axis.along.x - x * axis.along.y;
        low = std::min(low, way);
        high = std::max(high, way);
        left = std::min(left, aside);
        right = std::max(right, aside);
    }
    axis.length = high - low;
    axis.breadth = right - left;
}

Expected<AxisMarks> marks_of(const std::vector<ChartMark>& marks,
                             std::optional<double> ChartMark::* value, bool logarithmic,
                             std::string_view name) {
    AxisMarks axis;
    axis.range.logarithmic = logarithmic;
    double low = std::numeric_limits<double>::infinity(), high = -low;
    for (const ChartMark& mark : marks) {
        if (!(mark.*value)) continue;
        const double here = *(mark.*value);
        if (!std::isfinite(here) || !std::isfinite(mark.at.x) || !std::isfinite(mark.at.y)) {
            return wrong_marks(Cause::out_of_range,
                               fmt::format("a mark of the {} axis is not finite", name),
                               "give a place in pixels and a plain number");
        }
        if (logarithmic && here <= 0) {
            return wrong_marks(
                Cause::out_of_range,
                fmt::format("the logarithmic {} axis has a mark at {}", name, here),
                "a logarithmic axis has values above zero only; take another mark or call the "
                "axis linear");
        }
        low = std::min(low, here);
        high = std::max(high, here);
        axis.marks.push_back({.at = mark.at, .fraction = here});
    }
    if (axis.marks.size() < 2) {
        return wrong_marks(Cause::missing_key,
                           fmt::format("the {} axis has {} mark{}, a scale needs two", name,
                                       axis.marks.size(), axis.marks.size() == 1 ? "" : "s"),
                           "mark two values printed on it, far apart");
    }
    if (low == high) {
        return wrong_marks(Cause::contradiction,
                           fmt::format("all marks of the {} axis have the value {}", name, low),
                           "give each mark the value that is printed beside it");
    }
    axis.range.first = low;
    axis.range.second = high;
    for (Stated& mark : axis.marks) mark.fraction = axis.range.fraction(mark.fraction);
    find_line(axis);
    if (axis.length < least_length) {
        return wrong_marks(Cause::contradiction,
                           fmt::format("the marks of the {} axis are in one place", name),
                           "take marks far from each other, best the first and the last of the "
                           "axis");
    }
    return axis;
}

// Pixels moved and scaled so that marks lie about 0 and within 1 or so.
struct Frame {
    PixelPoint middle = {};
    double size = 1;

    [[nodiscard]] Row3 row(PixelPoint at) const {
        return {(at.x - middle.x) / size, (at.y - middle.y) / size, 1};
    }
};

Frame frame_of(const std::vector<ChartMark>& marks) {
    Frame frame;
    const auto count = static_cast<double>(marks.size());
    for (const ChartMark& mark : marks) {
        frame.middle.x += mark.at.x / count;
        frame.middle.y += mark.at.y / count;
    }
    frame.size = 0;
    for (const ChartMark& mark : marks) {
        const double far = std::hypot(mark.at.x - frame.middle.x, mark.at.y - frame.middle.y);
        frame.size = std::max(frame.size, far);
    }
    return frame;
}

// Rows that take a frame's (x, y, 1) to fractions of x, of y, and their divisor.
struct Rows {
    Row3 u = {}, v = {}, w = Row3(0, 0, 1);
};

// Pixels for one fraction of an axis, across the lines of its values.
double pixels_of_fraction(const Rows& rows, const Row3& top, const Row3& at, double size) {
    const double w = rows.w.dot(at), value = top.dot(at) / w;
    const double dx = (top(0) - value * rows.w(0)) / w, dy = (top(1) - value * rows.w(1)) / w;
    return size / std::max(1e-12, std::hypot(dx, dy));
}

// All eight numbers of a projective map by least squares, and what marks a pixel off each would do
// to the marks' own places, px. Nothing with fewer than eight statements.
struct Projective {
    Rows rows = {};
    double known = 0;
};
std::optional<Projective> projective_rows(const AxisMarks& x, const AxisMarks& y,
                                          const Frame& frame) {
    const auto count = static_cast<Eigen::Index>(x.marks.size() + y.marks.size());
    if (count < 8) return std::nullopt;
    Projective found;
    Eigen::VectorXd weights = Eigen::VectorXd::Ones(count);
    Eigen::MatrixXd covariance;
    for (int round = 0; round < rounds; ++round) {
        Eigen::MatrixXd left = Eigen::MatrixXd::Zero(count, 8);
        Eigen::VectorXd right(count);
        Eigen::Index row = 0;
        for (const auto* axis : {&x, &y}) {
            const Eigen::Index from = axis == &x ? 0 : 3;
            for (const Stated& mark : axis->marks) {
                const Row3 at = frame.row(mark.at);
                left.block<1, 3>(row, from) = at;
                left(row, 6) = -mark.fraction * at(0);
                left(row, 7) = -mark.fraction * at(1);
                right(row++) = mark.fraction;
            }
        }
        left.array().colwise() *= weights.array();
        right.array() *= weights.array();
        const Eigen::JacobiSVD<Eigen::MatrixXd> svd(left,
                                                    Eigen::ComputeThinU | Eigen::ComputeThinV);
        if (svd.singularValues()(7) < 1e-6 * svd.singularValues()(0)) return std::nullopt;
        const Eigen::VectorXd p = svd.solve(right);
        found.rows.u = p.segment<3>(0);
        found.rows.v = p.segment<3>(3);
        found.rows.w = Row3(p(6), p(7), 1);
        const Eigen::VectorXd inverse = svd.singularValues().array().inverse();
        covariance = svd.matrixV() * inverse.cwiseAbs2().asDiagonal() * svd.matrixV().transpose();
        // An algebraic error is one of fractions times the divisor; wanted is one of pixels.
        row = 0;
        for (const auto* axis : {&x, &y}) {
            const Row3& top = axis == &x ? found.rows.u : found.rows.v;
            for (const Stated& mark : axis->marks) {
                const Row3 at = frame.row(mark.at);
                const double w = found.rows.w.dot(at);
                if (w < 0.05) return std::nullopt;  // marks on both sides of the horizon
                weights(row++) = pixels_of_fraction(found.rows, top, at, frame.size) / w;
            }
        }
    }
    // The last weights were pixels, so the covariance is that of marks one pixel off.
    for (const auto* axis : {&x, &y}) {
        const Row3& top = axis == &x ? found.rows.u : found.rows.v;
        const Eigen::Index from = axis == &x ? 0 : 3;
        for (const auto* other : {&x, &y}) {
            for (const Stated& mark : other->marks) {
                const Row3 at = frame.row(mark.at);
                const double w = found.rows.w.dot(at), value = top.dot(at) / w;
                Eigen::VectorXd slope = Eigen::VectorXd::Zero(8);
                slope.segment<3>(from) = at / w;
                slope(6) = -value * at(0) / w;
                slope(7) = -value * at(1) / w;
                const double off = std::sqrt(std::max(0.0, slope.dot(covariance * slope)));
                found.known = std::max(found.known,
                                       off * pixels_of_fraction(found.rows, top, at, frame.size));
            }
        }
    }
    return found;
}

// The row of one axis by least squares; `constant`: where its marks lie on one line, the direction
// along which its values do not change.
Row3 affine_row(const AxisMarks& axis, const Frame& frame, PixelPoint constant) {
    const bool line = axis.on_line();
    const auto count = static_cast<Eigen::Index>(axis.marks.size());
    Eigen::MatrixXd left(count + (line ? 1 : 0), 3);
    Eigen::VectorXd right(left.rows());
    for (Eigen::Index k = 0; k < count; ++k) {
        const Stated& mark = axis.marks[static_cast<std::size_t>(k)];
        // Marks about one line are taken to be on it: how they lie aside tells nothing.
        const double way =
            (mark.at.x - axis.middle.x) * axis.along.x + (mark.at.y - axis.middle.y) * axis.along.y;
        const PixelPoint on = {.x = axis.middle.x + way * axis.along.x,
                               .y = axis.middle.y + way * axis.along.y};
        left.row(k) = frame.row(line ? on : mark.at);
        right(k) = mark.fraction;
    }
    if (line) {
        left.row(count) = 1e3 * Row3(constant.x, constant.y, 0);
        right(count) = 0;
    }
    return left.colPivHouseholderQr().solve(right).transpose();
}

// Nothing where the axes' directions cannot be told apart.
std::optional<Rows> affine_rows(const AxisMarks& x, const AxisMarks& y, const Frame& frame) {
    Rows rows;
    const auto upright = [](PixelPoint p) { return PixelPoint{.x = -p.y, .y = p.x}; };
    const auto level_of = [](const Row3& row) {  // along which the row's value stays
        const double size = std::hypot(row(0), row(1));
        return PixelPoint{.x = -row(1) / size, .y = row(0) / size};
    };
    if (x.on_line() && y.on_line()) {
        const double cross = x.along.x * y.along.y - x.along.y * y.along.x;
        if (std::abs(cross) < 0.342) return std::nullopt;  // sine of 20°
        rows.u = affine_row(x, frame, y.along);
        rows.v = affine_row(y, frame, x.along);
    } else if (x.on_line()) {
        rows.v = affine_row(y, frame, x.along);
        rows.u = affine_row(x, frame, upright(level_of(rows.v)));
    } else if (y.on_line()) {
        rows.u = affine_row(x, frame, y.along);
        rows.v = affine_row(y, frame, upright(level_of(rows.u)));
    } else {
        rows.u = affine_row(x, frame, {});
        rows.v = affine_row(y, frame, {});
    }
    const double cross = rows.u(0) * rows.v(1) - rows.u(1) * rows.v(0);
    const double sizes = rows.u.head<2>().norm() * rows.v.head<2>().norm();
    if (!(std::abs(cross) > 0.342 * sizes)) return std::nullopt;
    return rows;
}

ChartScale scale_of(const Rows& rows, const Frame& frame, const AxisMarks& x, const AxisMarks& y) {
    PlaneMap map;
    const Row3* const from[] = {&rows.u, &rows.v, &rows.w};
    for (std::size_t k = 0; k < 3; ++k) {
        const Row3& row = *from[k];
        map[k] = {row(0) / frame.size, row(1) / frame.size,
                  row(2) - (row(0) * frame.middle.x + row(1) * frame.middle.y) / frame.size};
    }
    PlaneMap to_pixel = inverse(map);
    const bool affine = rows.w(0) == 0 && rows.w(1) == 0;
    if (affine) to_pixel[2] = {0, 0, 1};
    return {x.range, y.range, to_pixel};
}

double off_line(const Rows& rows, const Row3& top, const Frame& frame, PixelPoint at,
                double fraction) {
    const Row3 place = frame.row(at);
    return std::abs(top.dot(place) / rows.w.dot(place) - fraction) *
           pixels_of_fraction(rows, top, place, frame.size);
}

}  // namespace

std::size_t MarkedScale::worst() const {
    return static_cast<std::size_t>(std::ranges::max_element(off) - off.begin());
}

Expected<MarkedScale> scale_of_marks(const std::vector<ChartMark>& marks, LogAxes log) {
    const auto x = marks_of(marks, &ChartMark::x, log.x, "x");
    const auto y = marks_of(marks, &ChartMark::y, log.y, "y");
    if (!x || !y) {
        Problems problems = x ? Problems() : x.error();
        if (!y) problems.insert(problems.end(), y.error().begin(), y.error().end());
        return std::unexpected(std::move(problems));
    }
    const Frame frame = frame_of(marks);
    const auto projective = projective_rows(*x, *y, frame);
    const bool is_known = projective && projective->known <= least_known;
    const auto rows = is_known ? std::optional(projective->rows) : affine_rows(*x, *y, frame);
    if (!rows) {
        return wrong_marks(Cause::contradiction, "the two axes run almost in one direction",
                           "take the x axis' marks along the x axis and the y axis' along the y "
                           "axis, or mark the plot's four corners with both values");
    }
    const auto statements = static_cast<int>(x->marks.size() + y->marks.size());
    const int needed = is_known ? 8 : (x->on_line() ? 2 : 3) + (y->on_line() ? 2 : 3);
    MarkedScale result{.scale = scale_of(*rows, frame, *x, *y), .spare = statements - needed};
    for (const ChartMark& mark : marks) {
        const double of_x =
            mark.x ? off_line(*rows, rows->u, frame, mark.at, x->range.fraction(*mark.x)) : 0;
        const double of_y =
            mark.y ? off_line(*rows, rows->v, frame, mark.at, y->range.fraction(*mark.y)) : 0;
        result.off.push_back(std::hypot(of_x, of_y));
    }
    const PixelPoint wide = result.scale.x_direction(), high = result.scale.y_direction();
    const double side = std::max(std::hypot(wide.x, wide.y), std::hypot(high.x, high.y));
    if (!(side > 0) || result.worst_off() > most_off * side) {
        const ChartMark& mark = marks[result.worst()];
        return wrong_marks(
            Cause::contradiction,
            fmt::format("the marks do not fit each other: the one at pixel {:.0f}, {:.0f} lies "
                        "{:.1f} px from where the others put it",
                        mark.at.x, mark.at.y, result.worst_off()),
            is_known ? "check places and values of all marks, and which axes are logarithmic"
                     : "check places and values of all marks, and which axes are logarithmic; of a "
                       "picture taken at an angle mark the plot's four corners with both values");
    }
    return result;
}

std::vector<ChartScale> scales_with_moved_marks(const std::vector<ChartMark>& marks, LogAxes log,
                                                double error) {
    std::vector<ChartScale> scales;
    for (std::size_t k = 0; k < marks.size(); ++k) {
        for (const bool along : {true, false}) {
            auto moved_marks = marks;
            (along ? moved_marks[k].at.x : moved_marks[k].at.y) += error;
            if (auto moved = scale_of_marks(moved_marks, log)) scales.push_back(moved->scale);
        }
    }
    return scales;
}

}  // namespace gapwright
