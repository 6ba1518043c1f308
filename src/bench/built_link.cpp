#include "bench/built_link.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "bench/link_edits.hpp"
#include "bench/meter_error.hpp"

namespace gapwright {
namespace {

constexpr std::size_t drawn_each_round = 4000;
constexpr double widenings[] = {16, 8, 4, 2, 1, 1};  // of the meter's error, round by round
constexpr double kept_each_round = 0.9995;           // of the specimens that agree
constexpr double margin = 0.1;                       // of a range, left at either end of it
constexpr double fewest = 30;                        // effective specimens
constexpr double narrowed = 0.9;  // of the stated range: less of it counts as learnt
constexpr double year = 365.25 * 86400;
constexpr double longest_service = 50 * year;

// A figure of the link's that may be learnt.
struct Unknown {
    std::size_t slot;
    Spread stated;
    Spread range;  // what is left of it
};

// The specimens of one round and how well each agrees with the readings.
struct Round {
    std::vector<double> weights;              // add up to one
    std::vector<std::vector<double>> values;  // by unknown, then by specimen

    double effective() const {
        double squares = 0;
        for (const double w : weights) squares += w * w;
        return squares > 0 ? 1 / squares : 0;
    }
    double mean(std::size_t unknown) const {
        return std::inner_product(weights.begin(), weights.end(), values[unknown].begin(), 0.0);
    }
    // Where the middle `share` of an unknown's weight lies.
    std::pair<double, double> middle(std::size_t unknown, double share) const {
        std::vector<std::size_t> order(weights.size());
        std::iota(order.begin(), order.end(), std::size_t{0});
        const auto& own = values[unknown];
        std::ranges::sort(order, {}, [&](std::size_t k) { return own[k]; });
        const double tail = (1 - share) / 2;
        double sum = 0;
        double low = own[order.front()];
        double high = own[order.back()];
        for (const std::size_t k : order) {
            if (sum <= tail) low = own[k];
            sum += weights[k];
            if (sum < 1 - tail) continue;
            high = own[k];
            break;
        }
        return {low, high};
    }
};

class Learner {
  public:
    Learner(const Link& link, const FaultDictionary& dictionary,
            const std::vector<TakenReading>& readings, const EngineOptions& engine)
        : dictionary_(dictionary), engine_(engine) {
        // Only what was read is simulated.
        for (const TakenReading& r : readings) {
            const Measurement& m = dictionary.measurements[r.measurement];
            if (m.kind == MeasurementKind::isolation) continue;  // tells of no figure
            measured_.push_back(m);
            nominals_.push_back(dictionary.nominals[r.measurement]);
            read_.push_back(r.value);
        }
        const auto built = build_circuit(link);
        if (!built) return;
        link_ = prepared_for_faults(link, *built);
        circuit_ = *build_circuit(link_);
        for (std::size_t k = 0; k < circuit_.parameters.size(); ++k) {
            const Parameter& p = circuit_.parameters[k];
            if (p.spread.varies() && settable(link_, p.name)) {
                unknowns_.push_back({k, p.spread, p.spread});
            }
        }
    }

    std::optional<BuiltLink> run() {
        if (measured_.empty() || unknowns_.empty()) return std::nullopt;
        Round round;
        std::uint64_t seed = dictionary_.options.seed + 1000;
        for (const double widening : widenings) {
            if (engine_.stop.stop_requested()) return std::nullopt;
            auto drawn = draw(widening, ++seed);
            if (!drawn || drawn->effective() < fewest) return std::nullopt;
            round = std::move(*drawn);
            for (std::size_t u = 0; u < unknowns_.size(); ++u) narrow(round, u);
        }
        return told(round);
    }

    // Sets a figure of the link by the name of its parameter; false where the file has none such.
    static bool set(Link& link, const std::string& name, const Spread& spread) {
        const auto end = name.rfind('.');
        const std::string key = name.substr(end + 1);
        const std::string of = name.substr(0, end);
        for (const Side side : {Side::input, Side::output}) {
            if (of != std::string(side_name(side)) + ".supply") continue;
            edits::set_figure(*link.side(side).supply, key, spread);
            return true;
        }
        const auto dot = of.find('.');
        const auto part = link.find_part(of.substr(0, dot));
        if (!part) return false;
        const std::string half = dot == std::string::npos ? "" : of.substr(dot + 1);
        const auto which = half == "emitter"    ? edits::Half::emitter
                           : half == "receiver" ? edits::Half::receiver
                                                : edits::Half::whole;
        const Description& whole = link.parts[*part].description;
        const Description& now = which == edits::Half::emitter    ? *whole.emitter
                                 : which == edits::Half::receiver ? *whole.receiver
                                                                  : whole;
        if (now.find(key)) {
            edits::set_figure(edits::description(link, *part, which), key, spread);
            return true;
        }
        return set_beam(link, *part, key, spread);
    }

  private:
    static bool settable(const Link& link, const std::string& name) {
        Link copy = link;
        return set(copy, name, exactly(1));
    }

    // A pair's beam knows its emitter and receiver per ampere and per W/m²; their cards do not.
    static bool set_beam(Link& link, std::size_t part, const std::string& key,
                         const Spread& spread) {
        const Description& whole = link.parts[part].description;
        if (whole.kind != Kind::pair) return false;
        const bool intensity = key == "intensity";
        const bool light = whole.receiver->kind == Kind::light_dependent_resistor;
        const std::string own =
            intensity ? (light ? "luminous_intensity" : "radiant_intensity") : key;
        const Description& half = intensity ? *whole.emitter : *whole.receiver;
        const Figure* figure = half.find(own);
        if (!figure || figure->conditions.empty()) return false;
        const double per = figure->conditions[0];
        edits::set_figure(edits::description(
                              link, part, intensity ? edits::Half::emitter : edits::Half::receiver),
                          own, {spread.nominal * per, spread.lowest * per, spread.highest * per});
        return true;
    }

    // A round of specimens from what is left of the unknowns' ranges.
    std::optional<Round> draw(double widening, std::uint64_t seed) {
        Link narrowed_link = link_;
        for (const Unknown& u : unknowns_) {
            set(narrowed_link, circuit_.parameters[u.slot].name, u.range);
        }
        const BenchSetup setup{dictionary_.meter, measured_, nominals_,
                               bench_conditions(link_, dictionary_.options)};
        const auto simulated =
            simulate_readings(narrowed_link, setup, std::nullopt, seed, drawn_each_round);
        const auto drawn = build_circuit(narrowed_link);
        if (!simulated || !drawn) return std::nullopt;
        Round round;
        round.values.resize(unknowns_.size());
        std::vector<double> logs;
        for (std::size_t k = 0; k < drawn_each_round; ++k) {
            const Specimen specimen = draw_specimen(*drawn, setup.conditions, seed, k);
            double log = log_agreement(*simulated, k, widening);
            for (std::size_t u = 0; u < unknowns_.size(); ++u) {
                const double value = specimen.values[unknowns_[u].slot];
                round.values[u].push_back(value);
                log += log_prior(unknowns_[u], value);
            }
            logs.push_back(log);
        }
        const double most = std::ranges::max(logs);
        if (!std::isfinite(most)) return std::nullopt;
        double sum = 0;
        for (const double log : logs) sum += round.weights.emplace_back(std::exp(log - most));
        for (double& w : round.weights) w /= sum;
        return round;
    }

    double log_agreement(const SimulatedReadings& simulated, std::size_t k, double widening) const {
        double log = 0;
        for (std::size_t m = 0; m < measured_.size(); ++m) {
            const MeasurementKind kind = measured_[m].kind;
            const double value = shown(dictionary_.meter, kind, simulated.at(k, m));
            if (std::isnan(value)) return -INFINITY;
            if (!std::isfinite(read_[m]) || !std::isfinite(value)) {
                if (std::isfinite(read_[m]) != std::isfinite(value)) return -INFINITY;
                continue;
            }
            const double error = widening * standard_error(dictionary_.meter, kind, read_[m]);
            const double away = (value - read_[m]) / error;
            log -= 0.5 * away * away;
        }
        return log;
    }

    // Draws within a range are uniform; a figure that the card gives as normal is not.
    double log_prior(const Unknown& u, double value) const {
        if (!circuit_.parameters[u.slot].normal) return 0;
        const double half = value < u.stated.nominal ? u.stated.nominal - u.stated.lowest
                                                     : u.stated.highest - u.stated.nominal;
        if (half <= 0) return 0;
        const double z = 3 * (value - u.stated.nominal) / half;  // limits are ±3σ
        return -0.5 * z * z;
    }

    void narrow(const Round& round, std::size_t u) {
        Unknown& unknown = unknowns_[u];
        const auto [low, high] = round.middle(u, kept_each_round);
        const double room =
            margin * (high - low) + 1e-3 * (unknown.stated.highest - unknown.stated.lowest);
        unknown.range.lowest = std::max(unknown.stated.lowest, low - room);
        unknown.range.highest = std::min(unknown.stated.highest, high + room);
        unknown.range.nominal =
            std::clamp(round.mean(u), unknown.range.lowest, unknown.range.highest);
    }

    BuiltLink told(const Round& round) const {
        BuiltLink result{.link = link_, .learnt = {}, .specimens = round.effective()};
        constexpr double told_share = 0.99;
        for (std::size_t u = 0; u < unknowns_.size(); ++u) {
            const Unknown& unknown = unknowns_[u];
            const auto [low, high] = round.middle(u, told_share);
            const double all = unknown.stated.highest - unknown.stated.lowest;
            if (high - low > narrowed * told_share * all) continue;
            const Parameter& p = circuit_.parameters[unknown.slot];
            const Spread learnt{std::clamp(round.mean(u), low, high), low, high};
            set(result.link, p.name, learnt);
            result.learnt.push_back({p.name, p.dimension, unknown.stated, learnt});
        }
        std::ranges::stable_sort(result.learnt, {}, [](const LearntFigure& f) {
            return (f.learnt.highest - f.learnt.lowest) / (f.stated.highest - f.stated.lowest);
        });
        return result;
    }

    const FaultDictionary& dictionary_;
    const EngineOptions& engine_;
    std::vector<Measurement> measured_;
    std::vector<double> nominals_;
    std::vector<double> read_;
    Link link_;
    LinkCircuit circuit_;
    std::vector<Unknown> unknowns_;
};

bool keeps_all(const Proof& proof) {
    return proof.verdict != Verdict::broken;
}

}  // namespace

std::optional<BuiltLink> built_link(const Link& link, const FaultDictionary& dictionary,
                                    const std::vector<TakenReading>& readings,
                                    const EngineOptions& engine) {
    return Learner(link, dictionary, readings, engine).run();
}

std::expected<BuiltProof, ProofFailure> prove_built(const BuiltLink& built,
                                                    const ProofOptions& options) {
    const auto proof_at = [&](double service) -> std::expected<Proof, ProofFailure> {
        Link link = built.link;
        link.surroundings.service = service;
        const auto circuit = build_circuit(link);
        if (!circuit) return std::unexpected(ProofFailure{circuit.error().front().message, false});
        return prove(link, *circuit, options);
    };
    const double asked = built.link.surroundings.service;
    auto proof = proof_at(asked);
    if (!proof) return std::unexpected(proof.error());
    BuiltProof result{.proof = std::move(*proof)};
    double good = keeps_all(result.proof) ? asked : 0;
    double bad = keeps_all(result.proof) ? longest_service : asked;
    if (!keeps_all(result.proof)) {
        const auto fresh = proof_at(0);
        if (!fresh) return std::unexpected(fresh.error());
        if (!keeps_all(*fresh)) return result;
    } else {
        const auto old = proof_at(longest_service);
        if (!old) return std::unexpected(old.error());
        result.and_longer = keeps_all(*old);
        result.holds_for = longest_service;
        if (result.and_longer) return result;
    }
    while (bad - good > std::max(0.25 * year, 0.03 * bad)) {
        const double middle = 0.5 * (good + bad);
        const auto half = proof_at(middle);
        if (!half) return std::unexpected(half.error());
        (keeps_all(*half) ? good : bad) = middle;
    }
    result.holds_for = good;
    return result;
}

}  // namespace gapwright
