#include "design/needs/screening.hpp"
#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "card/receiver.hpp"
#include "design/arrangements/arrangement.hpp"
#include "design/design.hpp"
#include "design/needs/draft.hpp"
#include "design/values/score.hpp"
#include "design/values/stock.hpp"
#include "design/values/value_problem.hpp"
#include "design/values/value_search.hpp"
#include "link/link.hpp"
#include "link/need.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cstddef>
#include <cstdint>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "design/needs/speed.hpp"
#include "population/at_once.hpp"
#include "population/engine.hpp"
#include "proof/search/worst_case.hpp"
#include "source/source_text.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"
#include "units/extra_low_voltage.hpp"

namespace gapwright {
namespace {

// Parts that stand for the user's own circuits; the others are what the link takes.
bool is_users_own(const std::string& part) {
    constexpr std::array<std::string_view, 6> names = {"P1", "S1", "K1", "D2", "W1", "L1"};
    return std::ranges::find(names, part) != names.end();
}

bool is_given(const Part& part) {
    return is_users_own(part.name);
}

std::vector<std::string> cards_not_in_drawer(const Link& link, const Stock& stock) {
    std::vector<std::string> missing;
    if (stock.cards.empty()) return missing;
    const auto look = [&](const Description& d) {
        const bool told = std::ranges::find(missing, d.card) != missing.end();
        if (!told && std::ranges::find(stock.cards, d.card) == stock.cards.end()) {
            missing.push_back(d.card);
        }
    };
    for (const Part& part : link.parts) {
        const Description& d = part.description;
        if (is_users_own(part.name) || d.kind == Kind::resistor) continue;
        if (d.kind == Kind::pair) {
            look(*d.emitter);
            look(*d.receiver);
        } else {
            look(d);
        }
    }
    return missing;
}

SearchOptions first_look(std::size_t drafts, const EngineOptions& engine) {
    // The fewer drafts there are, the longer each may be looked at.
    const bool few = drafts <= 40;
    SearchOptions search{.most_parts = 1,
                         .coarse_sets = few ? 2000U : 250U,
                         .most_rounds = few ? 4 : 2,
                         .effort = Effort::quick,
                         .engine = engine};
    search.engine.threads = 1;
    return search;
}

// A look at a worst case may pass by one that the search has met: what is known counts.
WorstScore worst_of(const ValueProblem& problem, const SearchResult& found, Effort effort,
                    const EngineOptions& engine) {
    WorstScore worst = problem.worst(found.set, engine, effort);
    const std::vector<ValueSet> set = {found.set};
    const Score known = problem.scores(set, found.scenarios, {}, engine).front();
    if (known.reserve < worst.score.reserve) {
        worst.score.reserve = known.reserve;
        worst.score.bound = known.bound;
    }
    worst.score.spare = std::min(worst.score.spare, known.spare);
    return worst;
}

// A quick search passes by what lanes do not settle. Made about the set that it finds, the same
// problem settles: what its worst case is then counts, and where it is another, a second search.
void look_for_values(ValueProblem problem, const SearchOptions& search, Effort last,
                     Screened& screened) {
    constexpr double another = 0.02;
    constexpr int looks = 2;
    std::vector<Scenario> scenarios;
    for (int look = 0; look < looks; ++look) {
        auto found = search_values(problem, search, scenarios);
        if (!found) return;
        problem = problem.about(found->set);
        const double hoped = found->worst.score.reserve;
        found->worst = worst_of(problem, *found, last, search.engine);
        found->scenarios.push_back(found->worst.scenarios[found->worst.score.bound]);
        scenarios = found->scenarios;
        const double reserve = found->worst.score.reserve;
        if (reserve > screened.reserve()) {
            screened.found = std::move(found);
            screened.problem = problem;
        }
        if (reserve > hoped - another) return;
    }
}

Screened screened_draft(const Need& need, const Draft& draft, const std::vector<GapChoice>& gaps,
                        const Stock& stock, const SearchOptions& search) {
    Screened screened{.draft = &draft,
                      .text = std::make_shared<const SourceText>(need.file->name(), draft.text),
                      .problem = {},
                      .found = {},
                      .too_slow = {},
                      .left_out = {}};
    screened.gap = static_cast<std::size_t>(std::ranges::find(gaps, draft.gap, &GapChoice::name) -
                                            gaps.begin());
    const auto link = read_link(screened.text, need.folder);
    if (!link) {
        screened.left_out = link.error().front().message;
        return screened;
    }
    screened.not_in_drawer = cards_not_in_drawer(*link, stock);
    screened.parts = static_cast<std::size_t>(std::ranges::count_if(
        link->parts, [](const Part& part) { return !is_users_own(part.name); }));
    auto problem = ValueProblem::of(*link, stock);
    if (!problem) {
        screened.left_out = problem.error().front().message;
        return screened;
    }
    // An edge within a quarter of a bit where it can be had, else within half a bit.
    constexpr double well = 2;
    ValueProblem quick = *problem;
    if (leave_quick_ones(need, gaps[screened.gap], draft, well, quick)) {
        problem = std::move(quick);
        screened.quicker = well;
    } else if (!leave_quick_ones(need, gaps[screened.gap], draft, 1, *problem)) {
        screened.too_slow = "too slow with every value on offer (estimate)";
        return screened;
    }
    look_for_values(std::move(*problem), search, Effort::thorough, screened);
    if (screened.found) {
        screened.fixed_want = screened.problem->fixed_want(
            screened.found->set, screened.found->worst, is_given, search.engine);
    }
    if (!screened.found && !search.engine.stop.stop_requested()) {
        screened.left_out = "no set of values has an operating point";
    }
    return screened;
}

}  // namespace

std::string gap_kind(const GapChoice& gap) {
    if (gap.receiver->kind == Kind::coupler) return "coupler";
    switch (receiver_of(*gap.receiver)) {
        case Receiver::phototransistor:
            return "infrared pair";
        case Receiver::light_dependent_resistor:
            break;
    }
    return "lamp and light-dependent resistor";
}

std::string ruled_out(const Need& need, const GapChoice& gap) {
    const auto& voltage = need.surroundings.working_voltage;
    const bool coupler = gap.receiver->kind == Kind::coupler;
    if (voltage && !coupler && *voltage > extra_low_voltage) {
        return fmt::format("no insulation rating: a home-made gap is for extra-low voltage only");
    }
    const auto* rated = gap.receiver->find(Key::insulation_voltage);
    if (voltage && coupler && *voltage > extra_low_voltage && !rated) {
        return "its card states no insulation rating";
    }
    if (voltage && rated && *voltage > rated->spread.lowest) {
        return fmt::format("its insulation is rated for {}, and {} is asked",
                           engineering_short(rated->spread.lowest, Dimension::voltage),
                           engineering_short(*voltage, Dimension::voltage));
    }
    return need.rate > 0 ? too_slow(*gap.receiver, need.rate) : std::string();
}

bool leave_quick_ones(const Need& need, const GapChoice& gap, const Draft& draft, double quicker,
                      ValueProblem& problem) {
    if (!(need.rate > 0)) return true;
    const auto most = slowest_load(*gap.receiver, quicker * need.rate);
    if (!most) return true;
    for (std::size_t r = 0; r < problem.count(); ++r) {
        const std::string& name = problem.link().parts[problem.parts()[r]].name;
        if (std::ranges::find(draft.sets_speed, name) == draft.sets_speed.end()) continue;
        auto& options = problem.all_options()[r];
        std::erase_if(options, [&](std::uint32_t c) {
            return problem.stock().choices[c].value.highest > *most;
        });
        if (options.empty()) return false;
    }
    return true;
}

std::vector<Screened> screen(const Need& need, const std::vector<Draft>& drafts,
                             const std::vector<GapChoice>& gaps, const Stock& stock,
                             const DesignOptions& options) {
    const Stock singles = limited_to(stock, 1);
    const SearchOptions search = first_look(drafts.size(), options.engine);
    std::vector<Screened> screened(drafts.size());
    std::mutex mutex;
    std::size_t done = 0;
    std::optional<double> best;
    at_once(drafts.size(), options.engine, [&](std::size_t k) {
        if (options.engine.stop.stop_requested()) return;
        screened[k] = screened_draft(need, drafts[k], gaps, singles, search);
        const std::lock_guard lock(mutex);
        ++done;
        if (screened[k].found) best = std::max(best.value_or(-1e9), screened[k].reserve());
        if (options.progress) options.progress({done, drafts.size(), best});
    });
    return screened;
}

}  // namespace gapwright
