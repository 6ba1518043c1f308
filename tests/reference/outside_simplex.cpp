#include "reference/outside_simplex.hpp"

#include <algorithm>
#include <array>

namespace gapwright::reference {
namespace {

// Reflected, expanded, contracted outside and inside: Nelder and Mead's own coefficients.
constexpr std::array factors{1.0, 2.0, 0.5, -0.5};

}  // namespace

Simplex::Simplex(const Spot& start, double size) {
    corners_.push_back({start});
    for (std::size_t k = 0; k < start.size(); ++k) {
        Corner corner{start};
        corner.spot[k] += corner.spot[k] < 0.5 ? size : -size;
        corners_.push_back(std::move(corner));
    }
}

Spot Simplex::beyond_middle(double factor) const {
    const std::size_t axes = corners_.size() - 1;
    Spot spot(axes);
    for (std::size_t k = 0; k < axes; ++k) {
        double middle = 0;
        for (std::size_t c = 0; c < axes; ++c) middle += corners_[c].spot[k];
        middle /= static_cast<double>(axes);
        const double lowest = corners_.back().spot[k];
        spot[k] = std::clamp(middle + factor * (middle - lowest), 0.0, 1.0);
    }
    return spot;
}

std::vector<Spot> Simplex::asks() const {
    std::vector<Spot> all;
    if (to_measure_) {
        for (const auto& corner : corners_) all.push_back(corner.spot);
    } else {
        for (const double factor : factors) all.push_back(beyond_middle(factor));
    }
    return all;
}

void Simplex::sort() {
    std::ranges::sort(corners_, [](const Corner& a, const Corner& b) { return a.value > b.value; });
}

void Simplex::take(const std::vector<double>& values) {
    if (to_measure_) {
        for (std::size_t k = 0; k < corners_.size(); ++k) corners_[k].value = values[k];
        to_measure_ = false;
        sort();
        return;
    }
    const double reflected = values[0];
    const double second_lowest = corners_[corners_.size() - 2].value;
    std::size_t taken = factors.size();  // none
    if (reflected > corners_.front().value) {
        taken = values[1] > reflected ? 1 : 0;
    } else if (reflected > second_lowest) {
        taken = 0;
    } else if (reflected > corners_.back().value) {
        if (values[2] >= reflected) taken = 2;
    } else if (values[3] > corners_.back().value) {
        taken = 3;
    }
    if (taken < factors.size()) {
        corners_.back() = {beyond_middle(factors[taken]), values[taken]};
        sort();
        return;
    }
    for (auto& corner : corners_) {
        for (std::size_t k = 0; k < corner.spot.size(); ++k) {
            corner.spot[k] = 0.5 * (corner.spot[k] + corners_.front().spot[k]);
        }
    }
    to_measure_ = true;
}

}  // namespace gapwright::reference
