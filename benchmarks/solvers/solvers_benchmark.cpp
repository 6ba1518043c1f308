// How long one specimen takes, on one thread, in one run: this program's lanes on every instruction
// set that the processor has, against plain Newton on Eigen, SUNDIALS KINSOL and GSL; and how far
// that is from what the processor could do.
#include <benchmark/benchmark.h>

#include <chrono>
#include <cmath>
#include <cstdlib>
#include <functional>
#include <iostream>
#include <new>

#include "lanes/kernel.hpp"
#include "population/engine.hpp"
#include "solvers/any_link.hpp"
#include "solvers/counting_lanes.hpp"
#include "solvers/eight_unknowns.hpp"
#include "solvers/newton_with_eigen.hpp"
#include "solvers/processor.hpp"

namespace {

using namespace gapwright;
using namespace gapwright::benchmarks;

constexpr std::size_t specimens = 4096;
constexpr int most_iterations = 8;  // as the engine's first attempt

const char* const names[] = {"bell-hammer",   "chime-bus",     "lamp-watch",
                             "night-silence", "pendulum-beat", "winder-motor"};

// A link with its specimens drawn beforehand.
struct Subject {
    Link link;
    LinkCircuit circuit;
    std::vector<StatePoint> nominal;
    std::vector<Specimen> drawn;
    std::vector<Measure> measures;
};

Subject subject(Link link) {
    Subject s{std::move(link), {}, {}, {}, {}};
    s.circuit = *build_circuit(s.link);
    const ConditionRanges ranges = condition_ranges(s.link);
    const Specimen nominal = nominal_specimen(s.circuit, ranges);
    s.nominal = *solve_link(s.circuit.circuit, nominal.values, nominal.conditions);
    for (std::size_t k = 0; k < specimens; ++k) {
        s.drawn.push_back(draw_specimen(s.circuit, ranges, 1, k));
    }
    for (std::size_t state = 0; state < s.link.states.size(); ++state) {
        for (std::size_t p = 0; p < s.link.parts.size(); ++p) {
            const auto& placed = s.circuit.of(p, Side::output);
            if (placed) s.measures.push_back({static_cast<StateIndex>(state), placed->current()});
        }
    }
    return s;
}

Subject example(const std::string& name) {
    return subject(*read_link_file(PROJECT_FOLDER "/examples/clock-tower/" + name + ".link.toml"));
}

Subject eight() {
    auto link =
        read_link(std::make_shared<SourceText>("eight.link.toml", eight_unknowns_text()), ".");
    if (!link) {
        std::cerr << to_text(link.error());
        std::exit(1);
    }
    return subject(std::move(*link));
}

// All specimens as a kernel wants them: group after group.
class Groups {
  public:
    Groups(const Subject& s, const LaneKernel& kernel)
        : kernel_(kernel),
          plan_(*plan_lanes(s.circuit.circuit, s.measures, nominal(s).values, nominal(s).conditions,
                            s.nominal, figure_ranges(s.circuit, condition_ranges(s.link)))),
          group_(plan_.figures() * kernel.width),
          figures_(rows(specimens * plan_.figures())),
          work_(rows(work_rows(plan_) * kernel.width)),
          measured_(rows((s.measures.size() + 1) * kernel.width)) {
        for (std::size_t k = 0; k < specimens; ++k) {
            double* group = figures_.get() + k / kernel.width * group_;
            SpecimenPlace place(group + k % kernel.width, kernel.width, plan_.slots);
            for (std::size_t slot = 0; slot < plan_.slots; ++slot) {
                place.set(static_cast<Slot>(slot), s.drawn[k].values[slot]);
            }
            place.set(s.drawn[k].conditions);
        }
    }

    // Solves them all; calls `each` with the first number of a group and the lanes that settled.
    template <class Each>
    void solve(const Each& each) {
        for (std::size_t k = 0; k < specimens; k += kernel_.width) {
            const auto settled =
                kernel_.solve({.plan = &plan_,
                               .specimens = figures_.get() + k / kernel_.width * group_,
                               .work = work_.get(),
                               .measured = measured_.get(),
                               .iteration_limit = most_iterations,
                               .iterations = &iterations_});
            each(k, settled);
        }
    }
    double measured(std::size_t lane, std::size_t measure) const {
        return measured_[measure * kernel_.width + lane];
    }
    double steps_a_specimen() const {
        return static_cast<double>(iterations_) * static_cast<double>(kernel_.width) / specimens;
    }
    void forget_steps() { iterations_ = 0; }
    const LanePlan& plan() const { return plan_; }

  private:
    struct Free {
        void operator()(double* p) const {
            ::operator delete[](p, std::align_val_t{lane_alignment});
        }
    };
    static std::unique_ptr<double[], Free> rows(std::size_t numbers) {
        return std::unique_ptr<double[], Free>(static_cast<double*>(
            ::operator new[](numbers * sizeof(double), std::align_val_t{lane_alignment})));
    }
    static Specimen nominal(const Subject& s) {
        return nominal_specimen(s.circuit, condition_ranges(s.link));
    }

    const LaneKernel& kernel_;
    LanePlan plan_;
    std::size_t group_;
    std::unique_ptr<double[], Free> figures_;
    std::unique_ptr<double[], Free> work_;
    std::unique_ptr<double[], Free> measured_;
    std::uint32_t iterations_ = 0;
};

double nanoseconds(const std::function<void()>& work) {
    const auto begin = std::chrono::steady_clock::now();
    work();
    return std::chrono::duration<double, std::nano>(std::chrono::steady_clock::now() - begin)
        .count();
}

// What the processor would need for one specimen's exponentials and multiply-adds alone, each at
// the rate that it reaches with nothing else to do, ns.
double limit(const Subject& s, const ProcessorLimits& processor) {
    const LaneKernel kernel = counting_kernel();
    Groups groups(s, kernel);
    counted = {};
    groups.solve([](std::size_t, std::uint64_t) {});
    constexpr std::size_t values = 4096 * 1024;
    const double exponential =
        nanoseconds([&] { benchmark::DoNotOptimize(processor.exponentials(values)); }) / values;
    const double multiply_add =
        nanoseconds([&] { benchmark::DoNotOptimize(processor.multiply_adds(values)); }) / values;
    return (static_cast<double>(counted.functions) * exponential +
            static_cast<double>(counted.arithmetic) * multiply_add) /
           specimens;
}

void lanes(benchmark::State& state, const std::function<Subject()>& make, const LaneKernel& kernel,
           const ProcessorLimits* processor) {
    const Subject s = make();
    Groups groups(s, kernel);
    std::size_t settled = 0;
    double spent = 0;
    for (auto _ : state) {
        settled = 0;
        groups.forget_steps();
        spent += nanoseconds([&] {
            groups.solve([&](std::size_t, std::uint64_t mask) {
                settled += static_cast<std::size_t>(__builtin_popcountll(mask));
            });
        });
    }
    const double each = spent / static_cast<double>(state.iterations()) / specimens;
    state.counters["ns each"] = each;
    if (processor) {
        state.counters["times limit"] = each / limit(s, *processor);
        state.counters["functions"] = static_cast<double>(counted.functions) / specimens;
        state.counters["arithmetic"] = static_cast<double>(counted.arithmetic) / specimens;
        state.counters["divisions"] = static_cast<double>(counted.divisions) / specimens;
    }
    state.counters["steps"] = groups.steps_a_specimen();
    state.counters["unsettled %"] = 100.0 * static_cast<double>(specimens - settled) / specimens;
    state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(specimens));
}

// The hand-written eight unknowns, laws at each specimen's temperature included, from the nominal
// specimen's solution. `solve` brings x and control voltages to the solution.
template <class Solve>
void on_eight(benchmark::State& state, const Solve& solve) {
    const Subject s = eight();
    const EightUnknowns::Slots slots(s.circuit);
    const Specimen nominal = nominal_specimen(s.circuit, condition_ranges(s.link));
    std::vector<double> start(unknowns, 0.5);
    std::vector<double> start_control(EightUnknowns::controls, 0.5);
    newton_with_eigen(EightUnknowns(slots, nominal), start, start_control);
    std::vector<double> x;
    std::vector<double> control;
    std::size_t failed = 0;
    std::size_t k = 0;
    for (auto _ : state) {
        const EightUnknowns problem(slots, s.drawn[k++ % specimens]);
        x = start;
        control = start_control;
        failed += solve(problem, x, control) ? 0 : 1;
    }
    state.counters["unsettled %"] =
        100.0 * static_cast<double>(failed) / static_cast<double>(state.iterations());
    state.SetItemsProcessed(state.iterations());
}

void other_on_eight(benchmark::State& state, std::unique_ptr<OtherSolver> (*make)()) {
    const auto solver = make();
    on_eight(state, [&](const EightUnknowns& problem, std::vector<double>& x,
                        std::vector<double>&) { return solver->solve(problem, x); });
}

void other_on_link(benchmark::State& state, const std::string& name,
                   std::unique_ptr<OtherSolver> (*make)()) {
    const Subject s = example(name);
    const auto solver = make();
    std::size_t failed = 0;
    std::size_t k = 0;
    for (auto _ : state) {
        failed +=
            solve_with(*solver, s.circuit.circuit, s.drawn[k++ % specimens], s.nominal) ? 0 : 1;
    }
    state.counters["unsettled %"] =
        100.0 * static_cast<double>(failed) / static_cast<double>(state.iterations());
    state.SetItemsProcessed(state.iterations());
}

void single_points(benchmark::State& state, const std::string& name) {
    const Subject s = example(name);
    std::size_t k = 0;
    for (auto _ : state) {
        const Specimen& specimen = s.drawn[k++ % specimens];
        benchmark::DoNotOptimize(
            solve_link(s.circuit.circuit, specimen.values, specimen.conditions, &s.nominal));
    }
    state.SetItemsProcessed(state.iterations());
}

void processor(benchmark::State& state, double (*work)(std::size_t)) {
    constexpr std::size_t values = 64 * 1024;
    for (auto _ : state) benchmark::DoNotOptimize(work(values));
    state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(values));
}

// A benchmark that is quick and wrong tells nothing: lanes and the hand-written system must agree.
bool answers_agree() {
    const Subject s = eight();
    const EightUnknowns::Slots slots(s.circuit);
    const auto current = [&](const EightUnknowns& problem, const std::vector<double>& x) {
        return problem.output_current(x.data());
    };
    double worst = 0;
    for (const auto& kernel : usable_kernels()) {
        Groups groups(s, kernel);
        groups.solve([&](std::size_t first, std::uint64_t mask) {
            for (std::size_t lane = 0; lane < kernel.width; ++lane) {
                if (((mask >> lane) & 1U) == 0) continue;
                const EightUnknowns problem(slots, s.drawn[first + lane]);
                std::vector<double> x(unknowns, 0.5);
                std::vector<double> control(EightUnknowns::controls, 0.5);
                if (!newton_with_eigen(problem, x, control)) continue;
                const double here = groups.measured(lane, 0);
                worst = std::max(worst, std::abs(here / current(problem, x) - 1));
            }
        });
    }
    std::cerr << "largest difference of R2's current between lanes and the eight unknowns: "
              << worst << "\n";
    return worst < 1e-5;  // the hand-written system stops at 1e-9 A of about 1 mA
}

void register_all() {
    const std::pair<const char*, std::unique_ptr<OtherSolver> (*)()> others[] = {
        {"kinsol", kinsol}, {"gsl_hybrid", gsl_hybrid}};
    benchmark::RegisterBenchmark("eight_unknowns/newton_with_eigen", [](benchmark::State& state) {
        on_eight(state, newton_with_eigen);
    });
    static const std::vector<ProcessorLimits> limits = {sse2_limits(), avx2_limits(),
                                                        avx512_limits()};
    for (std::size_t k = 0; k < usable_kernels().size(); ++k) {
        const auto& kernel = usable_kernels()[k];
        const std::string name = std::string("eight_unknowns/lanes/") + kernel.name;
        benchmark::RegisterBenchmark(name.c_str(), [&kernel, k](benchmark::State& state) {
            lanes(state, eight, kernel, &limits[k]);
        });
    }
    for (const auto& [solver, make] : others) {
        const std::string name = std::string("eight_unknowns/") + solver;
        benchmark::RegisterBenchmark(
            name.c_str(), [make](benchmark::State& state) { other_on_eight(state, make); });
    }
    for (std::size_t k = 0; k < usable_kernels().size(); ++k) {
        const ProcessorLimits& limit = limits[k];
        for (const auto& [what, work] : {std::pair("exponential/", limit.exponentials),
                                         std::pair("multiply_add/", limit.multiply_adds)}) {
            const std::string name = std::string("processor/") + what + limit.name;
            benchmark::RegisterBenchmark(
                name.c_str(), [work](benchmark::State& state) { processor(state, work); });
        }
    }
    for (const char* link : names) {
        const std::string name = link;
        benchmark::RegisterBenchmark((name + "/lanes").c_str(), [name](benchmark::State& state) {
            lanes(state, [&] { return example(name); }, usable_kernels().back(), nullptr);
        });
        benchmark::RegisterBenchmark(
            (name + "/single_points").c_str(),
            [name](benchmark::State& state) { single_points(state, name); });
        for (const auto& [solver, make] : others) {
            benchmark::RegisterBenchmark(
                (name + "/" + solver).c_str(),
                [name, make](benchmark::State& state) { other_on_link(state, name, make); });
        }
    }
}

}  // namespace

int main(int argc, char** argv) {
    if (!answers_agree()) return 1;
    register_all();
    benchmark::Initialize(&argc, argv);
    benchmark::RunSpecifiedBenchmarks();
}
