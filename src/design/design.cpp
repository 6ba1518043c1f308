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

#include "design/needs/meet_need.hpp"
#include "design/needs/need_cards.hpp"
#include "design/telling/answer.hpp"
#include "design/telling/answers.hpp"
#include "design/values/aim.hpp"
#include "design/values/open_stock.hpp"
#include "design/values/score.hpp"
#include "design/values/value_problem.hpp"
#include "design/values/value_search.hpp"
#include "fit/link_cards.hpp"
#include "link/link.hpp"
#include "link/need.hpp"
#include "proof/proof.hpp"  // IWYU pragma: keep (of an answer)
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"
#include "source/toml_document.hpp"

namespace gapwright {
namespace {

std::unexpected<DesignFailure> bad_input(Problems problems) {
    return std::unexpected(DesignFailure{.problems = std::move(problems)});
}

// What a link's answers are looked for by.
struct AimRow {
    Aim aim;
    std::size_t most_parts;  // for one resistor
};
constexpr std::array<AimRow, 4> aim_rows = {{{Aim::first_choice, 2},
                                             {Aim::first_choice, 1},
                                             {Aim::most_reserve, 3},
                                             {Aim::least_current, 1}}};

// The best set of each aim, each set once; an aim that was not searched for because of a stop has
// none.
std::vector<Solved> best_sets(const Solved& task, const DesignOptions& options) {
    std::vector<Solved> sets;
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
            progress.best = std::max(progress.best.value_or(-1e9), best.reserve);
            tell();
        };
        auto found = search_values(task.problem, search);
        ++progress.done;
        tell();
        if (!found) continue;
        const auto is_known = [&](const Solved& known) { return known.found.set == found->set; };
        if (std::ranges::any_of(sets, is_known)) continue;
        sets.push_back(task);
        sets.back().aim = row.aim;
        sets.back().found = std::move(*found);
    }
    return sets;
}

std::expected<Design, DesignFailure> chosen_values(const std::shared_ptr<const SourceText>& text,
                                                   const std::string& folder, const Link& link,
                                                   const DesignOptions& options) {
    auto stock = open_stock(link.stock, folder);
    if (!stock) return bad_input(stock.error());
    Design design{.title = link.title.empty() ? link.file : link.title,
                  .stock = stock->name,
                  .skipped = stock->skipped,
                  .answers = {},
                  .gaps = {},
                  .outputs = {},
                  .not_looked_at = {}};
    auto problem = ValueProblem::of(link, std::move(*stock));
    if (!problem) return bad_input(problem.error());
    const auto sets = best_sets({.text = text,
                                 .folder = folder,
                                 .draft = {},
                                 .aim = Aim::first_choice,
                                 .has_drawer = false,
                                 .not_in_drawer = {},
                                 .gap_kind = {},
                                 .home_made = false,
                                 .fixed_want = 0,
                                 .problem = std::move(*problem),
                                 .found = {}},
                                options);
    if (sets.empty()) {
        return std::unexpected(
            DesignFailure{.message = "no set of values gives the nominal link an operating point",
                          .stopped = options.engine.stop.stop_requested()});
    }
    design.stopped = std::ranges::any_of(sets, [](const Solved& s) { return s.found.stopped; });
    auto answered = answers_of(sets, options, design.stopped);
    if (!answered) return std::unexpected(std::move(answered.error()));
    design.answers = std::move(answered->answers);
    design.not_looked_at = std::move(answered->left_out);
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
