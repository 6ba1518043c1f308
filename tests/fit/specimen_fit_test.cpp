// What becomes of figures that one specimen's points do not tell.
#include <gtest/gtest.h>

#include "card/default_card.hpp"
#include "fit/card_fit.hpp"
#include "support/made_points.hpp"

namespace gapwright {
namespace {

using testing_support::point;

// Found by the fuzzer: where the junction takes 5 V, the search may not go as low as the default.
TEST(SpecimenFit, IntervalOfWhatIsKeptHoldsIt) {
    const auto fit = fit_card(*default_card(Kind::led),
                              {point({{"forward_current", 1e-3}, {"forward_voltage", 1.76}}),
                               point({{"forward_current", 5e-3}, {"forward_voltage", 5.0}})});
    ASSERT_TRUE(fit) << fit.error().message << to_text(fit.error().problems);
    for (const auto& f : fit->figures) {
        EXPECT_LE(f.lowest, f.value) << key_name(f.key);
        EXPECT_GE(f.highest, f.value) << key_name(f.key);
    }
}

}  // namespace
}  // namespace gapwright
