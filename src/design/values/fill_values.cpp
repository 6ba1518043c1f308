#include "design/values/fill_values.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <iterator>
#include <map>
#include <memory>
#include <optional>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "circuit/index.hpp"
#include "design/values/stock.hpp"
#include "link/link.hpp"
#include "source/source_text.hpp"
#include "source/text_edit.hpp"
#include "source/toml_document.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

constexpr int all_digits = 9;

std::string quoted(const std::string& text) {
    return "\"" + text + "\"";
}

std::string ohms(double value) {
    return engineering_short(value, Dimension::resistance, all_digits);
}

// "330 Ω ± 5 %"; limits where they do not lie evenly about the nominal.
std::string value_text(const Spread& value) {
    if (!value.varies()) return ohms(value.nominal);
    const double above = value.highest / value.nominal - 1;
    const double below = 1 - value.lowest / value.nominal;
    constexpr double alike = 1e-9;
    if (std::abs(above - below) > alike) {
        return fmt::format("{} ({} .. {})", ohms(value.nominal), ohms(value.lowest),
                           ohms(value.highest));
    }
    return fmt::format("{} ± {}", ohms(value.nominal), percent(above, 6));
}

std::string power_text(double power) {
    return engineering_short(power, Dimension::power, all_digits);
}

class Filler {
  public:
    Filler(const std::shared_ptr<const SourceText>& source, const Link& link, TomlDocument document)
        : text_(source->text()), link_(link), document_(std::move(document)) {
        for (const auto& part : link.parts) names_.insert(part.name);
        for (const Side side : {Side::input, Side::output}) {
            const auto& nodes = link.side(side).node_names;
            names_.insert(nodes.begin(), nodes.end());
        }
    }

    void fill(const ValueToFill& value) {
        const Part& part = link_.parts[value.part];
        const auto* entry = entry_of(part.name);
        if (entry == nullptr) return;
        if (value.joint == Joint::single || !splits(value, *entry)) {
            fill_in_place(*entry->value.table(), value.whole.value, value.whole.power);
            return;
        }
        split(value, *entry);
    }

    std::string text() { return edited(text_, std::move(edits_)); }

  private:
    const TomlEntry* entry_of(const std::string& name) const {
        const auto* parts = document_.root.find("parts");
        const auto* table = parts ? parts->value.table() : nullptr;
        return table ? table->find(name) : nullptr;
    }

    std::string raw(const Place& place) const {
        return std::string(text_.substr(place.begin, place.end - place.begin));
    }

    static const TomlEntry* value_entry(const TomlTable& table) {
        const auto* value = table.find("value");
        return value ? value : table.find("resistance");
    }

    // Power stands in a [limits] of the part where its writer put it there.
    static const TomlEntry* power_entry(const TomlTable& table) {
        if (const auto* power = table.find("power")) return power;
        const auto* limits = table.find("limits");
        const auto* inner = limits ? limits->value.table() : nullptr;
        return inner ? inner->find("power") : nullptr;
    }

    void fill_in_place(const TomlTable& table, const Spread& value,
                       const std::optional<double>& power) {
        std::ranges::move(filling(table, value, power), std::back_inserter(edits_));
    }

    // The edits that write a value and its power into a part's table.
    std::vector<TextEdit> filling(const TomlTable& table, const Spread& value,
                                  const std::optional<double>& power) const {
        const auto* stated = value_entry(table);
        std::vector<TextEdit> edits = {
            replacement_at(stated->value.place, quoted(value_text(value)))};
        if (!power) return edits;
        if (const auto* old = power_entry(table)) {
            edits.push_back(replacement_at(old->value.place, quoted(power_text(*power))));
            return edits;
        }
        const std::size_t key = stated->key_place.begin;
        const std::string more = before_key(key) + "power = " + quoted(power_text(*power));
        if (in_braces(key)) {
            edits.front().replacement += ", " + more;
        } else {
            const std::size_t at = line_end(stated->value.place.end);
            edits.push_back({at, at, "\n" + more});
        }
        return edits;
    }

    // A part's `{ … }` with another value.
    std::string table_with(const TomlEntry& entry, const StockValue& value) const {
        const Place& place = entry.value.place;
        auto edits = filling(*entry.value.table(), value.value, value.power);
        for (auto& edit : edits) {
            edit.begin -= place.begin;
            edit.end -= place.begin;
        }
        return edited(raw(place), std::move(edits));
    }

    // The brace, comma or line end before a key.
    std::size_t key_begin(std::size_t at) const {
        return at == 0 ? std::string_view::npos : text_.find_last_of("{,\n", at - 1);
    }

    bool in_braces(std::size_t key) const {
        const std::size_t before = key_begin(key);
        return before != std::string_view::npos && text_[before] != '\n';
    }

    // What stands before a key and belongs to its neighbours too: its indent, "R1." of R1.value.
    std::string before_key(std::size_t key) const {
        std::size_t from = key_begin(key) + 1;  // npos + 1: the text's first byte
        if (in_braces(key)) from = text_.find_first_not_of(" \t", from);
        return std::string(text_.substr(from, key - from));
    }

    bool begins_its_line(std::size_t at) const {
        const std::size_t before = text_.find_last_not_of(" \t", at == 0 ? 0 : at - 1);
        return at == 0 || before == std::string_view::npos || text_[before] == '\n';
    }

    // Before the line end, be it LF or CR LF.
    std::size_t line_end(std::size_t at) const {
        const std::size_t end = std::min(text_.find('\n', at), text_.size());
        return end > at && end < text_.size() && text_[end - 1] == '\r' ? end - 1 : end;
    }

    // Parts of its own are possible where the part is one `{ … }` on a line of its own, its path a
    // plain text, and no promise means all of them at once.
    bool splits(const ValueToFill& value, const TomlEntry& entry) const {
        const Place& table = entry.value.place;
        if (text_[table.begin] != '{' || !begins_its_line(entry.key_place.begin)) return false;
        if (text_.substr(table.begin, table.end - table.begin).find('\n') !=
            std::string_view::npos) {
            return false;
        }
        const PathItem& item = item_of(value.part);
        if (raw(item.place) != item.name) return false;
        return std::ranges::none_of(link_.promises, [&](const Promise& promise) {
            if (promise.part != value.part || promise.quantity == Promise::Quantity::voltage) {
                return false;
            }
            return promise.quantity == Promise::Quantity::power || value.joint == Joint::parallel;
        });
    }

    const Path& path_of(std::size_t part) const {
        const Part& p = link_.parts[part];
        const Placement& placement = p.input ? *p.input : *p.output;
        return link_.side(placement.side).paths[placement.path];
    }

    const PathItem& item_of(std::size_t part) const {
        return *std::ranges::find(path_of(part), std::optional(part), &PathItem::part);
    }

    std::string free_name(const std::string& wanted) {
        std::string name = wanted;
        while (!names_.insert(name).second) name += "x";
        return name;
    }

    void split(const ValueToFill& value, const TomlEntry& entry) {
        const std::string& name = link_.parts[value.part].name;
        std::vector<std::string> names;
        for (std::size_t k = 0; k < value.parts.size(); ++k) {
            names.push_back(free_name(name + static_cast<char>('a' + k)));
        }
        declare(value, entry, names);
        if (value.joint == Joint::series) {
            put_in_series(value.part, names);
        } else {
            put_beside(value.part, names);
        }
        rename_in_promises(value.part, names.front());
    }

    // The first part takes the place of the whole's line, the others follow it.
    void declare(const ValueToFill& value, const TomlEntry& entry,
                 const std::vector<std::string>& names) {
        edits_.push_back(replacement_at(entry.key_place, names.front()));
        fill_in_place(*entry.value.table(), value.parts.front().value, value.parts.front().power);
        std::string lines;
        for (std::size_t k = 1; k < names.size(); ++k) {
            lines += fmt::format("\n{} = {}", names[k], table_with(entry, value.parts[k]));
            if (k + 1 == names.size()) {
                lines += fmt::format(
                    "   # {} make {}",
                    value.joint == Joint::series ? "in series they" : "in parallel they",
                    engineering_short(value.whole.value.nominal, Dimension::resistance));
            }
        }
        const std::size_t at = line_end(entry.value.place.end);
        edits_.push_back({at, at, lines});
    }

    void put_in_series(std::size_t part, const std::vector<std::string>& names) {
        std::string items;
        for (const auto& name : names) items += (items.empty() ? "" : " > ") + name;
        edits_.push_back(replacement_at(item_of(part).place, items));
    }

    // Parts beside each other need a name for the node at either end.
    void put_beside(std::size_t part, const std::vector<std::string>& names) {
        const Path& path = path_of(part);
        const auto item = std::ranges::find(path, std::optional(part), &PathItem::part);
        const auto& name = link_.parts[part].name;
        // A neighbour that was split before has given the node between them its name already.
        const auto named = [](const auto& nodes, const PathItem& neighbour) {
            if (!neighbour.part) return std::optional(neighbour.name);
            const auto known = nodes.find(*neighbour.part);
            return known == nodes.end() ? std::nullopt : std::optional(known->second);
        };
        const auto known_before = named(node_after_, *std::prev(item));
        const auto known_after = named(node_before_, *std::next(item));
        const std::string before = known_before ? *known_before : free_name(name + "-from");
        const std::string after = known_after ? *known_after : free_name(name + "-to");
        node_before_[part] = before;
        node_after_[part] = after;
        edits_.push_back(replacement_at(
            item->place, fmt::format("{}{}{}", known_before ? "" : before + " > ", names.front(),
                                     known_after ? "" : " > " + after)));
        const Place whole = path_place(part);
        const std::string separator = begins_its_line(whole.begin)
                                          ? fmt::format(",\n{}", indent_of(whole.begin))
                                          : std::string(", ");
        std::string more;
        for (std::size_t k = 1; k < names.size(); ++k) {
            more += separator + quoted(fmt::format("{} > {} > {}", before, names[k], after));
        }
        edits_.push_back({whole.end, whole.end, more});
    }

    std::string indent_of(std::size_t at) const {
        const std::size_t line = text_.find_last_of('\n', at) + 1;
        return std::string(text_.substr(line, at - line));
    }

    // The text value that holds a part's path.
    Place path_place(std::size_t part) const {
        const Part& p = link_.parts[part];
        const Placement& placement = p.input ? *p.input : *p.output;
        const auto* side = document_.root.find(side_name(placement.side))->value.table();
        for (const auto& value : *side->find("paths")->value.array()) {
            const Place& item = item_of(part).place;
            if (value.place.begin <= item.begin && item.end <= value.place.end) return value.place;
        }
        return item_of(part).place;
    }

    void rename_in_promises(std::size_t part, const std::string& name) {
        const auto* promises = document_.root.find("promise");
        if (promises == nullptr || promises->value.array() == nullptr) return;
        for (const auto& promise : *promises->value.array()) {
            const auto* table = promise.table();
            const auto* current = table ? table->find("current") : nullptr;
            const auto* text = current ? current->value.text() : nullptr;
            if (text && *text == link_.parts[part].name) {
                edits_.push_back(replacement_at(current->value.place, quoted(name)));
            }
        }
    }

    std::string_view text_;
    const Link& link_;
    TomlDocument document_;
    std::set<std::string> names_;
    std::map<std::size_t, std::string> node_before_;  // of parts that stand beside others, by part
    std::map<std::size_t, std::string> node_after_;
    std::vector<TextEdit> edits_;
};

}  // namespace

ValueToFill value_to_fill(const Stock& stock, const Choice& choice, std::size_t part) {
    ValueToFill value{.part = part, .parts = {}, .joint = choice.joint, .whole = choice};
    for (const auto k : choice.used()) value.parts.push_back(stock.values[k]);
    return value;
}

std::string fill_values(const std::shared_ptr<const SourceText>& text, const Link& link,
                        const std::vector<ValueToFill>& values) {
    auto document = read_toml(text);
    if (!document) return std::string(text->text());  // it was read before: cannot be
    Filler filler(text, link, std::move(*document));
    for (const auto& value : values) filler.fill(value);
    return filler.text();
}

}  // namespace gapwright
