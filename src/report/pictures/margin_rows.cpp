#include "report/pictures/margin_rows.hpp"

#include <fmt/format.h>
#include <string>

#include "card/key.hpp"
#include "draw/plots.hpp"
#include "proof/proof.hpp"
#include "proof/verdict.hpp"
#include "report/words/words.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

Standing standing_of(Verdict verdict) {
    switch (verdict) {
        case Verdict::kept:
            return Standing::kept;
        case Verdict::thin:
            return Standing::thin;
        case Verdict::unknown:
            return Standing::unknown;
        case Verdict::broken:
            break;
    }
    return Standing::broken;
}

MarginRow row(const std::string& label, Dimension dimension, double bound, double worst,
              double nominal, Sense sense, Verdict verdict) {
    const bool at_least = sense == Sense::at_least;
    return {
        .label = label,
        .value_text = fmt::format("{} of at {} {}", engineering(worst, dimension),
                                  at_least ? "least" : "most", engineering_short(bound, dimension)),
        .bound = bound,
        .worst = worst,
        .nominal = nominal,
        .at_least = at_least,
        .drawn = {},
        .standing = standing_of(verdict)};
}

}  // namespace

MarginRow margin_row(const PromiseResult& p) {
    const auto worst = p.worst();
    MarginRow result = row(fmt::format("{}, {}", p.quantity, p.state), p.dimension, worst.bound,
                           worst.value, p.nominal, worst.sense, p.verdict);
    result.drawn = p.first_drawn;
    return result;
}

MarginRow margin_row(const RatingResult& r) {
    MarginRow result = row(fmt::format("{} {}, {}", r.part, spoken_key(r.limit), r.state),
                           r.dimension, r.bound, r.worst(), r.nominal, r.sense, r.verdict);
    if (!r.limit_stated) result.value_text += ", assumed";
    return result;
}

}  // namespace gapwright
