// Links in time against a second solution: other laws, other equations, other integrator.
//
// The bar: voltages of named nodes to 1e-4 of their side's supply (of the voltage itself where it
// is more), crossings of the level half-way to 0.1 % of their time.
#include <gtest/gtest.h>

#include <algorithm>
#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <iostream>

#include "reference/made_charges.hpp"
#include "reference/made_networks.hpp"
#include "reference/second_waveform.hpp"
#include "reference/specimen_link.hpp"
#include "time/reach.hpp"

namespace gapwright::reference {
namespace {

#if defined(__SANITIZE_ADDRESS__)
constexpr int generated = 3;
#else
constexpr int generated = 25;
#endif
constexpr double voltage_bar = 1e-4;
constexpr double time_bar = 1e-3;
// What jumps does so within a time that nobody can see, not in no time.
constexpr double jump_time = 1e-11;       // s
constexpr double moves = 0.2;             // of the supply: a node whose crossing is compared
constexpr std::size_t most_points = 100;  // of a waveform that are compared

struct Counts {
    int waveforms = 0, compared = 0, not_by_program = 0, not_by_second = 0, beyond = 0;
    int voltages = 0, crossings = 0, steps = 0;
    double voltage = 0, time = 0;  // largest differences, relative as the bars are
    std::string where_voltage, where_time;
};

// A node that both solutions know by name.
struct Watched {
    std::string name;
    std::size_t unknown = 0;
    double supply = 0, level = 0;
    bool crosses = false;
    Probe probe{};
    std::vector<Crossing> crossings{};  // of the second solution
};

class Comparison {
  public:
    Comparison(const Link& link, const LinkCircuit& circuit, const Specimen& specimen,
               const MadeLink& made, const GapLight& light, Counts& counts)
        : link_(link),
          circuit_(circuit),
          specimen_(specimen),
          made_(made),
          light_(light),
          counts_(counts) {}

    void run(std::size_t from, std::size_t to) {
        ++counts_.waveforms;
        const WaveformSystem before(made_, made_.states.at(link_.states[from].name), light_);
        const WaveformSystem after(made_, made_.states.at(link_.states[to].name), light_);
        const auto rest = before.rest();
        const auto goal = after.rest();
        where_ = link_.states[from].name + " to " + link_.states[to].name;
        watch(before, rest, goal);
        const auto wave = program(from, to);
        if (!wave) {
            ++counts_.not_by_program;
            ADD_FAILURE() << where_ << ": " << wave.error().message << " at " << wave.error().at
                          << " s";
        }
        if (rest.empty() || goal.empty() || !wave) {
            if (rest.empty() || goal.empty()) ++counts_.not_by_second;
            return;
        }
        EXPECT_TRUE(wave->rested) << where_;
        if (!follow(SecondWaveform(after, rest), *wave)) {
            ++counts_.not_by_second;
            return;
        }
        for (auto& node : watched_) compare_crossings(node, *wave);
        ++counts_.compared;
    }

  private:
    void watch(const WaveformSystem& system, const std::vector<double>& rest,
               const std::vector<double>& goal) {
        watched_.clear();
        for (const Side which : {Side::input, Side::output}) {
            const bool input = which == Side::input;
            const double supply = input ? made_.input.supply : made_.output.supply;
            for (const auto& [name, node] : system.side(input).nodes()) {
                const auto known = link_.side(which).find_node(name);
                if (node == 0 || !known) continue;
                Watched w{.name = std::string(side_name(which)) + "." + name,
                          .unknown = system.first(input) + node - 1,
                          .supply = supply};
                w.probe = {.kind = Probe::Kind::voltage,
                           .side = which,
                           .ports = {{*known, Node::side_return, {}}}};
                if (!rest.empty() && !goal.empty()) {
                    w.level = (rest[w.unknown] + goal[w.unknown]) / 2;
                    w.crosses = std::abs(rest[w.unknown] - goal[w.unknown]) > moves * supply;
                }
                watched_.push_back(w);
            }
        }
    }

    std::expected<Waveform, WaveFailure> program(std::size_t from, std::size_t to) const {
        std::vector<WaveWatch> watches;
        for (const auto& w : watched_) {
            watches.push_back({w.probe, w.crosses ? std::optional(w.level) : std::nullopt});
        }
        const Schedule schedule{.from = static_cast<StateIndex>(from),
                                .changes = {{0, static_cast<StateIndex>(to)}}};
        auto wave =
            specimen_wave(circuit_.circuit, specimen_, schedule, watches,
                          {.tolerance = std::getenv("TOL") ? std::atof(std::getenv("TOL")) : 1e-6,
                           .record = true});
        if (!wave) return std::unexpected(wave.error());
        return std::move(wave->wave);
    }

    // Along the program's waveform; false where the second solution cannot go on.
    bool follow(SecondWaveform second, const Waveform& wave) {
        std::vector<const WavePoint*> points;
        for (const auto& p : wave.points) {
            if (p.time > 0) points.push_back(&p);
        }
        const std::size_t stride = points.size() / most_points + 1;
        std::size_t next = 0;
        while (second.time() < wave.end) {
            if (!second.step(wave.end)) return false;
            for (; next < points.size() && points[next]->time <= second.time(); next += stride) {
                const auto x = second.within(points[next]->time);
                if (x.empty()) return false;
                for (const auto& w : watched_) compare_voltage(w, *points[next], x[w.unknown]);
            }
            for (auto& w : watched_) find_crossing(w, second);
        }
        counts_.steps += second.steps();
        return true;
    }

    void compare_voltage(const Watched& w, const WavePoint& point, double second) {
        const double project = measure(w.probe, point.point);
        const double apart =
            std::abs(project - second) / std::max({w.supply, std::abs(second), 1e-300});
        ++counts_.voltages;
        if (!(apart <= counts_.voltage)) {
            counts_.voltage = apart;
            counts_.where_voltage = name_of(w) + " at " + std::to_string(point.time * 1e6) + " µs";
        }
        if (apart <= voltage_bar) return;
        if (counts_.beyond++ < 20) {
            ADD_FAILURE() << name_of(w) << " at " << point.time << " s: " << project
                          << " V against " << second << " V";
        }
    }

    static void find_crossing(Watched& w, SecondWaveform& second) {
        if (!w.crosses) return;
        const double from = second.x_before()[w.unknown] - w.level;
        const double to = second.x()[w.unknown] - w.level;
        if ((from >= 0) == (to >= 0)) return;
        std::uintmax_t rounds = 40;
        const auto off = [&](double time) {
            const auto x = second.within(time);
            return x.empty() ? to : x[w.unknown] - w.level;
        };
        const auto found = boost::math::tools::toms748_solve(
            off, second.step_began(), second.time(), from, to,
            boost::math::tools::eps_tolerance<double>(20), rounds);
        w.crossings.push_back({0, 0.5 * (found.first + found.second), to >= 0});
    }

    void compare_crossings(const Watched& w, const Waveform& wave) {
        std::vector<double> project;
        for (const auto& crossing : wave.crossings) {
            if (watched_[crossing.watch].name == w.name) project.push_back(crossing.at);
        }
        std::string both = name_of(w) + " crosses " + std::to_string(w.level) + " V at";
        for (const double t : project) both += " " + std::to_string(t * 1e6);
        both += " µs; second solution:";
        for (const auto& c : w.crossings) both += " " + std::to_string(c.at * 1e6);
        EXPECT_EQ(project.size(), w.crossings.size()) << both;
        for (std::size_t k = 0; k < std::min(project.size(), w.crossings.size()); ++k) {
            const double second = w.crossings[k].at;
            const double apart =
                std::max(0.0, std::abs(project[k] - second) - jump_time) / (second + jump_time);
            ++counts_.crossings;
            EXPECT_LE(apart, time_bar) << both;
            if (apart > counts_.time) {
                counts_.time = apart;
                counts_.where_time = both;
            }
        }
    }

    std::string name_of(const Watched& w) const {
        return link_.title + ", " + where_ + ", " + w.name;
    }

    const Link& link_;
    const LinkCircuit& circuit_;
    const Specimen& specimen_;
    const MadeLink& made_;
    const GapLight& light_;
    Counts& counts_;
    std::string where_;
    std::vector<Watched> watched_;
};

void compare_all(Comparison comparison, std::size_t states) {
    for (std::size_t from = 0; from < states; ++from) {
        for (std::size_t to = 0; to < states; ++to) {
            if (from != to) comparison.run(from, to);
        }
    }
}

void judge(const Counts& c) {
    std::cout << c.waveforms << " waveforms, " << c.compared << " compared (" << c.voltages
              << " voltages, " << c.crossings << " crossings), " << c.not_by_program
              << " not followed by the program, " << c.not_by_second
              << " not by the second solution (" << c.steps << " steps)\n  largest difference "
              << c.voltage << " of the supply (" << c.where_voltage << ")\n  largest of a time "
              << c.time << " (" << c.where_time << ")\n";
    EXPECT_EQ(c.beyond, 0);
    EXPECT_GE(c.compared, 0.95 * c.waveforms);
}

TEST(Waveforms, OfTheExamplesAgreeWithASecondSolution) {
    Counts counts;
    for (const auto& entry :
         std::filesystem::directory_iterator(PROJECT_FOLDER "/examples/clock-tower")) {
        if (!entry.path().string().ends_with(".link.toml")) continue;
        const auto link = read_link_file(entry.path().string());
        ASSERT_TRUE(link);
        const auto circuit = build_circuit(*link);
        ASSERT_TRUE(circuit);
        const Specimen specimen = nominal_specimen(*circuit, condition_ranges(*link));
        SpecimenLink second(*link, *circuit);
        second.take(specimen);
        const GapLight light = [&](const MadePart& gap, double current) {
            return second.light(gap, current, 1);  // a new emitter has faded at no current
        };
        compare_all({*link, *circuit, specimen, second.made(), light, counts}, link->states.size());
    }
    judge(counts);
    EXPECT_GE(counts.waveforms, 12);
}

TEST(Waveforms, OfGeneratedLinksAgreeWithASecondSolution) {
    const char* asked = std::getenv("REFERENCE_WAVEFORMS");
    const char* begun = std::getenv("REFERENCE_FIRST_SEED");
    const int count = asked ? std::atoi(asked) : generated;
    const int first = begun ? std::atoi(begun) : 1;
    Counts counts;
    for (int seed = first; seed < first + count; ++seed) {
        MadeLink made = made_network(static_cast<std::uint64_t>(seed));
        Dice dice(static_cast<std::uint64_t>(seed));
        add_charges(made, dice);
        const std::string text = file_text(made);
        SCOPED_TRACE("seed " + std::to_string(seed) + made.recipe + "\n" + text);
        auto link = read_link(std::make_shared<const SourceText>("made.link.toml", text), "none");
        ASSERT_TRUE(link) << to_text(link.error());
        link->title = "seed " + std::to_string(seed);
        const auto circuit = build_circuit(*link);
        ASSERT_TRUE(circuit) << to_text(circuit.error());
        Specimen specimen = nominal_specimen(*circuit, condition_ranges(*link));
        specimen.conditions.temperature = made.temperature;
        const GapLight light = [&](const MadePart& gap, double current) {
            return second_light(gap, current, made.temperature);
        };
        compare_all({*link, *circuit, specimen, made, light, counts}, link->states.size());
    }
    judge(counts);
}

}  // namespace
}  // namespace gapwright::reference
