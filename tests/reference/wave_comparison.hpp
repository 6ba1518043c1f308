// Compares the program's waveforms of one link with the second solution's.
//
// The bar: crossings of the level half-way, as the program finds them with its usual tolerance, to
// 0.1 % of their time; voltages of named nodes, with a tighter one, to 1e-4 of their side's supply
// (of the voltage itself where it is more). Edges of picoseconds are compared along time as well: a
// voltage that is reached within 1e-5 of its time agrees.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "reference/second_waveform.hpp"
#include "time/timed_measure.hpp"

namespace gapwright::reference {

struct WaveCounts {
    // How far along time voltages are compared besides: s, and share of the time. More where parts
    // that store nothing hand over at once.
    double edge = 0;
    double edge_share = 1e-5;
    int waveforms = 0, compared = 0, not_by_program = 0, not_by_second = 0, beyond = 0;
    int with_strays = 0;  // the program assumed what the second solution does not: not compared
    int not_rested = 0;   // by the program, in the time that it allows
    int voltages = 0, crossings = 0, steps = 0;
    int unresolved = 0;            // voltages inside a jump of the second solution
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

class WaveComparison {
  public:
    WaveComparison(const Link& link, const LinkCircuit& circuit, const Specimen& specimen,
                   const MadeLink& made, const GapLight& light, WaveCounts& counts)
        : link_(link),
          circuit_(circuit),
          specimen_(specimen),
          made_(made),
          light_(light),
          counts_(counts) {}

    // Every change from one state to another; failures are the test's.
    void run();

  private:
    void run(std::size_t from, std::size_t to);
    void watch(const WaveformSystem& system, const std::vector<double>& rest,
               const std::vector<double>& goal);
    std::expected<Waveform, WaveFailure> program(std::size_t from, std::size_t to,
                                                 const WaveOptions& options) const;
    // Along the program's waveform; false where the second solution cannot go on.
    bool follow(SecondWaveform second, const Waveform& wave);
    // How far the second solution is from what the program passes through about that time.
    void compare_voltage(const Watched& w, std::span<const WavePoint* const> points, std::size_t at,
                         double second);
    void compare_crossings(const Watched& w, const Waveform& wave);
    std::string name_of(const Watched& w) const;

    const Link& link_;
    const LinkCircuit& circuit_;
    const Specimen& specimen_;
    const MadeLink& made_;
    const GapLight& light_;
    WaveCounts& counts_;
    std::string where_;
    std::vector<Watched> watched_;
};

}  // namespace gapwright::reference
