// [input] and [output]: supplies, and paths into nodes and placements.
#include <algorithm>
#include <cstddef>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "card/receiver.hpp"
#include "card/trade_words.hpp"
#include "circuit/index.hpp"
#include "link/file_table.hpp"
#include "link/link.hpp"
#include "link/path_words.hpp"
#include "link/reading.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"
#include "source/toml_document.hpp"
#include "units/quantity.hpp"

namespace gapwright::reading {
namespace {

bool is_space(char c) {
    return c == ' ' || c == '\t' || c == '\n' || c == '\r';
}

// Splits "a > b > c" into items with their places.
Path split_path(Reading& reading, const TomlValue& value) {
    const std::string& text = *value.text();
    Path path;
    std::size_t begin = 0;
    while (true) {
        const std::size_t end = std::min(text.find('>', begin), text.size());
        std::size_t from = begin;
        std::size_t to = end;
        while (from < to && is_space(text[from])) ++from;
        while (to > from && is_space(text[to - 1])) --to;
        const std::string name = text.substr(from, to - from);
        const Place place = name.empty() ? value.text_place(begin, std::min(end + 1, text.size()))
                                         : value.text_place(from, to);
        if (name.empty()) {
            reading.problem(Cause::path_grammar, place, "a path has a name before and after each >",
                            "write for example \"supply > R1 > D1 > return\"");
            return {};
        }
        if (name.ends_with('-')) {
            reading.problem(Cause::path_grammar, place, "between the items of a path stands \">\"",
                            "write > in place of ->");
            return {};
        }
        if (std::ranges::any_of(name, is_space)) {
            reading.problem(Cause::path_grammar, place,
                            fmt::format("\"{}\" is no single name", name),
                            "put > between the items of a path");
            return {};
        }
        path.push_back({name, place, reading.link.find_part(name)});
        if (end == text.size()) return path;
        begin = end + 1;
    }
}

void read_side(Reading& reading, Side which) {
    const RootKey key = key_of(which);
    const auto* table = table_at(reading, name_of(key));
    if (!table) {
        if (!reading.find(key)) {
            reading.problem(Cause::missing_key, reading.document.start(),
                            fmt::format("the link has no [{}]", side_name(which)),
                            "each side has its own supply and paths");
        }
        return;
    }
    LinkSide& side = reading.link.side(which);
    refuse_unknown(reading, *table, table_of(SideKey{}), fmt::format("[{}]", side_name(which)));
    const Stated<SideKey> stated{*table, reading.find(key)->key_place};
    read_supply(reading, stated, side);
    const auto* paths = stated.find(SideKey::paths);
    const auto* list = paths ? paths->value.array() : nullptr;
    if (!list || list->empty()) {
        const Place& place = paths ? paths->value.place : stated.place;
        reading.problem(paths && !list ? Cause::wrong_type : Cause::missing_key, place,
                        fmt::format("[{}] needs paths, a list of texts", side_name(which)),
                        "write for example paths = [\"supply > R1 > D1 > return\"]");
        return;
    }
    if (list->size() > most_paths) {
        reading.problem(Cause::too_large, paths->key_place,
                        fmt::format("a side has {} paths, more than the {} it may have",
                                    list->size(), most_paths));
        return;
    }
    for (const auto& value : *list) {
        if (!value.text()) {
            reading.problem(Cause::wrong_type, value.place,
                            fmt::format("a path is a text, found {}", value.type_name()));
            continue;
        }
        if (auto path = split_path(reading, value); !path.empty()) {
            side.paths.push_back(std::move(path));
        }
    }
}

// Gives the nodes of one side their numbers and its parts their placements.
class Placer {
  public:
    Placer(Reading& reading, Side which)
        : reading_(reading), which_(which), side_(reading.link.side(which)) {
        side_.node_names = {"return", "supply"};
        side_.node_is_named = {true, true};
    }

    void place() {
        for (std::size_t p = 0; p < side_.paths.size(); ++p) {
            if (grammar(side_.paths[p])) place_path(p);
        }
        for (auto& part : reading_.link.parts) find_control(part);
    }

  private:
    bool grammar(const Path& path) {
        const auto faults = reading_.problems.size();
        for (const auto* end : {&path.front(), &path.back()}) {
            if (!end->part) continue;
            reading_.problem(
                Cause::path_grammar, end->place,
                fmt::format("a path starts and ends at a node, and {} is a part", end->name),
                end == &path.back() ? "go on to a node, for example > return"
                                    : "begin at a node, for example supply >");
            if (path.size() == 1) break;
        }
        for (std::size_t k = 0; k + 1 < path.size(); ++k) {
            if (path[k].part || path[k + 1].part) continue;
            // A name with nodes on either side can only be meant as a part.
            if (k + 2 < path.size() && !path[k + 2].part) {
                refuse_part(path[k + 1]);
                ++k;
                continue;
            }
            refuse_neighbours(path[k], path[k + 1]);
        }
        if (path.size() == 1 && !path[0].part) {
            reading_.problem(Cause::path_grammar, path[0].place, "a path of one node holds no part",
                             "write for example \"supply > R1 > D1 > return\"");
        }
        return reading_.problems.size() == faults;
    }

    void refuse_part(const PathItem& item) {
        const std::string remedy = remedy_for_name(item.name);
        reading_.problem(
            Cause::unknown_name, item.place,
            fmt::format("no part is called \"{}\"{}", item.name, nearest_part(item.name)),
            remedy.empty() ? fmt::format("declare it under [parts], for example {} = {}", item.name,
                                         example_part(Kind::resistor))
                           : remedy);
    }

    // Two nodes one after the other: one of them may be meant as a part, or as the other one.
    void refuse_neighbours(const PathItem& one, const PathItem& next) {
        std::string remedy = remedy_for_name(next.name);
        if (remedy.empty()) remedy = remedy_for_name(one.name);
        if (remedy.empty()) {
            remedy =
                "put a part between them, or use one name for one node; parts are "
                "declared under [parts]";
        }
        reading_.problem(Cause::path_grammar, next.place,
                         fmt::format("nothing stands between the nodes {} and {}{}", one.name,
                                     next.name, nearest_part(next.name)),
                         std::move(remedy));
    }

    std::string nearest_part(std::string_view name) const {
        std::vector<std::string> names;
        for (const auto& part : reading_.link.parts) names.push_back(part.name);
        // Between names of two letters every other one is near.
        if (name == "supply" || name == "return" || name.size() < 3) return {};
        return did_you_mean(name, names);
    }

    Node named_node(const std::string& name) {
        if (const auto known = side_.find_node(name)) return *known;
        return new_node(name, true);
    }
    Node new_node(std::string name, bool named) {
        side_.node_names.push_back(std::move(name));
        side_.node_is_named.push_back(named);
        return static_cast<Node>(side_.node_names.size() - 1);
    }

    void place_path(std::size_t p) {
        const Path& path = side_.paths[p];
        Node here = named_node(path[0].name);
        for (std::size_t k = 1; k + 1 < path.size(); ++k) {
            if (!path[k].part) continue;
            const auto& next = path[k + 1];
            const Node there =
                next.part
                    ? new_node(fmt::format("between {} and {}", path[k].name, next.name), false)
                    : named_node(next.name);
            place_part(path[k], p, here, there);
            here = there;
        }
    }

    void place_part(const PathItem& item, std::size_t p, Node from, Node to) {
        Part& part = reading_.link.parts[*item.part];
        auto& placement = which_ == Side::input ? part.input : part.output;
        if (placement) {
            reading_.problems.push_back(
                {.cause = Cause::part_repeated,
                 .place = item.place,
                 .message = fmt::format("{} already stands in a path of this side", part.name),
                 .remedy = "every part stands in exactly one path, once",
                 .other = placement->place,
                 .other_message = "here"});
            return;
        }
        if (from == to) {
            reading_.problem(Cause::path_grammar, item.place,
                             fmt::format("both ends of {} are the same node", part.name),
                             "lead one end to another node");
        }
        placement = Placement{
            .side = which_, .from = from, .to = to, .control = {}, .path = p, .place = item.place};
        if (part.description.kind == Kind::logic_output && from != supply_node) {
            reading_.problem(
                Cause::path_grammar, item.place,
                fmt::format("the logic output {} stands first after supply", part.name),
                fmt::format("write for example \"supply > {} > R1 > … > return\"", part.name));
        }
    }

    // The base or gate of a part of this side, when a path names it.
    void find_control(Part& part) {
        auto& placement = which_ == Side::input ? part.input : part.output;
        if (!placement) return;
        const Kind kind = part.description.kind;
        const bool lit_transistor = (kind == Kind::coupler && part.description.has_six_pins()) ||
                                    (kind == Kind::pair && part.description.receiver &&
                                     receiver_rule(receiver_of(part.description)).base_lead);
        const bool base = kind == Kind::transistor || (which_ == Side::output && lit_transistor);
        if (base) placement->control = side_.find_node(part.name + ".base");
        if (kind == Kind::mosfet) placement->control = side_.find_node(part.name + ".gate");
    }

    Reading& reading_;
    Side which_;
    LinkSide& side_;
};

}  // namespace

void read_supply(Reading& reading, const Stated<SideKey>& table, LinkSide& side) {
    const auto* entry = table.find(SideKey::supply);
    if (!entry) return;
    side.supply_place = entry->value.place;
    if (const auto* inner = entry->value.table()) {
        side.supply = read_description(*inner, entry->value.place, {.fixed_kind = Kind::battery},
                                       reading.shelf, reading.problems);
        return;
    }
    const FileKey& key = row_of(SideKey::supply);
    const FigureForm form{
        .name = key.name, .dimension = key.takes.dimension, .range = key.takes.range};
    if (auto figure = read_figure(form, entry->value, reading.problems)) {
        Description battery;
        battery.kind = Kind::battery;
        battery.place = entry->value.place;
        battery.figures[Key::voltage] = *figure;
        battery.figures[Key::resistance] = Figure{
            .spread = exactly(0), .conditions = {}, .assumed = true, .place = entry->value.place};
        side.supply = std::move(battery);
    }
}

void read_sides(Reading& reading) {
    read_side(reading, Side::input);
    read_side(reading, Side::output);
}

void place_parts(Reading& reading) {
    Placer(reading, Side::input).place();
    Placer(reading, Side::output).place();
}

}  // namespace gapwright::reading
