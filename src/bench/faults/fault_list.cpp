#include "bench/faults/fault_list.hpp"

#include <fmt/format.h>

#include <cmath>
#include <cstddef>
#include <functional>
#include <string>
#include <utility>
#include <vector>
#include "bench/faults/fault.hpp"
#include "bench/faults/link_edits.hpp"
#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "link/figure_id.hpp"
#include "link/link.hpp"
#include "units/dimension.hpp"
#include "units/quantity.hpp"

namespace gapwright::faults {
namespace {

using Of = FigureId::Of;
using edits::Pin;

// What a joint may have in place of nothing, Ω.
constexpr std::pair<double, double> joint_cells[] = {
    {30, 200}, {200, 1.5e3}, {1.5e3, 10e3}, {10e3, 100e3}};

}  // namespace

Fault& List::add(std::string suspect, double weight, std::vector<std::size_t> parts,
                 std::function<void(Link&)> edit) {
    faults_.push_back({.suspect = std::move(suspect),
                       .weight = weight,
                       .edit = std::move(edit),
                       .bridge = {},
                       .figure = {},
                       .parts = std::move(parts)});
    return faults_.back();
}

void List::figure_cells(const Off& off, const std::vector<Cell>& cells) {
    const Part& part = link_.parts[off.part];
    const Description& own = off.of == Of::emitter ? *part.description.emitter : part.description;
    const auto* rule = find_key(kind_rule(own.kind), off.key);
    for (const Cell& cell : cells) {
        const Spread spread = edits::times(off.from, cell.lowest, cell.highest);
        Fault& fault = add(off.suspect, cell.weight, {off.part},
                           [part = off.part, of = off.of, key = off.key, spread](Link& link) {
                               edits::set_figure(edits::description(link, part, of), key, spread);
                           });
        // The beam's intensity has a slot of the pair's own, per ampere: it is told as a share.
        const bool beam = off.of == Of::emitter;
        const bool ratio = !rule || rule->dimension == Dimension::ratio;
        const double nominal = own.nominal(off.key);
        const double per = beam ? own.find(off.key)->conditions[0] : 1;
        fault.figure =
            FaultFigure{.figure = figure_of(off.part, beam ? Key::intensity : off.key),
                        .words = off.words,
                        .nominal = nominal / per,
                        .dimension = rule ? rule->dimension : Dimension::ratio,
                        .as_share = beam || (ratio && off.key == Key::photocurrent_ratio)};
    }
}

void List::tell_added_resistance(const std::string& words) {
    // What an edit adds stands behind the link's own parts; see edits::bridge.
    faults_.back().figure = FaultFigure{.figure = figure_of(link_.parts.size(), Key::value),
                                        .words = words,
                                        .nominal = 0,
                                        .dimension = Dimension::resistance,
                                        .as_share = false};
}

void List::open_pin(const std::string& lead, const Pin& pin, double weight) {
    Fault& fault = add(lead + " is open", weight, {pin.part}, [pin](Link& link) {
        edits::put_in_series(link, pin, edits::open_joint);
        edits::follow_body(link, pin.part);
    });
    const SideNode outer{pin.side, edits::node_of(link_, pin)};
    if (!edits::is_held(link_, outer.side, outer.node, pin.part)) fault.floating = outer;
}

void List::loose_pin(const std::string& lead) {
    constexpr double share = 0.05;  // of open ones: most are found open, or held by a finger
    Fault loose = faults_.back();
    loose.suspect = lead + " has a bad joint, open at times";
    loose.weight *= share;
    loose.loose = true;
    faults_.push_back(std::move(loose));
}

void List::open_part(const std::string& name, const Pin& from, const Pin& to, double joint,
                     double dead) {
    open_pin(name, from, joint);
    loose_pin(name);
    open_pin(name, to, dead);
    faults_.back().by_itself = ByItself{.part = from.part, .open = true};
}

void List::dry_pin(const std::string& lead, const Pin& pin, double weight) {
    for (const auto& [low, high] : joint_cells) {
        add(lead + " has a bad joint", weight, {pin.part}, [pin, low, high](Link& link) {
            edits::put_in_series(link, pin, {0.5 * (low + high), low, high});
            edits::follow_body(link, pin.part);
        });
        tell_added_resistance(lead + " has a bad joint of");
    }
}

void List::show_at(std::size_t first, const SideNode& node) {
    for (std::size_t f = first; f < faults_.size(); ++f) faults_[f].shows_at = node;
}

void List::dead_by_itself(std::size_t k) {
    faults_.back().by_itself = ByItself{.part = k, .open = false};
}

void List::shorted(const std::string& suspect, const Pin& a, const Pin& b, double weight) {
    add(suspect, weight, {a.part}, [a, b](Link& link) {
        edits::bridge(link, a.side, edits::node_at(link, a), edits::node_at(link, b),
                      edits::short_circuit);
    });
}

void List::exchanged(const std::string& suspect, const Pin& a, const Pin& b, double weight) {
    add(suspect, weight, {a.part}, [a, b](Link& link) {
        edits::exchange_pins(link, a, b);
        edits::follow_body(link, a.part);
    });
}

}  // namespace gapwright::faults
