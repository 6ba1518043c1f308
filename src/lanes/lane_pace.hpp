// How each lane of a group goes through time: its stretches, its steps, and the steps that are made
// again to end at a crossing. Numbers by lane, not lanes: what becomes of one is its own. Included
// only by the kernels' files.
#pragma once

#include <cstddef>
#include <limits>

#include "lanes/kernel.hpp"
#include "lanes/number.hpp"
#include "lanes/one_step.hpp"
#include "lanes/wave_plan.hpp"

namespace gapwright {

// Of a probe: at the beginning of the step and of the one before, at the end of the step under way,
// at the three ends about a crossing, extremes, before all, how many crossings.
template <class Arch>
struct ProbeRows {
    using L = Lanes<Arch>;

    L now, before, candidate, low, high, third, lowest, highest, first, counted;
};

template <class Arch>
class LanePace {
    using L = Lanes<Arch>;
    static constexpr std::size_t width = L::width;
    static constexpr double infinity = std::numeric_limits<double>::infinity();

    // What jumps does so within this time, s: as in waveform/consistent_start.cpp.
    static constexpr double jump = 1e-13 / one_step::diagonal;
    // s, after a jump. Not what the jump's error would allow: that is rounding alone, and what
    // hangs on rounding is another on every processor.
    static constexpr double first_step = 1e-9;
    static constexpr double least_step = 1e-16;  // s; what needs less is not followed in lanes
    static constexpr double most_growth = 6;
    static constexpr double least_shrink = 0.1;
    static constexpr double not_solved_shrink = 0.2;
    static constexpr double near_enough = 1e-4;  // of a step: a crossing from the end of another
    static constexpr std::size_t most_tries = 40;

  public:
    // What each lane keeps for itself; one number a lane.
    struct PerLane {
        alignas(lane_alignment) double active[width];
        alignas(lane_alignment) double done[width];
        alignas(lane_alignment) double step[width];      // s, the one under way
        alignas(lane_alignment) double usual[width];     // s, what the error allows
        alignas(lane_alignment) double since[width];     // s, of the stretch
        alignas(lane_alignment) double begun[width];     // s, the stretch
        alignas(lane_alignment) double length[width];    // s, of the stretch; infinity for the last
        alignas(lane_alignment) double surge[width];     // V/s
        alignas(lane_alignment) double jumping[width];   // 1: the step is a jump
        alignas(lane_alignment) double seeking[width];   // 1: the step ends near a crossing
        alignas(lane_alignment) double full[width];      // s, the step that was shortened for it
        alignas(lane_alignment) double low[width];       // s, the latest end before a crossing
        alignas(lane_alignment) double high[width];      // s, the earliest end beyond one
        alignas(lane_alignment) double third[width];     // s, the end that one of these was before
        alignas(lane_alignment) double previous[width];  // s, the step before; 0 after a jump
        std::size_t stretch[width];
        std::size_t tries[width];
    };

    LanePace(const WaveTask& task, L* moving, ProbeRows<Arch>* probes)
        : task_(task), plan_(*task.plan), moving_(moving), probes_(probes) {}

    PerLane of;

    // One lane goes into a stretch, which begins with a jump.
    void enter(std::size_t k, std::size_t stretch) {
        of.stretch[k] = stretch;
        const auto begin_of = [&](std::size_t s) {
            return s < task_.stretches ? task_.begins[s * width + k] : infinity;
        };
        of.begun[k] = begin_of(stretch);
        of.length[k] = begin_of(stretch + 1) - begin_of(stretch);
        of.since[k] = 0;
        of.step[k] = jump;
        of.jumping[k] = 1;
        of.seeking[k] = 0;
        of.tries[k] = 0;
        of.previous[k] = 0;
        const std::size_t rows = 4 * plan_.movers.size() + 1;
        const double* moving = task_.moving + stretch * rows * width + k;
        double* own = reinterpret_cast<double*>(moving_);
        for (std::size_t r = 0; r + 1 < rows; ++r) own[r * width + k] = moving[r * width];
        of.surge[k] = moving[(rows - 1) * width];
    }

    // Whether the lane's step is taken; if not, its next one is another.
    bool judge(std::size_t k, bool solved, double error, double growth) {
        const bool jumping = of.jumping[k] != 0;
        const double step = of.step[k];
        if (!solved || !(error < infinity)) {
            if (jumping) return give_up(k);
            return shorten(k, step * not_solved_shrink);
        }
        if (!jumping && error > 1) {
            return shorten(k, step * (growth < least_shrink ? least_shrink : growth));
        }
        if (jumping) {
            of.usual[k] = first_step;
            return true;
        }
        if (of.seeking[k] == 0) {
            of.usual[k] = step * (growth < most_growth ? growth : most_growth);
        }
        return near_crossing(k);
    }

    bool give_up(std::size_t k) {
        of.active[k] = 0;
        return false;
    }
    bool shorten(std::size_t k, double step) {
        of.seeking[k] = 0;
        of.tries[k] = 0;
        of.step[k] = of.usual[k] = step;
        return step < least_step ? give_up(k) : false;
    }

    double at(const L& row, std::size_t k) const {
        return reinterpret_cast<const double*>(&row)[k];
    }

    bool passes(std::size_t p, double from, double to) const {
        const WaveProbePlan& probe = plan_.probes.data()[p];
        return probe.has_level && (from >= probe.level) != (to >= probe.level);
    }

    // A step in which a level is passed is made again and again between the latest end at which
    // none is and the earliest at which one is, until these are next to each other: what crosses
    // may be a node without charge that follows a slow one steeply, so that nothing but a narrow
    // bracket tells when. True where the step is to be taken as it is.
    bool near_crossing(std::size_t k) {
        const double step = of.step[k];
        const bool beyond = any_passed(k);
        if (of.seeking[k] == 0) {
            if (!beyond) return true;
            of.seeking[k] = 1;
            of.full[k] = of.high[k] = step;
            of.low[k] = 0;
            of.third[k] = infinity;
            keep(k, &ProbeRows<Arch>::now, &ProbeRows<Arch>::low);
            keep(k, &ProbeRows<Arch>::candidate, &ProbeRows<Arch>::high);
        } else if (beyond) {
            of.third[k] = of.high[k];
            keep(k, &ProbeRows<Arch>::high, &ProbeRows<Arch>::third);
            of.high[k] = step;
            keep(k, &ProbeRows<Arch>::candidate, &ProbeRows<Arch>::high);
        } else {
            of.third[k] = of.low[k];
            keep(k, &ProbeRows<Arch>::low, &ProbeRows<Arch>::third);
            of.low[k] = step;
            keep(k, &ProbeRows<Arch>::candidate, &ProbeRows<Arch>::low);
        }
        const double near = near_enough * of.full[k];
        const bool narrow = of.high[k] - of.low[k] <= near || of.tries[k] >= most_tries;
        if (narrow && beyond) {
            const double begun = of.since[k] + of.begun[k];
            for (std::size_t p = 0; p < plan_.probes.size(); ++p) {
                if (passed(p, k)) note_crossing(k, p, begun + crossing_at(k, p));
            }
            return true;
        }
        if (narrow) return seek(k, of.high[k]);
        return seek(k, next_try(k, near, beyond));
    }

    // Beside the earliest crossing as far as it can be told, on the side whose end is the older;
    // every third time half-way.
    double next_try(std::size_t k, double near, bool beyond) const {
        if (of.tries[k] % 3 == 2) return 0.5 * (of.low[k] + of.high[k]);
        double earliest = of.high[k];
        for (std::size_t p = 0; p < plan_.probes.size(); ++p) {
            if (!passes(p, at(probes_[p].low, k), at(probes_[p].high, k))) continue;
            const double here = crossing_at(k, p);
            if (here < earliest) earliest = here;
        }
        return earliest + (beyond && of.tries[k] > 0 ? -0.4 : 0.4) * near;
    }

    // Whether the step under way passes the probe's level; or any.
    bool passed(std::size_t p, std::size_t k) const {
        return passes(p, at(probes_[p].now, k), at(probes_[p].candidate, k));
    }
    bool any_passed(std::size_t k) const {
        for (std::size_t p = 0; p < plan_.probes.size(); ++p) {
            if (passed(p, k)) return true;
        }
        return false;
    }

    void keep(std::size_t k, L ProbeRows<Arch>::* from, L ProbeRows<Arch>::* to) {
        for (std::size_t p = 0; p < plan_.probes.size(); ++p) {
            set(probes_[p].*to, k, at(probes_[p].*from, k));
        }
    }

    bool seek(std::size_t k, double step) {
        const double least = (of.high[k] - of.low[k]) * 1e-3;
        if (step < of.low[k] + least) step = of.low[k] + least;
        if (of.tries[k] < most_tries && step > of.high[k] - least) step = of.high[k] - least;
        ++of.tries[k];
        of.step[k] = step;
        return false;
    }

    // Where the level is passed between the two ends: on the parabola through them and the end
    // before, or on the line through them.
    double crossing_at(std::size_t k, std::size_t p) const {
        const double level = plan_.probes.data()[p].level;
        double low = of.low[k];
        double high = of.high[k];
        const double a = at(probes_[p].low, k) - level;
        const double b = at(probes_[p].high, k) - level;
        const double begin = low;
        const double slope = (b - a) / (high - low);
        const double third = of.third[k];
        double bend = 0;
        if (third < infinity && third != low && third != high) {
            const double c = at(probes_[p].third, k) - level;
            bend = ((c - a) / (third - low) - slope) / (third - high);
        }
        const double length = high - low;
        for (int n = 0; n < 60; ++n) {
            const double middle = 0.5 * (low + high);
            const double way = middle - begin;
            const double value = a + way * (slope + (way - length) * bend);
            if ((value >= 0) == (a >= 0)) {
                low = middle;
            } else {
                high = middle;
            }
        }
        return 0.5 * (low + high);
    }

    void note_crossing(std::size_t k, std::size_t p, double when) {
        const double level = plan_.probes.data()[p].level;
        const bool rising = at(probes_[p].now, k) < level;
        const auto count = static_cast<std::size_t>(at(probes_[p].counted, k));
        if (count >= task_.most_crossings) {
            of.active[k] = 0;  // too many to be told
            return;
        }
        double* row = task_.crossings + 2 * (p * task_.most_crossings + count) * width + k;
        row[0] = when;
        row[width] = rising ? 1 : 0;
        set(probes_[p].counted, k, static_cast<double>(count + 1));
    }
    static void set(L& row, std::size_t k, double value) {
        reinterpret_cast<double*>(&row)[k] = value;
    }

    void go_on(std::size_t k) {
        const bool jumped = of.jumping[k] != 0;
        of.since[k] += of.step[k];
        of.previous[k] = jumped ? 0 : of.step[k];
        of.jumping[k] = 0;
        of.seeking[k] = 0;
        of.tries[k] = 0;
        const double left = of.length[k] - of.since[k];
        if (left <= of.length[k] * 1e-12 && of.length[k] < infinity) {
            enter(k, of.stretch[k] + 1);
            return;
        }
        double next = of.usual[k];
        if (next >= left) {
            next = left;
        } else if (next > 0.5 * left) {
            next = 0.5 * left;
        }
        of.step[k] = next;
    }

  private:
    const WaveTask& task_;
    const WavePlan& plan_;
    L* moving_;  // of each lane's stretch
    ProbeRows<Arch>* probes_;
};

}  // namespace gapwright
