#include "fit/link_cards.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <cstddef>
#include <expected>
#include <filesystem>
#include <memory>
#include <optional>
#include <set>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include "card/card_shelf.hpp"
#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "card/points.hpp"
#include "circuit/index.hpp"
#include "fit/card_check.hpp"
#include "fit/observation.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"
#include "source/toml_document.hpp"

namespace gapwright {
namespace {

// What a link uses, and of which part it is.
struct PartDescription : UsedDescription {
    std::optional<std::size_t> part = {};
};

std::vector<PartDescription> descriptions_of(const Link& link) {
    std::vector<PartDescription> all;
    for (const Side which : {Side::input, Side::output}) {
        if (const auto& supply = link.side(which).supply) {
            all.push_back({{fmt::format("the {}'s supply", side_name(which)), &*supply}, {}});
        }
    }
    for (std::size_t k = 0; k < link.parts.size(); ++k) {
        const Part& part = link.parts[k];
        const Description& d = part.description;
        if (d.kind == Kind::pair) {
            all.push_back({{part.name + "'s emitter", d.emitter.get()}, k});
            all.push_back({{part.name + "'s receiver", d.receiver.get()}, k});
        } else {
            all.push_back({{part.name, &d}, k});
        }
    }
    return all;
}

// "ideality of 0.5: …", with the figure's name where the sentence does not begin with it.
std::string told(const CardFinding& finding) {
    if (!finding.figure || finding.text.starts_with(key_name(*finding.figure))) return finding.text;
    return fmt::format("{}: {}", spoken_key(*finding.figure), finding.text);
}

std::string remedy_of(const CardFinding& finding) {
    return finding.remedy.empty() ? "check the figure and its unit" : finding.remedy;
}

std::string named(const std::string& what, const Description& description) {
    return description.card.empty() ? what : fmt::format("{} (card {})", what, description.card);
}

// One finding of one card, and whose it is.
struct Impossible {
    CardFinding finding;
    const Description* description = nullptr;
    std::string whose;

    bool is_same(const CardFinding& other) const {
        return finding.place.text == other.place.text && finding.place.begin == other.place.begin &&
               finding.figure == other.figure && finding.text == other.text;
    }
};

// The impossible ones of all that was found, `findings[k]` of `used[k]`.
template <class Used>
Problems problems_of(const Used& used, const std::vector<std::vector<CardFinding>>& findings) {
    std::vector<Impossible> impossible;
    for (std::size_t k = 0; k < findings.size(); ++k) {
        for (const auto& finding : findings[k]) {
            if (!finding.nonsense) continue;
            const auto known = std::ranges::find_if(
                impossible, [&](const Impossible& one) { return one.is_same(finding); });
            if (known != impossible.end()) {
                known->whose += ", " + used[k].what;
            } else {
                impossible.push_back({finding, used[k].description, used[k].what});
            }
        }
    }
    Problems problems;
    for (const auto& [finding, description, whose] : impossible) {
        problems.push_back(
            {.cause = Cause::impossible_figure,
             .place = finding.place,
             .message = fmt::format("{} cannot be: {}", named(whose, *description), told(finding)),
             .remedy = remedy_of(finding)});
    }
    return problems;
}

template <class Used>
std::vector<std::vector<CardFinding>> findings_of(const Used& used) {
    std::vector<std::vector<CardFinding>> findings;
    for (const auto& one : used) findings.push_back(check_figures(*one.description));
    return findings;
}

// What the points on a card say against it. Of the card as it stands, whatever a link has put in
// place of some of its figures.
std::vector<CardFinding> findings_of_points(const std::string& name, CardShelf& shelf) {
    Problems unread;  // a card that a link was read with is there; a bad point is card check's
    const auto card = name.empty() ? nullptr : shelf.find(name, {}, unread);
    if (!card || !can_be_fitted(card->kind) || !card->place.text ||
        !card->place.text->text().contains("points")) {
        return {};
    }
    const auto document = read_toml(card->place.text);
    if (!document) return {};
    auto observed = observations_of(card->kind, read_points(document->root, unread));
    if (!observed) return {};
    std::erase_if(*observed, [](const Observation& o) {
        return o.measured == Measured::rise_time || o.measured == Measured::fall_time;
    });
    return check_points(*card, *observed);
}

std::string doubt_text(const PartDescription& used, const CardFinding& finding) {
    std::string remedy = remedy_of(finding);
    remedy.front() = static_cast<char>(std::toupper(static_cast<unsigned char>(remedy.front())));
    const std::string what = told(finding);
    return fmt::format("Unlikely of {}: {}{} {}.", named(used.what, *used.description), what,
                       what.ends_with('?') ? "" : ".", remedy);
}

Expected<SolvableLink> solvable(Link link) {
    auto circuit = build_circuit(link);
    if (!circuit) return std::unexpected(std::move(circuit.error()));
    return SolvableLink{.link = std::move(link), .circuit = std::move(*circuit)};
}

}  // namespace

Problems impossible_figures(std::span<const UsedDescription> used) {
    return problems_of(used, findings_of(used));
}

Expected<Link> with_checked_cards(Link link, CardShelf shelf) {
    const auto used = descriptions_of(link);
    auto findings = findings_of(used);
    if (auto problems = problems_of(used, findings); !problems.empty()) {
        return std::unexpected(std::move(problems));
    }
    for (std::size_t k = 0; k < used.size(); ++k) {
        for (auto& finding : findings_of_points(used[k].description->card, shelf)) {
            findings[k].push_back(std::move(finding));
        }
        std::set<std::optional<Key>> told_of;  // one a figure
        for (const auto& finding : findings[k]) {
            if (!told_of.insert(finding.figure).second) continue;
            link.doubts.push_back({.part = used[k].part, .text = doubt_text(used[k], finding)});
        }
    }
    return link;
}

Expected<Link> read_checked_link(std::shared_ptr<const SourceText> text,
                                 const std::string& folder) {
    CardShelf shelf = shelf_beside(folder);
    auto link = read_link(std::move(text), shelf);
    return link ? with_checked_cards(std::move(*link), std::move(shelf)) : link;
}

Expected<Link> read_checked_link_file(const std::string& path) {
    auto text = read_file(path);
    if (!text) return std::unexpected(std::move(text.error()));
    return read_checked_link(std::move(*text), std::filesystem::path(path).parent_path().string());
}

Expected<SolvableLink> read_solvable_link(std::shared_ptr<const SourceText> text,
                                          const std::string& folder) {
    auto link = read_checked_link(std::move(text), folder);
    if (!link) return std::unexpected(std::move(link.error()));
    return solvable(std::move(*link));
}

Expected<SolvableLink> read_solvable_link_file(const std::string& path) {
    auto link = read_checked_link_file(path);
    if (!link) return std::unexpected(std::move(link.error()));
    return solvable(std::move(*link));
}

}  // namespace gapwright
