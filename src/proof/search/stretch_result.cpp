#include "proof/search/stretch_result.hpp"

#include <fmt/format.h>

#include <optional>
#include <string>

#include "link/link_circuit.hpp"
#include "proof/cases/case_of.hpp"
#include "proof/proof.hpp"
#include "proof/search/search_space.hpp"
#include "proof/search/stretch.hpp"
#include "proof/verdict.hpp"

namespace gapwright {

Stretch stretch_of(const LinkCircuit& circuit, const SearchSpace& space, const Stretched& found) {
    return {
        .factor = found.factor,
        .beyond = found.beyond,
        .through = found.through ? figure_name(circuit, space.coordinates()[*found.through]) : ""};
}

Verdict with_stretch(Verdict verdict, const std::optional<Stretch>& stretch, double asked) {
    const bool less = stretch && !stretch->beyond && stretch->factor < asked;
    return less ? worse(verdict, Verdict::thin) : verdict;
}

std::optional<LinkStretch> link_stretch(const Proof& proof) {
    std::optional<LinkStretch> least;
    const auto look = [&](const std::optional<Stretch>& stretch, const std::string& state,
                          auto&& what) {
        if (!stretch || (least && stretch->factor >= least->stretch.factor)) return;
        least = LinkStretch{*stretch, state, what()};
    };
    for (const auto& promise : proof.promises) {
        look(promise.stretch, promise.state, [&] { return promise.quantity; });
    }
    for (const auto& rating : proof.ratings) {
        look(rating.stretch, rating.state,
             [&] { return fmt::format("{} {}", rating.part, rating.limit); });
    }
    return least;
}

}  // namespace gapwright
