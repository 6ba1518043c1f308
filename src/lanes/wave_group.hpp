// The kernels' common code in time: a link followed for one group of specimens, one a lane, each at
// its own steps. A template over the instruction set, included only by the kernels' files; as in
// group_solver.hpp nothing here may leave code behind for the rest of the program.
#pragma once

#include <atomic>
#include <cstddef>
#include <cstdint>
#include <limits>

#include "lanes/group_solver.hpp"
#include "lanes/kernel.hpp"
#include "lanes/lane_pace.hpp"
#include "lanes/number.hpp"
#include "lanes/one_step.hpp"
#include "lanes/plan.hpp"
#include "lanes/wave_link.hpp"
#include "lanes/wave_plan.hpp"

namespace gapwright {

// Hands out rows of scratch memory, one piece after the other.
template <class Arch>
struct RowsOf {
    Lanes<Arch>* next;
    Lanes<Arch>* operator()(std::size_t rows) {
        Lanes<Arch>* taken = next;
        next += rows;
        return taken;
    }
};

template <class Arch>
class WaveGroup {
    using L = Lanes<Arch>;
    using Mask = typename L::Mask;
    static constexpr std::size_t width = L::width;
    static constexpr double infinity = std::numeric_limits<double>::infinity();
    static constexpr double aim = 0.85;  // of the step that the error would just allow

  public:
    explicit WaveGroup(const WaveTask& task)
        : task_(task),
          plan_(*task.plan),
          rows_{reinterpret_cast<L*>(task.work) + work_rows(task.plan->rest)},
          link_(task, [this](std::size_t rows) { return rows_(rows); }),
          probes_(
              reinterpret_cast<ProbeRows<Arch>*>(rows_(task.plan->probes.size() * rows_of_probe))),
          pace_(task, link_.moving(), probes_) {}

    // Returns the lanes that were followed to their end, lowest bit first.
    std::uint64_t run() {
        begin(link_.stand_at_rest());
        for (std::size_t n = 0; n < task_.most_steps; ++n) {
            const Mask active = is_set(pace_.of.active);
            if (!any(active)) break;
            if (task_.stop && task_.stop->load(std::memory_order_relaxed)) break;
            if (task_.steps) ++*task_.steps;
            step(active);
        }
        finish();
        std::uint64_t followed = 0;
        for (std::size_t k = 0; k < width; ++k) {
            if (pace_.of.done[k] != 0) followed |= std::uint64_t{1} << k;
        }
        return followed;
    }

  private:
    static L lane(const double (&numbers)[width]) { return L::load(numbers); }
    static Mask is_set(const double (&flags)[width]) { return L::load(flags) > L(0.5); }
    L probed(std::size_t p) const { return link_.probed(plan_.probes.data()[p].probe); }

    void begin(std::uint64_t settled) {
        for (std::size_t p = 0; p < plan_.probes.size(); ++p) {
            const L value = probed(p);
            probes_[p] = {value, value, value, value, value, value, value, value, value, L(0.0)};
        }
        for (std::size_t k = 0; k < width; ++k) {
            const bool planned = task_.begins[k] < infinity;
            pace_.of.active[k] = planned && (settled >> k & 1U) != 0 ? 1 : 0;
            pace_.of.done[k] = 0;
            pace_.of.previous[k] = 0;
            pace_.enter(k, 0);
        }
    }

    // One step of all active lanes: its stages, its error, what becomes of it.
    void step(const Mask& active) {
        const auto& of = pace_.of;
        const L length = lane(of.step);
        const L previous = lane(of.previous);
        const L ratio = minimum(length / maximum(previous, L(1e-300)), L(2.0));
        const StepOf<Arch> step{.length = length,
                                .per = 1.0 / (length * one_step::diagonal),
                                .since = lane(of.since),
                                .ratio = choose(previous > L(0.0), ratio, L(0.0)),
                                .surge = lane(of.surge),
                                .jumping = is_set(of.jumping)};
        Mask solved = active;
        for (std::size_t s = 0; s < one_step::stages && any(solved); ++s) {
            solved = link_.stage(s, step, solved);
        }
        const L error = link_.error_of(step, solved);
        for (std::size_t p = 0; p < plan_.probes.size(); ++p) probes_[p].candidate = probed(p);
        conclude(active, solved, error);
    }

    // What becomes of a step, lane by lane.
    void conclude(const Mask& active, const Mask& solved, const L& error) {
        alignas(lane_alignment) double errors[width];
        error.store(errors);
        alignas(lane_alignment) double is_solved[width];
        choose(solved, L(1.0), L(0.0)).store(is_solved);
        alignas(lane_alignment) double taken[width];
        alignas(lane_alignment) double growth[width];
        minimum(pow(maximum(error, L(1e-30)), L(-1.0 / one_step::error_order)) * aim, L(1e6))
            .store(growth);
        for (std::size_t k = 0; k < width; ++k) {
            taken[k] = 0;
            if (pace_.of.active[k] == 0) continue;
            taken[k] = pace_.judge(k, is_solved[k] != 0, errors[k], growth[k]) ? 1 : 0;
        }
        const Mask take = is_set(taken) & active;
        if (any(take)) accept(take, taken);
        rest(take, taken);
    }

    // Takes the step over where `take` says so.
    void accept(const Mask& take, const double (&taken)[width]) {
        link_.accept(take);
        // A probe jumps over its level at once.
        for (std::size_t k = 0; k < width; ++k) {
            if (taken[k] == 0 || pace_.of.jumping[k] == 0) continue;
            for (std::size_t p = 0; p < plan_.probes.size(); ++p) {
                if (pace_.passed(p, k))
                    pace_.note_crossing(k, p, pace_.of.begun[k] + pace_.of.since[k]);
            }
        }
        const L step = lane(pace_.of.step);
        const L previous = lane(pace_.of.previous);
        for (std::size_t p = 0; p < plan_.probes.size(); ++p) {
            ProbeRows<Arch>& probe = probes_[p];
            const L turned = peak(probe, previous, step);
            const L low = minimum(minimum(probe.lowest, probe.candidate), turned);
            const L high = maximum(maximum(probe.highest, probe.candidate), turned);
            probe.lowest = choose(take, low, probe.lowest);
            probe.highest = choose(take, high, probe.highest);
            probe.before = choose(take, probe.now, probe.before);
            probe.now = choose(take, probe.candidate, probe.now);
        }
        for (std::size_t k = 0; k < width; ++k) {
            if (taken[k] != 0) pace_.go_on(k);
        }
    }

    // The top of the parabola through the last three values, where the middle one is the highest or
    // lowest of them; never further from it than a quarter of the larger way to its neighbours (an
    // eighth where steps are equal), since what turns after a long step and a short one is no
    // parabola. Ways within the tolerance turn nothing.
    L peak(const ProbeRows<Arch>& probe, const L& previous, const L& step) const {
        const L before = probe.now - probe.before;
        const L after = probe.candidate - probe.now;
        const L both = previous + step;
        const L slope_before = before / maximum(previous, L(1e-300));
        const L slope_after = after / step;
        const L bend = (slope_after - slope_before) / both;
        const L slope = (slope_before * step + slope_after * previous) / both;
        const L told = (abs(probe.now) + 0.1) * (10 * task_.tolerance);
        const Mask turns = (before * after < L(0.0)) & (previous > L(0.0)) & (abs(before) > told) &
                           (abs(after) > told);
        const L most = maximum(abs(before), abs(after)) * 0.25;
        const L beyond = minimum(maximum(slope * slope / (bend * 4.0), -most), most);
        return choose(turns, probe.now - beyond, probe.now);
    }

    // Lanes whose last stretch has come to rest, or has lasted long enough, are done.
    void rest(const Mask& take, const double (&taken)[width]) {
        bool last = false;
        for (std::size_t k = 0; k < width; ++k) {
            last = last ||
                   (taken[k] != 0 && pace_.of.active[k] != 0 && pace_.of.length[k] == infinity);
        }
        if (!last) return;
        const Mask resting = link_.rests() & levels_rest() & take;
        alignas(lane_alignment) double flags[width];
        choose(resting, L(1.0), L(0.0)).store(flags);
        for (std::size_t k = 0; k < width; ++k) {
            if (taken[k] == 0 || pace_.of.active[k] == 0 || pace_.of.length[k] < infinity) continue;
            if (pace_.of.jumping[k] != 0) continue;
            const bool long_enough = pace_.of.since[k] + pace_.of.begun[k] > task_.longest;
            if (flags[k] == 0 && !long_enough) continue;
            pace_.of.active[k] = 0;
            pace_.of.done[k] = 1;
            task_.end[k] = pace_.of.since[k] + pace_.of.begun[k];
            task_.rested[k] = flags[k];
        }
    }

    // A level that a probe rests on, as far as can be told, counts for nothing.
    Mask levels_rest() {
        constexpr double told_apart = 1e-6;
        Mask resting = Mask(true);
        for (std::size_t p = 0; p < plan_.probes.size(); ++p) {
            const WaveProbePlan& probe = plan_.probes.data()[p];
            if (!probe.has_level) continue;
            const L level(probe.level);
            const L at_rest = link_.probed_at_rest(probe.probe, plan_.goal);
            const Mask same = abs(at_rest - level) <= (abs(at_rest) + abs(level)) * told_apart;
            const Mask above = level <= probes_[p].now;
            const Mask rests_above = level <= at_rest;
            const Mask both_below = (probes_[p].now < level) & (at_rest < level);
            resting = resting & (same | (above & rests_above) | both_below);
        }
        return resting;
    }

    void finish() {
        for (std::size_t p = 0; p < plan_.probes.size(); ++p) {
            probes_[p].first.store(task_.first + p * width);
            probes_[p].now.store(task_.last + p * width);
            probes_[p].lowest.store(task_.lowest + p * width);
            probes_[p].highest.store(task_.highest + p * width);
            probes_[p].counted.store(task_.crossed + p * width);
        }
    }

    const WaveTask& task_;
    const WavePlan& plan_;
    RowsOf<Arch> rows_;
    WaveLink<Arch> link_;
    ProbeRows<Arch>* probes_;
    LanePace<Arch> pace_;

    static_assert(sizeof(ProbeRows<Arch>) == rows_of_probe * sizeof(L));
};

template <class Arch>
LaneKernel kernel_of(const char* name) {
    return {.name = name,
            .width = Lanes<Arch>::width,
            .solve = [](const LaneTask& task) { return GroupSolver<Arch>(task).run(); },
            .follow = [](const WaveTask& task) { return WaveGroup<Arch>(task).run(); }};
}

}  // namespace gapwright
