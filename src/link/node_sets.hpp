// Which nodes of a side hang together. Internal to the layer.
#pragma once

#include <cstddef>
#include <numeric>
#include <vector>

#include "circuit/index.hpp"

namespace gapwright::reading {

// Sets of nodes that a class of parts joins.
class NodeSets {
  public:
    explicit NodeSets(std::size_t nodes) : parent_(nodes) {
        std::iota(parent_.begin(), parent_.end(), std::size_t{0});
    }
    void join(Node a, Node b) { parent_[root(to_index(a))] = root(to_index(b)); }
    bool joined(Node a, Node b) { return root(to_index(a)) == root(to_index(b)); }

  private:
    std::size_t root(std::size_t k) {
        while (parent_[k] != k) {
            parent_[k] = parent_[parent_[k]];
            k = parent_[k];
        }
        return k;
    }
    std::vector<std::size_t> parent_;
};

}  // namespace gapwright::reading
