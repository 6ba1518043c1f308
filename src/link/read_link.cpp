#include <fmt/ranges.h>

#include <algorithm>
#include <cstddef>
#include <expected>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "card/card_shelf.hpp"
#include "card/description.hpp"
#include "card/part_kind.hpp"
#include "circuit/index.hpp"
#include "device/constants.hpp"
#include "link/file_table.hpp"
#include "link/link.hpp"
#include "link/need.hpp"
#include "link/reading.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"
#include "source/toml_document.hpp"
#include "units/dimension.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace reading {

const TomlTable* table_at(Reading& reading, std::string_view key) {
    const auto* entry = reading.document.root.find(key);
    if (!entry) return nullptr;
    if (const auto* table = entry->value.table()) return table;
    reading.problem(Cause::wrong_type, entry->value.place,
                    fmt::format("[{}] is a table, found {}", key, entry->value.type_name()));
    return nullptr;
}

const TomlValue* text_at(Reading& reading, const TomlTable& table, const FileKey& key) {
    const auto* entry = table.find(key.name);
    if (!entry) return nullptr;
    if (entry->value.text()) return &entry->value;
    reading.problem(Cause::wrong_type, entry->value.place,
                    fmt::format("{} is a text, found {}", key.name, entry->value.type_name()));
    return nullptr;
}

std::optional<Spread> spread_at(Reading& reading, const TomlTable& table, const FileKey& key) {
    return spread_at(reading, table, key, key.takes.dimension);
}

std::optional<Spread> spread_at(Reading& reading, const TomlTable& table, const FileKey& key,
                                Dimension dimension) {
    const auto* entry = table.find(key.name);
    if (!entry) return std::nullopt;
    const FigureForm form{.name = key.name, .dimension = dimension, .range = key.takes.range};
    const auto figure = read_figure(form, entry->value, reading.problems);
    return figure ? std::optional(figure->spread) : std::nullopt;
}

std::optional<std::size_t> word_in(const FileKey& key, std::string_view text) {
    const auto words = split_words(key.takes.words);
    const auto found = std::ranges::find(words, text);
    if (found == words.end()) return std::nullopt;
    return static_cast<std::size_t>(found - words.begin());
}

void refuse_unknown(Reading& reading, const TomlTable& table, const FileTable& known,
                    std::string_view where) {
    const auto names = known.key_names();
    for (const auto& entry : table.entries) {
        if (known.find(entry.key)) continue;
        reading.problem(
            Cause::unknown_key, entry.key_place,
            fmt::format("{} has no key \"{}\"{}", where, entry.key, did_you_mean(entry.key, names)),
            fmt::format("its keys are {}", fmt::join(names, ", ")));
    }
}

void read_head(Reading& reading) {
    const FileTable& known = table_of(RootKey{});
    const Stated<RootKey> root{reading.document.root, reading.document.start()};
    refuse_unknown(reading, root.table, known, known.title);
    if (const auto* title = text_at(reading, root, RootKey::title)) {
        reading.link.title = *title->text();
    }
    if (const auto* about = text_at(reading, root, RootKey::about)) {
        reading.link.about = *about->text();
    }
}

void refuse_need(Reading& reading) {
    reading.problem(Cause::missing_key, reading.find(RootKey::need)->key_place,
                    "this file states a need and no circuit yet",
                    "`gapwright design` draws one up; or write it as [input], [output] and "
                    "[parts]");
}

void read_surroundings(Reading& reading) {
    using K = SurroundingsKey;
    const auto table = stated<K>(reading);
    if (!table) return;
    Surroundings& s = reading.link.surroundings;
    const auto set = [&](K key, auto&& use) {
        if (const auto spread = spread_at(reading, *table, key)) use(*spread);
    };
    set(K::temperature, [&](const Spread& t) {
        if (t.lowest < coldest_temperature || t.highest > hottest_temperature) {
            reading.problem(Cause::out_of_range, table->find(K::temperature)->value.place,
                            "the models hold from −55 to 125 °C", "narrow the temperature range");
        } else {
            s.temperature = t;
        }
    });
    set(K::light, [&](const Spread& l) { s.light = l; });
    set(K::working_voltage, [&](const Spread& v) { s.working_voltage = v.highest; });
    set(K::service, [&](const Spread& t) { s.service = t.highest; });
    set(K::reserve, [&](const Spread& r) { s.reserve = r.nominal; });
    set(K::stretch, [&](const Spread& r) {
        constexpr double most = 3;  // (proof/search/stretch.hpp)
        if (r.nominal > most) {
            reading.problem(Cause::out_of_range, table->find(K::stretch)->value.place,
                            "stretches are looked for up to 3", "ask for 3 at most");
        } else {
            s.stretch = r.nominal;
        }
    });
}

}  // namespace reading

std::optional<Node> LinkSide::find_node(std::string_view name) const {
    for (std::size_t k = 0; k < node_names.size(); ++k) {
        if (node_is_named[k] && node_names[k] == name) return static_cast<Node>(k);
    }
    return std::nullopt;
}

namespace {

template <class Items>
std::optional<std::size_t> index_of(const Items& items, std::string_view name) {
    const auto found = std::ranges::find_if(items, [&](const auto& i) { return i.name == name; });
    if (found == items.end()) return std::nullopt;
    return static_cast<std::size_t>(found - items.begin());
}

}  // namespace

std::optional<std::size_t> Link::find_part(std::string_view name) const {
    return index_of(parts, name);
}
std::optional<std::size_t> Link::find_state(std::string_view name) const {
    return index_of(states, name);
}

std::vector<double> Link::shares() const {
    std::vector<double> shares;
    for (const State& state : states) {
        if (!state.share) return {};
        shares.push_back(*state.share);
    }
    return shares;
}

std::vector<std::size_t> Link::to_choose() const {
    std::vector<std::size_t> open;
    for (std::size_t k = 0; k < parts.size(); ++k) {
        if (parts[k].description.value_to_choose) open.push_back(k);
    }
    return open;
}

std::string_view side_name(Side side) {
    return side == Side::input ? "input" : "output";
}

CardShelf shelf_beside(const std::string& folder) {
    const std::filesystem::path here(folder.empty() ? "." : folder);
    return CardShelf({here, here / "cards"});
}

Expected<Link> read_link(std::shared_ptr<const SourceText> text, const std::string& folder) {
    return read_link(std::move(text), shelf_beside(folder));
}

Expected<Link> read_link(std::shared_ptr<const SourceText> text, CardShelf shelf) {
    const auto document = read_toml(std::move(text));
    if (!document) return std::unexpected(document.error());
    Link link;
    link.file = document->text->name();
    Problems problems;
    reading::Reading reading{*document, shelf, link, problems};
    reading::read_head(reading);
    if (states_a_need(*document)) {
        reading::refuse_need(reading);
        return std::unexpected(std::move(problems));
    }
    reading::read_surroundings(reading);
    reading::read_parts(reading);
    reading::read_sides(reading);
    reading::place_parts(reading);
    reading::check_names(reading);
    // A circuit is only looked at as a whole once its parts and paths are sound; otherwise one
    // mistake would be reported many times over.
    const bool sound = problems.empty();
    reading::read_states(reading);
    reading::read_duty(reading);
    if (sound) reading::check_topology(reading);
    reading::read_signal(reading);
    reading::read_disturbance(reading);
    reading::read_analogue(reading);
    reading::read_insulation(reading);
    reading::read_meter(reading);
    reading::read_promises(reading);
    link.stock = reading::read_chosen_stock(reading);
    if (!problems.empty()) return std::unexpected(std::move(problems));
    return link;
}

Expected<Link> read_link_file(const std::string& path) {
    auto text = read_file(path);
    if (!text) return std::unexpected(text.error());
    return read_link(std::move(*text), std::filesystem::path(path).parent_path().string());
}

}  // namespace gapwright
