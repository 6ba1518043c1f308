#include "proof/search/local_search.hpp"
#include "proof/search/curved_climb.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <limits>
#include <numeric>
#include <utility>
#include <vector>

#include "proof/search/search_space.hpp"

namespace gapwright {
namespace {

constexpr int most_rounds = 24;
constexpr int coarse_rounds = 8;
constexpr double enough = 1e-6;  // of the score: what a round must gain to be followed by another
constexpr double worth_a_turn = 1e-4;   // likewise, of a turn along a ridge
constexpr double no_influence = 1e-12;  // relative
constexpr std::size_t most_together = 8;

// Two sets of steps: most walks end in a corner, which few steps show.
constexpr std::array coarse_places = {0.0, 0.5, 1.0};
constexpr std::array coarse_steps = {0x1p-4, 0x1p-10};
constexpr std::array fine_places = {0.0, 0.25, 0.5, 0.75, 1.0};
constexpr std::array fine_steps = {0x1p-3, 0x1p-5, 0x1p-7, 0x1p-9, 0x1p-11, 0x1p-13};

enum class Fan : std::uint8_t { ends, coarse, fine };

// Where a coordinate that stands at `here` goes.
std::vector<double> places_about(double here, Fan fan) {
    std::vector<double> places;
    const auto add = [&](double place) {
        const double inside = std::clamp(place, 0.0, 1.0);
        if (inside != here) places.push_back(inside);
    };
    const auto all = [&](const auto& fixed, const auto& steps) {
        for (const double place : fixed) add(place);
        for (const double step : steps) {
            add(here - step);
            add(here + step);
        }
    };
    switch (fan) {
        case Fan::ends:
            add(0.0);
            add(1.0);
            break;
        case Fan::coarse:
            all(coarse_places, coarse_steps);
            break;
        case Fan::fine:
            all(fine_places, fine_steps);
            break;
    }
    std::ranges::sort(places);
    const auto doubles = std::ranges::unique(places);
    places.erase(doubles.begin(), doubles.end());
    return places;
}

struct Step {
    std::size_t walk;
    std::size_t coordinate;
    double place;
};

// The best step of one coordinate of one walk.
struct Gain {
    std::size_t coordinate;
    double place;
    double bad;
};

class Walks {
  public:
    Walks(std::vector<Walk>& walks, const ScorePoints& score, Fan first, Fan last)
        : walks_(walks), score_(score), last_(last), fan_(walks.size(), first) {
        for (auto& walk : walks_) {
            walk.effects.resize(walk.at.size());
            if (!walk.free.empty()) continue;
            for (std::size_t k = 0; k < walk.at.size(); ++k) walk.free.push_back(k);
        }
        for (std::size_t w = 0; w < walks_.size(); ++w) {
            under_way_.push_back(w);
            moves_.emplace_back(walks_[w].at.size());
        }
        looked_.resize(walks_.size());
    }

    void run(int rounds) {
        for (int round = 0; round < rounds && !under_way_.empty(); ++round) {
            std::vector<double> before;
            for (const auto& walk : walks_) before.push_back(walk.bad);
            take_steps();
            std::vector<std::size_t> going;
            for (const auto w : under_way_) {
                if (walks_[w].bad > before[w] + enough * std::abs(before[w])) {
                    going.push_back(w);
                } else if (fan_[w] != last_) {
                    fan_[w] = last_;
                    going.push_back(w);
                }
            }
            under_way_ = std::move(going);
        }
    }

  private:
    void take_steps() {
        std::vector<Point> points;
        std::vector<Step> steps;
        for (const auto w : under_way_) {
            const Point& at = walks_[w].at;
            for (const auto k : walks_[w].free) {
                // Fine steps, of what coarse ones have moved.
                if (fan_[w] == Fan::fine && looked_[w] && !moves_[w][k]) continue;
                for (const double place : places_about(at[k], fan_[w])) {
                    points.push_back(at);
                    points.back()[k] = place;
                    steps.push_back({w, k, place});
                }
            }
        }
        const Scores scores = score_(points);
        std::vector<std::vector<Gain>> gains(walks_.size());
        for (std::size_t p = 0; p < steps.size(); ++p) {
            const auto& [w, k, place] = steps[p];
            const double bad = scores.at(p, walks_[w].target);
            if (std::abs(bad - walks_[w].bad) > no_influence * std::abs(bad)) moves_[w][k] = true;
            note_effect(walks_[w], k, place, bad);
            if (!(bad > walks_[w].bad)) continue;
            if (gains[w].empty() || gains[w].back().coordinate != k) {
                gains[w].push_back({k, place, bad});
            } else if (bad > gains[w].back().bad) {
                gains[w].back() = {k, place, bad};
            }
        }
        for (const auto w : under_way_) looked_[w] = looked_[w] || fan_[w] == Fan::coarse;
        take_gains(gains);
    }

    static void note_effect(Walk& walk, std::size_t k, double place, double bad) {
        if (place != 0.0 && place != 1.0) return;
        const double moved = std::abs(bad - walk.bad);
        if (moved > walk.effects[k]) walk.effects[k] = moved;
    }

    // The best single step, or the first few of them together where that is worse still.
    void take_gains(std::vector<std::vector<Gain>>& gains) {
        std::vector<Point> points;
        std::vector<std::size_t> of;
        for (const auto w : under_way_) {
            auto& ones = gains[w];
            if (ones.empty()) continue;
            std::ranges::stable_sort(ones, std::ranges::greater{}, &Gain::bad);
            Point together = walks_[w].at;
            for (std::size_t n = 0; n < ones.size(); ++n) {
                together[ones[n].coordinate] = ones[n].place;
                const bool last = n + 1 == ones.size();
                if (n >= most_together && !last) continue;
                points.push_back(together);
                of.push_back(w);
            }
        }
        const Scores scores = score_(points);
        for (std::size_t p = 0; p < points.size(); ++p) {
            Walk& walk = walks_[of[p]];
            const double bad = scores.at(p, walk.target);
            if (!(bad > walk.bad)) continue;
            walk.bad = bad;
            walk.at = points[p];
        }
    }

    std::vector<Walk>& walks_;
    const ScorePoints& score_;
    Fan last_;  // to which a walk goes over where its first steps lead no further
    std::vector<Fan> fan_;
    std::vector<std::vector<bool>> moves_;  // by walk, coordinate: whether it ever moved the score
    std::vector<bool> looked_;              // whether coarse steps have shown that
    std::vector<std::size_t> under_way_;
};

constexpr int most_turns = 12;  // along a ridge
constexpr int rounds_of_followers = 1;
constexpr int climbs_of_followers = 3;
constexpr double matters = 1e-3;  // of the largest effect
constexpr std::array ridge_steps = {0x1p-4};

bool is_inside(double share) {
    return share > 0 && share < 1;
}

// The walks that start with one coordinate of `walk` set elsewhere, and follow it with those that
// lie inside their ranges.
std::vector<Walk> followers(const Walk& walk) {
    std::vector<std::size_t> inside;
    for (std::size_t k = 0; k < walk.at.size(); ++k) {
        if (is_inside(walk.at[k]) && walk.effects[k] > 0) inside.push_back(k);
    }
    std::vector<Walk> all;
    if (inside.empty()) return all;
    const double largest = std::ranges::max(walk.effects);
    for (std::size_t k = 0; k < walk.at.size(); ++k) {
        if (!(walk.effects[k] > matters * largest)) continue;
        Walk one = walk;
        one.bad = -std::numeric_limits<double>::infinity();
        one.free.clear();
        for (const auto other : inside) {
            if (other != k) one.free.push_back(other);
        }
        if (one.free.empty()) continue;
        std::vector<double> places = {0.0, 1.0};
        for (const double step : ridge_steps) {
            places.push_back(std::clamp(walk.at[k] - step, 0.0, 1.0));
            places.push_back(std::clamp(walk.at[k] + step, 0.0, 1.0));
        }
        for (const double place : places) {
            if (place == walk.at[k]) continue;
            one.at[k] = place;
            all.push_back(one);
        }
    }
    return all;
}

}  // namespace

void follow_ridges(std::vector<Walk>& walks, const ScorePoints& score, std::size_t budget) {
    std::vector<std::size_t> going(walks.size());
    std::iota(going.begin(), going.end(), std::size_t{0});
    std::size_t taken = 0;
    const ScorePoints counted = [&](const std::vector<Point>& points) {
        taken += points.size();
        return score(points);
    };
    for (int turn = 0; turn < most_turns && !going.empty() && taken < budget; ++turn) {
        std::vector<Walk> all;
        std::vector<std::size_t> leader;
        for (const auto w : going) {
            for (auto& one : followers(walks[w])) {
                all.push_back(std::move(one));
                leader.push_back(w);
            }
        }
        Walks(all, counted, Fan::fine, Fan::fine).run(rounds_of_followers);
        climb_curved(all, counted, climbs_of_followers);
        std::vector<double> before;
        for (const auto& walk : walks) before.push_back(walk.bad);
        for (std::size_t f = 0; f < all.size(); ++f) {
            Walk& walk = walks[leader[f]];
            if (!(all[f].bad > walk.bad)) continue;
            walk.bad = all[f].bad;
            walk.at = all[f].at;
        }
        std::erase_if(going, [&](std::size_t w) {
            return !(walks[w].bad > before[w] + worth_a_turn * std::abs(before[w]));
        });
    }
}

void walk_uphill(std::vector<Walk>& walks, const ScorePoints& score) {
    Walks(walks, score, Fan::coarse, Fan::fine).run(most_rounds);
}

void walk_coarsely(std::vector<Walk>& walks, const ScorePoints& score) {
    Walks(walks, score, Fan::coarse, Fan::coarse).run(coarse_rounds);
}

void walk_along_ends(std::vector<Walk>& walks, const ScorePoints& score, int rounds) {
    Walks(walks, score, Fan::ends, Fan::ends).run(rounds);
}

}  // namespace gapwright
