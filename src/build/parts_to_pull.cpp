#include "build/parts_to_pull.hpp"

#include <algorithm>
#include <expected>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "build/drawer_counts.hpp"
#include "build/part_look.hpp"
#include "build/replacements.hpp"
#include "card/card_shelf.hpp"
#include "card/description.hpp"
#include "card/drawer.hpp"
#include "card/part_kind.hpp"
#include "circuit/index.hpp"
#include "design/design.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "source/source_text.hpp"

namespace gapwright {
namespace {

using Role = WantedPart::Role;

bool stands_off_board(Kind kind) {
    switch (kind) {
        case Kind::contact:
        case Kind::logic_output:
        case Kind::logic_input:
        case Kind::coil:
        case Kind::load:
        case Kind::battery:
            return true;
        case Kind::resistor:
        case Kind::capacitor:
        case Kind::inductor:
        case Kind::diode:
        case Kind::led:
        case Kind::zener:
        case Kind::transistor:
        case Kind::mosfet:
        case Kind::coupler:
        case Kind::pair:
        case Kind::phototransistor:
        case Kind::light_dependent_resistor:
            break;
    }
    return false;
}

std::vector<WantedPart> wanted_parts(const Link& link) {
    std::vector<WantedPart> wanted;
    for (const auto& part : link.parts) {
        const Description& d = part.description;
        if (d.kind == Kind::pair) {
            wanted.push_back(
                {part.name, part.name + " emitter", Role::emitter, d.emitter.get(), false});
            wanted.push_back(
                {part.name, part.name + " receiver", Role::receiver, d.receiver.get(), false});
        } else {
            wanted.push_back({part.name, part.name, Role::whole, &d, stands_off_board(d.kind)});
        }
    }
    for (const Side side : {Side::input, Side::output}) {
        const auto& supply = link.side(side).supply;
        if (!supply) continue;
        wanted.push_back(
            {{}, std::string(side_name(side)) + " supply", Role::supply, &*supply, true});
    }
    return wanted;
}

// The item of parts like this one.
PullItem& item_for(std::vector<PullItem>& items, const PartLook& look, bool off_board) {
    const auto like = std::ranges::find_if(items, [&](const PullItem& item) {
        return item.off_board == off_board && item.look.kind == look.kind &&
               item.look.text == look.text && item.look.card == look.card;
    });
    if (like != items.end()) return *like;
    items.push_back({.designators = {},
                     .look = look,
                     .off_board = off_board,
                     .sources = {},
                     .missing = {},
                     .instead = {}});
    return items.back();
}

void add_source(PullItem& item, DrawerSource source) {
    const auto known = std::ranges::find(item.sources, source.row, &DrawerSource::row);
    if (known == item.sources.end()) {
        item.sources.push_back(std::move(source));
    } else {
        known->designators.push_back(source.designators.front());
    }
}

}  // namespace

std::expected<PartsToPull, DesignFailure> parts_to_pull(
    const std::shared_ptr<const SourceText>& text, const std::string& folder, const Link& link,
    const std::optional<Drawer>& drawer, const PullOptions& options) {
    if (const auto circuit = build_circuit(link); !circuit) {
        return std::unexpected(DesignFailure{.problems = circuit.error()});
    }
    PartsToPull pull;
    pull.has_drawer = drawer.has_value();
    const Drawer none;
    const Drawer& at_hand = drawer ? *drawer : none;
    pull.skipped = at_hand.skipped;
    CardShelf shelf = shelf_beside(folder);
    DrawerCounts counts(at_hand, shelf);

    // All that is there first: a replacement must not take what a later part asks for by name.
    std::vector<WantedPart> missing;
    for (const auto& wanted : wanted_parts(link)) {
        PullItem& item = item_for(pull.items, look_of(*wanted.description), wanted.off_board);
        item.designators.push_back(wanted.designator);
        const auto rows = counts.serving(*wanted.description);
        if (!rows.empty()) {
            add_source(item, counts.take(rows.front(), wanted.designator));
        } else if (!wanted.off_board) {
            item.missing.push_back(wanted.designator);
            missing.push_back(wanted);
        }
    }
    if (!drawer || !options.replacements || missing.empty()) return pull;

    ReplacementFinder finder(text, folder, link, counts, shelf, options);
    const auto broken = finder.broken();
    if (!broken) return std::unexpected(broken.error());
    pull.broken = *broken;
    for (const auto& wanted : missing) {
        std::expected<ReplacementSearch, DesignFailure> search =
            ReplacementSearch{.designator = wanted.designator, .end = SearchEnd::link_broken};
        if (!pull.broken) search = finder.find(wanted);
        if (!search) return std::unexpected(search.error());
        item_for(pull.items, look_of(*wanted.description), wanted.off_board)
            .instead.push_back(std::move(*search));
    }
    if (finder.has_changed()) pull.text = std::string(finder.text()->text());
    return pull;
}

}  // namespace gapwright
