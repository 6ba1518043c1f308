// The parts to pull from the drawer before a link is built, and what may stand in for those that
// are not there.
#pragma once

#include <cstddef>
#include <cstdint>
#include <expected>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "build/part_look.hpp"
#include "card/drawer.hpp"
#include "design/design.hpp"
#include "design/values/stock.hpp"
#include "link/link.hpp"
#include "population/engine.hpp"
#include "proof/verdict.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"

namespace gapwright {

// Where some of an item's parts lie.
struct DrawerSource {
    std::vector<std::string> designators;
    PartLook look;         // of the parts in that row, which may be better than asked
    std::size_t row = 0;   // in Drawer::rows
    std::size_t line = 0;  // of the drawer's file, from 1
    std::string note;      // of the row
};

// Parts of the drawer in place of one that is missing: the link with them, and with all that were
// found before, is proven.
struct Replacement {
    std::string text;                   // "3.9 kΩ", "2.7 kΩ + 220 Ω", "Small npn transistor"
    std::vector<DrawerSource> sources;  // one or two; their designators are the missing part's
    Joint joint = Joint::single;
    Verdict verdict = Verdict::broken;  // kept or thin
    Limit least = {};                   // the least reserve of the link with it
};

// What was tried and did not hold.
struct ReplacementMiss {
    std::string text;            // as Replacement::text
    std::optional<Limit> broke;  // the bound that it breaks most; none: it could not be worked out
    std::string message;         // why it could not; empty where `broke` says it
};

enum class SearchEnd : std::uint8_t {
    found,
    none_keeps,      // each candidate breaks something
    none_at_hand,    // the drawer holds nothing of the kind
    not_looked_for,  // no card and no resistor, or its figures do not stand in its own table
    link_broken      // the link does not hold as it stands: nothing can be measured against it
};

// The search for what may stand in for one missing part.
struct ReplacementSearch {
    std::string designator;
    SearchEnd end = SearchEnd::not_looked_for;
    std::optional<Replacement> found = {};
    std::vector<ReplacementMiss> passed_over = {};  // in the order tried
    // Of those passed over: the one whose worst reserve is nearest to being kept.
    std::optional<std::size_t> nearest = {};
};

// Like parts.
struct PullItem {
    std::vector<std::string> designators;  // "R2", "U1 emitter", "input supply"
    PartLook look;                         // as the link asks for it
    // Equipment beside the board, connected by leads: contacts, logic, coils, loads, supplies. It
    // is listed, and found in the drawer where a row names its card, but never counts as missing.
    bool off_board = false;
    std::vector<DrawerSource> sources;       // of those in the drawer, by row
    std::vector<std::string> missing;        // designators of those that are not
    std::vector<ReplacementSearch> instead;  // one for each missing, where there is a drawer
};

struct PartsToPull {
    std::vector<PullItem> items;  // parts of the file in their order, supplies last
    bool has_drawer = false;      // without one, everything on the board is to be bought
    Problems skipped;             // rows of the drawer that could not be read
    // Where replacements were to be looked for, but the link as it stands breaks this bound.
    std::optional<Limit> broken = {};
    std::string text;  // the link file with all replacements; empty where there are none
};

// How far the search for replacements is.
struct PullProgress {
    std::string designator;
    std::size_t tried = 0;  // of its candidates
    std::size_t all = 0;    // single parts; pairs come on top
};

struct PullOptions {
    bool replacements = true;          // false: only says what is missing
    std::size_t most_candidates = 24;  // single parts proven for each missing one
    std::size_t most_pairs = 12;       // of resistors, after those
    std::size_t samples = 2000;        // of each proof; the search for the worst case is whole
    std::size_t timed_samples = 20;
    std::uint64_t seed = 1;
    EngineOptions engine = {};
    std::function<void(const PullProgress&)> progress = {};
};

// What to pull for a link, which was read from `text`; its cards lie in `folder`.
//
// A resistor of the drawer serves where its nominal is the same (within 1e-6), its limits lie
// within those that the link states, and its power is at least that stated. A part with a card
// serves by the card's name, capacitors and inductors by their value. Parts are served in the order
// of the file, each from the row with the least to spare: power first, then tolerance. What the
// drawer does not say is not checked: the voltage that resistors and capacitors stand.
//
// For each missing part, one after the other, replacements are tried in the order of likeness and
// the first with which every promise and rating holds is taken (one that breaks a promise is not
// tried again at another power): resistors by the ratio of values,
// singly, then in pairs; parts with cards by other cards of their kind, in the order of the drawer:
// transistors of the same polarity, LEDs whose cards state their light in the same measure (one
// that is seen by one that is seen; of which colour, cards do not say). Whatever stands in for
// earlier parts stays.
//
// Errors: those of build_circuit (missing_key for a value still to be chosen); those of prove,
// about the link as it stands; stopped when the user asked.
std::expected<PartsToPull, DesignFailure> parts_to_pull(
    const std::shared_ptr<const SourceText>& text, const std::string& folder, const Link& link,
    const std::optional<Drawer>& drawer, const PullOptions& options = {});

}  // namespace gapwright
