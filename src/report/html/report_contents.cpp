#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <set>
#include <string_view>
#include <utility>
#include <vector>

#include "draw/picture.hpp"
#include "draw/plots.hpp"
#include "draw/schematic.hpp"
#include "population/survey.hpp"
#include "proof/curves.hpp"
#include "proof/proof.hpp"
#include "proof/timed/wave_answer.hpp"
#include "proof/verdict.hpp"
#include "report/html/html_report.hpp"
#include "report/pictures/margin_rows.hpp"
#include "report/pictures/schematic_view.hpp"
#include "report/pictures/wave_pictures.hpp"
#include "report/words/words.hpp"
#include "units/dimension.hpp"

namespace gapwright {
namespace {

std::vector<NamedPicture> margins(const Proof& proof) {
    std::vector<MarginRow> promises;
    for (const auto& p : proof.promises) {
        if (!has_bar(p)) continue;  // the table says it
        promises.push_back(margin_row(p));
    }
    std::vector<MarginRow> ratings;
    for (const auto& r : decisive_ratings(proof)) {
        ratings.push_back(margin_row(r));
    }
    // The tightest first; a long tail of ample ones says little.
    constexpr std::size_t most = 16;
    std::ranges::stable_sort(ratings, {}, [](const MarginRow& r) {
        const Sense sense = r.at_least ? Sense::at_least : Sense::at_most;
        return reserve_left(r.worst, r.bound, sense);
    });
    if (ratings.size() > most) ratings.resize(most);
    std::vector<NamedPicture> pictures;
    if (!promises.empty()) {
        pictures.push_back({"margins-promises", "Promises: worst value found against the bound",
                            draw_margins("Margins of the promises", promises)});
    }
    if (!ratings.empty()) {
        pictures.push_back({"margins-ratings",
                            "Ratings, each in its tightest state: the tightest first",
                            draw_margins("Margins of the ratings", ratings)});
    }
    return pictures;
}

std::vector<Point> plotted(const Curve& curve) {
    std::vector<Point> points;
    for (const auto& p : curve.points) points.push_back({p.x, p.y});
    return points;
}

NamedPicture load_line_picture(const LoadLines& lines) {
    double voltage = 0;
    double current = 0;
    for (const auto& p : lines.load.points) voltage = std::max(voltage, p.x);
    for (const auto& p : lines.load.points) current = std::max(current, p.y);
    for (const auto& [state, at] : lines.states) current = std::max(current, at.y);
    const bool receiver = lines.own.size() > 1;
    LoadLinePlot plot{.title = fmt::format("Load line of {}", lines.part),
                      .x = {.low = 0,
                            .high = voltage,
                            .dimension = Dimension::voltage,
                            .label = receiver ? "voltage across the receiver" : "forward voltage"},
                      .y = {.low = 0,
                            .high = std::max(1.25 * current, 1e-9),
                            .dimension = Dimension::current,
                            .label = receiver ? "current through the receiver" : "forward current"},
                      .curves = {},
                      .marks = {},
                      .largest_x = lines.largest_voltage,
                      .largest_y = lines.largest_current};
    for (const auto& own : lines.own) {
        const std::string css = own.label == "weakest"     ? "curve amber weak"
                                : own.label == "strongest" ? "curve amber strong"
                                                           : "curve amber";
        plot.curves.push_back({own.label, css, plotted(own)});
    }
    plot.curves.push_back({lines.load.label, "curve", plotted(lines.load)});
    for (const auto& [state, at] : lines.states) plot.marks.push_back({state, {at.x, at.y}});
    return {"load-line-" + lines.part,
            receiver
                ? fmt::format("{}: weakest (end of life), nominal and strongest specimen, and "
                              "the load's line",
                              lines.part)
                : fmt::format("{}: the emitter's curve and what the input side gives", lines.part),
            draw_load_lines(plot)};
}

// The histogram's ranges that hold specimens, a few of them to a bar.
void add_bars(const Histogram& histogram, HistogramPlot& plot) {
    constexpr std::size_t most_bars = 44;
    const auto& counts = histogram.counts;
    const auto held = [](std::uint64_t count) { return count > 0; };
    const auto first = std::ranges::find_if(counts, held);
    const auto last = std::ranges::find_if(counts.rbegin(), counts.rend(), held).base();
    if (first == counts.end()) return;
    const auto used = static_cast<std::size_t>(last - first);
    const std::size_t together = (used + most_bars - 1) / most_bars;
    const double range = (histogram.high - histogram.low) / static_cast<double>(counts.size());
    plot.first = histogram.low + range * static_cast<double>(first - counts.begin());
    plot.bar = range * static_cast<double>(together);
    plot.counts.assign((used + together - 1) / together, 0);
    for (std::size_t k = 0; k < used; ++k) {
        plot.counts[k / together] += first[static_cast<std::ptrdiff_t>(k)];
    }
}

std::optional<NamedPicture> histogram(const PromiseResult& p, std::size_t number) {
    if (p.samples == 0) return std::nullopt;
    HistogramPlot plot;
    plot.title = fmt::format("{} in state {}", p.quantity, p.state);
    plot.specimens = p.samples;
    plot.at_least = p.at_least;
    plot.at_most = p.at_most;
    plot.nominal = p.nominal;
    add_bars(p.histogram, plot);
    const double end = plot.first + plot.bar * static_cast<double>(plot.counts.size());
    double low = plot.counts.empty() ? p.nominal : std::min(p.nominal, plot.first);
    double high = plot.counts.empty() ? p.nominal : std::max(p.nominal, end);
    for (const auto& bound : {p.at_least, p.at_most}) {
        // A bound far off would press the specimens into one bar; it is told in words then.
        if (!bound || std::abs(*bound - p.nominal) > 4 * (high - low) + 1e-300) continue;
        low = std::min(low, *bound);
        high = std::max(high, *bound);
    }
    const double room = std::max(0.06 * (high - low), 1e-12 + 1e-6 * std::abs(high));
    plot.x.low = low - room;
    plot.x.high = high + room;
    plot.x.dimension = p.dimension;
    plot.x.label = p.quantity;
    // All alike, or as good as: one bar, as thin as can be seen.
    constexpr double least_width = 0.03;  // of the plot
    const double width = plot.x.high - plot.x.low;
    if (plot.bar * static_cast<double>(plot.counts.size()) < least_width * width) {
        const double middle = plot.counts.empty() ? p.nominal : 0.5 * (plot.first + end);
        plot.bar = 0.01 * width;
        plot.first = middle - plot.bar / 2;
        plot.counts = {p.samples};
    }
    return NamedPicture{fmt::format("histogram-{}", number + 1), plot.title, draw_histogram(plot)};
}

// The nominal link in every change that a promise speaks of, and its signal. What cannot be
// followed is left out: the proof has told why.
std::vector<NamedPicture> in_time(const Link& link, const LinkCircuit& circuit) {
    std::vector<WaveRequest> requests;
    std::set<std::pair<std::size_t, std::size_t>> changes;
    for (const auto& promise : link.promises) {
        if (!promise.before || !changes.insert({*promise.before, promise.state}).second) continue;
        requests.push_back({.before = *promise.before, .after = promise.state});
    }
    if (link.signal) requests.push_back({.kind = WaveRequest::Kind::signal});
    std::vector<NamedPicture> pictures;
    for (const auto& request : requests) {
        const auto answer = wave_answer(link, circuit, request);
        if (!answer) continue;
        for (auto& picture : wave_pictures(link, *answer)) pictures.push_back(std::move(picture));
    }
    return pictures;
}

std::vector<NamedPicture> life(const Link& link, const LinkCircuit& circuit) {
    const LifeCurves curves = life_curves(link, circuit);
    if (curves.years.empty()) return {};
    LifePlot plot{.title = "Life", .years = curves.years, .curves = {}};
    for (const auto& c : curves.light) plot.curves.push_back({c.label, "curve amber", plotted(c)});
    constexpr std::array<std::string_view, 3> dashes = {"curve", "curve weak", "curve strong"};
    for (std::size_t k = 0; k < curves.promises.size(); ++k) {
        const auto& c = curves.promises[k];
        plot.curves.push_back({c.label, std::string(dashes[k % dashes.size()]), plotted(c)});
    }
    std::vector<NamedPicture> pictures;
    pictures.push_back(
        {"life", "Light and the promises' reserve over the years, nominal parts", draw_life(plot)});
    return pictures;
}

}  // namespace

std::vector<const NamedPicture*> ReportContents::all() const {
    std::vector<const NamedPicture*> pictures;
    for (const auto* list : {&schematics, &margins, &load_lines, &waveforms, &histograms, &life}) {
        for (const auto& picture : *list) pictures.push_back(&picture);
    }
    return pictures;
}

ReportContents report_contents(const Link& link, const LinkCircuit& circuit, const Proof& proof) {
    ReportContents contents;
    for (std::size_t s = 0; s < proof.states.size(); ++s) {
        contents.schematics.push_back(
            {"schematic-" + proof.states[s].name,
             fmt::format("State {}: beside each part its current, at each node its voltage, "
                         "nominal and below it lowest … highest of all specimens "
                         "solved",
                         proof.states[s].name),
             draw_schematic(schematic_view(link, proof, s))});
    }
    contents.margins = margins(proof);
    for (const auto& lines : load_lines(link, circuit)) {
        contents.load_lines.push_back(load_line_picture(lines));
    }
    for (std::size_t p = 0; p < proof.promises.size(); ++p) {
        if (auto picture = histogram(proof.promises[p], p)) {
            contents.histograms.push_back(std::move(*picture));
        }
    }
    contents.life = life(link, circuit);
    contents.waveforms = in_time(link, circuit);
    return contents;
}

}  // namespace gapwright
