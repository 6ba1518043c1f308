#include "page/form_rules.hpp"
#include <span>
#include <string_view>
#include <utility>

namespace gapwright {
namespace {

constexpr FormKey surroundings[] = {{"temperature", "-10 .. 45 °C"},
                                    {"light", "0 .. 300 lx", "", "light on an open gap"},
                                    {"working_voltage", "24 V", "", "voltage between the sides"},
                                    {"service", "10 years"},
                                    {"duty", "5 %", "", "share of time that it is on"},
                                    {"reserve", "10 %", "", "asked reserve"}};

constexpr FormKey promise[] = {{"state", "on", "", "", false},
                               {"change", "off, on", "", "", false},
                               {"signal", "eye", "pulse width error|eye|highest rate", "", false},
                               {"current", "K1", "", "", false},
                               {"voltage", "supply, coil", "", "", false},
                               {"power", "R1", "", "", false},
                               {"side", "output", "input|output", "", false},
                               {"reaches", "3.5 V", "", "", false},
                               {"within", "20 µs", "", "", false},
                               {"at_least", "16.8 V"},
                               {"at_most", "1 mA"},
                               {"reserve", "20 %", "", "asked reserve"}};

constexpr FormKey need[] = {{"when", "driven", "driven|idle", "the load is on when the drive is"},
                            {"rate", "9600 Bd", "", "signalling rate"}};

constexpr FormKey drive[] = {{"card", "logic-output-5v", "", "", false},
                             {"kind", "logic output", "logic output|contact", "", false},
                             {"high", "4.2 .. 5 V", "", "", false},
                             {"low", "0 .. 0.4 V", "", "", false},
                             {"resistance", "40 Ω", "", "", false},
                             {"source_limit", "8 mA", "", "", false},
                             {"sink_limit", "8 mA", "", "", false},
                             {"input_type", "3", "", "", false}};

constexpr FormKey load[] = {{"card", "relay-coil-24v", "", "", false},
                            {"kind", "coil", "coil|indicator|logic input|load", "", false},
                            {"resistance", "720 Ω ± 10 %", "", "", false},
                            {"pull_in", "16.8 V", "", "", false},
                            {"drop_out", "2.4 V", "", "", false},
                            {"inductance", "0.9 H", "", "", false},
                            {"low_below", "0.8 V", "", "", false},
                            {"high_above", "2 V", "", "", false},
                            {"leakage", "1 µA", "", "", false},
                            {"current", "10 mA", "", "", false},
                            {"off_current", "100 µA", "", "", false}};

constexpr FormKey choose[] = {
    {"gaps", "four-pin-coupler-a, four-pin-coupler-b", "", "gap cards; empty: all"},
    {"drawer", "drawer.csv", "", "drawer; empty: a series of values"},
    {"series", "E24", "E3|E6|E12|E24|E48|E96|E192"},
    {"indicator", "without", "with|without|either", "an indicator in series"},
    {"distance", "12 mm", "", "distance of an open gap", false},
    {"shroud", "96 %", "", "", false}};

constexpr FormKey signal[] = {{"rate", "31.25 kBd", "", "", false},
                              {"frequency", "1 kHz", "", "", false},
                              {"duty", "50 %", "", "", false},
                              {"states", "off, on", "", "", false}};

constexpr FormKey disturbance[] = {
    {"edge", "1 kV/µs"}, {"amplitude", "200 V"}, {"dip", "20 %"}, {"dip_time", "10 ms"}};

constexpr FormKey insulation[] = {{"grade", "basic", "functional|basic|reinforced"},
                                  {"mains", "230 V"},
                                  {"overvoltage_category", "II", "I|II|III|IV"},
                                  {"pollution_degree", "2"},
                                  {"material_group", "IIIa", "I|II|IIIa|IIIb"}};

constexpr FormKey analogue[] = {
    {"state", "on"}, {"drive", "P1", "", "", false}, {"swing", "100 mV"}, {"output", "data"}};

using Table = std::pair<std::string_view, std::span<const FormKey>>;

}  // namespace

std::span<const FormKey> surroundings_form() {
    return surroundings;
}

std::span<const FormKey> promise_form() {
    return promise;
}

std::span<const FormKey> need_form() {
    return need;
}

std::span<const FormKey> need_part_form(std::string_view which) {
    if (which == "drive") return drive;
    return load;
}

std::span<const FormKey> choose_form() {
    return choose;
}

std::span<const Table> optional_tables() {
    static const Table tables[] = {{"signal", signal},
                                   {"disturbance", disturbance},
                                   {"insulation", insulation},
                                   {"analogue", analogue}};
    return tables;
}

}  // namespace gapwright
