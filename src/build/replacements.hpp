// What may stand in for parts that the drawer lacks, found by proof. Internal to the layer.
#pragma once

#include <cstddef>
#include <expected>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "build/drawer_counts.hpp"
#include "build/parts_to_pull.hpp"
#include "card/description.hpp"
#include "design/design.hpp"
#include "design/values/stock.hpp"
#include "link/link.hpp"
#include "source/source_text.hpp"
#include "units/quantity.hpp"

namespace gapwright {

// Looks for one part after the other; what was found stays in the link's text.
class ReplacementFinder {
  public:
    // Refers to all of its arguments. `link` was read from `text`.
    ReplacementFinder(std::shared_ptr<const SourceText> text, const std::string& folder,
                      const Link& link, DrawerCounts& counts, CardShelf& shelf,
                      const PullOptions& options);

    // The bound that the link breaks as it stands. Errors: the proof's; stopped.
    std::expected<std::optional<Limit>, DesignFailure> broken() const;

    // Takes what it finds from the drawer. Errors: stopped.
    std::expected<ReplacementSearch, DesignFailure> find(const WantedPart& wanted);

    bool has_changed() const { return changed_; }
    const std::shared_ptr<const SourceText>& text() const { return text_; }

  private:
    // One thing to try.
    struct Candidate {
        std::string name;
        std::vector<std::size_t> rows;
        Joint joint = Joint::single;
        std::string text;   // the link file with it
        Spread value = {};  // Ω, of resistors
    };
    using Candidates = std::vector<Candidate>;

    std::optional<Candidates> singles(const WantedPart& wanted);  // none: not looked for
    Candidates resistors(const WantedPart& wanted);
    Candidates pairs(const WantedPart& wanted);
    std::optional<Candidates> cards(const WantedPart& wanted);

    // Whether one was found, or all break something. Errors: stopped.
    std::expected<bool, DesignFailure> try_all(const Candidates& candidates,
                                               const WantedPart& wanted, ReplacementSearch& search);
    std::expected<bool, DesignFailure> try_one(const Candidate& candidate, const WantedPart& wanted,
                                               ReplacementSearch& search);

    std::shared_ptr<const SourceText> text_;
    const std::string& folder_;
    Link link_;  // as read from text_
    DrawerCounts& counts_;
    CardShelf& shelf_;
    const PullOptions& options_;
    std::vector<Spread> hopeless_;  // values of the present part that break a promise
    bool changed_ = false;
};

}  // namespace gapwright
