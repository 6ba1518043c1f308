// Whether the parts of a link can be: what card check (card_check.hpp) says of every description
// that it uses, of cards and of its own file alike. What cannot be is an error like any other of
// the file, since a proof of such a part is a proof of nothing; what is only unlikely stays with
// the link as its doubts. Gaps in a card are told by other cautions of a proof; of a card's own
// points those at rest are looked at, since times take waveforms to check.
#pragma once

#include <memory>
#include <span>
#include <string>

#include "card/card_shelf.hpp"
#include "card/description.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"

namespace gapwright {

// A description by what it is to the link: "U1", "U1's emitter", "the drive".
struct UsedDescription {
    std::string what;
    const Description* description = nullptr;
};

// What cannot be of these, one problem a figure (impossible_figure), at the place where it is
// stated; where several use the same card, once, and all of them are named.
Problems impossible_figures(std::span<const UsedDescription> used);

// The link with its doubts, one a part and figure; `shelf` is where its cards are. Errors:
// impossible_figure.
Expected<Link> with_checked_cards(Link link, CardShelf shelf);

// A link that is ready to be proven.
struct SolvableLink {
    Link link;
    LinkCircuit circuit;
};

// The way from text to what is proven: reads a link, checks its cards, builds its circuit. Errors:
// those of read_link, of with_checked_cards and of build_circuit, each step's all at once.
Expected<SolvableLink> read_solvable_link(std::shared_ptr<const SourceText> text,
                                          const std::string& folder);
Expected<SolvableLink> read_solvable_link_file(const std::string& path);

// The same without the circuit, of which there is none while values are still to be chosen.
Expected<Link> read_checked_link(std::shared_ptr<const SourceText> text, const std::string& folder);
Expected<Link> read_checked_link_file(const std::string& path);

}  // namespace gapwright
