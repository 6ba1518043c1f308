#include "report/pictures/wave_pictures.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <cmath>
#include <cstddef>
#include <functional>
#include <iterator>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "circuit/index.hpp"
#include "draw/axes.hpp"
#include "draw/eye_plot.hpp"
#include "draw/level_lines.hpp"
#include "draw/picture.hpp"
#include "draw/waveform_plot.hpp"
#include "link/link.hpp"
#include "proof/timed/wave_answer.hpp"
#include "report/html/html_report.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

constexpr std::size_t most_curves = 3;  // of a panel
constexpr double least_swing = 0.02;    // of the panel's largest: what is drawn
constexpr double least_current = 1e-9;  // A: swings below are not drawn
constexpr double least_length = 0.02;   // of the span: what is dimensioned

double swing(const WaveCurve& curve) {
    const auto [low, high] = std::ranges::minmax(curve.values);
    return high - low;
}

using Curves = std::vector<const WaveCurve*>;

// Of time, in s.
struct Span {
    double from = 0;
    double to = 0;
};

// From a little before the drive's edge until what is told has happened, and a fifth more; of a
// signal its last two pulses.
Span span_of(const WaveAnswer& answer) {
    const auto& edges = answer.edges;
    if (answer.kind == WaveRequest::Kind::signal && edges.size() >= 4) {
        const double period = edges[2] - edges[0];
        return {edges[edges.size() - 4] - 0.1 * period,
                std::min(answer.end, edges.back() + 0.6 * period)};
    }
    double last = 0;
    for (const auto& t : answer.transitions) {
        // Half a swing and its slower half again.
        if (t.halfway) last = std::max(last, *t.halfway + t.edge_time.value_or(0));
    }
    for (const auto& i : answer.instants) last = std::max(last, i.at.value_or(0));
    if (answer.kind != WaveRequest::Kind::change || last <= 0) last = answer.end;
    const double to = std::min(1.2 * last, answer.end);
    return {-0.08 * to, to};
}

// A curve with what was before the first change.
std::vector<Point> points_of(const WaveAnswer& answer, const Span& span, const WaveCurve& curve) {
    std::vector<Point> points = {{std::min(span.from, 0.0), curve.values.front()}};
    for (std::size_t k = 0; k < answer.times.size(); ++k) {
        points.push_back({answer.times[k], curve.values[k]});
    }
    return points;
}

AxisRange axis_over(const Curves& curves, std::string label,
                    const std::vector<PlotLevel>& levels = {}) {
    double low = 0;
    double high = 0;
    for (const auto* curve : curves) {
        const auto [least, most] = std::ranges::minmax(curve->values);
        low = std::min(low, least);
        high = std::max(high, most);
    }
    for (const auto& level : levels) high = std::max(high, level.value);
    const double room = 0.08 * (high - low);
    return {.low = low < 0 ? low - room : low,
            .high = high + room,
            .dimension = curves.front()->dimension,
            .label = std::move(label)};
}

// The curves of a kind that move most, at most three.
template <class Wanted>
Curves moving(const WaveAnswer& answer, const Wanted& wanted) {
    Curves found;
    double largest = 0;
    for (const auto& curve : answer.curves) {
        if (!wanted(curve)) continue;
        found.push_back(&curve);
        largest = std::max(largest, swing(curve));
    }
    std::erase_if(found, [&](const WaveCurve* curve) {
        const double least = curve->dimension == Dimension::current ? least_current : 0;
        return largest <= least || swing(*curve) < least_swing * largest;
    });
    std::ranges::stable_sort(found, std::ranges::greater{},
                             [](const WaveCurve* curve) { return swing(*curve); });
    if (found.size() > most_curves) found.resize(most_curves);
    return found;
}

// "output.Q1.base" → "Q1.base".
std::string short_name(const std::string& name) {
    return name.substr(name.find('.') + 1);
}

// Curves in one panel, at least one, and what is told of their times.
struct Told {
    Curves curves = {};
    std::string label = {};
    std::vector<PlotLevel> levels = {};
    std::vector<WaveformDimension> dimensions = {};
};

WaveformPanel panel_of(const WaveAnswer& answer, const Span& span, const Told& told) {
    WaveformPanel panel{
        .y = axis_over(told.curves, told.label, told.levels), .curves = {}, .levels = told.levels};
    for (const auto* curve : told.curves) {
        const auto dot = curve->name.rfind('.');
        const bool node = curve->dimension == Dimension::voltage && dot != std::string::npos;
        panel.curves.push_back({told.curves.size() == 1 ? ""
                                : node                  ? short_name(curve->name)
                                                        : curve->name,
                                "curve", points_of(answer, span, *curve)});
    }
    return panel;
}

Told emitters(const Link& link, const WaveAnswer& answer) {
    return {.curves = moving(answer,
                             [&](const WaveCurve& c) {
                                 const auto part = link.find_part(c.name);
                                 return part && link.parts[*part].is_gap() &&
                                        c.side == Side::input && c.dimension == Dimension::current;
                             }),
            .label = "emitter current"};
}

// One stands for all gaps: they follow their emitters at once.
std::optional<WaveformPanel> light(const WaveAnswer& answer, const Span& span) {
    for (const auto& light : answer.lights) {
        const bool current = light.dimension == Dimension::current;
        if (swing(light) <= (current ? least_current : 0)) continue;
        return WaveformPanel{
            .y = axis_over({&light}, current ? "photocurrent" : "light on the receiver"),
            .curves = {{"", "curve amber", points_of(answer, span, light)}},
            .levels = {},
            .light = true};
    }
    return std::nullopt;
}

// Adds a length of time, unless it is too short to be seen.
void add_length(const Span& span, double from, double to, double level, const std::string& what,
                std::vector<WaveformDimension>& dimensions) {
    if (to - from < least_length * (span.to - span.from)) return;
    dimensions.push_back(
        {0, from, to, level, fmt::format("{} {}", what, engineering(to - from, Dimension::time))});
}

// When inputs follow; else when the curves are half-way, and a signal's pulses late.
std::vector<WaveformDimension> delays(const Link& link, const WaveAnswer& answer, const Span& span,
                                      const Curves& curves) {
    std::vector<WaveformDimension> found;
    for (const auto& i : answer.instants) {
        const auto part = link.find_part(i.part);
        if (!i.at || link.parts[*part].description.kind != Kind::logic_input) continue;
        add_length(span, 0, *i.at, i.level, i.part + " " + i.what, found);
    }
    if (!found.empty()) return found;
    for (const auto* curve : curves) {
        for (const auto& t : answer.transitions) {
            if (t.name != curve->name || !t.halfway || *t.halfway <= 0) continue;
            add_length(span, 0, *t.halfway, 0.5 * (t.before + t.after),
                       short_name(t.name) + " half-way", found);
        }
        if (found.size() >= 2) break;
    }
    for (const auto& s : answer.signal) {
        if (!s.pulse.arrives()) continue;
        add_length(span, s.pulse.begin, s.pulse.begin + *s.pulse.begin_delay, s.level, "begins",
                   found);
        add_length(span, s.pulse.end, s.pulse.end + *s.pulse.end_delay, s.level, "ends", found);
    }
    return found;
}

// Its voltages or, where no node moves to speak of (an indicator in series with the receiver), the
// current.
Told output_side(const Link& link, const WaveAnswer& answer, const Span& span) {
    const auto on_output = [&](Dimension dimension) {
        return moving(answer, [=](const WaveCurve& c) {
            return c.side == Side::output && c.dimension == dimension;
        });
    };
    Told told{.curves = on_output(Dimension::voltage)};
    if (told.curves.empty()) return told;
    const WaveCurve& first = *told.curves.front();
    constexpr double small = 0.1;  // of the voltage
    if (swing(first) < small * std::ranges::max(first.values)) {
        told.curves = on_output(Dimension::current);
        if (told.curves.empty()) return told;
        told.curves.resize(1);
        told.label = "current " + told.curves.front()->name;
    } else {
        told.label = told.curves.size() == 1 ? "voltage " + short_name(first.name) : "output side";
        for (const auto& i : answer.instants) {
            const auto part = link.find_part(i.part);
            if (!part || link.parts[*part].description.kind != Kind::logic_input) continue;
            told.levels.push_back({i.level, i.part + " " + i.what});
        }
        for (const auto& s : answer.signal) {
            told.levels.push_back(
                {s.level, "timed at " + engineering_short(s.level, Dimension::voltage)});
        }
    }
    told.dimensions = delays(link, answer, span, told.curves);
    return told;
}

Told windings(const Link& link, const WaveAnswer& answer, const Span& span) {
    Told told{.curves = moving(answer, [&](const WaveCurve& c) {
                  const auto part = link.find_part(c.name);
                  return part && c.side == Side::output && c.dimension == Dimension::current &&
                         link.parts[*part].description.find(Key::inductance);
              })};
    if (told.curves.empty()) return told;
    told.label = told.curves.size() == 1 ? "current " + told.curves.front()->name : "windings";
    for (const auto& i : answer.instants) {
        const auto part = link.find_part(i.part);
        if (!i.at || link.parts[*part].description.kind != Kind::coil) continue;
        const double current = i.level / link.parts[*part].description.nominal(Key::resistance);
        add_length(span, 0, *i.at, current, i.part + " " + i.what, told.dimensions);
    }
    return told;
}

Picture waveform_picture(const Link& link, const WaveAnswer& answer) {
    const Span span = span_of(answer);
    WaveformPlot plot{.title = answer.title,
                      .description = {},
                      .from = span.from,
                      .to = span.to,
                      .panels = {},
                      .dimensions = {},
                      .marks = {}};
    const auto add = [&](const Told& told) {
        if (told.curves.empty()) return;
        for (WaveformDimension dimension : told.dimensions) {
            dimension.panel = plot.panels.size();
            plot.dimensions.push_back(std::move(dimension));
        }
        plot.panels.push_back(panel_of(answer, span, told));
    };
    add(emitters(link, answer));
    if (auto panel = light(answer, span)) plot.panels.push_back(std::move(*panel));
    add(output_side(link, answer, span));
    add(windings(link, answer, span));
    std::ranges::copy_if(answer.edges, std::back_inserter(plot.marks),
                         [&](double edge) { return edge >= span.from && edge <= span.to; });
    return draw_waveforms(plot);
}

std::string file_name(const std::string& title) {
    std::string name = "waveforms";
    bool gap = true;
    for (const char c : title) {
        const bool plain = std::isalnum(static_cast<unsigned char>(c)) != 0;
        if (plain && gap) name += '-';
        if (plain) name += c;
        gap = !plain;
    }
    return name;
}

NamedPicture eye_picture(const Link& link, const SignalAnswer& s, std::size_t number) {
    double low = 0;
    double high = 0;
    for (const double value : s.pattern.values) {
        low = std::min(low, value);
        high = std::max(high, value);
    }
    EyePlot plot{.title = fmt::format("Eye at {}", s.quantity),
                 .bit = s.bit,
                 .y = {.low = low,
                       .high = high + 0.08 * (high - low),
                       .dimension = Dimension::voltage,
                       .label = s.quantity},
                 .traces = {},
                 .sampling = std::fmod(0.5 * s.bit + s.eye.delay, s.bit) + 0.5 * s.bit,
                 .lowest_high = s.eye.lowest_high,
                 .highest_low = s.eye.highest_low,
                 .levels = {}};
    // Each bit with half of its neighbours, placed so that it is sampled where the plot says.
    const double shift = 0.5 * s.bit + s.eye.delay - plot.sampling;
    for (const double start : s.eye.starts) {
        std::vector<Point> trace;
        const double from = start + shift;
        const double to = from + 2 * s.bit;
        trace.push_back({0, s.pattern.at(from)});
        for (std::size_t k = 0; k < s.pattern.times.size(); ++k) {
            const double t = s.pattern.times[k];
            if (t > from && t < to) trace.push_back({t - from, s.pattern.values[k]});
        }
        trace.push_back({2 * s.bit, s.pattern.at(to)});
        plot.traces.push_back(std::move(trace));
    }
    const double rate = 1 / s.bit;
    return {fmt::format("eye-{}", number),
            fmt::format("{}: the eye of {} at {}, every group of five bits once", link.title,
                        s.quantity, engineering_short(rate, Dimension::signalling_rate)),
            draw_eye(plot)};
}

}  // namespace

std::vector<NamedPicture> wave_pictures(const Link& link, const WaveAnswer& answer) {
    std::vector<NamedPicture> pictures;
    if (answer.times.size() > 1) {
        pictures.push_back({file_name(answer.title),
                            fmt::format("{}: {}, nominal specimen", link.title, answer.title),
                            waveform_picture(link, answer)});
    }
    for (std::size_t k = 0; k < answer.signal.size(); ++k) {
        if (!answer.signal[k].eye.starts.empty()) {
            pictures.push_back(eye_picture(link, answer.signal[k], k + 1));
        }
    }
    return pictures;
}

}  // namespace gapwright
