#include "report/wave_pictures.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <cmath>
#include <cstddef>
#include <functional>
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
#include "proof/wave_answer.hpp"
#include "report/html_report.hpp"
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

class WaveformDrawer {
  public:
    WaveformDrawer(const Link& link, const WaveAnswer& answer) : link_(link), answer_(answer) {
        plot_.title = answer.title;
        choose_span();
    }

    Picture draw() {
        emitters();
        lights();
        voltages();
        windings();
        for (const double edge : answer_.edges) {
            if (edge >= plot_.from && edge <= plot_.to) plot_.marks.push_back(edge);
        }
        return draw_waveforms(plot_);
    }

  private:
    // From a little before the drive's edge until what is told has happened, and a fifth more; of a
    // signal its last two pulses.
    void choose_span() {
        double last = 0;
        for (const auto& t : answer_.transitions) {
            // Half a swing and its slower half again.
            if (t.halfway) last = std::max(last, *t.halfway + t.edge_time.value_or(0));
        }
        for (const auto& i : answer_.instants) last = std::max(last, i.at.value_or(0));
        if (answer_.kind != WaveRequest::Kind::change || last <= 0) last = answer_.end;
        plot_.to = std::min(1.2 * last, answer_.end);
        plot_.from = -0.08 * plot_.to;
        if (answer_.kind == WaveRequest::Kind::signal && answer_.edges.size() >= 4) {
            const double period = answer_.edges[2] - answer_.edges[0];
            plot_.from = answer_.edges[answer_.edges.size() - 4] - 0.1 * period;
            plot_.to = std::min(answer_.end, answer_.edges.back() + 0.6 * period);
        }
    }

    // A curve with what was before the first change.
    std::vector<Point> points_of(const WaveCurve& curve) const {
        std::vector<Point> points = {{std::min(plot_.from, 0.0), curve.values.front()}};
        for (std::size_t k = 0; k < answer_.times.size(); ++k) {
            points.push_back({answer_.times[k], curve.values[k]});
        }
        return points;
    }

    static AxisRange axis_over(const std::vector<const WaveCurve*>& curves, std::string label,
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
    std::vector<const WaveCurve*> moving(const Wanted& wanted) const {
        std::vector<const WaveCurve*> found;
        double largest = 0;
        for (const auto& curve : answer_.curves) {
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

    void panel(const std::vector<const WaveCurve*>& curves, const std::string& label,
               std::vector<PlotLevel> levels = {}) {
        if (curves.empty()) return;
        WaveformPanel panel;
        panel.y = axis_over(curves, label, levels);
        panel.levels = std::move(levels);
        for (const auto* curve : curves) {
            const auto dot = curve->name.rfind('.');
            const bool node = curve->dimension == Dimension::voltage && dot != std::string::npos;
            panel.curves.push_back({curves.size() == 1 ? ""
                                    : node             ? short_name(curve->name)
                                                       : curve->name,
                                    "curve", points_of(*curve)});
        }
        plot_.panels.push_back(std::move(panel));
    }

    // "output.Q1.base" → "Q1.base".
    static std::string short_name(const std::string& name) {
        return name.substr(name.find('.') + 1);
    }

    void emitters() {
        panel(moving([&](const WaveCurve& c) {
                  const auto part = link_.find_part(c.name);
                  return part && link_.parts[*part].is_gap() && c.side == Side::input &&
                         c.dimension == Dimension::current;
              }),
              "emitter current");
    }

    void lights() {
        for (const auto& light : answer_.lights) {
            if (swing(light) <= (light.dimension == Dimension::current ? least_current : 0))
                continue;
            WaveformPanel panel{.y = axis_over({&light}, light.dimension == Dimension::current
                                                             ? "photocurrent"
                                                             : "light on the receiver"),
                                .curves = {},
                                .levels = {},
                                .light = true};
            panel.curves.push_back({"", "curve amber", points_of(light)});
            plot_.panels.push_back(std::move(panel));
            break;  // one stands for all gaps: they follow their emitters at once
        }
    }

    void voltages() {
        const auto curves = moving([](const WaveCurve& c) {
            return c.side == Side::output && c.dimension == Dimension::voltage;
        });
        // Where no node moves to speak of (an indicator in series with the receiver), the current.
        constexpr double small = 0.1;  // of the voltage
        if (!curves.empty() && swing(*curves[0]) < small * std::ranges::max(curves[0]->values)) {
            auto currents = moving([](const WaveCurve& c) {
                return c.side == Side::output && c.dimension == Dimension::current;
            });
            if (currents.empty()) return;
            currents.resize(1);
            const std::size_t at = plot_.panels.size();
            panel(currents, "current " + currents[0]->name);
            dimension_voltages(at, currents);
            return;
        }
        std::vector<PlotLevel> levels;
        for (const auto& i : answer_.instants) {
            const auto part = link_.find_part(i.part);
            if (!part || link_.parts[*part].description.kind != Kind::logic_input) continue;
            levels.push_back({i.level, i.part + " " + i.what});
        }
        for (const auto& s : answer_.signal) {
            levels.push_back(
                {s.level, "timed at " + engineering_short(s.level, Dimension::voltage)});
        }
        const std::size_t before = plot_.panels.size();
        panel(curves, curves.size() == 1 ? "voltage " + short_name(curves[0]->name) : "output side",
              levels);
        if (plot_.panels.size() == before) return;
        dimension_voltages(before, curves);
    }

    void dimension_voltages(std::size_t panel_index, const std::vector<const WaveCurve*>& curves) {
        for (const auto& i : answer_.instants) {
            const auto part = link_.find_part(i.part);
            if (!i.at || link_.parts[*part].description.kind != Kind::logic_input) continue;
            add(panel_index, 0, *i.at, i.level, i.part + " " + i.what);
        }
        if (!plot_.dimensions.empty()) return;
        for (const auto* curve : curves) {
            for (const auto& t : answer_.transitions) {
                if (t.name != curve->name || !t.halfway || *t.halfway <= 0) continue;
                add(panel_index, 0, *t.halfway, 0.5 * (t.before + t.after),
                    short_name(t.name) + " half-way");
            }
            if (plot_.dimensions.size() >= 2) break;
        }
        for (const auto& s : answer_.signal) {
            if (!s.pulse.arrives()) continue;
            add(panel_index, s.pulse.begin, s.pulse.begin + *s.pulse.begin_delay, s.level,
                "begins");
            add(panel_index, s.pulse.end, s.pulse.end + *s.pulse.end_delay, s.level, "ends");
        }
    }

    void add(std::size_t panel_index, double from, double to, double level,
             const std::string& what) {
        if (to - from < least_length * (plot_.to - plot_.from)) return;
        plot_.dimensions.push_back(
            {panel_index, from, to, level,
             fmt::format("{} {}", what, engineering(to - from, Dimension::time))});
    }

    void windings() {
        const auto curves = moving([&](const WaveCurve& c) {
            const auto part = link_.find_part(c.name);
            return part && c.side == Side::output && c.dimension == Dimension::current &&
                   link_.parts[*part].description.find(Key::inductance);
        });
        const std::size_t before = plot_.panels.size();
        panel(curves, curves.size() == 1 ? "current " + curves[0]->name : "windings");
        if (plot_.panels.size() == before) return;
        for (const auto& i : answer_.instants) {
            const auto part = link_.find_part(i.part);
            if (!i.at || link_.parts[*part].description.kind != Kind::coil) continue;
            const double current =
                i.level / link_.parts[*part].description.nominal(Key::resistance);
            add(before, 0, *i.at, current, i.part + " " + i.what);
        }
    }

    const Link& link_;
    const WaveAnswer& answer_;
    WaveformPlot plot_;
};

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
                            WaveformDrawer(link, answer).draw()});
    }
    for (std::size_t k = 0; k < answer.signal.size(); ++k) {
        if (!answer.signal[k].eye.starts.empty()) {
            pictures.push_back(eye_picture(link, answer.signal[k], k + 1));
        }
    }
    return pictures;
}

}  // namespace gapwright
