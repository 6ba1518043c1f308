#include "report/pictures/design_pictures.hpp"

#include <fmt/format.h>
#include <vector>

#include "design/design.hpp"
#include "draw/value_window.hpp"
#include "report/html/html_report.hpp"
#include "report/words/design_words.hpp"

namespace gapwright {
namespace {

ValueWindowRow row_of(const ChosenValue& v, const ValueWindow& w) {
    ValueWindowRow row{.part = v.part,
                       .taken_text = v.text,
                       .taken = v.value.nominal,
                       .lowest = w.lowest,
                       .highest = w.highest,
                       .holds_from = w.open_below ? w.lowest : rounded_up(w.holds_from),
                       .holds_to = w.open_above ? w.highest : rounded_down(w.holds_to),
                       .ends_below = w.open_below ? "" : w.ends_below,
                       .ends_above = w.open_above ? "" : w.ends_above,
                       .candidates = {}};
    if (!holds_somewhere(w)) {
        row.holds_from = w.holds_from;
        row.holds_to = w.holds_to;
    }
    for (const auto& c : v.around) row.candidates.push_back(c.ohms);
    return row;
}

}  // namespace

std::vector<NamedPicture> design_pictures(const Design& design) {
    std::vector<NamedPicture> pictures;
    if (design.answers.empty()) return pictures;
    const std::string title = design.title.empty() ? "Design" : design.title;
    ValueWindowPlot plot{.title = fmt::format("{}: values with which everything holds", title),
                         .rows = {}};
    for (const auto& value : design.answers.front().values) {
        if (value.window) plot.rows.push_back(row_of(value, *value.window));
    }
    if (!plot.rows.empty()) {
        pictures.push_back({"value-windows",
                            "The values of each resistor with which everything holds, the others "
                            "as chosen; hatched: what does not",
                            draw_value_windows(plot)});
    }
    return pictures;
}

}  // namespace gapwright
