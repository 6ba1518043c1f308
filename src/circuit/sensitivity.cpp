#include "circuit/sensitivity.hpp"
#include <cstddef>
#include <span>
#include <vector>

#include "circuit/adjoint_side.hpp"
#include "circuit/gap_laws.hpp"
#include "circuit/index.hpp"
#include "circuit/link_point.hpp"
#include "circuit/network.hpp"
#include "circuit/probe.hpp"

namespace gapwright {
namespace {

double total(const std::vector<Worth>& worths, const std::vector<Partial>& partials) {
    double sum = 0;
    for (std::size_t k = 0; k < worths.size(); ++k) sum += worths[k].of(partials[k]);
    return sum;
}

class Differentiator {
  public:
    Differentiator(const Circuit& circuit, std::span<const double> values,
                   const Conditions& conditions, const std::vector<StatePoint>& points,
                   std::span<const std::size_t> figures)
        : circuit_(circuit),
          values_(values),
          conditions_(conditions),
          points_(points),
          figures_(figures) {
        for (std::size_t s = 0; s < points.size(); ++s) {
            inputs_.emplace_back(circuit.states[s].input, values, conditions, GapLight{},
                                 points[s].input);
            outputs_.emplace_back(circuit.states[s].output, values, conditions, points[s].light,
                                  points[s].output);
        }
        for (const std::size_t figure : figures) take_figure(figure);
        take_light();
    }

    std::vector<double> of(const Measure& measure) const {
        const std::size_t s = to_index(measure.state);
        const bool input = measure.probe.side == Side::input;
        const auto worths = (input ? inputs_ : outputs_)[s].worth(measure.probe);
        std::vector<double> result;
        for (std::size_t f = 0; f < figures_.size(); ++f) {
            result.push_back(total(worths, (input ? input_partials_ : output_partials_)[f][s]));
        }
        if (input) return result;
        for (std::size_t g = 0; g < circuit_.gaps.size(); ++g) {
            const double by_light = total(worths, light_partials_[s][g]);
            for (std::size_t f = 0; f < figures_.size(); ++f) {
                result[f] += by_light * light_slopes_[s][g][f];
            }
        }
        return result;
    }

  private:
    // What every element does with one figure, light staying.
    void take_figure(std::size_t figure) {
        const Seeded seeded{values_, conditions_, figure};
        input_partials_.emplace_back();
        output_partials_.emplace_back();
        for (std::size_t s = 0; s < points_.size(); ++s) {
            const std::vector<Dual1> light(points_[s].light.begin(), points_[s].light.end());
            input_partials_.back().push_back(inputs_[s].partials(seeded, light));
            output_partials_.back().push_back(outputs_[s].partials(seeded, light));
        }
    }

    // How the light of each gap moves with each figure, and what each element does with light.
    void take_light() {
        const std::size_t gaps = circuit_.gaps.size();
        constexpr std::size_t none = static_cast<std::size_t>(-1);
        std::vector<std::vector<std::vector<double>>> emitter;  // by state, gap, figure
        for (std::size_t s = 0; s < points_.size(); ++s) {
            emitter.emplace_back();
            for (const auto& gap : circuit_.gaps) {
                const Port port{.current = {{.element = gap.emitter, .main = 1, .base = 0}}};
                const Probe probe{
                    .kind = Probe::Kind::current, .side = Side::input, .ports = {port}};
                emitter.back().push_back(of({static_cast<StateIndex>(s), probe}));
            }
        }
        std::vector<std::vector<double>> currents;  // by state, gap
        for (const auto& point : points_) currents.push_back(emitter_currents(circuit_, point));
        for (std::size_t s = 0; s < points_.size(); ++s) {
            light_slopes_.emplace_back(gaps);
            light_partials_.emplace_back();
            for (std::size_t g = 0; g < gaps; ++g) {
                for (std::size_t f = 0; f < figures_.size(); ++f) {
                    // The current now and, by the time in each state, all that faded the emitter.
                    const auto current = [&](std::size_t k) {
                        Dual1 amperes(currents[k][g]);
                        amperes.slope[0] = emitter[k][g][f];
                        return amperes;
                    };
                    const Gap& gap = circuit_.gaps[g];
                    const Seeded seeded{values_, conditions_, figures_[f]};
                    const Dual1 left = life_at(gap, seeded, seeded.around(), circuit_.shares,
                                               points_.size(), current);
                    light_slopes_[s][g].push_back(
                        light_of_life(gap, seeded, seeded.around(), current(s), left).slope[0]);
                }
                std::vector<Dual1> light(points_[s].light.begin(), points_[s].light.end());
                light[g].slope[0] = 1;
                light_partials_[s].push_back(
                    outputs_[s].partials(Seeded{values_, conditions_, none}, light));
            }
        }
    }

    const Circuit& circuit_;
    std::span<const double> values_;
    const Conditions& conditions_;
    const std::vector<StatePoint>& points_;
    std::span<const std::size_t> figures_;
    std::vector<AdjointSide> inputs_;  // by state
    std::vector<AdjointSide> outputs_;
    std::vector<std::vector<std::vector<Partial>>> input_partials_;  // by figure, state, element
    std::vector<std::vector<std::vector<Partial>>> output_partials_;
    std::vector<std::vector<std::vector<Partial>>> light_partials_;  // by state, gap, element
    std::vector<std::vector<std::vector<double>>> light_slopes_;     // by state, gap, figure
};

}  // namespace

std::vector<std::vector<double>> sensitivities(const Circuit& circuit,
                                               std::span<const double> values,
                                               const Conditions& conditions,
                                               const std::vector<StatePoint>& points,
                                               const std::vector<Measure>& measures,
                                               std::span<const std::size_t> figures) {
    const Differentiator differentiator(circuit, values, conditions, points, figures);
    std::vector<std::vector<double>> result;
    for (const auto& measure : measures) result.push_back(differentiator.of(measure));
    return result;
}

}  // namespace gapwright
