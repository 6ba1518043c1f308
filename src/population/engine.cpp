#include "population/engine.hpp"

#include <algorithm>
#include <array>
#include <atomic>
#include <bit>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <mutex>
#include <thread>
#include <utility>
#include <vector>

#include "circuit/index.hpp"
#include "circuit/link_point.hpp"
#include "circuit/probe.hpp"
#include "lanes/aligned_rows.hpp"
#include "lanes/kernel.hpp"
#include "lanes/plan.hpp"
#include "population/at_once.hpp"
#include "population/specimen.hpp"

namespace gapwright {
namespace {

// Specimens are handed out in blocks. Those of a block that need more steps than most are put off,
// so that they do not hold the others back, and solved together when the block is through.
constexpr std::size_t block_size = 512;
constexpr std::array usual_iterations = {8, 12, 20};  // the least that leaves few specimens over
constexpr double few = 0.05;
constexpr std::size_t long_run = 16 * block_size;  // from here on it pays to look which
constexpr int most_iterations = 60;

}  // namespace

// One run over all specimens, shared by its threads.
class EngineRun {
  public:
    EngineRun(const Engine& engine, const SpecimenSource& source, const GroupConsumer& consume,
              const EngineOptions& options)
        : engine_(engine),
          source_(source),
          consume_(consume),
          options_(options),
          kernel_(kernel_named(options.kernel)) {}

    // How many steps the first specimens call for; the same whatever the number of threads.
    void choose_iterations() {
        if (source_.count < long_run) return;
        for (const int limit : usual_iterations) {
            iterations_ = limit;
            if (Worker(*this, 0).share_put_off() <= few) return;
        }
    }

    // Works until nothing is left; an exception ends the work of all.
    void work(std::size_t worker) {
        try {
            Worker(*this, worker).run_blocks();
        } catch (...) {
            next_ = source_.count;
            throw;
        }
    }

    EngineOutcome take() {
        outcome_.solved = done_;
        return outcome_;
    }

  private:
    // What one thread works with.
    class Worker {
      public:
        Worker(EngineRun& run, std::size_t number)
            : run_(run),
              number_(number),
              width_(run.kernel_.width),
              slots_(run.engine_.circuit_.slots),
              specimens_(aligned_rows((slots_ + 3) * width_)),
              measured_(aligned_rows(std::max<std::size_t>(1, run.engine_.measures()) * width_)) {
            if (run.engine_.plan_) work_ = aligned_rows(work_rows(*run.engine_.plan_) * width_);
            for (std::size_t lane = 0; lane < width_; ++lane) {
                SpecimenPlace place(specimens_.get() + lane, width_, slots_);
                for (std::size_t k = 0; k < slots_; ++k) {
                    place.set(static_cast<Slot>(k), run.source_.base.values[k]);
                }
                place.set(run.source_.base.conditions);
            }
        }

        // Of the first block, solved to no end but this.
        double share_put_off() {
            std::size_t put_off = 0;
            for (std::size_t first = 0; first < block_size; first += width_) {
                for (std::size_t lane = 0; lane < width_; ++lane) write(first + lane, lane);
                const auto settled = solve(run_.iterations_);
                put_off += width_ - static_cast<std::size_t>(std::popcount(settled));
            }
            return static_cast<double>(put_off) / static_cast<double>(block_size);
        }

        void run_blocks() {
            while (true) {
                const std::size_t begin = run_.next_.fetch_add(block_size);
                if (begin >= run_.source_.count) return;
                if (run_.options_.stop.stop_requested()) {
                    const std::lock_guard lock(run_.mutex_);
                    run_.outcome_.stopped = true;
                    return;
                }
                const std::size_t end = std::min(begin + block_size, run_.source_.count);
                run_block(begin, end);
                const std::size_t done = run_.done_.fetch_add(end - begin) + end - begin;
                if (run_.options_.progress) run_.options_.progress(done);
            }
        }

      private:
        void run_block(std::size_t begin, std::size_t end) {
            put_off_.clear();
            for (std::size_t first = begin; first < end; first += width_) {
                const std::size_t count = std::min(width_, end - first);
                for (std::size_t lane = 0; lane < count; ++lane) write(first + lane, lane);
                const std::uint64_t settled = solve(run_.iterations_);
                hand_over(first, count, settled);
            }
            for (std::size_t from = 0; from < put_off_.size(); from += width_) {
                const std::size_t count = std::min(width_, put_off_.size() - from);
                for (std::size_t lane = 0; lane < count; ++lane) write(put_off_[from + lane], lane);
                finish_slow(from, count, solve(most_iterations));
            }
        }

        void write(std::size_t specimen, std::size_t lane) {
            SpecimenPlace place(specimens_.get() + lane, width_, slots_);
            run_.source_.write(specimen, place);
        }

        // Solves what has been written; lanes beyond the last hold specimens of an earlier group.
        std::uint64_t solve(int iteration_limit) {
            if (!work_) return 0;
            return run_.kernel_.solve({.plan = &*run_.engine_.plan_,
                                       .specimens = specimens_.get(),
                                       .work = work_.get(),
                                       .measured = measured_.get(),
                                       .iteration_limit = iteration_limit,
                                       .iterations = nullptr});
        }

        // Runs of settled specimens go on; the others are put off.
        void hand_over(std::size_t first, std::size_t count, std::uint64_t settled) {
            std::size_t lane = 0;
            while (lane < count) {
                if (((settled >> lane) & 1U) == 0) {
                    put_off_.push_back(first + lane++);
                    continue;
                }
                const auto run = static_cast<std::size_t>(std::countr_one(settled >> lane));
                const std::size_t length = std::min(run, count - lane);
                run_.consume_(number_, {first + lane, length, width_, measured_.get() + lane});
                lane += length;
            }
        }

        void finish_slow(std::size_t from, std::size_t count, std::uint64_t settled) {
            for (std::size_t lane = 0; lane < count; ++lane) {
                const std::size_t specimen = put_off_[from + lane];
                if (((settled >> lane) & 1U) == 0) solve_alone(specimen, lane);
                run_.consume_(number_, {specimen, 1, width_, measured_.get() + lane});
            }
        }

        // The solver for single points, for what lanes do not settle.
        void solve_alone(std::size_t specimen, std::size_t lane) {
            const Engine& engine = run_.engine_;
            if (run_.options_.lanes_only) {
                for (std::size_t m = 0; m < engine.measures(); ++m) {
                    measured_[m * width_ + lane] = std::numeric_limits<double>::quiet_NaN();
                }
                return;
            }
            const SpecimenPlace place(specimens_.get() + lane, width_, slots_);
            const Specimen figures = place.get();
            const auto points = solve_link(engine.circuit_, figures.values, figures.conditions,
                                           engine.start_ ? &*engine.start_ : nullptr);
            run_.note_alone(specimen, points ? nullptr : &points.error());
            for (std::size_t m = 0; m < engine.measures(); ++m) {
                const Measure& measure_of = engine.measures_[m];
                measured_[m * width_ + lane] =
                    points ? measure(measure_of.probe, (*points)[to_index(measure_of.state)])
                           : std::numeric_limits<double>::quiet_NaN();
            }
        }

        EngineRun& run_;
        std::size_t number_;
        std::size_t width_;
        std::size_t slots_;
        AlignedRows specimens_;
        AlignedRows measured_;
        AlignedRows work_;
        std::vector<std::size_t> put_off_;
    };

    void note_alone(std::size_t specimen, const LinkNotSettled* failed) {
        const std::lock_guard lock(mutex_);
        ++outcome_.by_single_points;
        if (!failed) return;
        ++outcome_.unsettled;
        if (outcome_.first_unsettled && specimen > outcome_.first_unsettled_number) return;
        outcome_.first_unsettled_number = specimen;
        outcome_.first_unsettled = *failed;
    }

    const Engine& engine_;
    const SpecimenSource& source_;
    const GroupConsumer& consume_;
    const EngineOptions& options_;
    const LaneKernel& kernel_;
    int iterations_ = usual_iterations.front();
    EngineOutcome outcome_;
    std::atomic<std::size_t> next_ = 0;
    std::atomic<std::size_t> done_ = 0;
    std::mutex mutex_;
};

unsigned worker_count(const EngineOptions& options) {
    return options.threads ? options.threads : std::max(1U, std::thread::hardware_concurrency());
}

Engine::Engine(const Circuit& circuit, const std::vector<Measure>& measures, const Specimen& about,
               const std::vector<FigureRange>& ranges)
    : circuit_(circuit), measures_(measures) {
    auto points = solve_link(circuit, about.values, about.conditions);
    if (!points) return;
    plan_ = plan_lanes(circuit, measures_, about.values, about.conditions, *points, ranges);
    start_ = std::move(*points);
}

EngineOutcome Engine::run(const SpecimenSource& source, const GroupConsumer& consume,
                          const EngineOptions& options) const {
    EngineRun run(*this, source, consume, options);
    run.choose_iterations();
    const std::size_t blocks = (source.count + block_size - 1) / block_size;
    on_threads(std::min<std::size_t>(worker_count(options), blocks),
               [&run](std::size_t worker) { run.work(worker); });
    return run.take();
}

Measurements measure_all(const Engine& engine, const SpecimenSource& source,
                         const EngineOptions& options) {
    Measurements result;
    result.measures = engine.measures();
    result.values.assign(source.count * result.measures, std::numeric_limits<double>::quiet_NaN());
    result.outcome = engine.run(
        source,
        [&](std::size_t, const MeasuredGroup& group) {
            for (std::size_t lane = 0; lane < group.count; ++lane) {
                double* row = result.values.data() + (group.first + lane) * result.measures;
                for (std::size_t m = 0; m < result.measures; ++m) row[m] = group.at(lane, m);
            }
        },
        options);
    return result;
}

Measurer measurer_of(const Engine& engine) {
    return {engine.measures(),
            [&engine](const SpecimenSource& source, const EngineOptions& options) {
                return measure_all(engine, source, options);
            }};
}

}  // namespace gapwright
