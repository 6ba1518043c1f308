// Curves of a part with their title above and their note beneath, clear of everything else.
#include "draw/curve_plot.hpp"

#include <gtest/gtest.h>

#include "plot_checks.hpp"

namespace gapwright {
namespace {

CurvePlot plot_with(const std::string& title, const std::string& note) {
    CurvePlot plot;
    plot.title = title;
    plot.description = "A line.";
    plot.note = note;
    plot.x = {.low = 0, .high = 10, .label = "collector–emitter voltage"};
    plot.y = {
        .low = 0, .high = 0.02, .dimension = Dimension::current, .label = "collector current"};
    plot.curves.push_back({"5 mA", "curve", {{0, 0}, {10, 0.015}}});
    return plot;
}

TEST(CurvePlot, LongTitlesTakeSeveralLinesAndOverlapNothing) {
    std::string title = "a-card-with-a-long-name: collector current against voltage";
    const std::size_t without = draw_curves(plot_with("", "")).text_boxes().size();
    std::size_t lines = 0;
    for (int k = 0; k < 3; ++k) {
        const auto picture = draw_curves(plot_with(title, "shaded: the spread · dots: measured"));
        expect_clear(picture);
        const std::size_t now = picture.text_boxes().size() - without - 1;
        EXPECT_GT(now, lines) << title;
        lines = now;
        for (const auto& box : picture.text_boxes()) {
            EXPECT_LE(box.right, picture.extent().right);
            EXPECT_LE(box.right - box.left, 480) << title;
        }
        title += "; a curve for each forward current, of several that are usual, 25 °C";
    }
}

}  // namespace
}  // namespace gapwright
