#include "draw/level_lines.hpp"

#include <algorithm>
#include <cstddef>
#include <vector>
#include "draw/axes.hpp"
#include "draw/picture.hpp"

namespace gapwright {
namespace {

constexpr double size = 11;
constexpr double lead = 12;   // from the paper to a label
constexpr double pitch = 14;  // between labels

}  // namespace

double level_margin(const std::vector<PlotLevel>& levels) {
    double widest = 0;
    for (const auto& level : levels) {
        widest = std::max(widest, lead + text_width(level.label, size));
    }
    return widest;
}

double level_height(const std::vector<PlotLevel>& levels) {
    return pitch * static_cast<double>(levels.size());
}

void draw_levels(Picture& picture, const Axes& axes, const std::vector<PlotLevel>& levels) {
    struct Row {
        double line;   // where the level lies
        double words;  // where its label stands
        const PlotLevel* level;
    };
    std::vector<Row> rows;
    for (const auto& level : levels) {
        if (!(level.value >= axes.y().low && level.value <= axes.y().high)) continue;
        const double y = axes.at(axes.x().low, level.value).y;
        rows.push_back({y, y, &level});
    }
    std::ranges::stable_sort(rows, {}, &Row::line);
    const Box& paper = axes.paper();
    // Down from the top, each clear of the one above; then up from the bottom what went too far.
    double free_from = paper.top;
    for (auto& row : rows) {
        row.words = std::max(row.line, free_from);
        free_from = row.words + pitch;
    }
    double free_to = paper.bottom;
    for (std::size_t k = rows.size(); k-- > 0;) {
        rows[k].words = std::min(rows[k].words, free_to);
        free_to = rows[k].words - pitch;
    }
    for (const auto& row : rows) {
        picture.line({{paper.left, row.line}, {paper.right, row.line}}, "level");
        picture.line({{paper.right, row.line}, {paper.right + lead - 4, row.words}}, "thin");
        picture.text({paper.right + lead, row.words + 4}, row.level->label, "small", Anchor::start,
                     size);
    }
}

}  // namespace gapwright
