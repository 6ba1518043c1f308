#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "circuit/index.hpp"
#include "link/link.hpp"
#include "link/need.hpp"

#include <fmt/ranges.h>
#include <expected>
#include <memory>
#include <optional>
#include <string>
#include <utility>

#include "link/need_reading.hpp"
#include "link/reading.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"
#include "source/toml_document.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace reading {
namespace {

// What the drive puts out when high, as TOML text: the file's own where it states it, else from
// its card, "5 V" or "5 V (4.75 V .. 5.25 V)".
std::string high_text(const NeedDrive& drive, const Spread& high) {
    for (const auto& [key, text] : drive.text) {
        if (key == "high") return text;
    }
    const auto volts = [](double v) { return engineering_short(v, Dimension::voltage, 6); };
    if (!high.varies()) return fmt::format("\"{}\"", volts(high.nominal));
    return fmt::format("\"{} ({} .. {})\"", volts(high.nominal), volts(high.lowest),
                       volts(high.highest));
}

// A pin's own supply is about what it puts out when high.
void assume_supply(Reading& reading, Need& need, const Figure& high) {
    Description battery;
    battery.kind = Kind::battery;
    battery.place = need.drive.place;
    for (const Key key : {Key::voltage, Key::resistance}) {
        battery.figures[key] = Figure{.spread = key == Key::voltage ? high.spread : exactly(0),
                                      .conditions = {},
                                      .assumed = true,
                                      .place = need.drive.place};
    }
    need.input.supply = std::move(battery);
    need.input.supply_assumed = true;
    need.input.supply_place = need.drive.place;
    const auto spot =
        find_paths_spot(reading.document, Side::input,
                        fmt::format("supply = {}  # the drive's own supply, assumed\n",
                                    high_text(need.drive, high.spread)));
    if (spot) need.input.paths = *spot;
    if (spot || !reading.document.root.find("input")) return;
    reading.problem(Cause::missing_key, reading.document.root.find("input")->key_place,
                    "[input] states no supply", "write for example supply = \"5 V ± 5 %\"");
}

void read_need_side(Reading& reading, Side which, Need& need) {
    const TomlTable& root = reading.document.root;
    const std::string name(side_name(which));
    const auto faults = reading.problems.size();
    const TomlTable* table = table_at(reading, root, name);
    if (reading.problems.size() > faults) return;
    if (table) {
        refuse_unknown(reading, *table, fmt::format("[{}] of a need", name), {"supply", "paths"});
        read_supply(reading, *table, reading.link.side(which));
    }
    if (table && table->find("supply")) {
        auto& supply = reading.link.side(which).supply;
        if (!supply) return;  // told already
        NeedSide& side = need.side(which);
        side.supply = std::move(*supply);
        side.supply_place = table->find("supply")->value.place;
        if (const auto spot = find_paths_spot(reading.document, which, "")) {
            side.paths = *spot;
            return;
        }
        reading.problem(
            Cause::contradiction, root.find(name)->key_place,
            fmt::format("no paths can be added to {} as it is written here", name),
            fmt::format("write [{}] on a line of its own and supply = \"…\" below", name));
        return;
    }
    const auto* high = need.drive.description.find(Key::high);
    if (which == Side::input && high && high->spread.lowest > 0) {
        assume_supply(reading, need, *high);
        return;
    }
    const bool by_drive = which == Side::input && need.drive.text.empty();
    if (by_drive) return;  // a drive that could not be read might have stood for it
    reading.problem(Cause::missing_key,
                    table ? root.find(name)->key_place : reading.document.start(),
                    fmt::format("[{}] states no supply", name),
                    fmt::format("write below [{}] for example supply = \"{}\"", name,
                                which == Side::input ? "24 V (19.2 .. 30 V)" : "5 V ± 5 %"));
}

// What a need's file cannot hold beside it.
void refuse_circuit(Reading& reading) {
    const TomlTable& root = reading.document.root;
    const auto refuse = [&](const TomlEntry* entry, const std::string& what) {
        if (!entry) return;
        reading.problem(Cause::contradiction, entry->key_place,
                        fmt::format("the file states a need and already has {}", what),
                        "`gapwright design` writes the circuit: leave the need without one, or "
                        "state paths for both sides");
    };
    for (const std::string_view side : {"input", "output"}) {
        const auto* entry = root.find(side);
        const auto* table = entry ? entry->value.table() : nullptr;
        if (table) refuse(table->find("paths"), fmt::format("paths of its {} side", side));
    }
    refuse(root.find("parts"), "[parts]");
    refuse(root.find("states"), "[states]");
    refuse(root.find("promise"), "a [[promise]]");
}

void read_need_table(Reading& reading, Need& need) {
    const TomlTable& root = reading.document.root;
    const auto* table = table_at(reading, root, "need");
    if (!table) {
        if (!root.find("need")) {
            reading.problem(Cause::missing_key, reading.document.start(), "the file has no [need]",
                            "write [need] with drive = … and load = … below");
        }
        return;
    }
    refuse_unknown(reading, *table, "[need]", {"drive", "load", "when", "rate"});
    read_drive(reading, *table, need);
    read_load(reading, *table, need);
    if (const auto* when = text_at(reading, *table, "when")) {
        need.driven = *when->text() != "idle";
        if (need.driven && *when->text() != "driven") {
            reading.problem(Cause::unknown_name, when->place,
                            fmt::format("the load is on when the drive is \"driven\" or \"idle\"{}",
                                        did_you_mean(*when->text(), {"driven", "idle"})),
                            "write when = \"driven\" or when = \"idle\"");
        }
    }
    if (const auto rate =
            spread_at(reading, *table, "rate", Dimension::signalling_rate, Range::from_zero)) {
        need.rate = rate->highest;
    }
}

// [choose] gaps: cards of couplers; of receivers, and of the emitters that are to face them.
void read_gaps(Reading& reading, const TomlTable& table, Need& need) {
    const auto* entry = table.find("gaps");
    if (!entry) return;
    const auto* list = entry->value.array();
    if (!list || list->empty()) {
        reading.problem(list ? Cause::missing_key : Cause::wrong_type, entry->value.place,
                        "gaps is a list of cards' names",
                        "write for example gaps = [\"four-pin-coupler-b\"], or leave it out for "
                        "every card found");
        return;
    }
    bool emitters_alone = true;
    for (const auto& value : *list) {
        const auto* name = value.text();
        if (!name) {
            reading.problem(Cause::wrong_type, value.place,
                            fmt::format("a card's name is a text, found {}", value.type_name()));
            continue;
        }
        const auto card = reading.shelf.find(*name, value.place, reading.problems);
        emitters_alone = emitters_alone && card && card->kind == Kind::led;
        if (!card) continue;
        const Kind kind = card->kind;
        if (kind == Kind::coupler || kind == Kind::phototransistor || kind == Kind::led ||
            kind == Kind::light_dependent_resistor) {
            need.gaps.push_back(*name);
            continue;
        }
        reading.problem(Cause::contradiction, value.place,
                        fmt::format("light crosses no {}", kind_rule(kind).name),
                        "name cards of couplers, phototransistors or light-dependent resistors");
    }
    if (!emitters_alone) return;
    reading.problem(Cause::missing_key, entry->value.place,
                    "gaps names emitters alone, and nothing that receives their light",
                    "add a phototransistor's or a light-dependent resistor's card");
}

// [choose] indicator: "without", "with" or "either".
void read_indicator(Reading& reading, const TomlTable& table, Need& need) {
    const auto* value = text_at(reading, table, "indicator");
    if (!value) return;
    const std::string& word = *value->text();
    need.with_indicator = word == "with" || word == "either";
    need.without_indicator = word == "without" || word == "either";
    if (need.with_indicator || need.without_indicator) return;
    reading.problem(Cause::unknown_name, value->place,
                    fmt::format("an indicator on the input side is \"with\", \"without\" or "
                                "\"either\", not \"{}\"{}",
                                word, did_you_mean(word, {"with", "without", "either"})),
                    "write for example indicator = \"with\"");
}

void read_choose(Reading& reading, Need& need) {
    need.stock = read_chosen_stock(reading);
    const auto* table = table_at(reading, reading.document.root, "choose");
    if (!table) return;
    read_gaps(reading, *table, need);
    read_indicator(reading, *table, need);
    const auto keep = [&](std::string_view key, Dimension dimension, Range range) {
        std::optional<ChosenText> kept;
        if (spread_at(reading, *table, key, dimension, range)) {
            const auto& value = table->find(key)->value;
            kept = ChosenText{.text = toml_text(value), .place = value.place};
        }
        return kept;
    };
    need.distance = keep("distance", Dimension::length, Range::above_zero);
    need.shroud = keep("shroud", Dimension::ratio, Range::share);
}

}  // namespace

void read_need_sides(Reading& reading, Need& need) {
    read_need_side(reading, Side::input, need);
    read_need_side(reading, Side::output, need);
}

}  // namespace reading

bool states_a_need(const TomlDocument& document) {
    const auto has_paths = [&](std::string_view side) {
        const auto* entry = document.root.find(side);
        const auto* table = entry ? entry->value.table() : nullptr;
        return table && table->find("paths");
    };
    return document.root.find("need") && !has_paths("input") && !has_paths("output");
}

Expected<Need> read_need(std::shared_ptr<const SourceText> text, const std::string& folder) {
    const auto document = read_toml(std::move(text));
    if (!document) return std::unexpected(document.error());
    CardShelf shelf = shelf_beside(folder);
    Link head;  // what a need's file shares with a link's
    Problems problems;
    reading::Reading reading{*document, shelf, head, problems};
    Need need{.file = document->text, .folder = folder};
    reading::read_head(reading);
    reading::read_surroundings(reading);
    reading::read_need_duty(reading, need);
    reading::read_insulation(reading);  // for its mistakes; the links drawn up keep its text
    reading::read_meter(reading);       // likewise
    reading::refuse_circuit(reading);
    reading::read_need_table(reading, need);
    reading::read_need_sides(reading, need);
    reading::read_choose(reading, need);
    if (!problems.empty()) return std::unexpected(std::move(problems));
    need.title = std::move(head.title);
    need.about = std::move(head.about);
    need.surroundings = head.surroundings;
    return need;
}

Expected<Need> read_need_file(const std::string& path) {
    auto text = read_file(path);
    if (!text) return std::unexpected(text.error());
    return read_need(std::move(*text), std::filesystem::path(path).parent_path().string());
}

}  // namespace gapwright
