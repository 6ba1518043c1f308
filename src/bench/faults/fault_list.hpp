// A list of faults under way, and the kinds of entries that parts have alike. Internal to the
// layer.
#pragma once

#include <cstddef>
#include <functional>
#include <string>
#include <utility>
#include <vector>
#include "bench/faults/fault.hpp"
#include "bench/faults/link_edits.hpp"
#include "card/key.hpp"
#include "link/figure_id.hpp"
#include "link/link.hpp"

namespace gapwright::faults {

// Adds to a list; weights are how often a fault is met at a bench against an open joint (own
// choice, after common practice: joints and mistakes before dead parts).
class List {
  public:
    explicit List(const Link& link) : link_(link) {}

    const Link& link() const { return link_; }
    const Part& part(std::size_t k) const { return link_.parts[k]; }

    Fault& add(std::string suspect, double weight, std::vector<std::size_t> parts,
               std::function<void(Link&)> edit);

    // A figure that is off by a factor in one of the cells: one suspect.
    struct Cell {
        double lowest, highest;  // factors
        double weight;
    };
    // `words` stand before the figure: "R3 reads as".
    struct Off {
        std::string suspect;
        std::string words;
        std::size_t part;
        FigureId::Of of = FigureId::Of::part;
        Key key;
        double from = 0;  // what the factors are of
    };
    void figure_cells(const Off& off, const std::vector<Cell>& cells);

    // A connection of a pin that is missing, or has a resistance.
    void open_pin(const std::string& lead, const edits::Pin& pin, double weight);
    // The pin that was added last, open at some readings and whole at others.
    void loose_pin(const std::string& lead);
    // A two-terminal part: by a joint at one end, or dead inside, which a lifted lead tells apart.
    void open_part(const std::string& name, const edits::Pin& from, const edits::Pin& to,
                   double joint, double dead);
    // The last fault added is inside the part, whose terminals it joins.
    void dead_by_itself(std::size_t k);
    // Where a driver's faults show, those from number `first` on.
    std::size_t count() const { return faults_.size(); }
    void show_at(std::size_t first, const SideNode& node);
    void dry_pin(const std::string& lead, const edits::Pin& pin, double weight);
    // The resistance that the last fault added puts into the link, as its figure.
    void tell_added_resistance(const std::string& words);

    // Two pins of a part joined.
    void shorted(const std::string& suspect, const edits::Pin& a, const edits::Pin& b,
                 double weight);
    void exchanged(const std::string& suspect, const edits::Pin& a, const edits::Pin& b,
                   double weight);

    std::vector<Fault> take() { return std::move(faults_); }

  private:
    const Link& link_;
    std::vector<Fault> faults_;
};

}  // namespace gapwright::faults
