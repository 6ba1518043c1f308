// Whether the program's words name what was built in, as an experienced hand would take them: the
// place has to be right and the nature of the fault, not the very pin where two pins are one wire.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "bench/meter/measurement.hpp"
#include "link/link.hpp"
#include "reference/second_bench/claim.hpp"
#include "reference/second_bench/second_faults.hpp"

namespace gapwright::reference {

enum class Match : std::uint8_t {
    none,
    place,  // the part, and something else wrong with it
    whole,
};

class Naming {
  public:
    explicit Naming(const Link& link);

    // Whether a suspect's text names that fault.
    Match names(const std::string& text, const SecondFault& fault) const;

    // This bench's own faults that the text may mean; amounts are thrown, and the one of `like`
    // is among them where the text leaves it open.
    std::vector<SecondFault> meanings(const std::string& text,
                                      const SecondFault* like = nullptr) const;

    // Whether it is understood at all: words that are new say nothing to this bench.
    static bool understands(const std::string& text);

    const Board& board() const { return board_; }

  private:
    struct Pin {
        std::size_t part = 0, hole = 0;
        auto operator<=>(const Pin&) const = default;
    };
    using Pins = std::vector<Pin>;
    using Pair = std::pair<std::size_t, std::size_t>;

    Match claim_names(const Claim& claim, const SecondFault& fault) const;
    bool same_wire(const Claim& claim, const SecondFault& fault) const;
    bool same_metal(const Claim& claim, const SecondFault& fault) const;
    bool same_series(const Claim& claim, const SecondFault& fault) const;
    bool same_nature(const Claim& claim, const SecondFault& fault) const;
    bool same_part(const Claim& claim, const SecondFault& fault) const;

    Pins pins_at(std::size_t node) const;
    // The pins and those that are the only other pin of their node.
    Pins with_partners(const Pins& pins) const;
    // Whether the words are about that place: a joint's may be told by the only other pin on its
    // wire, what is wrong inside a part by that part alone.
    bool same_place(const Claim& claim, const SecondFault& fault) const;
    std::vector<std::size_t> parts_of(const Claim& claim) const;
    Pins pins_of(const Claim& claim) const;
    std::vector<Pair> metal_of(const Claim& claim) const;
    Pins pins_of(const SecondFault& fault) const;
    std::vector<Pair> metal_of(const SecondFault& fault) const;

    const Link& link_;
    Board board_;  // as it should be
};

}  // namespace gapwright::reference
