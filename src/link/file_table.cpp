#include "link/file_table.hpp"

#include <algorithm>
#include <array>
#include <cstddef>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "card/part_kind.hpp"
#include "source/toml_edit.hpp"
#include "units/dimension.hpp"

namespace gapwright {
namespace {

using D = Dimension;
using What = Takes::What;
using Field = FileKey::Field;

constexpr Takes text;
constexpr Takes bound{.what = What::bound};
constexpr Takes accuracy{.what = What::accuracy};
constexpr Takes names{.what = What::names};
constexpr Takes two_names{.what = What::two_names};
constexpr Takes part{.what = What::part};
constexpr Takes whole_table{.what = What::table};

constexpr Takes quantity(Dimension dimension, Range range = Range::any) {
    return {.what = What::quantity, .dimension = dimension, .range = range};
}
constexpr Takes percent(Range range) {
    return {.what = What::quantity, .range = range, .percent = true};
}
constexpr Takes choice(std::string_view words) {
    return {.what = What::choice, .words = words};
}
constexpr Takes whole(int least, int most) {
    return {.what = What::whole, .least = least, .most = most};
}

constexpr FileKey root[] = {
    {"title", text, "Bell hammer", "", "what the link is called"},
    {"about", text, "What the link is for", "", "what it is for, in a sentence or more"},
    {"surroundings", whole_table, "", "", "where the link stands, and what is asked of it there"},
    {"input", whole_table, "", "", "the side that drives: its supply and its paths"},
    {"output", whole_table, "", "", "the side that is switched: its supply and its paths"},
    {"parts", {.what = What::parts}, "", "", "every part that a path names"},
    {"states", {.what = What::states}, "", "", "settings of contacts and logic outputs"},
    {"signal", whole_table, "", "", "the train of pulses that the link is to carry"},
    {"disturbance", whole_table, "", "", "what happens to the link besides"},
    {"analogue", whole_table, "", "", "a signal without steps"},
    {"insulation", whole_table, "", "", "what the distances between the sides are asked to be"},
    {"meter", whole_table, "", "", "the meter at the bench"},
    {"promise", {.what = What::tables}, "", "", "what the link must hold"},
    {"need", whole_table, "", "", "what a link must do, in place of a circuit"},
    {"choose", whole_table, "", "", "where values to be chosen come from"},
};

constexpr FileKey surroundings[] = {
    {"temperature", quantity(D::temperature), "-10 .. 45 °C", "25 °C",
     "one value or a range, within −55 … 125 °C"},
    {.name = "light",
     .takes = quantity(D::illuminance, Range::from_zero),
     .example = "0 .. 300 lx",
     .standard = "0 lx",
     .meaning = "what falls on an open gap",
     .label = "light on an open gap"},
    {.name = "working_voltage",
     .takes = quantity(D::voltage, Range::from_zero),
     .example = "24 V",
     .standard = "not known",
     .meaning = "the highest between the two sides",
     .label = "voltage between the sides"},
    {"service", quantity(D::time, Range::from_zero), "10 years", "0 years",
     "the life over which promises hold"},
    {.name = "duty",
     .takes = {.what = What::share, .range = Range::share, .percent = true},
     .example = "5 %",
     .standard = "not known",
     .meaning = "how long of that in which state, see below",
     .label = "share of time in the first state"},
    {.name = "reserve",
     .takes = percent(Range::from_zero),
     .example = "10 %",
     .standard = "10 %",
     .meaning = "asked of every promise and rating, a share of its bound",
     .label = "asked reserve"},
    {.name = "stretch",
     .takes = quantity(D::ratio, Range::from_zero),
     .example = "1.2",
     .standard = "1",
     .meaning = "asked likewise: how wide every spread may be, times itself; 3 at most",
     .label = "asked stretch"},
};

constexpr FileKey side[] = {
    {"supply",
     {.what = What::supply, .dimension = D::voltage, .range = Range::above_zero},
     "5 V ± 5 %",
     "",
     "also `{ voltage = \"9 V\", resistance = \"2 Ω\" }` or `{ card = \"battery-9v\" }`"},
    {"paths", names, "supply > R1 > D1 > return", "", "see below"},
};

constexpr FileKey signal[] = {
    {"rate", quantity(D::signalling_rate, Range::above_zero), "31.25 kBd", "",
     "bits of equal length; or a frequency"},
    {"frequency", quantity(D::frequency, Range::above_zero), "1 kHz", "",
     "a bit is then the shorter of pulse and pause"},
    {"duty", percent(Range::share), "50 %", "50 %", "of a frequency: the share that is pulse"},
    {"states", two_names, "off, on", "the first two states", "at rest, and during a pulse"},
};

constexpr FileKey disturbance[] = {
    {"edge", quantity(D::voltage_rate, Range::above_zero), "1 kV/µs", "none",
     "the sides move apart so fast,"},
    {"amplitude", quantity(D::voltage, Range::above_zero), "200 V", "none",
     "so far, and back again"},
    {"dip", percent(Range::share), "20 %", "none", "each supply loses so much,"},
    {"dip_time", quantity(D::time, Range::above_zero), "10 ms", "none", "for so long"},
};

constexpr FileKey analogue[] = {
    {"state", text, "on", "the first state", "the bias: a state at rest"},
    {.name = "drive",
     .example = "P1",
     .meaning = "what is varied: `\"supply\"`, the input side's, or a logic output of that side",
     .needed = true},
    {.name = "swing",
     .takes = quantity(D::voltage, Range::above_zero),
     .example = "100 mV",
     .meaning = "peak, either side of the drive's level in that state",
     .needed = true},
    {.name = "output",
     .example = "data",
     .meaning = "a node of the output side, against its return",
     .needed = true},
};

constexpr FileKey insulation[] = {
    {"grade", choice("functional|basic|reinforced"), "basic", "basic", "of the insulation"},
    {"mains", quantity(D::voltage, Range::above_zero), "230 V", "none",
     "r.m.s., line to neutral, of the mains that feeds a side; 1000 V at most"},
    {"overvoltage_category", choice("I|II|III|IV"), "II", "II", "of that mains"},
    {"pollution_degree", whole(1, 3), "2", "2", "sealed and dry, a room, a workshop or damp place"},
    {"material_group", choice("I|II|IIIa|IIIb"), "IIIa", "IIIa", "of the board"},
};

constexpr FileKey meter[] = {
    {"accuracy", accuracy, "± (0.5 % + 2 digits)", "± (0.5 % + 2 digits)",
     "of voltages, and of the junction test"},
    {"current_accuracy", accuracy, "± (1 % + 3 digits)", "± (1 % + 3 digits)", "of currents"},
    {"resistance_accuracy", accuracy, "± (0.8 % + 2 digits)", "± (0.8 % + 2 digits)",
     "of resistances"},
    {"counts", whole(200, 10'000'000), "2000", "2000",
     "what a range's full scale shows, decimal point left out"},
    {"input_resistance", quantity(D::resistance, Range::above_zero), "10 MΩ", "10 MΩ",
     "on its voltage ranges"},
    {"burden_voltage", quantity(D::voltage, Range::from_zero), "200 mV", "200 mV",
     "across it at full scale of a current range"},
    {"test_voltage", quantity(D::voltage, Range::above_zero), "500 mV", "500 mV",
     "open, on its resistance ranges"},
    {"junction_voltage", quantity(D::voltage, Range::above_zero), "3 V", "3 V",
     "open, on its junction test range"},
    {"junction_current", quantity(D::current, Range::above_zero), "1 mA", "1 mA",
     "short-circuited, on its junction test range"},
    {"junction_range", quantity(D::voltage, Range::above_zero), "2 V", "none",
     "where its junction test goes over range; none: not known, 2 V or more"},
    {"insulation_voltage", quantity(D::voltage, Range::above_zero), "250 V", "none",
     "test voltage of an insulation tester at hand, d.c.; none: there is none"},
};

// A row of [[promise]] that says what the promise is about: the form has no field for what it is
// not about.
constexpr FileKey about(std::string_view name, Takes takes, std::string_view example,
                        std::string_view meaning) {
    return {.name = name,
            .takes = takes,
            .example = example,
            .meaning = meaning,
            .field = Field::stated};
}

constexpr FileKey promise[] = {
    about("state", text, "on", "a state at rest in which it must hold"),
    about("change", two_names, "off, on", "or a change, from one state to another"),
    about("signal", choice("pulse width error|eye|highest rate"), "eye", "or the signal, below"),
    about("current", text, "K1", "of a part, also `\"U1.receiver\"`, `\"Q1.base\"`"),
    about("voltage", {.what = What::name_or_two}, "supply, coil",
          "of a node against its return, or from one node to another"),
    about("power", text, "R1", "of a part"),
    about("side", choice("input|output"), "output", "where a node's name is on both sides"),
    {"at_least", bound, "16.8 V", "", "the least that the quantity may be"},
    {"at_most", bound, "1 mA", "", "the most that it may be"},
    about("reaches", bound, "3.5 V",
          "of a change: the level that is passed; of the signal: where pulses are timed"),
    about("within", quantity(D::time, Range::above_zero), "20 µs",
          "of a change: so long after it, on the way from its value before to that after, the "
          "quantity is past that level and stays there"),
    {.name = "reserve",
     .takes = percent(Range::from_zero),
     .example = "20 %",
     .standard = "that of the surroundings",
     .meaning = "asked of this promise",
     .label = "asked reserve"},
};

constexpr FileKey need[] = {
    {.name = "drive",
     .takes = part,
     .example = R"({ card = "logic-output-5v" })",
     .meaning = "what drives the link",
     .needed = true},
    {.name = "load",
     .takes = part,
     .example = R"({ card = "relay-coil-24v" })",
     .meaning = "what it switches",
     .needed = true},
    {.name = "when",
     .takes = choice("driven|idle"),
     .example = "driven",
     .standard = "driven",
     .meaning = "the load is on when the drive is, or when it is not. A drive is on when high or "
                "closed; a logic input is on when it reads high",
     .label = "the load is on when the drive is"},
    {.name = "when_dead",
     .takes = choice("off|on|any"),
     .example = "off",
     .standard = "off; on for a logic input with a rate, any for others and where the load is on "
                 "when the drive is idle",
     .meaning =
         "what the load does when the input side is dead: its supply gone, its wire cut, its "
         "emitter failed. What would do otherwise is not drawn up",
     .label = "the load when the input side is dead"},
    {.name = "rate",
     .takes = quantity(D::signalling_rate, Range::from_zero),
     .example = "9600 Bd",
     .standard = "0 Bd: at rest",
     .meaning = "signalling rate",
     .label = "signalling rate"},
};

// A key of need.drive or need.load, which as a rule names a card or describes a part.
constexpr FileKey of_part(std::string_view name, Takes takes, std::string_view example,
                          std::string_view meaning, std::string_view standard = {}) {
    return {.name = name,
            .takes = takes,
            .example = example,
            .standard = standard,
            .meaning = meaning,
            .field = Field::stated};
}

constexpr FileKey drive[] = {
    of_part("card", text, "logic-output-5v", "a card of one of these kinds"),
    of_part("kind", choice("logic output|contact"), "logic output",
            "one of these, with that kind's keys"),
    of_part("input_type", whole(1, 3), "3",
            "of a contact: the type of input of IEC 61131-2 that it is to meet. The standard's "
            "voltages of the sensor when on and off then take the place of the supply's, and its "
            "leakage that of the contact where it states less"),
};

constexpr FileKey load[] = {
    of_part("card", text, "relay-coil-24v", "a card of one of these kinds"),
    of_part(
        "kind", choice("coil|indicator|logic input|load"), "coil",
        "one of these, with that kind's keys, an indicator with those of a led. Needed are of a "
        "coil `pull_in` and `drop_out`, of a logic input `low_below` and `high_above`, of the "
        "others `current`"),
    of_part("current", quantity(D::current, Range::above_zero), "10 mA",
            "of an indicator or a load: at least this when on. A limit of a load's current is "
            "written `limits = { current = \"1 A\" }` here"),
    of_part("off_current", quantity(D::current), "100 µA", "likewise: at most this when off",
            "1 % of `current`, own choice"),
};

constexpr FileKey choose[] = {
    {.name = "gaps",
     .takes = names,
     .example = "four-pin-coupler-a, four-pin-coupler-b",
     .standard = "every such card found",
     .meaning = "cards of couplers, phototransistors and light-dependent resistors. A receiver is "
                "faced by an emitter's card named here, else by the one of greatest intensity",
     .label = "gap cards; empty: all"},
    {.name = "drawer",
     .example = "drawer.csv",
     .standard = "a series",
     .meaning = "path of a drawer, from the file's folder. Resistors come from it, singly or two "
                "or three in series or in parallel, no more of a value than it holds (no threes "
                "from more than 120 values); its cards say what an answer \"only from the drawer\" "
                "may use",
     .label = "drawer; empty: a series of values"},
    {"series", choice("E3|E6|E12|E24|E48|E96|E192"), "E24", "E24",
     "in place of a drawer: single values of a preferred series, 10 Ω … 1 MΩ"},
    {.name = "tolerance",
     .takes = percent(Range::share),
     .example = "5 %",
     .standard = "what the series usually has: E12 10 %, E24 5 %, E96 1 % …",
     .meaning = "of the series",
     .field = Field::never},
    {.name = "power",
     .takes = quantity(D::power, Range::above_zero),
     .example = "0.25 W",
     .standard = "0.25 W",
     .meaning = "of the series",
     .field = Field::never},
    {.name = "indicator",
     .takes = choice("without|with|either"),
     .example = "without",
     .standard = "without",
     .meaning = "a red indicator in series with the emitter",
     .label = "an indicator in series"},
    {.name = "distance",
     .takes = quantity(D::length, Range::above_zero),
     .example = "12 mm",
     .standard = "10 mm, own choice",
     .meaning = "of open pairs",
     .label = "distance of an open gap"},
    {.name = "shroud",
     .takes = percent(Range::share),
     .example = "96 %",
     .standard = "95 % with a phototransistor, 99.9 % with a light-dependent resistor: own choices",
     .meaning = "likewise: the share of the ambient light that is kept out"},
};

// A row for each enumerator: of the last one there is one too.
template <class TableKey>
consteval bool complete(std::span<const FileKey> rows, TableKey last) {
    return rows.size() == static_cast<std::size_t>(std::to_underlying(last)) + 1;
}
static_assert(complete(root, RootKey::choose));
static_assert(complete(surroundings, SurroundingsKey::stretch));
static_assert(complete(side, SideKey::paths));
static_assert(complete(signal, SignalKey::states));
static_assert(complete(disturbance, DisturbanceKey::dip_time));
static_assert(complete(analogue, AnalogueKey::output));
static_assert(complete(insulation, InsulationKey::material_group));
static_assert(complete(meter, MeterKey::insulation_voltage));
static_assert(complete(promise, PromiseKey::reserve));
static_assert(complete(need, NeedKey::rate));
static_assert(complete(drive, DriveKey::input_type));
static_assert(complete(load, LoadKey::off_current));
static_assert(complete(choose, ChooseKey::shroud));

}  // namespace

const FileTable& table_of(RootKey /*key*/) {
    static constexpr FileTable rows{"", "a link file", root};
    return rows;
}
const FileTable& table_of(SurroundingsKey /*key*/) {
    static constexpr FileTable rows{"surroundings", "[surroundings]", surroundings};
    return rows;
}
const FileTable& table_of(SideKey /*key*/) {
    static constexpr FileTable rows{"input", "[input]", side};
    return rows;
}
const FileTable& table_of(SignalKey /*key*/) {
    static constexpr FileTable rows{"signal", "[signal]", signal};
    return rows;
}
const FileTable& table_of(DisturbanceKey /*key*/) {
    static constexpr FileTable rows{"disturbance", "[disturbance]", disturbance};
    return rows;
}
const FileTable& table_of(AnalogueKey /*key*/) {
    static constexpr FileTable rows{"analogue", "[analogue]", analogue};
    return rows;
}
const FileTable& table_of(InsulationKey /*key*/) {
    static constexpr FileTable rows{"insulation", "[insulation]", insulation};
    return rows;
}
const FileTable& table_of(MeterKey /*key*/) {
    static constexpr FileTable rows{"meter", "[meter]", meter};
    return rows;
}
const FileTable& table_of(PromiseKey /*key*/) {
    static constexpr FileTable rows{"promise", "a promise", promise};
    return rows;
}
const FileTable& table_of(NeedKey /*key*/) {
    static constexpr FileTable rows{"need", "[need]", need};
    return rows;
}
const FileTable& table_of(DriveKey /*key*/) {
    static constexpr FileTable rows{"need.drive", "need.drive", drive};
    return rows;
}
const FileTable& table_of(LoadKey /*key*/) {
    static constexpr FileTable rows{"need.load", "need.load", load};
    return rows;
}
const FileTable& table_of(ChooseKey /*key*/) {
    static constexpr FileTable rows{"choose", "[choose]", choose};
    return rows;
}

const FileTable* table_named(std::string_view name) {
    if (name == row_of(RootKey::output).name) return &table_of(SideKey{});
    static const std::array tables = {
        &table_of(RootKey{}),       &table_of(SurroundingsKey{}), &table_of(SideKey{}),
        &table_of(SignalKey{}),     &table_of(DisturbanceKey{}),  &table_of(AnalogueKey{}),
        &table_of(InsulationKey{}), &table_of(MeterKey{}),        &table_of(PromiseKey{}),
        &table_of(NeedKey{}),       &table_of(DriveKey{}),        &table_of(LoadKey{}),
        &table_of(ChooseKey{})};
    const auto found = std::ranges::find(tables, name, &FileTable::name);
    return found == tables.end() ? nullptr : *found;
}

std::vector<std::string> FileTable::key_names() const {
    std::vector<std::string> all;
    for (const FileKey& key : keys) all.emplace_back(key.name);
    return all;
}

const FileKey* FileTable::find(std::string_view key) const {
    const auto found = std::ranges::find(keys, key, &FileKey::name);
    return found == keys.end() ? nullptr : &*found;
}

std::string toml_example(const FileKey& key) {
    switch (key.takes.what) {
        case What::text:
        case What::choice:
        case What::quantity:
        case What::bound:
        case What::accuracy:
        case What::share:
        case What::supply:
            return toml_string(key.example);
        case What::name_or_two:
        case What::names:
        case What::two_names: {
            std::string list;
            for (std::string_view rest = key.example; !rest.empty();) {
                const auto end = std::min(rest.find(", "), rest.size());
                list += (list.empty() ? "" : ", ") + toml_string(rest.substr(0, end));
                rest.remove_prefix(std::min(end + 2, rest.size()));
            }
            return "[" + list + "]";
        }
        case What::whole:
        case What::part:
            return std::string(key.example);
        case What::parts:
        case What::states:
        case What::table:
        case What::tables:
            return {};
    }
    return {};
}

}  // namespace gapwright
