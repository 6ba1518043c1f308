#include "population/engine.hpp"

#include <atomic>
#include <exception>
#include <limits>
#include <mutex>
#include <thread>

namespace gapwright {
namespace {

// Specimens are handed out in blocks. Each block's specimens start from the block's first, so the
// result depends on the block's size but not on which thread takes it.
constexpr std::size_t block_size = 64;

class Work {
  public:
    Work(const Circuit& circuit, const std::vector<Measure>& measures, std::size_t count,
         const SpecimenMaker& make, const EngineOptions& options)
        : circuit_(circuit), measures_(measures), make_(make), options_(options) {
        result_.specimens = count;
        result_.measures = measures.size();
        result_.values.assign(count * measures.size(), std::numeric_limits<double>::quiet_NaN());
    }

    // Works until nothing is left; an exception ends the work of all and comes out of take().
    void run() {
        try {
            run_blocks();
        } catch (...) {
            const std::lock_guard lock(mutex_);
            if (!exception_) exception_ = std::current_exception();
            next_ = result_.specimens;
        }
    }

    Measurements take() {
        if (exception_) std::rethrow_exception(exception_);
        result_.stopped = stopped_;
        return std::move(result_);
    }

  private:
    void run_blocks() {
        while (true) {
            const std::size_t begin = next_.fetch_add(block_size);
            if (begin >= result_.specimens) return;
            if (options_.stop.stop_requested()) {
                stopped_ = true;
                return;
            }
            const std::size_t end = std::min(begin + block_size, result_.specimens);
            run_block(begin, end);
            const std::size_t done = done_.fetch_add(end - begin) + end - begin;
            if (options_.progress) options_.progress(done);
        }
    }

    void run_block(std::size_t begin, std::size_t end) {
        std::optional<std::vector<StatePoint>> start;
        for (std::size_t k = begin; k < end; ++k) {
            const Specimen specimen = make_(k);
            auto points = solve_link(circuit_, specimen.values, specimen.conditions,
                                     start ? &*start : nullptr);
            if (!points) {
                note_unsettled(k, points.error());
                continue;
            }
            for (std::size_t m = 0; m < measures_.size(); ++m) {
                result_.values[k * measures_.size() + m] =
                    measure(measures_[m].probe, (*points)[to_index(measures_[m].state)]);
            }
            if (!start) start = std::move(*points);
        }
    }

    void note_unsettled(std::size_t specimen, const LinkNotSettled& where) {
        const std::lock_guard lock(mutex_);
        ++result_.unsettled;
        if (result_.first_unsettled && specimen > first_number_) return;
        first_number_ = specimen;
        result_.first_unsettled = where;
    }

    const Circuit& circuit_;
    const std::vector<Measure>& measures_;
    const SpecimenMaker& make_;
    const EngineOptions& options_;
    Measurements result_;
    std::atomic<std::size_t> next_ = 0;
    std::atomic<std::size_t> done_ = 0;
    std::atomic<bool> stopped_ = false;
    std::mutex mutex_;
    std::exception_ptr exception_;
    std::size_t first_number_ = 0;
};

}  // namespace

Measurements measure_specimens(const Circuit& circuit, const std::vector<Measure>& measures,
                               std::size_t count, const SpecimenMaker& make,
                               const EngineOptions& options) {
    Work work(circuit, measures, count, make, options);
    const std::size_t blocks = (count + block_size - 1) / block_size;
    const std::size_t wanted =
        options.threads ? options.threads : std::max(1U, std::thread::hardware_concurrency());
    {
        std::vector<std::jthread> threads;
        for (std::size_t k = 1; k < std::min(wanted, blocks); ++k) {
            threads.emplace_back([&work] { work.run(); });
        }
        work.run();
    }
    return work.take();
}

}  // namespace gapwright
