#include "fit/receiver_bench.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <expected>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include "card/card_shelf.hpp"
#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "circuit/index.hpp"
#include "circuit/link_point.hpp"
#include "circuit/network.hpp"
#include "circuit/probe.hpp"
#include "circuit/sensitivity.hpp"
#include "fit/observation.hpp"
#include "link/figure_id.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "population/specimen.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"
#include "time/timed_measure.hpp"

namespace gapwright {
namespace {

// The emitter's current comes from so high a voltage behind so high a resistance that the part
// cannot change it.
constexpr double drive_resistance = 1e9;  // Ω, R1 below

constexpr const char* bench_text = R"(
[input]
supply = "1 V"
paths = ["supply > S1 > R1 > U1 > return"]
[output]
supply = "5 V"
paths = ["supply > R2 > U1 > return"]
[parts]
S1 = {{ kind = "contact", closed_resistance = "0 Ω", open_resistance = "1e9 GΩ" }}
R1 = {{ kind = "resistor", value = "1 GΩ" }}
R2 = {{ kind = "resistor", value = "1 kΩ" }}
U1 = {}
[states]
on = {{ S1 = "closed" }}
off = {{ S1 = "open" }}
)";
constexpr const char* any_coupler = R"({ card = "four-pin-coupler-b" })";
// A metre from an emitter of 1 W/sr per ampere, one ampere is one W/m².
constexpr const char* any_pair =
    R"({ kind = "pair", emitter = { kind = "led", forward = "1.2 V at 20 mA", series_resistance = "0 Ω", radiant_intensity = "1 W/sr at 1 A" }, receiver = "infrared-receiver", distance = "1 m" })";

}  // namespace

Expected<ReceiverBench> ReceiverBench::of(const Description& card, const std::vector<Key>& keys) {
    const bool packaged = card.kind == Kind::coupler;
    const std::string text = fmt::format(bench_text, packaged ? any_coupler : any_pair);
    const CardShelf shipped_only({});  // what lies in a folder has no part in it
    auto link =
        read_link(std::make_shared<const SourceText>("measuring bench", text), shipped_only);
    if (!link) return std::unexpected(link.error());
    Part& part = link->parts.back();
    if (packaged) {
        part.description = card;
    } else {
        part.description.receiver = std::make_shared<const Description>(card);
    }
    auto circuit = build_circuit(*link);
    if (!circuit) return std::unexpected(circuit.error());
    ReceiverBench bench;
    bench.circuit_ = std::move(*circuit);
    bench.lit_ = bench.circuit_.circuit;
    bench.lit_.states.resize(1);
    bench.collector_ = bench.circuit_.of(link->parts.size() - 1, Side::output)->current();
    bench.nominal_ = bench.circuit_.nominal_values();
    const std::size_t gap = link->parts.size() - 1;
    for (const Key key : keys) {
        auto slot = bench.circuit_.find(figure_of(gap, key));
        if (!slot) {
            slot = bench.circuit_.find({.of = FigureId::Of::receiver, .part = gap, .key = key});
        }
        bench.slots_.push_back(slot);
    }
    bench.drive_ = bench.circuit_.find(supply_figure(Side::input, Key::voltage)).value();
    bench.supply_ = bench.circuit_.find(supply_figure(Side::output, Key::voltage)).value();
    bench.load_ = bench.circuit_.find(figure_of(*link->find_part("R2"), Key::value)).value();
    return bench;
}

std::vector<double> ReceiverBench::figures() const {
    std::vector<double> result;
    for (const auto& slot : slots_) result.push_back(slot ? nominal_[to_index(*slot)] : 0.0);
    return result;
}

std::vector<double> ReceiverBench::values_for(const Observation& o,
                                              std::span<const double> figures) const {
    std::vector<double> values = nominal_;
    for (std::size_t k = 0; k < figures.size(); ++k) {
        if (slots_[k]) values[to_index(*slots_[k])] = figures[k];
    }
    const bool timed = o.measured == Measured::rise_time || o.measured == Measured::fall_time;
    const double light = o.measured == Measured::dark_current
                             ? 0.0
                             : std::max(o.forward_current, o.irradiance);  // only one is stated
    values[to_index(drive_)] = light * drive_resistance;
    values[to_index(supply_)] = timed ? o.supply_voltage : o.collector_emitter_voltage;
    values[to_index(load_)] = timed ? o.load_resistance : 0.0;
    return values;
}

bool ReceiverBench::edge_time(const Observation& o, const std::vector<double>& values,
                              double& time) const {
    const Specimen specimen{.values = values, .conditions = {.temperature = o.temperature}};
    const auto rest = solve_link(circuit_.circuit, values, specimen.conditions);
    if (!rest) return false;
    const bool rising = o.measured == Measured::rise_time;
    const double lit = gapwright::measure(collector_, (*rest)[0]);
    const double dark = gapwright::measure(collector_, (*rest)[1]);
    const auto reach = [&](double share) {
        return TimedMeasure{
            .reading = TimedMeasure::Reading::reach,
            .schedule = {.from = static_cast<StateIndex>(rising ? 1 : 0),
                         .changes = {{.at = 0, .to = static_cast<StateIndex>(rising ? 0 : 1)}}},
            .probe = collector_,
            .level = dark + share * (lit - dark)};
    };
    const auto times = timed_values(circuit_.circuit, specimen, {reach(0.1), reach(0.9)});
    if (!times || std::max(times->values[0], times->values[1]) >= never) return false;
    time = std::abs(times->values[1] - times->values[0]);
    return time > 0;
}

// The ratio of two transfer ratios: what does not change with the light drops out.
bool ReceiverBench::relative_ctr(const Observation& o, std::span<const double> figures,
                                 double& value, std::span<double> slopes) const {
    Observation here = o;
    here.measured = Measured::collector_current;
    Observation reference = here;
    reference.forward_current = o.reference_current;
    reference.temperature = Observation{}.temperature;
    std::vector<double> reference_slopes(slopes.size());
    double current = 0;
    double reference_current = 0;
    if (!measure(here, figures, current, slopes) ||
        !measure(reference, figures, reference_current, reference_slopes)) {
        return false;
    }
    value = current / o.forward_current / (reference_current / o.reference_current);
    for (std::size_t k = 0; k < slopes.size(); ++k) {
        slopes[k] = value * (slopes[k] / current - reference_slopes[k] / reference_current);
    }
    return true;
}

bool ReceiverBench::measure(const Observation& o, std::span<const double> figures, double& value,
                            std::span<double> slopes) const {
    if (o.measured == Measured::relative_ctr) return relative_ctr(o, figures, value, slopes);
    std::vector<double> values = values_for(o, figures);
    std::ranges::fill(slopes, 0.0);
    if (o.measured == Measured::rise_time || o.measured == Measured::fall_time) {
        if (!edge_time(o, values, value)) return false;
        constexpr double step = 0.02;  // far above what a waveform's steps round
        for (std::size_t k = 0; k < slopes.size(); ++k) {
            if (!slots_[k]) continue;
            double& figure = values[to_index(*slots_[k])];
            const double kept = figure;
            double above = 0;
            double below = 0;
            figure = kept * (1 + step);
            bool known = edge_time(o, values, above);
            figure = kept * (1 - step);
            known = known && edge_time(o, values, below);
            figure = kept;
            if (!known) return false;
            slopes[k] = kept == 0 ? 0.0 : (above - below) / (2 * step * kept);
        }
        return true;
    }
    const Conditions conditions{.temperature = o.temperature};
    const auto points = solve_link(lit_, values, conditions);
    if (!points) return false;
    value = gapwright::measure(collector_, points->front());
    if (slopes.empty()) return value > 0;
    std::vector<std::size_t> wanted;
    std::vector<std::size_t> where;
    for (std::size_t k = 0; k < slopes.size(); ++k) {
        if (!slots_[k]) continue;
        wanted.push_back(to_index(*slots_[k]));
        where.push_back(k);
    }
    const auto moved =
        sensitivities(lit_, values, conditions, *points,
                      {{.state = static_cast<StateIndex>(0), .probe = collector_}}, wanted);
    for (std::size_t j = 0; j < where.size(); ++j) slopes[where[j]] = moved[0][j];
    return value > 0;
}

}  // namespace gapwright
