// A small linear system, solved in long double by elimination.
#pragma once

#include <vector>

namespace gapwright::testing_support {

class Factors {
  public:
    explicit Factors(std::vector<std::vector<long double>> matrix);
    std::vector<long double> solve(const std::vector<long double>& right) const;

  private:
    std::vector<std::vector<long double>> rows_;  // below the diagonal: multipliers
    std::vector<long double> scale_;              // of each row of the matrix
    std::vector<std::size_t> order_;
};

}  // namespace gapwright::testing_support
