// [need]: what drives the link and what it drives. Both are parts with a few keys of the need's
// own.
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "link/file_table.hpp"
#include "link/need.hpp"
#include "link/need_reading.hpp"
#include "link/need_roles.hpp"
#include "link/reading.hpp"
#include "source/diagnostics.hpp"
#include "source/toml_document.hpp"

namespace gapwright::reading {
namespace {

// A drive or load under way: its table apart from the need's own keys.
struct NeedPart {
    Description description = {};
    PartText text = {};
};

class NeedPartReader {
  public:
    // `own_keys` are those that the part itself does not have.
    NeedPartReader(Reading& reading, const TomlEntry& entry, std::span<const Role> roles,
                   std::vector<std::string> own_keys)
        : reading_(reading), entry_(entry), roles_(roles), own_keys_(std::move(own_keys)) {}

    std::optional<NeedPart> read() {
        const auto faults = reading_.problems.size();
        const TomlTable* table = entry_.value.table();
        if (!table) {
            const std::string* word = entry_.value.text();
            const Role* meant = word ? role_meant(*word, roles_) : nullptr;
            reading_.problem(
                Cause::wrong_type, entry_.value.place,
                fmt::format("{} is a table, found {}", entry_.key, entry_.value.type_name()),
                meant
                    ? fmt::format("write {} = {}", entry_.key, meant->example)
                    : fmt::format("write for example {} = {}", entry_.key, roles_.front().example));
            return std::nullopt;
        }
        TomlTable part;
        for (const auto& entry : table->entries) take(entry, part);
        if (reading_.problems.size() > faults) return std::nullopt;
        auto description =
            read_description(part, entry_.key_place, {}, reading_.shelf, reading_.problems);
        if (!description || !may_be(*description)) return std::nullopt;
        return NeedPart{.description = std::move(*description), .text = text_of(part)};
    }

  private:
    void take(const TomlEntry& entry, TomlTable& part) {
        if (std::ranges::find(own_keys_, entry.key) != own_keys_.end()) return;
        if (entry.key == "kind" && entry.value.text()) {
            take_kind(entry, part);
            return;
        }
        const bool of_a_kind = std::ranges::any_of(
            kind_rules(), [&](const KindRule& rule) { return find_named_key(rule, entry.key); });
        if (!of_a_kind && !nearest_name(entry.key, own_keys_).empty()) {
            reading_.problem(Cause::unknown_key, entry.key_place,
                             fmt::format("a {} has no key \"{}\"{}", entry_.key, entry.key,
                                         did_you_mean(entry.key, own_keys_)));
            return;
        }
        part.entries.push_back(entry);
    }

    void take_kind(const TomlEntry& entry, TomlTable& part) {
        const std::string& word = *entry.value.text();
        const auto role = std::ranges::find(roles_, std::string_view(word), &Role::word);
        if (role == roles_.end()) {
            auto [message, remedy] = refused_role(word, entry_.key, roles_);
            reading_.problem(Cause::unknown_name, entry.value.place, std::move(message),
                             std::move(remedy));
            return;
        }
        part.entries.push_back(entry);
        part.entries.back().value.data = std::string(kind_rule(role->kind).name);
    }

    // A card brings its kind.
    bool may_be(const Description& description) {
        if (std::ranges::find(roles_, description.kind, &Role::kind) != roles_.end()) return true;
        reading_.problem(Cause::contradiction, entry_.key_place,
                         fmt::format("the {} of a link cannot be a {}", entry_.key,
                                     kind_rule(description.kind).name),
                         fmt::format("it is one of {}", role_words(roles_)));
        return false;
    }

    static PartText text_of(const TomlTable& part) {
        PartText text;
        const bool by_card = part.find("card") != nullptr;
        for (const auto& entry : part.entries) {
            if (entry.key != "kind") {
                text.emplace_back(entry.key, toml_text(entry.value));
            } else if (!by_card) {  // the need's word for it may not be the part's
                text.emplace_back(entry.key, fmt::format("\"{}\"", *entry.value.text()));
            }
        }
        return text;
    }

    Reading& reading_;
    const TomlEntry& entry_;
    std::span<const Role> roles_;
    std::vector<std::string> own_keys_;
};

template <class... Keys>
std::vector<std::string> names_of(Keys... keys) {
    return {std::string(name_of(keys))...};
}

const TomlEntry* needed_entry(Reading& reading, const Stated<NeedKey>& table, NeedKey key,
                              std::string_view example) {
    if (const auto* entry = table.find(key)) return entry;
    reading.problem(Cause::missing_key, table.place,
                    fmt::format("[need] states no {}", name_of(key)),
                    fmt::format("write for example {} = {}", name_of(key), example));
    return nullptr;
}

void read_input_type(Reading& reading, const TomlEntry& drive, Need& need) {
    const FileKey& key = row_of(DriveKey::input_type);
    const auto* entry = drive.value.table()->find(key.name);
    if (!entry) return;
    const auto* number = std::get_if<std::int64_t>(&entry->value.data);
    if (!number) {
        reading.problem(Cause::wrong_type, entry->value.place,
                        fmt::format("input_type is 1, 2 or 3, found {}", entry->value.type_name()),
                        "write for example input_type = 3");
    } else if (!allows(key, *number)) {
        reading.problem(Cause::out_of_range, entry->value.place,
                        "IEC 61131-2 knows inputs of type 1, 2 and 3", "write 1, 2 or 3");
    } else if (need.drive.description.kind != Kind::contact) {
        reading.problem(Cause::contradiction, entry->key_place,
                        "an input type is that of an input for a sensor's contact",
                        "leave it out, or drive the link by a contact");
    } else {
        need.drive.input_type = static_cast<int>(*number);
    }
}

// What a promise about a load of this kind is made of.
struct LoadRule {
    Kind kind;
    NeedLoad::Kind as;
    std::vector<Key> needed;
    bool by_current;
};
const std::array<LoadRule, 4>& load_rules() {
    static const std::array<LoadRule, 4> rules = {
        {{Kind::coil, NeedLoad::Kind::coil, {Key::pull_in, Key::drop_out}, false},
         {Kind::led, NeedLoad::Kind::indicator, {}, true},
         {Kind::logic_input, NeedLoad::Kind::logic_input, {Key::low_below, Key::high_above}, false},
         {Kind::load, NeedLoad::Kind::load, {}, true}}};
    return rules;
}

// At least `current` when on, at most `off_current` when off.
void read_currents(Reading& reading, const TomlEntry& load, Need& need) {
    constexpr double off_share = 0.01;  // own choice: what nobody sees or hears
    using K = LoadKey;
    const Stated<K> table{*load.value.table(), load.key_place};
    if (!table.find(K::current)) {
        reading.problem(Cause::missing_key, load.key_place,
                        "the load states no current that it needs when on",
                        "write for example current = \"3 mA\"");
        return;
    }
    const auto on = spread_at(reading, table, K::current);
    const auto off = spread_at(reading, table, K::off_current);
    if (!on || (!off && table.find(K::off_current))) return;
    need.load.current = on->highest;
    need.load.off_current_assumed = !off;
    need.load.off_current = off ? off->lowest : off_share * on->highest;
    const auto text_of = [&](K key, const Spread& spread) {
        return spread.varies() ? std::string() : toml_text(table.find(key)->value);
    };
    need.load.current_text = text_of(K::current, *on);
    if (off) need.load.off_current_text = text_of(K::off_current, *off);
    if (*need.load.off_current < *need.load.current) return;
    reading.problems.push_back({.cause = Cause::contradiction,
                                .place = table.find(K::off_current)->value.place,
                                .message = "off_current is not below current",
                                .remedy = "off must be told from on: check both figures",
                                .other = table.find(K::current)->value.place,
                                .other_message = "current stands here"});
}

}  // namespace

void read_drive(Reading& reading, const Stated<NeedKey>& table, Need& need) {
    const auto* entry =
        needed_entry(reading, table, NeedKey::drive, "{ kind = \"logic output\", high = \"5 V\" }");
    if (!entry) return;
    need.drive.place = entry->key_place;
    auto part =
        NeedPartReader(reading, *entry, drive_roles(), names_of(DriveKey::input_type)).read();
    if (!part) return;
    need.drive.description = std::move(part->description);
    need.drive.text = std::move(part->text);
    read_input_type(reading, *entry, need);
}

void read_load(Reading& reading, const Stated<NeedKey>& table, Need& need) {
    const auto* entry =
        needed_entry(reading, table, NeedKey::load, "{ card = \"relay-coil-24v\" }");
    if (!entry) return;
    need.load.place = entry->key_place;
    auto part = NeedPartReader(reading, *entry, load_roles(),
                               names_of(LoadKey::current, LoadKey::off_current))
                    .read();
    if (!part) return;
    need.load.description = std::move(part->description);
    need.load.text = std::move(part->text);
    const Description& description = need.load.description;
    const auto& rule = *std::ranges::find(load_rules(), description.kind, &LoadRule::kind);
    need.load.kind = rule.as;
    for (const Key key : rule.needed) {
        if (description.find(key)) continue;
        reading.problem(
            Cause::missing_key, entry->key_place,
            fmt::format("a {} as load needs {}", kind_rule(rule.kind).name, key),
            fmt::format("write for example {} = \"{}\"", key,
                        key == Key::high_above || key == Key::pull_in ? "2.4 V" : "0.8 V"));
    }
    if (rule.by_current) {
        read_currents(reading, *entry, need);
        return;
    }
    for (const LoadKey key : {LoadKey::current, LoadKey::off_current}) {
        const auto* stated = entry->value.table()->find(name_of(key));
        if (!stated) continue;
        reading.problem(
            Cause::unknown_key, stated->key_place,
            fmt::format("a {} as load has no {}", kind_rule(rule.kind).name, name_of(key)),
            fmt::format("its {} and {} say what it needs", rule.needed[0], rule.needed[1]));
    }
}

}  // namespace gapwright::reading
