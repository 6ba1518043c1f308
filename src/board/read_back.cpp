#include "board/read_back.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <charconv>
#include <cmath>
#include <cstddef>
#include <deque>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <system_error>
#include <utility>
#include <vector>
#include "board/board.hpp"
#include "board/plan_table.hpp"
#include "board/wiring.hpp"
#include "circuit/index.hpp"

namespace gapwright {
namespace {

using Fault = BoardFault::Kind;

// A hole as its name says: letters, sign of a rail, number.
struct Named {
    std::string letters;
    char rail = ' ';  // '+' or '-'
    int number = 0;
};

std::optional<Named> parse(const std::string& name) {
    Named named;
    std::size_t k = 0;
    while (k < name.size() && std::isalpha(static_cast<unsigned char>(name[k]))) ++k;
    named.letters = name.substr(0, k);
    if (k < name.size() && (name[k] == '+' || name[k] == '-')) named.rail = name[k++];
    // One name for each hole, or it could be used twice unnoticed.
    if (k < name.size() && name[k] == '0') return std::nullopt;
    const auto read = std::from_chars(name.data() + k, name.data() + name.size(), named.number);
    if (named.letters.empty() || read.ec != std::errc() || read.ptr != name.data() + name.size()) {
        return std::nullopt;
    }
    return named;
}

int letters_to_column(const std::string& letters) {
    int column = 0;
    for (const char c : letters) column = column * 26 + (c - 'A' + 1);
    return column - 1;
}

std::string column_to_letters(int column) {
    std::string letters;
    for (int c = column + 1; c > 0; c = (c - 1) / 26) {
        letters.insert(letters.begin(), static_cast<char>('A' + (c - 1) % 26));
    }
    return letters;
}

class Reading {
  public:
    Reading(const PlanTable& table, const Wiring& wiring) : table_(table), wiring_(wiring) {}

    std::vector<BoardFault> run() {
        for (const auto& cut : table_.cuts) {
            if (is_hole(cut)) cuts_.insert(cut);
        }
        read_pins();
        read_wires();
        look_into_the_gap();
        compare();
        std::ranges::stable_sort(faults_, {}, [](const BoardFault& fault) {
            return fault.kind == Fault::bridged ? 0 : fault.kind == Fault::in_the_gap ? 1 : 2;
        });
        return std::move(faults_);
    }

  private:
    bool solderless() const { return table_.board.kind == BoardKind::solderless; }

    void fault(Fault kind, std::string text, std::vector<std::string> holes = {}) {
        faults_.push_back({kind, std::move(text), std::move(holes)});
    }

    // Where a hole is from the left, on solderless boards as printed: L+ L- a b c d e f … R- R+.
    std::optional<int> column_of(const std::string& hole) const {
        const auto named = parse(hole);
        if (!named || named->number < 1 || named->number > table_.board.rows) return std::nullopt;
        if (!solderless()) {
            if (named->rail != ' ' || named->letters.size() > 2) return std::nullopt;
            if (!std::ranges::all_of(named->letters, [](char c) { return c >= 'A' && c <= 'Z'; })) {
                return std::nullopt;
            }
            const int column = letters_to_column(named->letters);
            return column < table_.board.columns ? std::optional(column) : std::nullopt;
        }
        if (named->rail != ' ') {
            if (named->letters != "L" && named->letters != "R") return std::nullopt;
            if (!rail_has_hole(table_.board.rows, named->number - 1)) return std::nullopt;
            if (named->letters == "L") return named->rail == '+' ? 0 : 1;
            return named->rail == '-' ? 18 : 19;
        }
        if (named->letters.size() != 1) return std::nullopt;
        const char c = named->letters[0];
        if (c >= 'a' && c <= 'e') return 4 + (c - 'a');
        if (c >= 'f' && c <= 'j') return 11 + (c - 'f');
        return std::nullopt;
    }

    bool is_hole(const std::string& name) {
        if (column_of(name)) return true;
        fault(Fault::no_such_hole, fmt::format("the board has no hole \"{}\"", name), {name});
        return false;
    }

    // What the board's own metal joins bears the same name.
    std::string conductor(const std::string& hole) const {
        const Named named = *parse(hole);
        switch (table_.board.kind) {
            case BoardKind::solderless:
                if (named.rail != ' ') return named.letters + named.rail;
                return fmt::format("{}{}", named.letters[0] <= 'e' ? "left row " : "right row ",
                                   named.number);
            case BoardKind::strip: {
                // The piece of the strip from the last cut on.
                if (cuts_.contains(hole)) return "the cut " + hole;
                const int column = letters_to_column(named.letters);
                int start = 0;
                for (int k = 0; k < column; ++k) {
                    if (cuts_.contains(column_to_letters(k) + std::to_string(named.number))) {
                        start = k + 1;
                    }
                }
                return fmt::format("strip {} from {}", named.number, column_to_letters(start));
            }
            case BoardKind::grid:
                break;
        }
        return hole;
    }

    std::optional<Side> ground(const std::string& hole) const {
        const int column = *column_of(hole);
        if (column <= table_.board.gap_left) return Side::input;
        if (column >= table_.board.gap_right) return Side::output;
        return std::nullopt;
    }

    void put(const std::string& hole, const std::string& what) {
        const auto [at, is_first] = in_hole_.emplace(hole, what);
        if (is_first) return;
        fault(Fault::hole_used_twice,
              fmt::format("hole {} is used twice, by {} and {}", hole, at->second, what), {hole});
    }

    void read_pins() {
        struct Wanted {
            std::optional<std::size_t> node;
            Side side = Side::input;
        };
        std::map<std::pair<std::string, std::string>, Wanted> wanted;
        for (const auto& part : wiring_.parts) {
            for (std::size_t k = 0; k < part.pins.size(); ++k) {
                const auto& pin = part.pins[k];
                wanted[{part.name, pin.name}] = {
                    pin.node, pin.node ? wiring_.nodes[*pin.node].side : side_of_pin(part, k)};
            }
        }
        std::map<std::pair<std::string, std::string>, std::string> seen;  // and in which hole
        for (const auto& row : table_.pins) {
            const auto key = std::pair(row.part, row.pin);
            const auto found = wanted.find(key);
            const std::string what = row.part + " " + row.pin;
            if (found == wanted.end()) {
                fault(Fault::no_such_pin,
                      fmt::format("the link has no pin {}, in hole {}", what, row.hole),
                      {row.hole});
                continue;
            }
            const auto [first, is_first] = seen.emplace(key, row.hole);
            if (!is_first) {
                fault(
                    Fault::pin_missing,
                    fmt::format("{} stands in two holes, {} and {}", what, first->second, row.hole),
                    {first->second, row.hole});
                continue;
            }
            if (!is_hole(row.hole)) continue;
            put(row.hole, what);
            joined_[conductor(row.hole)];
            const auto& [node, side] = found->second;
            if (node) pins_.push_back({row.hole, *node, side, what});
            if (!node) unjoined_.push_back({row.hole, 0, side, what});
        }
        for (const auto& [key, node] : wanted) {
            if (seen.contains(key)) continue;
            fault(Fault::pin_missing,
                  fmt::format("{} {} has no hole in the plan", key.first, key.second));
        }
    }

    // Edges between conductors, each with the two holes that make it.
    void join(const std::string& a, const std::string& b) {
        joined_[conductor(a)].push_back({conductor(b), a, b});
        joined_[conductor(b)].push_back({conductor(a), b, a});
    }

    void read_wires() {
        for (const auto& wire : table_.wires) {
            const bool from = is_hole(wire.from);
            const bool to = is_hole(wire.to);
            if (!from || !to) continue;
            if (table_.board.kind != BoardKind::grid) {
                const std::string what = fmt::format("the wire {}–{}", wire.from, wire.to);
                put(wire.from, what);
                put(wire.to, what);
            }
            join(wire.from, wire.to);
            if (table_.board.kind == BoardKind::grid && !wire.insulated) join_along(wire);
            look_at_the_gap(wire);
        }
    }

    // Bare wire joins every hole that it lies over.
    void join_along(const WireRow& wire) {
        const int u0 = *column_of(wire.from);
        const int u1 = *column_of(wire.to);
        const int v0 = parse(wire.from)->number;
        const int v1 = parse(wire.to)->number;
        if (u0 != u1 && v0 != v1) {
            fault(Fault::joined_wrongly,
                  fmt::format("the bare wire {}–{} does not follow the grid", wire.from, wire.to),
                  {wire.from, wire.to});
            return;
        }
        const int steps = std::max(std::abs(u1 - u0), std::abs(v1 - v0));
        std::string last = wire.from;
        for (int k = 1; k <= steps; ++k) {
            const int u = u0 + (u1 - u0) * k / steps;
            const int v = v0 + (v1 - v0) * k / steps;
            const std::string here = column_to_letters(u) + std::to_string(v);
            join(last, here);
            last = here;
        }
    }

    void look_at_the_gap(const WireRow& wire) {
        const auto a = ground(wire.from);
        const auto b = ground(wire.to);
        if (a && b && *a == *b) return;
        if (a && b) {
            fault(Fault::bridged,
                  fmt::format("the wire from {} to {} bridges the gap: it joins the two sides",
                              wire.from, wire.to),
                  {wire.from, wire.to});
            return;
        }
        fault(Fault::in_the_gap,
              fmt::format("the wire from {} to {} reaches into the gap", wire.from, wire.to),
              {wire.from, wire.to});
    }

    void look_into_the_gap() {
        for (const auto* list : {&pins_, &unjoined_}) {
            for (const auto& pin : *list) {
                const auto side = ground(pin.hole);
                if (side && *side == pin.side) continue;
                if (side) {
                    fault(Fault::in_the_gap,
                          fmt::format("{} in {} stands on the other side's ground", pin.what,
                                      pin.hole),
                          {pin.hole});
                    continue;
                }
                fault(Fault::in_the_gap,
                      fmt::format("{} stands in the gap, in hole {}", pin.what, pin.hole),
                      {pin.hole});
            }
        }
        if (table_.board.kind != BoardKind::strip) return;
        for (int row = 1; row <= table_.board.rows; ++row) {
            const auto name = [&](int column) {
                return column_to_letters(column) + std::to_string(row);
            };
            int uncut = 0;
            for (int c = table_.board.gap_left + 1; c < table_.board.gap_right; ++c) {
                uncut += cuts_.contains(name(c)) ? 0 : 1;
            }
            const std::string left = name(table_.board.gap_left);
            const std::string right = name(table_.board.gap_right);
            if (conductor(left) == conductor(right)) {
                fault(Fault::bridged,
                      fmt::format("strip {} is not cut between {} and {}: it joins the two sides",
                                  row, left, right),
                      {left, right});
            } else if (uncut > 0) {
                fault(Fault::in_the_gap,
                      fmt::format("copper is left on strip {} between {} and {}", row, left, right),
                      {left, right});
            }
        }
    }

    struct Pin {
        std::string hole;
        std::size_t node = 0;
        Side side = Side::input;
        std::string what;
    };

    struct Edge {
        std::string to;
        std::string hole_here;
        std::string hole_there;
    };

    void compare() {
        std::map<std::string, int> group;  // by conductor
        int groups = 0;
        for (const auto& [start, edges] : joined_) {
            if (group.contains(start)) continue;
            std::deque<std::string> queue = {start};
            group[start] = groups;
            while (!queue.empty()) {
                const std::string at = queue.front();
                queue.pop_front();
                for (const auto& edge : joined_[at]) {
                    if (group.emplace(edge.to, groups).second) queue.push_back(edge.to);
                }
            }
            ++groups;
        }
        std::map<int, const Pin*> first_of_group;
        std::map<std::size_t, const Pin*> first_of_node;
        for (const auto& pin : pins_) {
            const int at = group.at(conductor(pin.hole));
            const auto in_group = first_of_group.emplace(at, &pin).first->second;
            if (in_group->node != pin.node) judge_joined(*in_group, pin);
            const auto in_node = first_of_node.emplace(pin.node, &pin).first->second;
            if (group.at(conductor(in_node->hole)) != at) {
                fault(
                    Fault::not_joined,
                    fmt::format("{} in {} and {} in {} are not joined; both belong to the node {}",
                                in_node->what, in_node->hole, pin.what, pin.hole,
                                wiring_.nodes[pin.node].name),
                    {in_node->hole, pin.hole});
            }
        }
        for (const auto& pin : unjoined_) {
            const auto [found, is_first] =
                first_of_group.emplace(group.at(conductor(pin.hole)), &pin);
            if (is_first) continue;
            // A pin that nothing is joined to is still metal of its side: the base of a coupler.
            const bool bridges = found->second->side != pin.side;
            fault(bridges ? Fault::bridged : Fault::joined_wrongly,
                  fmt::format("{} in {} is joined to {} in {}; {}", pin.what, pin.hole,
                              found->second->what, found->second->hole,
                              bridges ? "they belong to different sides" : "nothing may be"),
                  {pin.hole, found->second->hole});
        }
    }

    void judge_joined(const Pin& a, const Pin& b) {
        const WiringNode& one = wiring_.nodes[a.node];
        const WiringNode& other = wiring_.nodes[b.node];
        const std::string both =
            fmt::format("{} in {} and {} in {}", a.what, a.hole, b.what, b.hole);
        if (a.side != b.side) {
            fault(Fault::bridged, both + " are joined: they belong to different sides",
                  {a.hole, b.hole});
            return;
        }
        fault(Fault::joined_wrongly,
              fmt::format("{} are joined: they belong to the nodes {} and {}", both, one.name,
                          other.name),
              {a.hole, b.hole});
    }

    const PlanTable& table_;
    const Wiring& wiring_;
    std::vector<BoardFault> faults_;
    std::set<std::string> cuts_;
    std::map<std::string, std::string> in_hole_;
    std::map<std::string, std::vector<Edge>> joined_;  // by conductor
    std::vector<Pin> pins_;                            // on a node
    std::vector<Pin> unjoined_;                        // that nothing may be joined to
};

}  // namespace

std::vector<BoardFault> read_back(const PlanTable& table, const Wiring& wiring) {
    return Reading(table, wiring).run();
}

}  // namespace gapwright
