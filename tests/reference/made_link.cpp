// Writes a made-up link as a link file.
#include "reference/made_link.hpp"

#include <cstdio>
#include <stdexcept>

namespace gapwright::reference {
namespace {

// The unit that each key is written in; an empty one stands for a plain number.
const std::map<std::string, std::string>& units() {
    static const std::map<std::string, std::string> table{{"saturation_current", "A"},
                                                          {"ideality", ""},
                                                          {"series_resistance", "Ω"},
                                                          {"bandgap", "eV"},
                                                          {"temperature_exponent", ""},
                                                          {"forward", "V"},
                                                          {"forward_at", "A"},
                                                          {"forward_slope", "V/K"},
                                                          {"forward_slope_at", "A"},
                                                          {"threshold_slope", "V/K"},
                                                          {"transport_current", "A"},
                                                          {"gain", ""},
                                                          {"reverse_gain", ""},
                                                          {"early_voltage", "V"},
                                                          {"knee_current", "A"},
                                                          {"leak_current", "A"},
                                                          {"leak_ideality", ""},
                                                          {"collector_resistance", "Ω"},
                                                          {"gain_exponent", ""},
                                                          {"photocurrent_ratio", ""},
                                                          {"low_knee", "A"},
                                                          {"high_knee", "A"},
                                                          {"temperature_coefficient", ""},
                                                          {"dark_current", "A"},
                                                          {"radiant_intensity", "W/sr"},
                                                          {"radiant_intensity_at", "A"},
                                                          {"luminous_intensity", "cd"},
                                                          {"luminous_intensity_at", "A"},
                                                          {"half_angle", "°"},
                                                          {"sensitivity", "A"},
                                                          {"sensitivity_at", "W/m²"},
                                                          {"resistance", "Ω"},
                                                          {"resistance_at", "lx"},
                                                          {"gamma", ""},
                                                          {"dark_resistance", "Ω"},
                                                          {"distance", "m"},
                                                          {"angle", "°"},
                                                          {"shroud", ""},
                                                          {"threshold", "V"},
                                                          {"transconductance", "A/V²"},
                                                          {"slope_factor", ""},
                                                          {"channel_modulation", ""},
                                                          {"zener_voltage", "V"},
                                                          {"junction_capacitance", "F"},
                                                          {"emitter_capacitance", "F"},
                                                          {"transit_time", "s"},
                                                          {"base_emitter_capacitance", "F"},
                                                          {"base_collector_capacitance", "F"},
                                                          {"reverse_transit_time", "s"},
                                                          {"gate_source_capacitance", "F"},
                                                          {"gate_drain_capacitance", "F"},
                                                          {"capacitance", "F"},
                                                          {"inductance", "H"},
                                                          {"rise_time", "s"},
                                                          {"decay_time", "s"},
                                                          {"high", "V"},
                                                          {"low", "V"},
                                                          {"closed_resistance", "Ω"},
                                                          {"open_resistance", "Ω"}};
    return table;
}

std::string digits(double value) {
    char text[40];
    std::snprintf(text, sizeof text, "%.17g", value);
    std::string result = text;
    if (result.find_first_of(".en") == std::string::npos) result += ".0";
    return result;
}

std::string unit_of(const std::string& kind, const std::string& key) {
    if (key == "value") return kind == "resistor" ? "Ω" : kind == "capacitor" ? "F" : "H";
    const auto found = units().find(key);
    if (found == units().end()) throw std::logic_error("no unit for " + key);
    return found->second;
}

std::string value_text(const MadePart& part, const std::string& prefix, const std::string& key) {
    const std::string unit = unit_of(part.kind, key);
    const std::string number = digits(part.figure(prefix + key));
    if (unit.empty()) return number;
    std::string text = "\"" + number + " " + unit;
    const std::string condition = key + "_at";
    if (part.has(prefix + condition)) {
        text += " at " + digits(part.figure(prefix + condition)) + " " + unit_of("", condition);
    }
    return text + "\"";
}

// The keys of the part itself (an empty table name) or of one of its tables.
std::vector<std::string> entries(const MadePart& part, const std::string& table) {
    const std::string prefix = table.empty() ? "" : table + ".";
    std::vector<std::string> all;
    auto inside = [&](const std::string& key) {
        return key.starts_with(prefix) && key.find('.', prefix.size()) == std::string::npos;
    };
    for (const auto& [key, word] : part.words) {
        if (inside(key)) all.push_back(key.substr(prefix.size()) + " = \"" + word + "\"");
    }
    for (const auto& [key, value] : part.figures) {
        if (!inside(key) || key.ends_with("_at")) continue;
        const std::string name = key.substr(prefix.size());
        all.push_back(name + " = " + value_text(part, prefix, name));
    }
    return all;
}

std::string joined(const std::vector<std::string>& texts, const std::string& between) {
    std::string all;
    for (const auto& text : texts) all += (all.empty() ? "" : between) + text;
    return all;
}

std::string part_text(const MadePart& part) {
    std::vector<std::string> all{"kind = \"" + part.kind + "\""};
    for (const auto& entry : entries(part, "")) all.push_back(entry);
    for (const std::string table : {"emitter", "transfer", "receiver"}) {
        const auto inner = entries(part, table);
        if (!inner.empty()) all.push_back(table + " = { " + joined(inner, ", ") + " }");
    }
    return "{ " + joined(all, ", ") + " }";
}

std::string side_text(const MadeSide& side) {
    std::string text = "supply = ";
    const std::string voltage = "\"" + digits(side.supply) + " V\"";
    if (side.resistance > 0) {
        text += "{ voltage = " + voltage + ", resistance = \"" + digits(side.resistance) + " Ω\" }";
    } else {
        text += voltage;
    }
    text += "\npaths = [\n";
    for (const auto& path : side.paths) text += "  \"" + joined(path, " > ") + "\",\n";
    return text + "]\n";
}

}  // namespace

double MadePart::figure(const std::string& key, double standard) const {
    const auto found = figures.find(key);
    return found == figures.end() ? standard : found->second;
}

double MadePart::figure(const std::string& key) const {
    return figure(key, 0);
}

bool MadePart::mirrored() const {
    return (words.contains("polarity") && words.at("polarity") == "pnp") ||
           (words.contains("channel") && words.at("channel") == "p");
}

std::string file_text(const MadeLink& link) {
    std::string text = "title = \"Made up\"\n[input]\n" + side_text(link.input) + "[output]\n" +
                       side_text(link.output) + "[parts]\n";
    for (const auto& [name, part] : link.parts) text += name + " = " + part_text(part) + "\n";
    text += "[states]\n";
    for (const auto& [state, settings] : link.states) {
        std::vector<std::string> all;
        for (const auto& [part, setting] : settings) {
            all.push_back(part + " = \"" + setting + "\"");
        }
        text += state + " = { " + joined(all, ", ") + " }\n";
    }
    return text;
}

}  // namespace gapwright::reference
