#include "report/words/built_words.hpp"

#include <fmt/format.h>
#include <cstddef>
#include <string>
#include <vector>

#include "bench/sessions/built_link.hpp"
#include "proof/proof.hpp"
#include "proof/verdict.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

constexpr std::size_t most_figures = 6;
constexpr double year = 365.25 * 86400;

// A ratio without a unit of its own says more as a share of what was stated.
std::string figure_words(const LearntFigure& f) {
    if (f.dimension == Dimension::ratio && f.stated.nominal > 0) {
        return fmt::format("{}: {} … {} of its nominal (stated {} … {})", f.name,
                           percent(f.learnt.lowest / f.stated.nominal),
                           percent(f.learnt.highest / f.stated.nominal),
                           percent(f.stated.lowest / f.stated.nominal),
                           percent(f.stated.highest / f.stated.nominal));
    }
    return fmt::format("{}: {} (stated {})", f.name,
                       engineering_range(f.learnt.lowest, f.learnt.highest, f.dimension),
                       engineering_range(f.stated.lowest, f.stated.highest, f.dimension));
}

std::string broken_words(const Proof& proof) {
    for (const auto& promise : proof.promises) {
        if (promise.verdict == Verdict::broken) {
            return fmt::format("{} in {}", promise.quantity, promise.state);
        }
    }
    for (const auto& rating : proof.ratings) {
        if (rating.verdict == Verdict::broken) {
            return fmt::format("{} of {} in {}", rating.limit, rating.part, rating.state);
        }
    }
    return "none";
}

std::string years(double seconds) {
    const double count = seconds / year;
    return count < 2 ? fmt::format("{:.1f} years", count) : fmt::format("{:.0f} years", count);
}

}  // namespace

std::vector<std::string> built_words(const BuiltLink& built, const BuiltProof& proof) {
    std::vector<std::string> lines;
    for (const auto& figure : built.learnt) {
        if (lines.size() < most_figures) lines.push_back(figure_words(figure));
    }
    if (proof.holds_for == 0 && proof.proof.verdict == Verdict::broken) {
        lines.push_back(fmt::format(
            "As measured, this link does not keep all of its promises and ratings when new: {}.",
            broken_words(proof.proof)));
    } else if (proof.and_longer) {
        lines.push_back("As measured, all promises and ratings hold for fifty years or more.");
    } else {
        lines.push_back(fmt::format("As measured, all promises and ratings hold for {}.",
                                    years(proof.holds_for)));
    }
    lines.push_back(
        "That is over the link's whole ranges of temperature and light; what was not measured "
        "stays as the cards and the link file state it.");
    return lines;
}

}  // namespace gapwright
