#include "reference/specimen_link.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <stdexcept>

namespace gapwright::reference {
namespace {

MadePart made_part(const Part& part) {
    const Description& d = part.description;
    MadePart made;
    made.kind = kind_rule(d.kind).name;
    for (const auto& [key, word] : d.choices) made.words[std::string(key_name(key))] = word;
    if (d.receiver) made.words["receiver.kind"] = kind_rule(d.receiver->kind).name;
    return made;
}

void add_paths(const LinkSide& side, MadeSide& made) {
    made.supply = 0;
    for (const auto& path : side.paths) {
        auto& names = made.paths.emplace_back();
        for (const auto& item : path) names.push_back(item.name);
    }
}

std::string word_of(Setting setting) {
    switch (setting) {
        case Setting::open:
            return "open";
        case Setting::closed:
            return "closed";
        case Setting::low:
            return "low";
        case Setting::high:
            return "high";
    }
    throw std::logic_error("no such setting");
}

// A gap's figures that the project keeps per ampere or per W/m², and in radians.
std::string pair_key(const MadePart& pair, const std::string& key) {
    if (key == "intensity") {
        return has_light_resistor(pair) ? "emitter.luminous_intensity"
                                        : "emitter.radiant_intensity";
    }
    if (key == "half_angle" || key == "temperature_coefficient") return "emitter." + key;
    if (key == "sensitivity" || key == "ambient_sensitivity") return "receiver." + key;
    return key;
}

// The share of light left (docs/method.md, life), 1 for an emitter whose card states no fading.
double light_left(const MadePart& gap, const Conditions& around, double ageing_current) {
    const std::string prefix = gap.kind == "coupler" ? "life." : "emitter.";
    if (!gap.has(prefix + "to_80_percent")) return 1;
    auto figure = [&](const char* key) { return gap.figure(prefix + key); };
    const double shape = figure("shape");
    const double tau = figure("to_80_percent") / std::pow(-std::log(0.8), 1 / shape) *
                       std::pow(figure("at_current") / ageing_current, figure("current_exponent")) *
                       std::exp(figure("activation_energy") * charge_over_boltzmann *
                                (1 / around.temperature - 1 / figure("at_temperature")));
    return std::exp(-std::pow(around.age / tau, shape));
}

}  // namespace

SpecimenLink::SpecimenLink(const Link& link, const LinkCircuit& circuit)
    : shares_(circuit.circuit.shares) {
    for (const auto& part : link.parts) made_.parts[part.name] = made_part(part);
    add_paths(link.input, made_.input);
    add_paths(link.output, made_.output);
    for (const auto& state : link.states) {
        states_.push_back(state.name);
        auto& settings = made_.states[state.name];
        for (const auto& [part, setting] : state.settings) {
            settings[link.parts[part].name] = word_of(setting);
        }
    }
    for (std::size_t k = 0; k < circuit.parameters.size(); ++k) {
        targets_.push_back(target(circuit.name_of(static_cast<Slot>(k))));
    }
}

double* SpecimenLink::place(const std::string& part, const std::string& key) {
    return &made_.parts.at(part).figures[key];  // stays where it is: a map's node
}

SpecimenLink::Target SpecimenLink::target(const std::string& name) {
    if (name.empty()) return {};  // the slot that is always zero
    for (auto* side : {&made_.input, &made_.output}) {
        const std::string prefix = side == &made_.input ? "input.supply." : "output.supply.";
        if (name == prefix + "voltage") return {&side->supply, 1};
        if (name == prefix + "resistance") return {&side->resistance, 1};
    }
    const std::size_t dot = name.find('.');
    const std::string part = name.substr(0, dot);
    std::string key = name.substr(dot + 1);
    const MadePart& made = made_.parts.at(part);
    if (made.kind == "coupler") {
        const std::string plain = key.substr(0, key.find('.'));
        const KeyRule* rule = find_named_key(kind_rule(Kind::coupler), plain);
        if (!rule) throw std::logic_error("no key " + name);
        key = std::string(rule->group) + "." + key;
    } else if (made.kind == "pair") {
        key = pair_key(made, key);
    }
    if (key.ends_with(".at")) key.replace(key.size() - 3, 3, "_at");
    const bool angle = key == "angle" || key == "emitter.half_angle";
    if (made.kind == "pair" && (key.ends_with("_intensity") || key.ends_with("sensitivity"))) {
        *place(part, key + "_at") = 1;
    }
    return {place(part, key), angle ? 180 / std::numbers::pi : 1};
}

void SpecimenLink::take(const Specimen& specimen) {
    around_ = specimen.conditions;
    made_.temperature = around_.temperature;
    for (std::size_t k = 0; k < targets_.size(); ++k) {
        if (targets_[k].figure) *targets_[k].figure = specimen.values[k] * targets_[k].factor;
    }
}

double SpecimenLink::light(const MadePart& gap, double current, double ageing_current) const {
    const double left = light_left(gap, around_, ageing_current);
    MadePart faded = gap;
    for (const char* key : {"transfer.photocurrent_ratio", "emitter.radiant_intensity",
                            "emitter.luminous_intensity"}) {
        if (faded.has(key)) faded.figures[key] *= left;
    }
    if (gap.kind == "coupler") return second_light(faded, current, around_.temperature);
    const double ambient = (1 - gap.figure("shroud")) * around_.light;
    if (!has_light_resistor(gap)) {
        return second_light(faded, current, around_.temperature) +
               ambient * gap.figure("receiver.ambient_sensitivity");
    }
    // The emitter's lux, read by a receiver of one siemens per lux; the ambient light's add to it.
    for (const char* key : {"resistance_at", "resistance", "gamma"}) {
        faded.figures[std::string("receiver.") + key] = 1;
    }
    faded.figures["receiver.dark_resistance"] = std::numeric_limits<double>::infinity();
    const double lux = second_light(faded, current, around_.temperature) + ambient;
    return std::pow(lux / gap.figure("receiver.resistance_at"), gap.figure("receiver.gamma")) /
               gap.figure("receiver.resistance") +
           1 / gap.figure("receiver.dark_resistance");
}

std::optional<std::vector<StateSolution>> SpecimenLink::solve(
    const std::vector<StateSolution>* start) const {
    const std::map<std::string, double> dark;
    std::vector<std::pair<SecondSide, SecondPoint>> inputs;
    std::vector<std::map<std::string, double>> emitter_currents(states_.size());
    // By emitter: the constant current that would fade it as its states do, Σ share · I^p to the
    // power 1/p; where shares are not known its largest.
    std::map<std::string, double> ageing_currents;
    for (std::size_t s = 0; s < states_.size(); ++s) {
        const SecondSide side(made_, true, made_.states.at(states_[s]), dark);
        const auto point = second_point(side, start ? &(*start)[s].input_point : nullptr);
        if (!point) return {};
        for (const auto& part : side.parts()) {
            const auto found = made_.parts.find(part.name);
            if (found == made_.parts.end()) continue;  // the supply
            if (found->second.kind != "coupler" && found->second.kind != "pair") continue;
            const auto current = static_cast<double>(side.currents(part, point->x, 1.0L).main);
            emitter_currents[s][part.name] = current;
        }
        inputs.emplace_back(side, *point);
    }
    for (const auto& [name, first] : emitter_currents.front()) {
        const MadePart& gap = made_.parts.at(name);
        const std::string key =
            gap.kind == "coupler" ? "life.current_exponent" : "emitter.current_exponent";
        const double exponent = gap.has(key) ? gap.figure(key) : 1;
        double sum = 0;
        double largest = 0;
        for (std::size_t s = 0; s < states_.size(); ++s) {
            const double current = std::max(0.0, emitter_currents[s].at(name));
            largest = std::max(largest, current);
            if (!shares_.empty()) sum += shares_[s] * std::pow(current, exponent);
        }
        ageing_currents[name] = shares_.empty() ? largest : std::pow(sum, 1 / exponent);
    }
    std::vector<StateSolution> states;
    for (std::size_t s = 0; s < states_.size(); ++s) {
        std::map<std::string, double> lights;
        for (const auto& [name, current] : emitter_currents[s]) {
            lights[name] = light(made_.parts.at(name), current, ageing_currents[name]);
        }
        const SecondSide side(made_, false, made_.states.at(states_[s]), lights);
        const auto point = second_point(side, start ? &(*start)[s].output_point : nullptr);
        if (!point) return {};
        states.push_back({inputs[s].first, inputs[s].second, side, *point});
    }
    return states;
}

}  // namespace gapwright::reference
