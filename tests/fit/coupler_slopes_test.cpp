// A coupler's emitter and receiver are fitted together: what a forward voltage says of each figure.
#include <gtest/gtest.h>

#include <cstddef>
#include <limits>
#include <vector>

#include "card/default_card.hpp"
#include "card/key.hpp"
#include "fit/part_model.hpp"

namespace gapwright {
namespace {

TEST(CouplerSlopes, OfAForwardVoltageAreOfTheEmitterAlone) {
    const std::vector<Key> keys = {Key::forward,
                                   Key::ideality,
                                   Key::series_resistance,
                                   Key::photocurrent_ratio,
                                   Key::low_knee,
                                   Key::high_knee,
                                   Key::early_voltage,
                                   Key::knee_current,
                                   Key::collector_resistance,
                                   Key::leak_current};
    const auto model = part_model(forward_at(*default_card(Kind::coupler), 5e-3), keys);
    ASSERT_TRUE(model);
    Observation o{.measured = Measured::forward_voltage};
    o.forward_current = 10e-3;
    std::vector<double> slopes(keys.size(), std::numeric_limits<double>::quiet_NaN());
    std::vector<double> figures = (*model)->figures();
    figures[0] = 1.2;
    figures[1] = 1.6;
    figures[2] = 1.5;
    double volts = 0;
    ASSERT_TRUE((*model)->predict(o, figures, volts, slopes));
    for (std::size_t k = 0; k < 3; ++k) EXPECT_NE(slopes[k], 0) << k;
    for (std::size_t k = 3; k < keys.size(); ++k) EXPECT_EQ(slopes[k], 0) << k;
}

}  // namespace
}  // namespace gapwright
