#include "fit/link_cards.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <cstddef>
#include <expected>
#include <functional>
#include <memory>
#include <optional>
#include <set>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include "card/description.hpp"
#include "card/part_kind.hpp"
#include "circuit/index.hpp"
#include "fit/card_check.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"

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

// "high_knee" → "high knee"; of the card as a whole nothing.
std::string spoken(std::string key) {
    std::ranges::replace(key, '_', ' ');
    return key;
}

// "ideality of 0.5: …", with the figure's name where the sentence does not begin with it.
std::string told(const CardFinding& finding) {
    if (finding.figure.empty() || finding.text.starts_with(finding.figure)) return finding.text;
    return fmt::format("{}: {}", spoken(finding.figure), finding.text);
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

Expected<Link> with_checked_cards(Link link) {
    const auto used = descriptions_of(link);
    const auto findings = findings_of(used);
    if (auto problems = problems_of(used, findings); !problems.empty()) {
        return std::unexpected(std::move(problems));
    }
    for (std::size_t k = 0; k < used.size(); ++k) {
        std::set<std::string, std::less<>> told_of;  // one a figure
        for (const auto& finding : findings[k]) {
            if (!told_of.insert(finding.figure).second) continue;
            link.doubts.push_back({.part = used[k].part, .text = doubt_text(used[k], finding)});
        }
    }
    return link;
}

Expected<Link> read_checked_link(std::shared_ptr<const SourceText> text,
                                 const std::string& folder) {
    auto link = read_link(std::move(text), folder);
    return link ? with_checked_cards(std::move(*link)) : link;
}

Expected<Link> read_checked_link_file(const std::string& path) {
    auto link = read_link_file(path);
    return link ? with_checked_cards(std::move(*link)) : link;
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
