#include "proof/cautions.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "units/engineering.hpp"

namespace gapwright {
namespace {

constexpr double dark_emitter = 1e-6;      // A: less lights nothing
constexpr double far_from_test = 2.0;      // ratio of the emitter's current to the CTR's
constexpr double part_way_low = 1.0;       // V across a receiver or transistor
constexpr double part_way_share = 0.8;     // of the side's supply
constexpr double part_way_current = 1e-8;  // A: less holds nothing open
constexpr double noticed_voltage = 1e-3;   // V
constexpr double nearest_in_sizes = 5.0;   // inverse square holds from here on

class Cautioner {
  public:
    Cautioner(const Link& link, const LinkCircuit& circuit, const std::vector<StatePoint>& nominal)
        : link_(link), circuit_(circuit), nominal_(nominal) {}

    std::vector<Caution> all() {
        isolation();
        emitters();
        transfer_ratios();
        no_spread();
        no_tolerance();
        part_way();
        undriven();
        gates();
        wrong_way_round();
        flyback();
        stores_nothing();
        unrated();
        ageing();
        sunlight();
        settings();
        return std::move(cautions_);
    }

  private:
    void caution(std::string id, std::string text) {
        cautions_.push_back({std::move(id), std::move(text)});
    }

    template <class Use>
    void each_part(const Use& use) const {
        for (std::size_t k = 0; k < link_.parts.size(); ++k) use(k, link_.parts[k]);
    }

    double highest_supply() const {
        double highest = 0;
        for (const Side side : {Side::input, Side::output}) {
            if (const auto& supply = link_.side(side).supply) {
                highest = std::max(highest, supply->find("voltage")->spread.highest);
            }
        }
        return highest;
    }

    void isolation() {
        const auto working = link_.surroundings.working_voltage;
        const double highest = std::max(highest_supply(), working.value_or(0));
        if (highest > extra_low_voltage) {
            caution("extra-low-voltage",
                    fmt::format("{} is above extra-low voltage (60 V d.c., 30 V r.m.s. a.c.): it "
                                "can kill. Local codes and licensed practice govern such work; "
                                "these figures do not replace them.",
                                engineering_short(highest, Dimension::voltage)));
            each_part([&](std::size_t, const Part& part) {
                if (!part.is_gap() || part.description.find("insulation_voltage")) return;
                caution("no-insulation-rating",
                        fmt::format("{} states no insulation rating: use a coupler whose data "
                                    "sheet states one for this working voltage.",
                                    part.name));
            });
        }
        if (!working) {
            caution("working-voltage-unstated",
                    "No working voltage between the sides is stated: keep both within extra-low "
                    "voltage (60 V d.c., 30 V r.m.s. a.c.).");
        }
        each_part([&](std::size_t, const Part& part) {
            const auto* rating = part.description.find("insulation_voltage");
            if (rating && working && *working > rating->spread.lowest) {
                caution("insulation-exceeded",
                        fmt::format("The working voltage of {} is above the {} that {} is stated "
                                    "to insulate.",
                                    engineering_short(*working, Dimension::voltage),
                                    engineering_short(rating->spread.lowest, Dimension::voltage),
                                    part.name));
            }
            if (part.description.kind == Kind::pair) {
                caution("home-made-gap",
                        fmt::format("{} is a gap made by hand: it has no insulation rating, and "
                                    "insulates nothing that can hurt.",
                                    part.name));
                near_field(part);
            }
        });
        caution("solderless-board",
                "On a solderless board nothing is insulated from anything that can hurt: "
                "extra-low voltage only.");
    }

    void near_field(const Part& part) {
        const auto* size = part.description.emitter->find("source_size");
        const double distance = part.description.find("distance")->spread.lowest;
        if (!size || distance >= nearest_in_sizes * size->spread.nominal) return;
        caution("near-field",
                fmt::format("{} is nearer than five times its source's size of {}: the inverse "
                            "square law overstates the light there; measure it.",
                            part.name, engineering_short(size->spread.nominal, Dimension::length)));
    }

    void emitters() {
        each_part([&](std::size_t k, const Part& part) {
            if (!part.is_gap() && part.description.kind != Kind::led) return;
            const Side side = part.input ? Side::input : Side::output;
            const Probe probe = circuit_.of(k, side)->current();
            const bool lit = std::ranges::any_of(nominal_, [&](const StatePoint& point) {
                return measure(probe, point) > dark_emitter;
            });
            if (lit) return;
            caution("never-lit",
                    fmt::format("{} is never lit in any state: is it the wrong way round, or the "
                                "path open?",
                                part.name));
        });
    }

    void transfer_ratios() {
        each_part([&](std::size_t k, const Part& part) {
            const auto* ctr = part.description.find("ctr");
            if (!ctr) return;
            const Probe probe = circuit_.of(k, Side::input)->current();
            double largest = 0;
            for (const auto& point : nominal_) largest = std::max(largest, measure(probe, point));
            const double test = ctr->conditions[0];
            if (largest < dark_emitter ||
                (largest < test * far_from_test && largest > test / far_from_test)) {
                return;
            }
            caution("test-current",
                    fmt::format("{} carries {}, but its transfer ratio is stated at {}: what it "
                                "is here comes from the model's curve.",
                                part.name, engineering(largest, Dimension::current),
                                engineering_short(test, Dimension::current)));
        });
    }

    // A part of a card whose leading figure has no spread: a proof over every specimen then has
    // only one.
    void no_spread() {
        constexpr std::array leading = {"ctr", "photocurrent_ratio", "sensitivity", "forward"};
        std::vector<std::string> figures;
        const auto look = [&](const std::string& name, const Description& d) {
            if (d.card.empty()) return;
            for (const auto* key : leading) {
                const auto* figure = d.find(key);
                if (!figure || figure->assumed || figure->spread.varies()) continue;
                std::string spoken = key;
                std::ranges::replace(spoken, '_', ' ');
                figures.push_back(fmt::format("{} {}", name, spoken));
                return;
            }
            const auto* resistance = d.find("resistance");
            if (d.kind == Kind::light_dependent_resistor && !resistance->spread.varies()) {
                figures.push_back(fmt::format("{} resistance", name));
            }
        };
        each_part([&](std::size_t, const Part& part) {
            const Description& d = part.description;
            if (d.kind == Kind::pair) {
                look(part.name, *d.emitter);
                look(part.name, *d.receiver);
            } else if (part.is_gap() || d.kind == Kind::led) {
                look(part.name, d);
            }
        });
        if (figures.empty()) return;
        caution("no-spread",
                fmt::format("No spread is stated of: {}. Every specimen counts as the one that the "
                            "card was made from.",
                            fmt::join(figures, ", ")));
    }

    // Resistors whose value is stated as exact, which none is.
    void no_tolerance() {
        std::vector<std::string> names;
        each_part([&](std::size_t, const Part& part) {
            const auto* value = part.description.find("value");
            if (part.description.kind != Kind::resistor || !value) return;
            if (!value->spread.varies()) names.push_back(part.name);
        });
        if (names.empty()) return;
        caution("no-tolerance",
                fmt::format("No tolerance is stated of {}: every specimen counts as "
                            "exact. Write for example \"330 Ω ± 5 %\".",
                            fmt::join(names, ", ")));
    }

    // A receiver or transistor that is neither through nor shut.
    void part_way() {
        each_part([&](std::size_t k, const Part& part) {
            const Kind kind = part.description.kind;
            const bool receiver = part.is_gap() && !is_light_resistor(part);
            if (!receiver && kind != Kind::transistor && kind != Kind::mosfet) return;
            const Side side = part.output ? Side::output : Side::input;
            const auto& supply = link_.side(side).supply;
            if (!supply) return;
            const double full = supply->nominal("voltage");
            for (std::size_t s = 0; s < nominal_.size(); ++s) {
                const double v = measure(circuit_.of(k, side)->voltage(), nominal_[s]);
                const double i = measure(circuit_.of(k, side)->current(), nominal_[s]);
                if (v < part_way_low || v > part_way_share * full) continue;
                if (std::abs(i) < part_way_current) continue;  // others divide the supply there
                caution("part-way",
                        fmt::format("In state {} {} stands part-way, {} across it: neither "
                                    "through nor shut. The load asks for more current than it "
                                    "is given, or leakage holds it open.",
                                    link_.states[s].name, part.name,
                                    engineering(v, Dimension::voltage)));
            }
        });
    }

    static bool is_light_resistor(const Part& part) {
        return part.description.kind == Kind::pair &&
               part.description.receiver->kind == Kind::light_dependent_resistor;
    }

    // The parts of a side that keep a node at a voltage when nothing is lit or driven.
    bool holds(Node node, Side side) const {
        return std::ranges::any_of(link_.parts, [&](const Part& part) {
            const auto& p = part.on(side);
            if (!p || (p->from != node && p->to != node)) return false;
            switch (part.description.kind) {
                case Kind::resistor:
                case Kind::coil:
                case Kind::load:
                case Kind::inductor:
                case Kind::logic_output:
                    return true;
                default:
                    return is_light_resistor(part);
            }
        });
    }

    void undriven() {
        each_part([&](std::size_t, const Part& part) {
            if (part.description.kind != Kind::logic_input) return;
            const Side side = part.input ? Side::input : Side::output;
            const Node node = part.on(side)->from;
            if (node == supply_node || holds(node, side)) return;
            caution("no-pull-up",
                    fmt::format("Nothing pulls {} up or down: with the receiver dark the input {} "
                                "floats.",
                                link_.side(side).node_names[to_index(node)], part.name));
        });
    }

    void gates() {
        each_part([&](std::size_t, const Part& part) {
            const Kind kind = part.description.kind;
            if (kind != Kind::mosfet && kind != Kind::transistor) return;
            const Side side = part.input ? Side::input : Side::output;
            const auto& control = part.on(side)->control;
            if (!control || holds(*control, side)) return;
            caution("no-bleed",
                    fmt::format("No resistor holds the {} of {} when it is not driven: leakage "
                                "alone may turn it on.",
                                kind == Kind::mosfet ? "gate" : "base", part.name));
        });
    }

    // A receiver or transistor that is only ever driven backwards.
    void wrong_way_round() {
        each_part([&](std::size_t k, const Part& part) {
            const bool receiver = part.is_gap() && !is_light_resistor(part);
            if (!receiver && part.description.kind != Kind::transistor) return;
            const Side side = part.output ? Side::output : Side::input;
            const Probe voltage = circuit_.of(k, side)->voltage();
            double most = 0;
            double least = 0;
            for (const auto& point : nominal_) {
                most = std::max(most, measure(voltage, point));
                least = std::min(least, measure(voltage, point));
            }
            if (most > noticed_voltage || least > -noticed_voltage) return;
            caution("wrong-way-round",
                    fmt::format("{} has its collector and emitter the wrong way round: the voltage "
                                "along its path is negative in every state.",
                                part.name));
        });
    }

    // A winding that is switched needs a way for its current when the switch opens.
    void flyback() {
        each_part([&](std::size_t, const Part& part) {
            const auto* inductance = part.description.find("inductance");
            const bool winding = (inductance && inductance->spread.highest > 0) ||
                                 part.description.kind == Kind::inductor;
            const Side side = part.input ? Side::input : Side::output;
            if (!winding || !part.on(side) || nominal_.size() < 2) return;
            const Placement& p = *part.on(side);
            const bool caught = std::ranges::any_of(link_.parts, [&](const Part& other) {
                const Kind kind = other.description.kind;
                const auto& q = other.on(side);
                if (!q || (kind != Kind::diode && kind != Kind::zener)) return false;
                return q->from == p.from || q->from == p.to || q->to == p.from || q->to == p.to;
            });
            if (caught) return;
            caution("no-flyback", fmt::format("Nothing takes the current of {} when its switch "
                                              "opens: put a flyback diode across it.",
                                              part.name));
        });
    }

    // Where promises in time are judged: parts whose charge nobody stated, and that so are quicker
    // here than on the bench.
    void stores_nothing() {
        const bool timed = std::ranges::any_of(
            link_.promises, [](const Promise& promise) { return !promise.at_rest(); });
        if (!timed) return;
        constexpr std::array keys = {"junction_capacitance",       "transit_time",
                                     "base_collector_capacitance", "base_emitter_capacitance",
                                     "gate_source_capacitance",    "gate_drain_capacitance"};
        std::vector<std::string> names;
        each_part([&](std::size_t, const Part& part) {
            const Description& d = part.description;
            if (d.kind != Kind::diode && d.kind != Kind::zener && d.kind != Kind::transistor &&
                d.kind != Kind::mosfet) {
                return;
            }
            const auto stated = [&](const char* key) { return d.find(key) != nullptr; };
            if (std::ranges::none_of(keys, stated)) names.push_back(part.name);
        });
        if (names.empty()) return;
        caution("stores-nothing",
                fmt::format("No charge is stated for {}: in time they are taken to store none.",
                            fmt::join(names, ", ")));
    }

    // Parts that turn power into heat and state no limit for it.
    void unrated() {
        constexpr double noticed_power = 1e-3;  // W
        std::vector<std::string> names;
        each_part([&](std::size_t k, const Part& part) {
            const Description& d = part.description;
            if (d.find("power") || d.kind == Kind::coil || d.kind == Kind::load ||
                d.kind == Kind::pair || !find_key(kind_rule(d.kind), "power")) {
                return;
            }
            const Side side = part.input ? Side::input : Side::output;
            const Probe power = circuit_.of(k, side)->power();
            const bool warms = std::ranges::any_of(nominal_, [&](const StatePoint& point) {
                return measure(power, point) > noticed_power;
            });
            if (warms) names.push_back(part.name);
        });
        if (names.empty()) return;
        caution("no-power-rating",
                fmt::format("Not checked, since no limit is stated: the power of {}.",
                            fmt::join(names, ", ")));
    }

    void ageing() {
        const bool counts = link_.surroundings.service * link_.surroundings.duty > 0;
        each_part([&](std::size_t, const Part& part) {
            if (!part.is_gap()) return;
            const Description& d = part.description;
            const Description& emitter = d.kind == Kind::pair ? *d.emitter : d;
            const auto* life = emitter.find("to_80_percent");
            if (!life && counts) {
                caution(
                    "life-unknown",
                    fmt::format("The emitter of {} states no life: no fading is counted over "
                                "{}.",
                                part.name,
                                engineering_short(link_.surroundings.service, Dimension::time)));
            } else if (counts) {
                caution("life-exponents",
                        fmt::format("The fading of {} follows exponents of common practice, not "
                                    "of a standard.",
                                    part.name));
            }
        });
    }

    void sunlight() {
        each_part([&](std::size_t, const Part& part) {
            if (part.description.kind != Kind::pair ||
                part.description.receiver->kind != Kind::phototransistor ||
                part.description.receiver->find("ambient_sensitivity") ||
                link_.surroundings.light.highest == 0) {
                return;
            }
            caution("daylight-share",
                    fmt::format("The receiver of {} states no response to daylight: 110 lx for "
                                "each W/m² is assumed (common practice).",
                                part.name));
        });
    }

    void settings() {
        for (const auto& state : link_.states) {
            std::vector<std::string> names;
            for (const auto k : state.assumed) names.push_back(link_.parts[k].name);
            if (names.empty()) continue;
            caution("setting-assumed",
                    fmt::format("State {} does not set {}: contacts are taken as open, logic "
                                "outputs as low.",
                                state.name, fmt::join(names, ", ")));
        }
    }

    const Link& link_;
    const LinkCircuit& circuit_;
    const std::vector<StatePoint>& nominal_;
    std::vector<Caution> cautions_;
};

}  // namespace

std::vector<Caution> cautions_of(const Link& link, const LinkCircuit& circuit,
                                 const std::vector<StatePoint>& nominal) {
    return Cautioner(link, circuit, nominal).all();
}

}  // namespace gapwright
