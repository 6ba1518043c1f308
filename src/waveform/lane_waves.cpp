#include "waveform/lane_waves.hpp"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <memory>
#include <optional>
#include <span>
#include <stop_token>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "circuit/index.hpp"
#include "circuit/link_point.hpp"
#include "circuit/network.hpp"
#include "circuit/prepared.hpp"
#include "lanes/aligned_rows.hpp"
#include "lanes/kernel.hpp"
#include "lanes/wave_plan.hpp"
#include "waveform/schedule.hpp"
#include "waveform/strays.hpp"
#include "waveform/waveform.hpp"

namespace gapwright {
namespace {

using waveforms::Mover;
using waveforms::Piece;

constexpr double forever = std::numeric_limits<double>::infinity();
constexpr std::size_t most_steps = 4000;
constexpr double steps_of_wave = 100;  // a usual step is so much shorter than the whole

// A mover's voltage and resistance (of a leak its current) at an instant.
struct Figures {
    double voltage = 0;
    double resistance = 0;
};
Figures figures_of(const prepared::Element& element) {
    if (const auto* source = std::get_if<prepared::Source>(&element)) {
        return {source->voltage, source->resistance};
    }
    return {0, std::get<prepared::Leak>(element).current};
}

// Of a stretch: what a mover is at its beginning, and how fast it changes.
struct Line {
    Figures begin;
    Figures slope;
};
Line line_of(const Mover& mover, double from, double to) {
    const double middle = std::isfinite(to) ? 0.5 * (from + to) : from + 0.5;
    const Piece& piece = mover.piece_at(middle);
    Line line{.begin = figures_of(piece.at(from)), .slope = {}};
    if (!piece.moving) return line;
    const Figures start = figures_of(piece.start);
    const Figures end = figures_of(piece.end);
    const double length = piece.to - piece.from;
    line.slope = {(end.voltage - start.voltage) / length,
                  (end.resistance - start.resistance) / length};
    return line;
}

double surge_at(const Schedule& schedule, double from, double to) {
    const double middle = std::isfinite(to) ? 0.5 * (from + to) : from + 0.5;
    double sum = 0;
    for (const auto& surge : schedule.surges) {
        if (surge.at < middle && middle < surge.at + surge.length) sum += surge.slope;
    }
    return sum;
}

}  // namespace

struct LaneGroup::Rows {
    AlignedRows specimens;
    AlignedRows work;
    AlignedRows begins;
    AlignedRows moving;
    AlignedRows told;  // by probe: first, last, lowest, highest, crossed
    AlignedRows crossings;
    AlignedRows ends;
    std::size_t most_stretches = 0;
    std::size_t most_crossings = 0;
};

std::optional<LaneWaves> plan_lane_waves(const Circuit& circuit, const Schedule& schedule,
                                         const std::vector<WaveWatch>& watches,
                                         std::span<const double> values,
                                         const Conditions& conditions,
                                         const std::vector<StatePoint>& rest, double tolerance) {
    if (std::ranges::any_of(watches, &WaveWatch::trace)) return std::nullopt;
    const auto nominal = waveform(circuit, values, conditions, schedule, rest, watches, {});
    if (!nominal || !(nominal->end > 0)) return std::nullopt;
    const auto last = schedule.changes.empty() ? schedule.from : schedule.changes.back().to;
    LaneWaveRequest request{.from = to_index(schedule.from), .goal = to_index(last)};
    request.step = nominal->end / steps_of_wave;
    for (const Side side : {Side::input, Side::output}) {
        if (nominal->strays == Strays::none) break;
        const auto ringing =
            nominal->strays == Strays::all
                ? waveforms::windings_of(circuit, side)
                : waveforms::interrupted_windings(circuit, side, values, schedule, rest);
        for (const auto winding : ringing) request.ringing.emplace_back(side, winding);
    }
    request.winding_capacitance = winding_capacitance;
    if (nominal->strays == Strays::all) request.node_capacitance = waveforms::node_capacitance;
    for (const auto& mover : waveforms::movers_of(circuit, values, conditions, schedule)) {
        request.movers.emplace_back(mover.side, mover.element);
    }
    for (const auto& watch : watches) request.probes.push_back({watch.probe, watch.level});
    auto plan = plan_wave(circuit, request, values, conditions, rest);
    if (!plan) return std::nullopt;
    return LaneWaves{.circuit = &circuit,
                     .schedule = schedule,
                     .watches = watches,
                     .plan = std::move(*plan),
                     .tolerance = tolerance,
                     .strays = nominal->strays};
}

std::size_t lane_width(const std::string& kernel) {
    return kernel_named(kernel).width;
}

LaneGroup::LaneGroup(const LaneWaves& waves, const std::string& kernel)
    : waves_(waves), kernel_(kernel_named(kernel)), rows_(std::make_unique<Rows>()) {
    const std::size_t width = kernel_.width;
    const std::size_t probes = std::max<std::size_t>(1, waves.watches.size());
    // Each change may bounce five times, each edge ends; each surge and dip begins and ends.
    const std::size_t events = 2 * (waves.schedule.dips.size() + waves.schedule.surges.size()) +
                               12 * (waves.schedule.changes.size() + 1) * 2;
    rows_->most_stretches = events;
    rows_->most_crossings = 64 + 8 * waves.schedule.changes.size();
    rows_->specimens = aligned_rows(waves.plan.rest.figures() * width);
    rows_->work = aligned_rows(wave_work_rows(waves.plan) * width);
    rows_->begins = aligned_rows(events * width);
    rows_->moving = aligned_rows(events * (4 * waves.plan.movers.size() + 1) * width);
    rows_->told = aligned_rows(5 * probes * width);
    rows_->crossings = aligned_rows(2 * probes * rows_->most_crossings * width);
    rows_->ends = aligned_rows(2 * width);
}

LaneGroup::~LaneGroup() = default;

std::size_t LaneGroup::width() const {
    return kernel_.width;
}

double* LaneGroup::specimens() {
    return rows_->specimens.get();
}

std::vector<std::optional<Waveform>> LaneGroup::follow(std::size_t count,
                                                       const std::stop_token& stop) {
    const std::size_t width = kernel_.width;
    const std::size_t slots = waves_.plan.rest.slots;
    const std::size_t lines = 4 * waves_.plan.movers.size() + 1;
    double* rows = rows_->specimens.get();
    std::vector<bool> planned(width, true);
    std::vector<double> values(slots);
    std::size_t stretches = 0;
    std::fill_n(rows_->begins.get(), rows_->most_stretches * width, forever);
    for (std::size_t lane = 0; lane < width; ++lane) {
        if (lane >= count) {  // as the first: nothing new to wait for
            for (std::size_t r = 0; r < waves_.plan.rest.figures(); ++r) {
                rows[r * width + lane] = rows[r * width];
            }
        }
        for (std::size_t k = 0; k < slots; ++k) values[k] = rows[k * width + lane];
        const Conditions around{rows[slots * width + lane], rows[(slots + 1) * width + lane],
                                rows[(slots + 2) * width + lane]};
        const auto movers = waveforms::movers_of(*waves_.circuit, values, around, waves_.schedule);
        const auto breaks = waveforms::breaks_of(movers, waves_.schedule);
        if (breaks.size() > rows_->most_stretches || movers.size() != waves_.plan.movers.size()) {
            planned[lane] = false;
            continue;
        }
        stretches = std::max(stretches, breaks.size());
        for (std::size_t b = 0; b < breaks.size(); ++b) {
            const double from = breaks[b];
            const double to = b + 1 < breaks.size() ? breaks[b + 1] : forever;
            rows_->begins[b * width + lane] = from;
            double* at = rows_->moving.get() + b * lines * width + lane;
            for (const auto& mover : movers) {
                const Line line = line_of(mover, from, to);
                for (const double number : {line.begin.voltage, line.slope.voltage,
                                            line.begin.resistance, line.slope.resistance}) {
                    *at = number;
                    at += width;
                }
            }
            *at = surge_at(waves_.schedule, from, to);
        }
    }
    const std::size_t probes = std::max<std::size_t>(1, waves_.watches.size());
    double* told = rows_->told.get();
    std::atomic<bool> stopped = false;
    const std::stop_callback when_stopped(stop, [&] { stopped = true; });
    const std::uint64_t followed = kernel_.follow({.plan = &waves_.plan,
                                                   .specimens = rows,
                                                   .work = rows_->work.get(),
                                                   .stretches = stretches,
                                                   .begins = rows_->begins.get(),
                                                   .moving = rows_->moving.get(),
                                                   .tolerance = waves_.tolerance,
                                                   .longest = WaveOptions{}.longest,
                                                   .most_steps = most_steps,
                                                   .most_crossings = rows_->most_crossings,
                                                   .first = told,
                                                   .last = told + probes * width,
                                                   .lowest = told + 2 * probes * width,
                                                   .highest = told + 3 * probes * width,
                                                   .crossed = told + 4 * probes * width,
                                                   .crossings = rows_->crossings.get(),
                                                   .end = rows_->ends.get(),
                                                   .rested = rows_->ends.get() + width,
                                                   .steps = &steps_,
                                                   .iterations = &iterations_,
                                                   .stop = &stopped});
    std::vector<std::optional<Waveform>> waves(count);
    for (std::size_t lane = 0; lane < count; ++lane) {
        if (!planned[lane] || (followed >> lane & 1U) == 0) continue;
        Waveform wave;
        wave.strays = waves_.strays;
        for (std::size_t w = 0; w < waves_.watches.size(); ++w) {
            const auto row = [&](std::size_t r) { return told[(r * probes + w) * width + lane]; };
            wave.first.push_back(row(0));
            wave.last.push_back(row(1));
            wave.lowest.push_back(row(2));
            wave.highest.push_back(row(3));
            for (std::size_t c = 0; c < static_cast<std::size_t>(row(4)); ++c) {
                const double* at =
                    rows_->crossings.get() + 2 * (w * rows_->most_crossings + c) * width + lane;
                wave.crossings.push_back({w, at[0], at[width] != 0});
            }
        }
        std::ranges::stable_sort(wave.crossings, {}, &Crossing::at);
        wave.traces.resize(waves_.watches.size());
        wave.end = rows_->ends[lane];
        wave.rested = rows_->ends[width + lane] != 0;
        waves[lane] = std::move(wave);
    }
    return waves;
}

}  // namespace gapwright
