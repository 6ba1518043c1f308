#include "card/description.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <memory>
#include <optional>
#include <stdexcept>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "card/card_shelf.hpp"
#include "card/complete.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "card/receiver.hpp"
#include "card/trade_words.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"
#include "source/toml_document.hpp"
#include "units/dimension.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

constexpr std::array<std::string_view, 7> groups = {"limits",   "model", "emitter",   "transfer",
                                                    "receiver", "life",  "insulation"};

// Two ways to say the same thing: what is stated later replaces the other.
constexpr std::array<std::pair<Key, Key>, 3> alternatives = {
    {{Key::forward, Key::saturation_current},
     {Key::ctr, Key::photocurrent_ratio},
     {Key::radiant_intensity, Key::luminous_intensity}}};

// Reads one table into one description.
class Reader {
  public:
    Reader(const TomlTable& table, const Place& place, const DescriptionContext& context,
           CardShelf& shelf, Problems& problems)
        : table_(table), place_(place), context_(context), shelf_(shelf), problems_(problems) {}

    std::optional<Description> read() {
        if (!find_kind()) return std::nullopt;
        const auto faults = problems_.size();
        result_.place = place_;
        for (const auto& entry : table_.entries) read_entry(entry);
        if (spread_) read_spread(*spread_);
        if (problems_.size() > faults) return std::nullopt;
        complete(result_, place_, problems_);
        if (problems_.size() > faults) return std::nullopt;
        return std::move(result_);
    }

  private:
    void problem(Cause cause, const Place& place, std::string message, std::string remedy = {}) {
        problems_.push_back({.cause = cause,
                             .place = place,
                             .message = std::move(message),
                             .remedy = std::move(remedy)});
    }

    const std::string* text_entry(std::string_view key, const TomlEntry*& entry) {
        entry = table_.find(key);
        if (!entry) return nullptr;
        if (const auto* text = entry->value.text()) return text;
        problem(Cause::wrong_type, entry->value.place,
                fmt::format("{} is a text, found {}", key, entry->value.type_name()));
        return nullptr;
    }

    // Sets the kind, from the base card or from the key `kind`.
    bool find_kind() {
        const std::string_view base_key = context_.is_card ? "based_on" : "card";
        const auto faults = problems_.size();
        const TomlEntry* base_entry = nullptr;
        const TomlEntry* kind_entry = nullptr;
        bool known = false;
        if (const auto* name = text_entry(base_key, base_entry)) {
            const auto base = shelf_.find(*name, base_entry->value.place, problems_);
            if (!base) return false;
            result_ = *base;
            known = true;
        }
        if (const auto* name = text_entry("kind", kind_entry)) {
            const auto named = kind_named(*name);
            if (!named) {
                refuse_kind(*name, kind_entry->value.place);
                return false;
            }
            if (known && named->kind != result_.kind) {
                problem(Cause::contradiction, kind_entry->value.place,
                        fmt::format("the card is of kind {}, not {}", kind_rule(result_.kind).name,
                                    *name),
                        "leave the kind out, or name another card");
                return false;
            }
            result_.kind = named->kind;
            if (!named->choice.empty()) set_choice_of_kind(std::string(named->choice));
            known = true;
        }
        if (context_.fixed_kind) {
            if (known && result_.kind != *context_.fixed_kind) {
                problem(
                    Cause::contradiction, place_,
                    fmt::format("{} is needed here, not {}", kind_rule(*context_.fixed_kind).name,
                                kind_rule(result_.kind).name));
                return false;
            }
            result_.kind = *context_.fixed_kind;
            known = true;
        }
        if (!known && problems_.size() == faults) {
            problem(Cause::missing_key, place_,
                    fmt::format("neither `kind` nor `{}` is stated", base_key),
                    context_.is_card ? "write for example kind = \"led\""
                                     : "write for example kind = \"resistor\" or "
                                       "card = \"red-led\"");
        }
        return known && problems_.size() == faults;
    }

    void refuse_kind(const std::string& name, const Place& place) {
        const std::string remedy =
            kind_remedy(name, context_.is_card ? KindPlace::card : KindPlace::part);
        if (!remedy.empty()) {
            problem(Cause::unknown_name, place, fmt::format("no part is of kind \"{}\"", name),
                    remedy);
            return;
        }
        std::vector<std::string> names;
        for (const auto& rule : kind_rules()) names.emplace_back(rule.name);
        problem(Cause::unknown_name, place,
                fmt::format("no part is of kind \"{}\"{}", name, did_you_mean(name, names)),
                fmt::format("kinds are {}", fmt::join(names, ", ")));
    }

    void set_choice_of_kind(const std::string& word) {
        for (const auto& key : kind_rule(result_.kind).keys) {
            if (key.form == Form::choice) result_.choices[key.key] = word;
        }
    }

    void read_entry(const TomlEntry& entry) {
        constexpr std::array<std::string_view, 3> done = {"kind", "card", "based_on"};
        const std::string_view own_base = context_.is_card ? "based_on" : "card";
        if (std::ranges::find(done, entry.key) != done.end()) {
            if (entry.key == "kind" || entry.key == own_base) return;
        }
        if (entry.key == "name" || entry.key == "source" || entry.key == "note") {
            read_text(entry);
            return;
        }
        if (entry.key == "points" && context_.is_card) return;  // measured points, for fits
        const auto& rule = kind_rule(result_.kind);
        const auto* key = find_named_key(rule, entry.key);
        if (key && !(entry.value.table() && key->form != Form::description)) {
            read_key(*key, entry);
            return;
        }
        const TomlTable* group = entry.value.table();
        if (group && entry.key == "spread") {
            spread_ = group;
            return;
        }
        if (group && std::ranges::find(groups, entry.key) != groups.end() && has_group(entry.key)) {
            for (const auto& inner : group->entries) {
                if (const auto* found = find_named_key(rule, inner.key, entry.key)) {
                    read_key(*found, inner);
                } else {
                    unknown(inner, entry.key);
                }
            }
            return;
        }
        if (key) {
            problem(Cause::wrong_type, entry.value.place,
                    fmt::format("{} is {}, found {}", entry.key, dimension_name(key->dimension),
                                entry.value.type_name()));
            return;
        }
        unknown(entry, {});
    }

    bool has_group(std::string_view group) const {
        return std::ranges::any_of(kind_rule(result_.kind).keys,
                                   [&](const KeyRule& key) { return key.group == group; });
    }

    void unknown(const TomlEntry& entry, std::string_view group) {
        std::vector<std::string> names;
        for (const auto& key : kind_rule(result_.kind).keys) {
            if (group.empty() || key.group == group) names.emplace_back(key.name());
        }
        const std::string where =
            group.empty() ? std::string(kind_rule(result_.kind).name)
                          : fmt::format("[{}] of {}", group, kind_rule(result_.kind).name);
        problem(
            Cause::unknown_key, entry.key_place,
            fmt::format("{} has no key \"{}\"{}", where, entry.key, did_you_mean(entry.key, names)),
            fmt::format("its keys are {}", fmt::join(names, ", ")));
    }

    void read_text(const TomlEntry& entry) {
        const auto* text = entry.value.text();
        if (!text) {
            problem(Cause::wrong_type, entry.value.place,
                    fmt::format("{} is a text, found {}", entry.key, entry.value.type_name()));
        } else if (entry.key == "name") {
            result_.name = *text;
        } else if (entry.key == "source") {
            result_.source = *text;
        }
    }

    // Whether a pair that was measured as it stands is moved: how its light then changes was not.
    bool moves_measured_pair(const KeyRule& key) const {
        return !context_.is_card && result_.kind == Kind::pair && !result_.card.empty() &&
               (key.key == Key::distance || key.key == Key::angle ||
                key.form == Form::description) &&
               result_.choice(Key::over_distance, "") == "as built";
    }

    void read_key(const KeyRule& key, const TomlEntry& entry) {
        if (moves_measured_pair(key)) {
            problem(Cause::contradiction, entry.key_place,
                    fmt::format("card {} was measured as it was built, and says nothing of another "
                                "{}",
                                result_.card, key.key),
                    key.key == Key::distance
                        ? "leave distance out, or measure the pair at two distances and fit its "
                          "card anew"
                        : fmt::format("leave {} out: with another it is another pair, to be "
                                      "measured anew",
                                      key.key));
            return;
        }
        if (key.form == Form::choice) {
            read_choice(key, entry);
        } else if (key.form == Form::description) {
            read_inner(key, entry);
        } else if (const auto* text = entry.value.text(); text && *text == "choose" &&
                                                          key.key == Key::value &&
                                                          result_.kind == Kind::resistor) {
            result_.value_to_choose = true;
        } else if (auto figure = read_figure(key.figure_form(), entry.value, problems_)) {
            for (const auto& [one, other] : alternatives) {
                if (key.key == one) drop_alternative(other, entry);
                if (key.key == other) drop_alternative(one, entry);
            }
            stated_here_.push_back(key.key);
            result_.figures[key.key] = std::move(*figure);
        }
    }

    void drop_alternative(Key other, const TomlEntry& entry) {
        const auto found = result_.figures.find(other);
        if (found == result_.figures.end()) return;
        if (std::ranges::find(stated_here_, other) != stated_here_.end()) {
            problems_.push_back(
                {.cause = Cause::contradiction,
                 .place = entry.key_place,
                 .message = fmt::format("{} and {} say the same thing twice", entry.key, other),
                 .remedy = "leave one of them out",
                 .other = found->second.place,
                 .other_message = fmt::format("{} is stated here", other)});
            return;
        }
        result_.figures.erase(found);
    }

    void read_choice(const KeyRule& key, const TomlEntry& entry) {
        const auto words = split_words(key.words);
        const auto* text = entry.value.text();
        const auto matches = [&](const std::string& word) {
            return text && (*text == word || *text == word + "-channel");
        };
        const auto found = std::ranges::find_if(words, matches);
        if (found == words.end()) {
            problem(Cause::unknown_name, entry.value.place,
                    fmt::format("{} is one of {}", key.key, fmt::join(words, ", ")),
                    fmt::format("write for example {} = \"{}\"", key.key, words.front()));
            return;
        }
        result_.choices[key.key] = *found;
    }

    // The emitter or receiver of a pair.
    void read_inner(const KeyRule& key, const TomlEntry& entry) {
        std::shared_ptr<const Description> inner;
        if (const auto* name = entry.value.text()) {
            inner = shelf_.find(*name, entry.value.place, problems_);
        } else if (const auto* table = entry.value.table()) {
            if (auto read = read_description(*table, entry.value.place, {}, shelf_, problems_)) {
                inner = std::make_shared<const Description>(std::move(*read));
            }
        } else {
            problem(Cause::wrong_type, entry.value.place,
                    fmt::format("{} is the name of a card, found {}", key.key,
                                entry.value.type_name()));
        }
        if (!inner) return;
        const bool is_emitter = key.key == Key::emitter;
        const bool fits = is_emitter ? inner->kind == Kind::led
                                     : inner->kind != Kind::coupler && receiver_of(inner->kind);
        if (!fits) {
            problem(Cause::contradiction, entry.value.place,
                    fmt::format(
                        "the {} of a pair is {}, not {}", key.key,
                        is_emitter ? "a led" : "a phototransistor or a light-dependent resistor",
                        kind_rule(inner->kind).name));
            return;
        }
        (is_emitter ? result_.emitter : result_.receiver) = inner;
    }

    // Limits for figures that are stated without a spread, here or by whoever uses this card.
    void read_spread(const TomlTable& table) {
        for (const auto& entry : table.entries) {
            if (entry.key == "distribution") {
                const auto* text = entry.value.text();
                if (!text || (*text != "normal" && *text != "uniform")) {
                    problem(Cause::unknown_name, entry.value.place,
                            "distribution is one of normal, uniform",
                            "write distribution = \"normal\"");
                }
                result_.normal = text && *text == "normal";
                continue;
            }
            const auto* key = find_named_key(kind_rule(result_.kind), entry.key);
            if (!key || !result_.find(key->key)) {
                problem(Cause::unknown_key, entry.key_place,
                        fmt::format("a spread of \"{}\", which has no figure here", entry.key),
                        "state the figure itself first");
            } else if (const auto* text = entry.value.text()) {
                read_limits(*key, entry.value, *text);
            } else {
                problem(Cause::wrong_type, entry.value.place,
                        fmt::format("a spread is a text, found {}", entry.value.type_name()),
                        "write for example \"1.8 .. 2.3 V\" or \"± 10 %\"");
            }
        }
    }

    void read_limits(const KeyRule& key, const TomlValue& value, std::string_view text) {
        CardSpread spread{.limits = {}, .share = 0, .place = value.place};
        if (text.starts_with("±") || text.starts_with("+-")) {
            const auto share = parse_quantity(text.substr(2), Dimension::ratio);
            if (!share) {
                problems_.push_back(at_text(share.error(), value));
                return;
            }
            spread.share = *share;
        } else {
            const auto range = parse_spread(text, key.dimension);
            if (!range) {
                problems_.push_back(at_text(range.error(), value));
                return;
            }
            spread.limits = *range;
        }
        result_.spreads[key.key] = spread;
    }

    const TomlTable& table_;
    const Place& place_;
    const DescriptionContext& context_;
    CardShelf& shelf_;
    Problems& problems_;
    Description result_;
    const TomlTable* spread_ = nullptr;
    std::vector<Key> stated_here_;
};

}  // namespace

const Figure* Description::find(Key key) const {
    const auto found = figures.find(key);
    return found == figures.end() ? nullptr : &found->second;
}

const Figure& Description::at(Key key) const {
    const auto found = figures.find(key);
    if (found != figures.end()) return found->second;
    throw std::logic_error(fmt::format("a {} without {}", kind_rule(kind).name, key));
}

std::string Description::choice(Key key, std::string_view otherwise) const {
    const auto found = choices.find(key);
    return found == choices.end() ? std::string(otherwise) : found->second;
}

std::optional<Description> read_description(const TomlTable& table, const Place& place,
                                            const DescriptionContext& context, CardShelf& shelf,
                                            Problems& problems) {
    return Reader(table, place, context, shelf, problems).read();
}

}  // namespace gapwright
