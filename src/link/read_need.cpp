#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "card/receiver.hpp"
#include "circuit/index.hpp"
#include "link/link.hpp"
#include "link/need.hpp"

#include <fmt/ranges.h>
#include <array>
#include <cstddef>
#include <expected>
#include <memory>
#include <optional>
#include <string>
#include <utility>

#include "link/file_table.hpp"
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
    const auto* input = reading.find(RootKey::input);
    if (spot || !input) return;
    reading.problem(Cause::missing_key, input->key_place, "[input] states no supply",
                    "write for example supply = \"5 V ± 5 %\"");
}

void read_need_side(Reading& reading, Side which, Need& need) {
    const RootKey key = key_of(which);
    const std::string name(name_of(key));
    const auto faults = reading.problems.size();
    const TomlTable* found = table_at(reading, name);
    if (reading.problems.size() > faults) return;
    std::optional<Stated<SideKey>> table;
    if (found) {
        table.emplace(*found, reading.find(key)->key_place);
        refuse_unknown(reading, *found, table_of(SideKey{}), fmt::format("[{}] of a need", name));
        read_supply(reading, *table, reading.link.side(which));
    }
    if (table && table->find(SideKey::supply)) {
        auto& supply = reading.link.side(which).supply;
        if (!supply) return;  // told already
        NeedSide& side = need.side(which);
        side.supply = std::move(*supply);
        side.supply_place = table->find(SideKey::supply)->value.place;
        if (const auto spot = find_paths_spot(reading.document, which, "")) {
            side.paths = *spot;
            return;
        }
        reading.problem(
            Cause::contradiction, table->place,
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
    reading.problem(Cause::missing_key, table ? table->place : reading.document.start(),
                    fmt::format("[{}] states no supply", name),
                    fmt::format("write below [{}] for example supply = \"{}\"", name,
                                which == Side::input ? "24 V (19.2 .. 30 V)" : "5 V ± 5 %"));
}

// What a need's file cannot hold beside it.
void refuse_circuit(Reading& reading) {
    const auto refuse = [&](const TomlEntry* entry, const std::string& what) {
        if (!entry) return;
        reading.problem(Cause::contradiction, entry->key_place,
                        fmt::format("the file states a need and already has {}", what),
                        "`gapwright design` writes the circuit: leave the need without one, or "
                        "state paths for both sides");
    };
    for (const Side side : {Side::input, Side::output}) {
        const auto* entry = reading.find(key_of(side));
        const auto* table = entry ? entry->value.table() : nullptr;
        if (!table) continue;
        refuse(table->find(name_of(SideKey::paths)),
               fmt::format("paths of its {} side", side_name(side)));
    }
    refuse(reading.find(RootKey::parts), "[parts]");
    refuse(reading.find(RootKey::states), "[states]");
    refuse(reading.find(RootKey::promise), "a [[promise]]");
}

void read_need_table(Reading& reading, Need& need) {
    const auto table = stated<NeedKey>(reading);
    if (!table) {
        if (!reading.find(RootKey::need)) {
            reading.problem(Cause::missing_key, reading.document.start(), "the file has no [need]",
                            "write [need] with drive = … and load = … below");
        }
        return;
    }
    read_drive(reading, *table, need);
    read_load(reading, *table, need);
    if (const auto* when = text_at(reading, *table, NeedKey::when)) {
        enum class Word : std::size_t { driven, idle };  // in the order of the key's words
        const FileKey& key = row_of(NeedKey::when);
        const auto word = word_in(key, *when->text());
        need.driven = word != std::to_underlying(Word::idle);
        if (!word) {
            reading.problem(Cause::unknown_name, when->place,
                            fmt::format("the load is on when the drive is \"driven\" or \"idle\"{}",
                                        did_you_mean(*when->text(), split_words(key.takes.words))),
                            "write when = \"driven\" or when = \"idle\"");
        }
    }
    if (const auto* dead = text_at(reading, *table, NeedKey::when_dead)) {
        // In the order of the key's words.
        constexpr std::array words = {Need::WhenDead::off, Need::WhenDead::on, Need::WhenDead::any};
        const FileKey& key = row_of(NeedKey::when_dead);
        if (const auto word = word_in(key, *dead->text())) {
            need.when_dead = words[*word];
        } else {
            reading.problem(
                Cause::unknown_name, dead->place,
                fmt::format("when the input side is dead the load is \"off\", \"on\" or "
                            "\"any\"{}",
                            did_you_mean(*dead->text(), split_words(key.takes.words))),
                "write for example when_dead = \"off\"");
        }
    }
    if (const auto rate = spread_at(reading, *table, NeedKey::rate)) {
        need.rate = rate->highest;
    }
}

// [choose] gaps: cards of couplers; of receivers, and of the emitters that are to face them.
void read_gaps(Reading& reading, const Stated<ChooseKey>& table, Need& need) {
    const auto* entry = table.find(ChooseKey::gaps);
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
        if (is_of_a_gap(kind) && kind != Kind::pair) {
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
void read_indicator(Reading& reading, const Stated<ChooseKey>& table, Need& need) {
    const auto* value = text_at(reading, table, ChooseKey::indicator);
    if (!value) return;
    enum class Word : std::size_t { without, with, either };  // in the order of the key's words
    const std::string& word = *value->text();
    const FileKey& key = row_of(ChooseKey::indicator);
    const auto found = word_in(key, word);
    need.with_indicator = found && Word{*found} != Word::without;
    need.without_indicator = found && Word{*found} != Word::with;
    if (found) return;
    reading.problem(Cause::unknown_name, value->place,
                    fmt::format("an indicator on the input side is \"with\", \"without\" or "
                                "\"either\", not \"{}\"{}",
                                word, did_you_mean(word, split_words(key.takes.words))),
                    "write for example indicator = \"with\"");
}

void read_choose(Reading& reading, Need& need) {
    need.stock = read_chosen_stock(reading);
    const auto* entry = reading.find(RootKey::choose);
    const auto* inner = entry ? entry->value.table() : nullptr;
    if (!inner) return;
    const Stated<ChooseKey> table{*inner, entry->key_place};
    read_gaps(reading, table, need);
    read_indicator(reading, table, need);
    const auto keep = [&](ChooseKey key) {
        std::optional<ChosenText> kept;
        if (spread_at(reading, table, key)) {
            const auto& value = table.find(key)->value;
            kept = ChosenText{.text = toml_text(value), .place = value.place};
        }
        return kept;
    };
    need.distance = keep(ChooseKey::distance);
    need.shroud = keep(ChooseKey::shroud);
}

}  // namespace

void read_need_sides(Reading& reading, Need& need) {
    read_need_side(reading, Side::input, need);
    read_need_side(reading, Side::output, need);
}

}  // namespace reading

bool states_a_need(const TomlDocument& document) {
    const auto has_paths = [&](RootKey side) {
        const auto* entry = document.root.find(name_of(side));
        const auto* table = entry ? entry->value.table() : nullptr;
        return table && table->find(name_of(SideKey::paths));
    };
    return document.root.find(name_of(RootKey::need)) && !has_paths(RootKey::input) &&
           !has_paths(RootKey::output);
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
