#include "design/needs/meet_need.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <expected>
#include <iterator>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "card/card_shelf.hpp"
#include "card/part_kind.hpp"
#include "design/arrangements/arrangement.hpp"
#include "design/arrangements/catalogue.hpp"
#include "design/design.hpp"
#include "design/needs/draft.hpp"
#include "design/needs/gap_choice.hpp"
#include "design/needs/need_answers.hpp"
#include "design/needs/screening.hpp"
#include "design/telling/value_steps.hpp"
#include "design/values/open_stock.hpp"
#include "design/values/stock.hpp"
#include "design/values/value_problem.hpp"
#include "design/values/value_search.hpp"
#include "link/link.hpp"
#include "link/need.hpp"
#include "proof/proof.hpp"  // IWYU pragma: keep (of an answer)
#include "source/diagnostics.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

DesignFailure nothing_fits(const NeedTask& task) {
    std::string why;
    for (const auto& gap : task.gaps) {
        const std::string reason = ruled_out(task.need, gap);
        if (reason.empty()) continue;
        why += fmt::format("{}{}: {}", why.empty() ? "" : "; ", gap.name, reason);
    }
    return {.problems = only({.cause = Cause::contradiction,
                              .place = task.need.drive.place,
                              .message = "no arrangement on file can meet this need",
                              .remedy = why.empty() ? "change the drive, the load, or the gaps "
                                                      "that may be chosen"
                                                    : why})};
}

// What limits a draft, and whether it is daylight that does it.
std::string limited_by(const NeedTask& task, const Screened& s) {
    const std::size_t bound = s.found->worst.score.bound;
    std::string text = bound_name(*s.problem, bound);
    const Spread& light = task.need.surroundings.light;
    const bool open = task.gaps[s.gap].receiver->kind != Kind::coupler;
    if (open && light.varies() &&
        s.found->worst.scenarios[bound].conditions.light > light.nominal) {
        text += ": daylight";
    }
    return text;
}

// The best of some drafts; `why` what stands where none could be looked at.
template <class Belongs>
Comparison compared(const NeedTask& task, const std::vector<Screened>& screened, std::string name,
                    Belongs belongs, std::string why) {
    Comparison row{
        .name = std::move(name), .kind = {}, .reserve = {}, .limited_by = {}, .ruled_out = {}};
    const Screened* best = nullptr;
    for (const auto& s : screened) {
        if (!belongs(s)) continue;
        if (!s.left_out.empty()) why = s.left_out;
        if (!s.too_slow.empty()) why = s.too_slow;
        if (s.found && (!best || s.reserve() > best->reserve())) best = &s;
    }
    if (best != nullptr) {
        row.reserve = best->reserve();
        row.limited_by = limited_by(task, *best);
    } else {
        row.ruled_out = std::move(why);
    }
    return row;
}

Comparison gap_compared(const NeedTask& task, std::size_t gap,
                        const std::vector<Screened>& screened) {
    const std::string reason = ruled_out(task.need, task.gaps[gap]);
    Comparison row = compared(
        task, screened, task.gaps[gap].name, [&](const Screened& s) { return s.gap == gap; },
        reason.empty() ? "no arrangement fits" : reason);
    row.kind = gap_kind(task.gaps[gap]);
    return row;
}

// Every way to build the output side that this load and polarity allow.
std::vector<Comparison> outputs_compared(const NeedTask& task,
                                         const std::vector<Screened>& screened) {
    std::vector<Comparison> rows;
    for (const auto& output : output_arrangements()) {
        if (!serves_when_dead(task.need, output)) {
            if (!fits_some_gap(task.need, output)) continue;
            const bool off = task.need.asked_when_dead() == Need::WhenDead::off;
            rows.push_back({.name = std::string(output.name),
                            .kind = {},
                            .reserve = {},
                            .limited_by = {},
                            .ruled_out = fmt::format("the load is {} when the input side is dead",
                                                     off ? "on" : "off")});
            continue;
        }
        const auto belongs = [&](const Screened& s) {
            return s.draft != nullptr && s.draft->output == output.name;  // none after a stop
        };
        if (std::ranges::none_of(screened, belongs)) continue;
        rows.push_back(compared(task, screened, std::string(output.name), belongs, {}));
    }
    return rows;
}

}  // namespace

std::expected<Design, DesignFailure> meet_need(const Need& need, const DesignOptions& options) {
    auto stock = open_stock(need.stock, need.folder);
    if (!stock) return std::unexpected(DesignFailure{.problems = stock.error()});
    CardShelf shelf = shelf_beside(need.folder);
    const NeedTask task{need, options, std::move(*stock), gap_choices(need, shelf)};
    auto drafts = drafts_of(need);
    Design design{.title = need.title.empty() ? need.file->name() : need.title,
                  .stock = task.stock.name,
                  .skipped = task.stock.skipped,
                  .answers = {},
                  .drafts = drafts.size(),
                  .gaps = {},
                  .outputs = {},
                  .not_looked_at = {}};
    std::erase_if(drafts, [&](const Draft& draft) {
        const auto gap = std::ranges::find(task.gaps, draft.gap, &GapChoice::name);
        return gap != task.gaps.end() && !ruled_out(need, *gap).empty();
    });
    if (drafts.empty()) return std::unexpected(nothing_fits(task));
    const auto screened = screen(need, drafts, task.gaps, task.stock, options);
    for (const auto& s : screened) {
        if (s.left_out.empty()) continue;
        design.not_looked_at.push_back(left_out_for(*s.draft, s.left_out));
    }
    for (std::size_t g = 0; g < task.gaps.size(); ++g) {
        design.gaps.push_back(gap_compared(task, g, screened));
    }
    design.outputs = outputs_compared(task, screened);
    auto found = need_answers(task, screened);
    if (!found) return std::unexpected(std::move(found.error()));
    design.answers = std::move(found->answers);
    std::ranges::move(found->left_out, std::back_inserter(design.not_looked_at));
    design.stopped = stopped(task);
    return design;
}

}  // namespace gapwright
