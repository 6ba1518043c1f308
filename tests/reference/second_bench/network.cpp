// Newton's method with laws straightened about voltages that move only as far as they can be
// trusted; where it runs in circles, every node is first held by a conductance that is then taken
// away, and where that fails sources are raised from nothing.
#include "reference/second_bench/network.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "reference/second_bench/network_laws.hpp"

namespace gapwright::reference {
namespace {

// Bridges of a milliohm and insulation of a teraohm stand in one matrix: doubles would not do.
using Wide = long double;

class Equations {
  public:
    explicit Equations(std::size_t nodes) : n_(nodes - 1), matrix_(n_ * n_, 0), right_(n_, 0) {}

    // A straight line: `amperes` at `volts`, so that the unknown voltages can be solved for.
    void add(const EndCurrent& end, const std::vector<double>& volts) {
        if (end.node == 0) return;
        Wide constant = end.amperes;
        for (const auto& slope : end.slopes) {
            constant -= static_cast<Wide>(slope.siemens) * volts[slope.node];
            if (slope.node) matrix_[(end.node - 1) * n_ + slope.node - 1] += slope.siemens;
        }
        right_[end.node - 1] -= constant;
    }
    void hold(double siemens) {
        for (std::size_t k = 0; k < n_; ++k) matrix_[k * n_ + k] += siemens;
    }
    // False when the matrix is singular.
    bool solve(std::vector<double>& volts) {
        std::vector<std::size_t> row(n_);
        std::iota(row.begin(), row.end(), std::size_t{0});
        for (std::size_t i = 0; i < n_; ++i) {
            Wide largest = 0;
            for (std::size_t j = 0; j < n_; ++j) {
                largest = std::max(largest, std::abs(matrix_[i * n_ + j]));
            }
            if (!(largest > 0)) return false;
            for (std::size_t j = 0; j < n_; ++j) matrix_[i * n_ + j] /= largest;
            right_[i] /= largest;
        }
        for (std::size_t k = 0; k < n_; ++k) {
            std::size_t best = k;
            for (std::size_t i = k + 1; i < n_; ++i) {
                if (std::abs(at(row[i], k)) > std::abs(at(row[best], k))) best = i;
            }
            std::swap(row[k], row[best]);
            const Wide pivot = at(row[k], k);
            if (!(std::abs(pivot) > 0)) return false;
            for (std::size_t i = k + 1; i < n_; ++i) {
                const Wide factor = at(row[i], k) / pivot;
                if (factor == 0) continue;
                for (std::size_t j = k + 1; j < n_; ++j) at(row[i], j) -= factor * at(row[k], j);
                right_[row[i]] -= factor * right_[row[k]];
            }
        }
        std::vector<Wide> x(n_);
        for (std::size_t k = n_; k-- > 0;) {
            Wide sum = right_[row[k]];
            for (std::size_t j = k + 1; j < n_; ++j) sum -= at(row[k], j) * x[j];
            x[k] = sum / at(row[k], k);
        }
        for (std::size_t k = 0; k < n_; ++k) {
            if (!std::isfinite(static_cast<double>(x[k]))) return false;
            volts[k + 1] = static_cast<double>(x[k]);
        }
        return true;
    }

  private:
    Wide& at(std::size_t i, std::size_t j) { return matrix_[i * n_ + j]; }

    std::size_t n_;
    std::vector<Wide> matrix_;
    std::vector<Wide> right_;
};

struct Standing {
    std::vector<double> volts;
    std::vector<Held> held;
};

// Whether what is left over at every node is within so much and so much of the largest current,
// besides what rounding of the voltages makes.
bool is_balanced(const Network& network, const Standing& s, double share, double holding,
                 double amperes, double relative) {
    std::vector<Wide> left(network.nodes, 0);
    std::vector<double> rounding(network.nodes, 0);
    double largest = 0;
    for (std::size_t p = 0; p < network.paths.size(); ++p) {
        for (const auto& end : straightened(network, p, s.volts, s.held, share)) {
            left[end.node] += end.amperes;
            largest = std::max(largest, std::abs(end.amperes));
            for (const auto& slope : end.slopes) {
                rounding[end.node] += std::abs(slope.siemens * s.volts[slope.node]) * 4e-16;
            }
        }
    }
    for (std::size_t n = 1; n < network.nodes; ++n) {
        left[n] += holding * s.volts[n];
        if (std::abs(left[n]) > amperes + relative * largest + rounding[n]) return false;
    }
    return true;
}

// Newton's method from where it stands; true when no law is straightened elsewhere than where it
// is used.
bool settle(const Network& network, Standing& s, double share, double holding) {
    constexpr double near = 1e-7;  // V: a junction's current is then right to a billionth
    for (int round = 0; round < 120; ++round) {
        Equations equations(network.nodes);
        for (std::size_t p = 0; p < network.paths.size(); ++p) {
            for (const auto& end : straightened(network, p, s.volts, s.held, share)) {
                equations.add(end, s.volts);
            }
        }
        equations.hold(holding);
        if (!equations.solve(s.volts)) return false;
        double furthest = 0;
        for (std::size_t p = 0; p < network.paths.size(); ++p) {
            const Held next = next_held(network, p, s.volts, s.held[p], share);
            for (std::size_t k = 0; k < next.size(); ++k) {
                furthest = std::max(furthest, std::abs(next[k] - s.held[p][k]));
            }
            s.held[p] = next;
        }
        if (furthest < near) return true;
        // Where next to nothing flows, rounding moves floating nodes further than that.
        if (furthest < 1e-3 && is_balanced(network, s, share, holding, 1e-12, 1e-8)) return true;
    }
    return false;
}

Standing at_nothing(const Network& network, double share) {
    Standing s{std::vector<double>(network.nodes, 0), std::vector<Held>(network.paths.size())};
    for (std::size_t p = 0; p < network.paths.size(); ++p) {
        if (const auto* source = std::get_if<LimitedSource>(&network.paths[p])) {
            s.held[p][0] = share * source->volts;
        }
    }
    return s;
}

// Takes the conductance that holds every node away, in steps that shrink where one fails.
bool let_go(const Network& network, Standing& s, double share) {
    double holding = 1;
    if (!settle(network, s, share, holding)) return false;
    double factor = 0.1;
    while (holding > 1e-14) {
        Standing next = s;
        if (settle(network, next, share, holding * factor)) {
            s = next;
            holding *= factor;
            factor = std::max(factor * factor, 0.01);
        } else {
            factor = std::sqrt(factor);
            if (factor > 0.97) return false;
        }
    }
    return settle(network, s, share, 0);
}

bool raise(const Network& network, Standing& s) {
    double share = 0;
    double step = 0.1;
    while (share < 1) {
        Standing next = s;
        const double to = std::min(1.0, share + step);
        if (settle(network, next, to, 0)) {
            s = next;
            share = to;
            step *= 2;
        } else {
            step /= 4;
            if (step < 1e-5) return false;
        }
    }
    return true;
}

}  // namespace

std::optional<std::vector<double>> balance(const Network& network) {
    for (int way = 0; way < 3; ++way) {
        Standing s = at_nothing(network, way < 2 ? 1 : 0);
        const bool there = way == 0   ? settle(network, s, 1, 0)
                           : way == 1 ? let_go(network, s, 1)
                                      : raise(network, s);
        if (there && is_balanced(network, s, 1, 0, 1e-11, 1e-6)) return s.volts;
    }
    return {};
}

double current_along(const Network& network, std::size_t path, const std::vector<double>& volts) {
    Standing s = at_nothing(network, 1);
    s.volts = volts;
    // Straightened at the solution itself: steps are not limited where nothing is far.
    for (std::size_t p = 0; p < network.paths.size(); ++p) {
        for (int round = 0; round < 400; ++round) {
            const Held next = next_held(network, p, volts, s.held[p], 1);
            const bool still = next == s.held[p];
            s.held[p] = next;
            if (still) break;
        }
    }
    return straightened(network, path, volts, s.held, 1).front().amperes;
}

}  // namespace gapwright::reference
