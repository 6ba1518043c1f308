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

class LinkDesigner {
  public:
    LinkDesigner(std::shared_ptr<const SourceText> text, std::string folder, const Link& link,
                 const DesignOptions& options)
        : text_(std::move(text)), folder_(std::move(folder)), link_(link), options_(options) {}

    std::expected<Design, DesignFailure> design() {
        auto stock = open_stock(link_.stock, folder_);
        if (!stock) return bad_input(stock.error());
        result_.title = link_.title.empty() ? link_.file : link_.title;
        result_.stock = stock->name;
        result_.skipped = stock->skipped;
        auto problem = ValueProblem::of(link_, std::move(*stock));
        if (!problem) return bad_input(problem.error());
        for (const auto& row : aim_rows) search(*problem, row);
        if (found_.empty()) {
            return std::unexpected(DesignFailure{
                .message = "no set of values gives the nominal link an operating point",
                .stopped = options_.engine.stop.stop_requested()});
        }
        for (std::size_t k = 0; k < found_.size(); ++k) {
            // A second answer is only worth its place when everything holds.
            if (k > 0 && !(found_[k].worst.score.reserve >= 0)) continue;
            if (auto failed = add_answer(*problem, k)) {
                if (failed->stopped) return std::unexpected(std::move(*failed));
                result_.not_looked_at.push_back(
                    {fmt::format("the set for {}", character_name(characters_[k].front())),
                     failed->message});
            }
        }
        if (result_.answers.empty()) {
            return std::unexpected(DesignFailure{.message = result_.not_looked_at.front().reason});
        }
        result_.stopped = stopped_;
        return std::move(result_);
    }

  private:
    void search(const ValueProblem& problem, const AimRow& row) {
        if (options_.engine.stop.stop_requested() && !found_.empty()) return;
        SearchOptions search_options{.aim = row.aim,
                                     .most_parts = row.most_parts,
                                     .most_sets_in_turn = 20'000,
                                     .engine = options_.engine};
        search_options.found = [&](const Score& best) {
            if (row.aim == Aim::most_reserve) best_ = std::max(best_.value_or(-1e9), best.reserve);
            tell();
        };
        auto found = search_values(problem, search_options);
        if (found && row.aim == Aim::most_reserve) {
            prove_best(problem, row.most_parts, options_.proof_time, options_.engine, *found);
        }
        ++done_;
        tell();
        if (!found) return;
        stopped_ = stopped_ || found->stopped;
        for (std::size_t k = 0; k < found_.size(); ++k) {
            if (found_[k].set != found->set) continue;
            characters_[k].push_back(row.character);
            return;
        }
        found_.push_back(std::move(*found));
        characters_.push_back({row.character});
    }

    void tell() const {
        if (options_.progress) options_.progress({done_, aim_rows.size(), best_});
    }

    std::optional<DesignFailure> add_answer(const ValueProblem& problem, std::size_t k) {
        const Solved solved{.text = text_,
                            .folder = folder_,
                            .draft = {},
                            .characters = characters_[k],
                            .problem = problem,
                            .found = found_[k]};
        DesignOptions options = options_;
        if (stopped_) end_soon(options);
        auto answer = answer_of(solved, options, true);
        if (!answer) return std::move(answer.error());
        // What would help is looked for where waveforms have to be followed only if help is needed.
        const bool enough = problem.has_timed() && answer->proof->verdict == Verdict::kept;
        if (k == 0 && !stopped_ && !enough) {
            answer->helps = helps_of(solved, answer->limit.reserve, options.engine);
        }
        result_.answers.push_back(std::move(*answer));
        return std::nullopt;
    }

    std::shared_ptr<const SourceText> text_;
    std::string folder_;
    const Link& link_;
    const DesignOptions& options_;
    Design result_;
    std::vector<SearchResult> found_;
    std::vector<std::vector<Character>> characters_;  // by found set
    std::optional<double> best_;
    std::size_t done_ = 0;
    bool stopped_ = false;
};

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
    return LinkDesigner(text, folder, *link, options).design();
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
