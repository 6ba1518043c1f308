#include "proof/search/curved_climb.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <utility>
#include <vector>

#include "proof/search/local_search.hpp"
#include "proof/search/search_space.hpp"

namespace gapwright {
namespace {

constexpr double first_reach = 0x1p-6;  // of each range: how far about it the parabola is laid
constexpr double least_reach = 0x1p-14;
constexpr double closer = 0.25;
constexpr std::size_t most_bent = 7;  // coordinates of one parabola
constexpr double enough = 1e-6;       // of the score: what a turn must gain to keep its reach
constexpr std::array damping = {0.0, 0.1, 1.0, 10.0};  // of the smallest curvature
constexpr std::array lengths = {0x1p-1, 0x1p-2, 0x1p-3, 0x1p-5, 0x1p-7, 0x1p-9};

// A coordinate and how far the points about it lie: one side only where it stands at an end.
struct Side {
    std::size_t coordinate;
    double reach;  // signed where one-sided
    bool both;
};

// A walk on its way.
struct Climb {
    std::size_t walk;
    double reach = first_reach;
    std::vector<Side> sides = {};
    std::vector<Side> bent = {};  // those of the parabola
    Eigen::VectorXd slope = {};
    Eigen::MatrixXd curvature = {};
    std::size_t first = 0;  // of its rows among the points scored
};

std::vector<Side> sides_of(const Walk& walk, double reach) {
    std::vector<Side> sides;
    for (const auto k : walk.free) {
        if (!(walk.effects[k] > 0)) continue;
        const double here = walk.at[k];
        const double room = std::min(here, 1 - here);
        if (room >= least_reach) {
            sides.push_back({k, std::min(reach, room), true});
        } else {
            sides.push_back({k, here < 0.5 ? reach : -reach, false});
        }
    }
    return sides;
}

void add_moved(const Point& at, const std::vector<std::pair<std::size_t, double>>& moves,
               std::vector<Point>& points) {
    points.push_back(at);
    for (const auto& [k, by] : moves) {
        points.back()[k] = std::clamp(points.back()[k] + by, 0.0, 1.0);
    }
}

void add_sides(const Walk& walk, Climb& climb, std::vector<Point>& points) {
    climb.sides = sides_of(walk, climb.reach);
    climb.first = points.size();
    for (const auto& side : climb.sides) {
        add_moved(walk.at, {{side.coordinate, side.reach}}, points);
        if (side.both) add_moved(walk.at, {{side.coordinate, -side.reach}}, points);
    }
}

// Slopes and curvatures of single coordinates, of those that a parabola is laid in: the steepest.
void lay_single(const Walk& walk, const Scores& scores, Climb& climb) {
    struct Bend {
        Side side;
        double slope, curvature;
    };
    std::vector<Bend> bends;
    std::size_t row = climb.first;
    for (const auto& side : climb.sides) {
        const double ahead = scores.at(row++, walk.target);
        if (side.both) {
            const double behind = scores.at(row++, walk.target);
            const double bend = (ahead - 2 * walk.bad + behind) / (side.reach * side.reach);
            if (std::isfinite(bend)) {
                bends.push_back({side, (ahead - behind) / (2 * side.reach), bend});
            }
        } else if (ahead > walk.bad) {
            bends.push_back({side, (ahead - walk.bad) / side.reach, 0});
        }
    }
    std::ranges::stable_sort(bends, [](const Bend& a, const Bend& b) {
        return std::abs(a.curvature) + std::abs(a.slope) >
               std::abs(b.curvature) + std::abs(b.slope);
    });
    if (bends.size() > most_bent) bends.resize(most_bent);
    const auto size = static_cast<Eigen::Index>(bends.size());
    climb.bent.clear();
    climb.slope.resize(size);
    climb.curvature.setZero(size, size);
    for (Eigen::Index i = 0; i < size; ++i) {
        const Bend& bend = bends[static_cast<std::size_t>(i)];
        climb.bent.push_back(bend.side);
        climb.slope[i] = bend.slope;
        climb.curvature(i, i) = bend.curvature;
    }
}

void add_pairs(const Walk& walk, Climb& climb, std::vector<Point>& points) {
    climb.first = points.size();
    for (std::size_t i = 0; i < climb.bent.size(); ++i) {
        for (std::size_t j = 0; j < i; ++j) {
            const auto [a, b] = std::pair(climb.bent[i], climb.bent[j]);
            if (!a.both || !b.both) continue;
            add_moved(walk.at, {{a.coordinate, a.reach}, {b.coordinate, b.reach}}, points);
            add_moved(walk.at, {{a.coordinate, a.reach}, {b.coordinate, -b.reach}}, points);
            add_moved(walk.at, {{a.coordinate, -a.reach}, {b.coordinate, b.reach}}, points);
            add_moved(walk.at, {{a.coordinate, -a.reach}, {b.coordinate, -b.reach}}, points);
        }
    }
}

// Mixed curvatures; of a coordinate at an end none, whose outer points do not exist.
void lay_pairs(const Walk& walk, const Scores& scores, Climb& climb) {
    std::size_t row = climb.first;
    for (std::size_t i = 0; i < climb.bent.size(); ++i) {
        for (std::size_t j = 0; j < i; ++j) {
            const auto [a, b] = std::pair(climb.bent[i], climb.bent[j]);
            if (!a.both || !b.both) continue;
            const auto at = [&](std::size_t k) { return scores.at(row + k, walk.target); };
            const double mixed = (at(0) - at(1) - at(2) + at(3)) / (4 * a.reach * b.reach);
            row += 4;
            if (!std::isfinite(mixed)) continue;
            const auto [r, c] =
                std::pair(static_cast<Eigen::Index>(i), static_cast<Eigen::Index>(j));
            climb.curvature(r, c) = climb.curvature(c, r) = mixed;
        }
    }
}

void add_steps(const Walk& walk, Climb& climb, std::vector<Point>& points) {
    climb.first = points.size();
    if (climb.bent.empty()) return;
    const auto add = [&](const Eigen::VectorXd& step) {
        std::vector<std::pair<std::size_t, double>> moves;
        for (std::size_t i = 0; i < climb.bent.size(); ++i) {
            moves.emplace_back(climb.bent[i].coordinate, step[static_cast<Eigen::Index>(i)]);
        }
        add_moved(walk.at, moves, points);
    };
    const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> parts(climb.curvature);
    const Eigen::VectorXd bent = parts.eigenvalues().cwiseAbs();
    const double smallest = std::max(bent.minCoeff(), 1e-12 * bent.maxCoeff());
    if (!(smallest > 0)) return;
    const Eigen::VectorXd along = parts.eigenvectors().transpose() * climb.slope;
    Eigen::VectorXd summit;
    for (const double share : damping) {
        const Eigen::VectorXd falling = (bent.array() + (share + 1e-12) * smallest).matrix();
        summit = parts.eigenvectors() * along.cwiseQuotient(falling);
        add(summit);
    }
    Eigen::Index flat = 0;
    bent.minCoeff(&flat);
    const Eigen::VectorXd ridge = parts.eigenvectors().col(flat);
    for (const double length : lengths) {
        add(length * ridge);
        add(-length * ridge);
    }
}

// The worst of the rows of one walk, from `first` to `end`, where they are worse than it stands.
bool take_best(const std::vector<Point>& points, const Scores& scores, std::size_t first,
               std::size_t end, Walk& walk) {
    const double before = walk.bad;
    for (std::size_t p = first; p < end; ++p) {
        const double bad = scores.at(p, walk.target);
        if (!(bad > walk.bad)) continue;
        walk.bad = bad;
        walk.at = points[p];
    }
    return walk.bad > before + enough * std::abs(before);
}

bool is_inside(const Walk& walk) {
    return std::ranges::any_of(walk.free, [&](std::size_t k) {
        return walk.effects[k] > 0 && walk.at[k] > 0 && walk.at[k] < 1;
    });
}

}  // namespace

void climb_curved(std::vector<Walk>& walks, const ScorePoints& score, int turns) {
    std::vector<Climb> going;
    for (std::size_t w = 0; w < walks.size(); ++w) {
        if (is_inside(walks[w])) going.push_back({.walk = w});
    }
    for (int turn = 0; turn < turns && !going.empty(); ++turn) {
        std::vector<Point> about;
        for (auto& climb : going) add_sides(walks[climb.walk], climb, about);
        const Scores singles = score(about);
        for (auto& climb : going) lay_single(walks[climb.walk], singles, climb);
        std::vector<Point> pairs;
        for (auto& climb : going) add_pairs(walks[climb.walk], climb, pairs);
        const Scores doubles = score(pairs);
        for (auto& climb : going) lay_pairs(walks[climb.walk], doubles, climb);
        std::vector<Point> steps;
        for (auto& climb : going) add_steps(walks[climb.walk], climb, steps);
        const Scores reached = score(steps);
        for (std::size_t c = 0; c < going.size(); ++c) {
            const std::size_t end = c + 1 < going.size() ? going[c + 1].first : steps.size();
            Walk& walk = walks[going[c].walk];
            if (!take_best(steps, reached, going[c].first, end, walk)) going[c].reach *= closer;
        }
        std::erase_if(going, [](const Climb& climb) { return climb.reach < least_reach; });
    }
}

}  // namespace gapwright
