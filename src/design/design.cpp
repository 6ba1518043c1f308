#include "design/design.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cstddef>
#include <expected>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "design/answer.hpp"
#include "design/meet_need.hpp"
#include "design/need_cards.hpp"
#include "design/open_stock.hpp"
#include "design/value_bound.hpp"
#include "design/value_problem.hpp"
#include "design/value_search.hpp"
#include "fit/link_cards.hpp"
#include "link/link.hpp"
#include "link/need.hpp"
#include "proof/proof.hpp"  // IWYU pragma: keep (of an answer)
#include "proof/verdict.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"
#include "source/toml_document.hpp"

namespace gapwright {
namespace {

std::unexpected<DesignFailure> bad_input(Problems problems) {
    return std::unexpected(DesignFailure{.problems = std::move(problems)});
}

// The aims of a link's answers, in the order in which they stand.
struct AimRow {
    Character character;
    Aim aim;
    std::size_t most_parts;  // for one resistor
};
constexpr std::array<AimRow, 3> aim_rows = {{{Character::most_reserve, Aim::most_reserve, 3},
                                             {Character::fewest_parts, Aim::most_reserve, 1},
                                             {Character::least_current, Aim::least_current, 1}}};

// A set of values and all that it is best in.
struct FoundSet {
    SearchResult found;
    std::vector<Character> characters;
};

// The sets that are best in each aim, each once; an aim that was not searched for because of a stop
// has none.
std::vector<FoundSet> best_sets(const ValueProblem& problem, const DesignOptions& options) {
    std::vector<FoundSet> sets;
    DesignProgress progress{.done = 0, .all = aim_rows.size(), .best = {}};
    const auto tell = [&] {
        if (options.progress) options.progress(progress);
    };
    for (const auto& row : aim_rows) {
        if (options.engine.stop.stop_requested() && !sets.empty()) break;
        SearchOptions search{.aim = row.aim,
                             .most_parts = row.most_parts,
                             .most_sets_in_turn = 20'000,
                             .engine = options.engine};
        search.found = [&](const Score& best) {
            if (row.aim == Aim::most_reserve) {
                progress.best = std::max(progress.best.value_or(-1e9), best.reserve);
            }
            tell();
        };
        auto found = search_values(problem, search);
        if (found && row.aim == Aim::most_reserve) {
            prove_best(problem, row.most_parts, options.proof_time, options.engine, *found);
        }
        ++progress.done;
        tell();
        if (!found) continue;
        const auto same = std::ranges::find_if(
            sets, [&](const FoundSet& known) { return known.found.set == found->set; });
        if (same == sets.end()) {
            sets.push_back({std::move(*found), {row.character}});
        } else {
            same->characters.push_back(row.character);
            same->found.stopped = same->found.stopped || found->stopped;
        }
    }
    return sets;
}

// `first`: what would help is told of the first answer alone.
std::expected<Answer, DesignFailure> answer_with(const Solved& solved, const DesignOptions& options,
                                                 bool first) {
    auto answer = answer_of(solved, options, true);
    if (!answer || !first) return answer;
    // What would help is looked for where waveforms have to be followed only if help is needed.
    const bool enough = solved.problem.has_timed() && answer->proof->verdict == Verdict::kept;
    if (!enough) answer->helps = helps_of(solved, answer->limit.reserve, options.engine);
    return answer;
}

std::expected<Design, DesignFailure> chosen_values(const std::shared_ptr<const SourceText>& text,
                                                   const std::string& folder, const Link& link,
                                                   DesignOptions options) {
    auto stock = open_stock(link.stock, folder);
    if (!stock) return bad_input(stock.error());
    Design design{.title = link.title.empty() ? link.file : link.title,
                  .stock = stock->name,
                  .skipped = stock->skipped,
                  .answers = {},
                  .gaps = {},
                  .not_looked_at = {}};
    const auto problem = ValueProblem::of(link, std::move(*stock));
    if (!problem) return bad_input(problem.error());
    const auto sets = best_sets(*problem, options);
    if (sets.empty()) {
        return std::unexpected(
            DesignFailure{.message = "no set of values gives the nominal link an operating point",
                          .stopped = options.engine.stop.stop_requested()});
    }
    design.stopped = std::ranges::any_of(sets, [](const FoundSet& s) { return s.found.stopped; });
    if (design.stopped) end_soon(options);
    for (const auto& [found, characters] : sets) {
        // A second answer is only worth its place when everything holds.
        const bool first = &found == &sets.front().found;
        if (!first && !(found.worst.score.reserve >= 0)) continue;
        auto answer = answer_with({.text = text,
                                   .folder = folder,
                                   .draft = {},
                                   .characters = characters,
                                   .problem = *problem,
                                   .found = found},
                                  options, first && !design.stopped);
        if (answer) {
            design.answers.push_back(std::move(*answer));
            continue;
        }
        if (answer.error().stopped) return std::unexpected(std::move(answer.error()));
        design.not_looked_at.push_back(
            {fmt::format("the set for {}", character_name(characters.front())),
             answer.error().message});
    }
    if (design.answers.empty()) {
        return std::unexpected(DesignFailure{.message = design.not_looked_at.front().reason});
    }
    return design;
}

Problems missing(const std::shared_ptr<const SourceText>& text, std::string message,
                 std::string remedy) {
    Problems problems(
        1, Diagnostic{.cause = Cause::missing_key, .place = {}, .message = {}, .remedy = {}});
    problems.front().place = Place{text, 0, 0};
    problems.front().message = std::move(message);
    problems.front().remedy = std::move(remedy);
    return problems;
}

std::expected<Design, DesignFailure> design_link(const std::shared_ptr<const SourceText>& text,
                                                 const std::string& folder,
                                                 const DesignOptions& options) {
    const auto link = read_checked_link(text, folder);
    if (!link) return bad_input(link.error());
    if (link->to_choose().empty()) {
        return bad_input(missing(
            text, "nothing in this file is to be chosen",
            "write value = \"choose\" for a resistor, or state a [need] in place of paths"));
    }
    if (link->promises.empty()) {
        return bad_input(missing(text, "the link promises nothing to choose values by",
                                 "state what it must hold, for example [[promise]] state = "
                                 "\"on\", current = \"U1\", at_least = \"5 mA\""));
    }
    return chosen_values(text, folder, *link, options);
}

}  // namespace

std::expected<Design, DesignFailure> design_of(const std::shared_ptr<const SourceText>& text,
                                               const std::string& folder,
                                               const DesignOptions& options) {
    const auto document = read_toml(text);
    if (!document) return bad_input(document.error());
    if (!states_a_need(*document)) return design_link(text, folder, options);
    const auto need = read_checked_need(text, folder);
    if (!need) return bad_input(need.error());
    return meet_need(*need, options);
}

std::expected<Design, DesignFailure> design_file(const std::string& path,
                                                 const DesignOptions& options) {
    const auto text = read_file(path);
    if (!text) return bad_input(text.error());
    return design_of(*text, std::filesystem::path(path).parent_path().string(), options);
}

}  // namespace gapwright
