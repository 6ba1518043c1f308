#include "report/text/sweep_report.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <string>
#include <vector>

#include "draw/picture.hpp"
#include "draw/trade_off_plot.hpp"
#include "proof/timed/value_sweep.hpp"
#include "proof/verdict.hpp"
#include "report/html/html_report.hpp"
#include "report/json/json_parts.hpp"
#include "report/json/ordered_json.hpp"
#include "report/text/text_table.hpp"
#include "report/text/verdict_text.hpp"
#include "report/words/words.hpp"
#include "time/timed_measure.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

bool is_never(const SweptPromise& promise, double value) {
    return promise.dimension == Dimension::time && value >= never;
}

std::string shown(const SweptPromise& promise, double value) {
    if (is_never(promise, value)) return "never";
    return promise.dimension == Dimension::ratio ? percent(value, 3)
                                                 : engineering(value, promise.dimension);
}

std::string shown_bound(const SweptPromise& promise) {
    return (promise.sense == Sense::at_most ? "at most " : "at least ") +
           (promise.dimension == Dimension::ratio
                ? percent(promise.bound, 3)
                : engineering_short(promise.bound, promise.dimension));
}

std::string ohms(double value) {
    return engineering_short(value, Dimension::resistance, 3);
}

// Points of a curve up to where it leaves the paper.
std::vector<Point> points_of(const ValueSweep& sweep, const SweptPromise& promise,
                             const std::vector<double>& values, double top) {
    std::vector<Point> points;
    for (std::size_t k = 0; k < values.size(); ++k) {
        if (is_never(promise, values[k])) continue;
        points.push_back({sweep.ohms[k], std::min(values[k], top)});
    }
    return points;
}

// So high that the bound and what lies about it can be told apart.
double top_of(const ValueSweep& sweep, const SweptPromise& promise) {
    double top = 1.25 * std::abs(promise.bound);
    const std::size_t own = sweep.ohms.size() / 2;
    for (const auto* values : {&promise.nominal, &promise.worst}) {
        if (!is_never(promise, (*values)[own])) top = std::max(top, 1.25 * (*values)[own]);
        const double last = values->back();
        if (!is_never(promise, last)) top = std::max(top, std::min(1.05 * last, 3 * promise.bound));
    }
    return top;
}

}  // namespace

std::string sweep_text(const Link& link, const ValueSweep& sweep, const TextStyle& style) {
    std::string text = fmt::format("{}: what {} does, {} in the link\n", shown_title(link),
                                   sweep.part, ohms(sweep.own));
    for (const auto& promise : sweep.promises) {
        text += "\n" +
                shown_heading(fmt::format("{}, {}: {}", promise.quantity, promise.state,
                                          shown_bound(promise)),
                              style.colour) +
                "\n";
        Table table({true, true, true, false});
        table.add({sweep.part, "nominal", "worst", ""});
        for (std::size_t k = 0; k < sweep.ohms.size(); k += 2) {  // ten a decade say enough
            const bool holds = reserve_left(promise.worst[k], promise.bound, promise.sense) >= 0;
            const bool own = k == sweep.ohms.size() / 2;
            table.add({ohms(sweep.ohms[k]), shown(promise, promise.nominal[k]),
                       shown(promise, promise.worst[k]),
                       std::string(holds ? "holds" : "breaks") + (own ? ", the link's own" : "")});
        }
        text += table.text();
    }
    text += "\n";
    text += sweep.kept_from ? fmt::format("  every promise holds from about {} to {}\n",
                                          ohms(*sweep.kept_from), ohms(*sweep.kept_to))
                            : fmt::format("  not every promise holds with {}\n", ohms(sweep.own));
    text +=
        "  worst: of the specimens that are worst with a third, once and three times the value\n";
    return text;
}

std::string sweep_json(const Link& link, const ValueSweep& sweep) {
    const auto list = [](const SweptPromise& promise, const std::vector<double>& values) {
        Json array = Json::array();
        for (const double v : values) array.push_back(is_never(promise, v) ? Json() : Json(v));
        return array;
    };
    Json promises = Json::array();
    for (const auto& p : sweep.promises) {
        promises.push_back({{"state", p.state},
                            {"quantity", p.quantity},
                            {p.sense == Sense::at_most ? "at_most" : "at_least", p.bound},
                            {"nominal", list(p, p.nominal)},
                            {"worst", list(p, p.worst)}});
    }
    return text_of({{"title", link.title},
                    {"part", sweep.part},
                    {"own", sweep.own},
                    {"values", sweep.ohms},
                    {"promises", promises},
                    {"kept_from", optional_json(sweep.kept_from)},
                    {"kept_to", optional_json(sweep.kept_to)}});
}

std::vector<NamedPicture> sweep_pictures(const Link& link, const ValueSweep& sweep) {
    std::vector<NamedPicture> pictures;
    for (std::size_t p = 0; p < sweep.promises.size(); ++p) {
        const SweptPromise& promise = sweep.promises[p];
        const double top = top_of(sweep, promise);
        TradeOffPlot plot{
            .title = fmt::format("{} against {}", promise.quantity, sweep.part),
            .x = {.low = sweep.ohms.front(),
                  .high = sweep.ohms.back(),
                  .dimension = Dimension::resistance,
                  .label = sweep.part,
                  .logarithmic = true},
            .y = {.low = 0,
                  .high = top,
                  .dimension = promise.dimension,
                  .label = promise.dimension == Dimension::time ? "delay, " + promise.quantity
                                                                : promise.quantity},
            .curves = {},
            .bound = TradeOffBound{.y = promise.bound,
                                   .label = shown_bound(promise),
                                   .at_least = promise.sense == Sense::at_least},
            .marks = {},
            .kept = {}};
        plot.y.percent = promise.dimension == Dimension::ratio;
        plot.curves.push_back(
            {"nominal", "curve", points_of(sweep, promise, promise.nominal, top)});
        plot.curves.push_back(
            {"worst", "curve weak", points_of(sweep, promise, promise.worst, top)});
        const double own = promise.worst[sweep.ohms.size() / 2];
        if (!is_never(promise, own)) {
            plot.marks.push_back({sweep.part + " = " + ohms(sweep.own), {sweep.own, own}});
        }
        if (sweep.kept_from) plot.kept = TradeOffRange{*sweep.kept_from, *sweep.kept_to};
        pictures.push_back({fmt::format("trade-off-{}-{}", sweep.part, p + 1),
                            fmt::format("{}: {}, {}, against {}", link.title, promise.quantity,
                                        promise.state, sweep.part),
                            draw_trade_off(plot)});
    }
    return pictures;
}

}  // namespace gapwright
