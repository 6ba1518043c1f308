#include "design/screening.hpp"
#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "design/arrangement.hpp"
#include "design/design.hpp"
#include "design/draft.hpp"
#include "design/stock.hpp"
#include "design/value_problem.hpp"
#include "design/value_search.hpp"
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

#include "design/speed.hpp"
#include "population/at_once.hpp"
#include "proof/worst_case.hpp"
#include "source/source_text.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"
#include "units/extra_low_voltage.hpp"

namespace gapwright {
namespace {

// IEC 62368-1, ES1 (from memory): above it a gap needs a stated insulation rating.

// Parts that stand for the user's own circuits; the others are what the link takes.
bool is_users_own(const std::string& part) {
    constexpr std::array<std::string_view, 6> names = {"P1", "S1", "K1", "D2", "W1", "L1"};
    return std::ranges::find(names, part) != names.end();
}

bool cards_in_drawer(const Link& link, const Stock& stock) {
    const auto there = [&](const Description& d) {
        return std::ranges::find(stock.cards, d.card) != stock.cards.end();
    };
    return std::ranges::all_of(link.parts, [&](const Part& part) {
        const Description& d = part.description;
        if (is_users_own(part.name) || d.kind == Kind::resistor) return true;
        return d.kind == Kind::pair ? there(*d.emitter) && there(*d.receiver) : there(d);
    });
}

class Screening {
  public:
    Screening(const Need& need, const std::vector<Draft>& drafts,
              const std::vector<GapChoice>& gaps, const Stock& stock, const DesignOptions& options)
        : need_(need),
          drafts_(drafts),
          gaps_(gaps),
          stock_(limited_to(stock, 1)),
          options_(options),
          result_(drafts.size()) {
        search_.most_parts = 1;
        // The fewer drafts there are, the longer each may be looked at.
        constexpr std::size_t few = 40;
        search_.coarse_sets = drafts.size() <= few ? 2000 : 250;
        search_.most_rounds = drafts.size() <= few ? 4 : 2;
        search_.effort = Effort::quick;
        search_.engine = options.engine;
        search_.engine.threads = 1;
    }

    std::vector<Screened> run() {
        at_once(drafts_.size(), options_.engine, [this](std::size_t k) {
            if (options_.engine.stop.stop_requested()) return;
            look_at(k);
            tell(result_[k]);
        });
        return std::move(result_);
    }

  private:
    void look_at(std::size_t k) {
        Screened& screened = result_[k];
        screened.draft = &drafts_[k];
        screened.text = std::make_shared<const SourceText>(need_.file->name(), drafts_[k].text);
        screened.gap = static_cast<std::size_t>(
            std::ranges::find(gaps_, drafts_[k].gap, &GapChoice::name) - gaps_.begin());
        const auto link = read_link(screened.text, need_.folder);
        if (!link) {
            screened.left_out = link.error().front().message;
            return;
        }
        screened.from_drawer = cards_in_drawer(*link, stock_);
        screened.parts = static_cast<std::size_t>(std::ranges::count_if(
            link->parts, [](const Part& part) { return !is_users_own(part.name); }));
        auto problem = ValueProblem::of(*link, stock_);
        if (!problem) {
            screened.left_out = problem.error().front().message;
            return;
        }
        if (!leave_quick_ones(need_, gaps_[screened.gap], drafts_[k], *problem)) {
            screened.too_slow = "too slow with every value on offer (estimate)";
            return;
        }
        look_for_values(*problem, screened);
        if (!screened.found && !options_.engine.stop.stop_requested()) {
            screened.left_out = "no set of values has an operating point";
        }
    }

    // A quick search passes by what lanes do not settle. Made about the set that it finds, the same
    // problem settles: what its worst case is then counts, and where it is another, a second
    // search.
    void look_for_values(ValueProblem& problem, Screened& screened) const {
        constexpr double another = 0.02;
        constexpr int looks = 2;
        std::vector<Scenario> scenarios;
        for (int look = 0; look < looks; ++look) {
            auto found = search_values(problem, search_, scenarios);
            if (!found) return;
            problem = problem.about(found->set);
            const double hoped = found->worst.score.reserve;
            found->worst = problem.worst(found->set, search_.engine, Effort::quick);
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

    void tell(const Screened& screened) {
        const std::lock_guard lock(mutex_);
        ++done_;
        if (screened.found) best_ = std::max(best_.value_or(-1e9), screened.reserve());
        if (options_.progress) options_.progress({done_, drafts_.size(), best_});
    }

    const Need& need_;
    const std::vector<Draft>& drafts_;
    const std::vector<GapChoice>& gaps_;
    Stock stock_;
    const DesignOptions& options_;
    SearchOptions search_;
    std::vector<Screened> result_;
    std::mutex mutex_;
    std::size_t done_ = 0;
    std::optional<double> best_;
};

}  // namespace

std::string gap_kind(const GapChoice& gap) {
    switch (gap.receiver->kind) {
        case Kind::phototransistor:
            return "infrared pair";
        case Kind::light_dependent_resistor:
            return "lamp and light-dependent resistor";
        default:
            return "coupler";
    }
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

bool leave_quick_ones(const Need& need, const GapChoice& gap, const Draft& draft,
                      ValueProblem& problem) {
    if (!(need.rate > 0)) return true;
    const auto most = slowest_load(*gap.receiver, need.rate);
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
    return Screening(need, drafts, gaps, stock, options).run();
}

}  // namespace gapwright
