// A drawer from which parts are taken one after the other. Internal to the layer.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "build/part_look.hpp"
#include "build/parts_to_pull.hpp"
#include "card/description.hpp"
#include "card/drawer.hpp"

namespace gapwright {

// One part that a link needs: all of a part of the file, or one half of a pair.
struct WantedPart {
    enum class Role : std::uint8_t { whole, emitter, receiver, supply };
    std::string part;        // its name in the link file; empty for a supply
    std::string designator;  // "R2", "U1 emitter"
    Role role = Role::whole;
    const Description* description = nullptr;  // of the link that is built
    bool off_board = false;
};

class DrawerCounts {
  public:
    // Refers to the drawer. Names of cards come from the shelf.
    DrawerCounts(const Drawer& drawer, CardShelf& shelf);

    const std::vector<DrawerRow>& rows() const { return drawer_.rows; }
    bool holds(std::size_t row) const { return left_[row] != 0U; }  // also: as many as wanted

    // The rows that serve for a part and are not used up, that with the least to spare first.
    std::vector<std::size_t> serving(const Description& part) const;

    // Takes one part of a row. Requires holds(row).
    DrawerSource take(std::size_t row, const std::string& designator);

    PartLook look(std::size_t row);

    // The resistors that are left, and the row of each.
    struct Resistors {
        Drawer drawer;
        std::vector<std::size_t> rows;
    };
    Resistors resistors_left() const;

  private:
    const Drawer& drawer_;
    CardShelf& shelf_;
    std::vector<std::optional<unsigned>> left_;  // none: as many as wanted
};

}  // namespace gapwright
