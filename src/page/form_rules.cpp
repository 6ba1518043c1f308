#include "page/form_rules.hpp"
#include <span>
#include <string_view>
#include <utility>

#include "units/dimension.hpp"

namespace gapwright {
namespace {

using D = Dimension;

constexpr Takes of(Dimension dimension) {
    return Takes::quantity(dimension);
}
constexpr Takes share = Takes::share();
constexpr Takes bound = Takes::bound();
constexpr Takes number = Takes::number();
constexpr Takes words;

constexpr FormKey surroundings[] = {
    {"temperature", "-10 .. 45 °C", of(D::temperature)},
    {"light", "0 .. 300 lx", of(D::illuminance), "", "light on an open gap"},
    {"working_voltage", "24 V", of(D::voltage), "", "voltage between the sides"},
    {"service", "10 years", of(D::time)},
    {"duty", "5 %", share, "", "share of time in the first state"},
    {"reserve", "10 %", share, "", "asked reserve"},
    {"stretch", "1.2", of(D::ratio), "", "asked stretch"}};

constexpr FormKey promise[] = {
    {"state", "on", words, "", "", false},
    {"change", "off, on", words, "", "", false},
    {"signal", "eye", words, "pulse width error|eye|highest rate", "", false},
    {"current", "K1", words, "", "", false},
    {"voltage", "supply, coil", words, "", "", false},
    {"power", "R1", words, "", "", false},
    {"side", "output", words, "input|output", "", false},
    {"reaches", "3.5 V", bound, "", "", false},
    {"within", "20 µs", of(D::time), "", "", false},
    {"at_least", "16.8 V", bound},
    {"at_most", "1 mA", bound},
    {"reserve", "20 %", share, "", "asked reserve"}};

constexpr FormKey need[] = {
    {"when", "driven", words, "driven|idle", "the load is on when the drive is"},
    {"rate", "9600 Bd", of(D::signalling_rate), "", "signalling rate"}};

constexpr FormKey drive[] = {{"card", "logic-output-5v", words, "", "", false},
                             {"kind", "logic output", words, "logic output|contact", "", false},
                             {"high", "4.2 .. 5 V", of(D::voltage), "", "", false},
                             {"low", "0 .. 0.4 V", of(D::voltage), "", "", false},
                             {"resistance", "40 Ω", of(D::resistance), "", "", false},
                             {"source_limit", "8 mA", of(D::current), "", "", false},
                             {"sink_limit", "8 mA", of(D::current), "", "", false},
                             {"input_type", "3", number, "", "", false}};

constexpr FormKey load[] = {{"card", "relay-coil-24v", words, "", "", false},
                            {"kind", "coil", words, "coil|indicator|logic input|load", "", false},
                            {"resistance", "720 Ω ± 10 %", of(D::resistance), "", "", false},
                            {"pull_in", "16.8 V", of(D::voltage), "", "", false},
                            {"drop_out", "2.4 V", of(D::voltage), "", "", false},
                            {"inductance", "0.9 H", of(D::inductance), "", "", false},
                            {"low_below", "0.8 V", of(D::voltage), "", "", false},
                            {"high_above", "2 V", of(D::voltage), "", "", false},
                            {"leakage", "1 µA", of(D::current), "", "", false},
                            {"current", "10 mA", of(D::current), "", "", false},
                            {"off_current", "100 µA", of(D::current), "", "", false}};

constexpr FormKey choose[] = {
    {"gaps", "four-pin-coupler-a, four-pin-coupler-b", words, "", "gap cards; empty: all"},
    {"drawer", "drawer.csv", words, "", "drawer; empty: a series of values"},
    {"series", "E24", words, "E3|E6|E12|E24|E48|E96|E192"},
    {"indicator", "without", words, "with|without|either", "an indicator in series"},
    {"distance", "12 mm", of(D::length), "", "distance of an open gap", false},
    {"shroud", "96 %", share, "", "", false}};

constexpr FormKey signal[] = {{"rate", "31.25 kBd", of(D::signalling_rate), "", "", false},
                              {"frequency", "1 kHz", of(D::frequency), "", "", false},
                              {"duty", "50 %", share, "", "", false},
                              {"states", "off, on", words, "", "", false}};

constexpr FormKey disturbance[] = {{"edge", "1 kV/µs", of(D::voltage_rate)},
                                   {"amplitude", "200 V", of(D::voltage)},
                                   {"dip", "20 %", share},
                                   {"dip_time", "10 ms", of(D::time)}};

constexpr FormKey insulation[] = {{"grade", "basic", words, "functional|basic|reinforced"},
                                  {"mains", "230 V", of(D::voltage)},
                                  {"overvoltage_category", "II", words, "I|II|III|IV"},
                                  {"pollution_degree", "2", number},
                                  {"material_group", "IIIa", words, "I|II|IIIa|IIIb"}};

constexpr FormKey analogue[] = {{"state", "on"},
                                {"drive", "P1", words, "", "", false},
                                {"swing", "100 mV", of(D::voltage)},
                                {"output", "data"}};

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
