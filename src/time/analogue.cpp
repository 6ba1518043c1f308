#include "time/analogue.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <expected>
#include <functional>
#include <limits>
#include <numbers>
#include <optional>
#include <span>
#include <stop_token>
#include <string>
#include <utility>
#include <vector>

#include "circuit/index.hpp"
#include "circuit/link_point.hpp"
#include "circuit/network.hpp"
#include "circuit/operating_point.hpp"
#include "circuit/probe.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "population/specimen.hpp"
#include "time/harmonics.hpp"
#include "waveform/small_signal.hpp"

namespace gapwright {
namespace {

constexpr std::size_t samples = 64;          // of a period
constexpr std::size_t levels = samples / 2;  // of a swing, its lower end besides
constexpr double lowest_share = 0.25;        // of the present drive
constexpr double highest_share = 2;
constexpr int scan_steps = 35;
constexpr int golden_steps = 30;  // to less than a millionth of what the scan leaves
constexpr double kept_share = 0.5;
constexpr double told_share = 0.99;      // of the present total: a better bias is told below it
constexpr double rounding_share = 1e-7;  // what points at rest alone make of harmonics
constexpr double unfit = std::numeric_limits<double>::infinity();

// The link at one bias of its drive.
class Biased {
  public:
    Biased(const Circuit& circuit, Specimen specimen, const AnalogueQuestion& question,
           double drive, std::vector<StatePoint> rest)
        : circuit_(circuit),
          specimen_(std::move(specimen)),
          question_(question),
          drive_(drive),
          rest_(std::move(rest)),
          left_(light_left_by_gap(circuit, specimen_.values, specimen_.conditions, rest_)) {}

    static std::optional<Biased> at(const Circuit& circuit, Specimen specimen,
                                    const AnalogueQuestion& question, double drive) {
        specimen.set(question.level, drive);
        auto rest = solve_link(circuit, specimen.values, specimen.conditions);
        if (!rest) return std::nullopt;
        return Biased(circuit, std::move(specimen), question, drive, std::move(*rest));
    }

    SmallSignal small_signal() const {
        return {circuit_, specimen_.values, specimen_.conditions, question_.state,
                rest_,    question_.drive};
    }

    // A sine's ways up and down pass the same levels, so that each is solved once.
    std::optional<Harmonics> harmonics() const {
        std::array<double, levels + 1> outputs{};  // from the trough up
        std::vector<double> values = specimen_.values;
        StatePoint last = rest_[to_index(question_.state)];
        for (std::size_t k = 0; k <= levels; ++k) {
            values[to_index(question_.level)] = drive_ - question_.swing * std::cos(angle(k));
            auto point = at_rest(values, last);
            if (!point) return std::nullopt;
            last = std::move(*point);
            outputs[k] = measure(question_.output, last);
        }
        std::array<double, samples> period{};
        for (std::size_t k = 0; k < samples; ++k) {
            period[k] = outputs[k <= levels ? k : samples - k];
        }
        return harmonics_of(period);
    }

  private:
    static double angle(std::size_t k) {
        return 2 * std::numbers::pi * static_cast<double>(k) / static_cast<double>(samples);
    }

    // The bias's state; emitters as faded as at the bias.
    std::optional<StatePoint> at_rest(std::span<const double> values,
                                      const StatePoint& start) const {
        const auto& networks = circuit_.states[to_index(question_.state)];
        const Conditions& around = specimen_.conditions;
        StatePoint point;
        auto input = operating_point(networks.input, Side::input, values, around, {}, &start.input);
        if (!input) return std::nullopt;
        point.input = std::move(*input);
        point.light = gap_light(circuit_, values, around, emitter_currents(circuit_, point), left_);
        auto output = operating_point(networks.output, Side::output, values, around, point.light,
                                      &start.output);
        if (!output) return std::nullopt;
        point.output = std::move(*output);
        return point;
    }

    const Circuit& circuit_;
    Specimen specimen_;
    const AnalogueQuestion& question_;
    double drive_;
    std::vector<StatePoint> rest_;
    std::vector<double> left_;  // of each emitter's light
};

struct Scored {
    double drive = 0;
    double total = 0;
};

// The drive of the least total: the least of a scan about the present one, then closer by the
// golden section. `total_at` is infinite where a drive does not qualify.
Scored least_total(double present, Scored best, const std::function<double(double)>& total_at) {
    if (!(present > 0)) return best;
    const auto look = [&](double drive) {
        const double total = total_at(drive);
        if (total < best.total) best = {drive, total};
        return total;
    };
    const double step = present * (highest_share - lowest_share) / scan_steps;
    Scored least{present, unfit};
    for (int k = 0; k <= scan_steps; ++k) {
        const double drive = present * lowest_share + step * k;
        const double total = look(drive);
        if (total < least.total) least = {drive, total};
    }
    double from = std::max(least.drive - step, present * lowest_share);
    double to = std::min(least.drive + step, present * highest_share);
    constexpr double ratio = std::numbers::phi - 1;
    double left = to - ratio * (to - from);
    double right = from + ratio * (to - from);
    double at_left = look(left);
    double at_right = look(right);
    for (int k = 0; k < golden_steps; ++k) {
        if (at_left <= at_right) {
            to = std::exchange(right, left);
            at_right = at_left;
            left = to - ratio * (to - from);
            at_left = look(left);
        } else {
            from = std::exchange(left, right);
            at_left = at_right;
            right = from + ratio * (to - from);
            at_right = look(right);
        }
    }
    return best;
}

}  // namespace

AnalogueQuestion analogue_question(const Link& link, const LinkCircuit& circuit) {
    const Analogue& stated = *link.analogue;
    const Probe source = stated.drive ? circuit.of(*stated.drive, Side::input)->current()
                                      : supply_current(Side::input);
    const ElementIndex drive = source.ports.front().current.front().element;
    const auto& network = circuit.circuit.states[stated.state].input;
    return {.state = static_cast<StateIndex>(stated.state),
            .drive = drive,
            .level = *std::get<Branch>(network.elements[to_index(drive)]).voltage,
            .swing = stated.swing,
            .output = {.kind = Probe::Kind::voltage,
                       .side = Side::output,
                       .ports = {{stated.output, Node::side_return, {}}}}};
}

std::expected<AnalogueAnswer, std::string> analogue_answer(const Circuit& circuit,
                                                           const Specimen& specimen,
                                                           const AnalogueQuestion& question,
                                                           const std::stop_token& stop) {
    const double drive = specimen.values[to_index(question.level)];
    const auto biased = Biased::at(circuit, specimen, question, drive);
    const auto harmonics = biased ? biased->harmonics() : std::nullopt;
    if (!harmonics) return std::unexpected("no point at rest was found");
    const SmallSignal small = biased->small_signal();
    const double gain = small.transfer(question.output, 0).real();
    const double at_swing = harmonics->fundamental / question.swing;
    if (!(std::abs(gain) >= least_gain && at_swing >= least_gain)) {
        return std::unexpected("in this state the output does not follow the drive");
    }
    AnalogueAnswer answer{.present = {drive, gain, *harmonics},
                          .bandwidth = small.bandwidth(question.output),
                          .most_linear = {}};
    const bool fit = drive > question.swing;
    if (fit) answer.most_linear = answer.present;
    if (fit && harmonics->total < rounding_share) return answer;
    const auto total_at = [&](double other) {
        if (other - question.swing <= 0 || stop.stop_requested()) return unfit;
        const auto there = Biased::at(circuit, specimen, question, other);
        const auto bent = there ? there->harmonics() : std::nullopt;
        const bool kept = bent && bent->fundamental >= kept_share * harmonics->fundamental;
        return kept ? bent->total : unfit;
    };
    const double best =
        least_total(drive, {drive, fit ? told_share * harmonics->total : unfit}, total_at).drive;
    if (stop.stop_requested()) return std::unexpected("stopped");
    if (best == drive) return answer;
    const auto better = Biased::at(circuit, specimen, question, best);
    const auto bent = better ? better->harmonics() : std::nullopt;
    if (!bent) return std::unexpected("no point at rest was found");
    answer.most_linear = {best, better->small_signal().transfer(question.output, 0).real(), *bent};
    return answer;
}

}  // namespace gapwright
