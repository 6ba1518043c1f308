#include "build/replacements.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <expected>
#include <memory>
#include <optional>
#include <string>
#include <utility>

#include "build/drawer_counts.hpp"
#include "build/parts_to_pull.hpp"
#include "card/description.hpp"
#include "card/part_kind.hpp"
#include "design/design.hpp"
#include "design/judging/limits.hpp"
#include "fit/link_cards.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "proof/proof.hpp"
#include "proof/prove.hpp"
#include "proof/verdict.hpp"
#include "source/source_text.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

bool same_spread(const Spread& a, const Spread& b) {
    return a.nominal == b.nominal && a.lowest == b.lowest && a.highest == b.highest;
}

bool breaks_promise(const Proof& proof) {
    return std::ranges::any_of(proof.promises,
                               [](const PromiseResult& p) { return p.verdict == Verdict::broken; });
}

// The bound with the least reserve.
Limit least_of(const Proof& proof) {
    const auto limits = limits_of(proof);
    return limits.empty() ? Limit{} : limits.front();
}

ProofOptions moderate(const PullOptions& options) {
    return {.nominal_only = false,
            .samples = options.samples,
            .timed_samples = options.timed_samples,
            .seed = options.seed,
            .stretch = false,
            .engine = options.engine};
}

DesignFailure stopped_failure() {
    return {.problems = {}, .message = "stopped", .stopped = true};
}

}  // namespace

ReplacementFinder::ReplacementFinder(std::shared_ptr<const SourceText> text,
                                     const std::string& folder, const Link& link,
                                     DrawerCounts& counts, CardShelf& shelf,
                                     const PullOptions& options)
    : text_(std::move(text)),
      folder_(folder),
      link_(link),
      counts_(counts),
      shelf_(shelf),
      options_(options) {}

std::expected<std::optional<Limit>, DesignFailure> ReplacementFinder::broken() const {
    const auto circuit = build_circuit(link_);
    if (!circuit) return std::unexpected(DesignFailure{.problems = circuit.error()});
    const auto proof = prove(link_, *circuit, moderate(options_));
    if (options_.engine.stop.stop_requested()) return std::unexpected(stopped_failure());
    if (!proof) return std::unexpected(DesignFailure{{}, proof.error().message, false});
    if (proof->verdict != Verdict::broken) return std::nullopt;
    return least_of(*proof);
}

std::expected<ReplacementSearch, DesignFailure> ReplacementFinder::find(const WantedPart& wanted) {
    ReplacementSearch search{.designator = wanted.designator};
    hopeless_.clear();
    const auto first = singles(wanted);
    if (!first) return search;
    auto found = try_all(*first, wanted, search);
    if (found && !*found && wanted.description->kind == Kind::resistor) {
        found = try_all(pairs(wanted), wanted, search);
    }
    if (!found) return std::unexpected(found.error());
    if (*found) {
        search.end = SearchEnd::found;
    } else {
        search.end = search.passed_over.empty() ? SearchEnd::none_at_hand : SearchEnd::none_keeps;
    }
    return search;
}

std::expected<bool, DesignFailure> ReplacementFinder::try_all(const Candidates& candidates,
                                                              const WantedPart& wanted,
                                                              ReplacementSearch& search) {
    for (std::size_t k = 0; k < candidates.size(); ++k) {
        if (options_.progress) options_.progress({wanted.designator, k, candidates.size()});
        const auto as_before = [&](const Spread& s) { return same_spread(s, candidates[k].value); };
        const bool resistor = wanted.description->kind == Kind::resistor;
        if (resistor && std::ranges::any_of(hopeless_, as_before)) continue;
        const auto held = try_one(candidates[k], wanted, search);
        if (!held || *held) return held;
    }
    return false;
}

std::expected<bool, DesignFailure> ReplacementFinder::try_one(const Candidate& candidate,
                                                              const WantedPart& wanted,
                                                              ReplacementSearch& search) {
    const auto miss = [&](std::optional<Limit> broke, std::string message) {
        search.passed_over.push_back({candidate.name, std::move(broke), std::move(message)});
        return false;
    };
    if (options_.engine.stop.stop_requested()) return std::unexpected(stopped_failure());
    const auto text = std::make_shared<const SourceText>(text_->name(), candidate.text);
    auto read = read_solvable_link(text, folder_);
    if (!read) return miss({}, read.error().front().message);
    const auto proof = prove(read->link, read->circuit, moderate(options_));
    // A proof that was cut short rests on too little to take a part by.
    if (options_.engine.stop.stop_requested()) return std::unexpected(stopped_failure());
    if (!proof) return miss({}, proof.error().message);
    const Limit least = least_of(*proof);
    if (proof->verdict == Verdict::broken) {
        if (breaks_promise(*proof)) hopeless_.push_back(candidate.value);
        // Every bound holds where it could be worked out.
        if (least.reserve >= 0) return miss({}, "some specimens could not be worked out");
        miss(least, {});
        const auto reserve = [&](std::size_t k) { return search.passed_over[k].broke->reserve; };
        const std::size_t last = search.passed_over.size() - 1;
        const bool first = !search.nearest || std::isnan(reserve(*search.nearest));
        if (first || reserve(last) > reserve(*search.nearest)) search.nearest = last;
        return false;
    }
    search.found = Replacement{.text = candidate.name,
                               .sources = {},
                               .joint = candidate.joint,
                               .verdict = proof->verdict,
                               .least = least};
    for (const auto row : candidate.rows) {
        search.found->sources.push_back(counts_.take(row, wanted.designator));
    }
    text_ = text;
    link_ = std::move(read->link);
    changed_ = true;
    return true;
}

}  // namespace gapwright
