// What happens to a printed page on its way to a person's screen: a scanner or a phone. How much is
// own choice, after what such pictures look like.
#pragma once

#include "reference/drawn_charts/dice.hpp"
#include "reference/drawn_charts/picture.hpp"

namespace gapwright::drawn_charts {

// From places of the page to places of the picture.
class Projection {
  public:
    Projection() : m_{1, 0, 0, 0, 1, 0, 0, 0, 1} {}
    explicit Projection(const std::array<double, 9>& m) : m_(m) {}
    Place operator()(Place page) const;
    Projection inverse() const;
    // Afterwards enlarged and moved.
    Projection then(double scale, Place moved) const;

  private:
    std::array<double, 9> m_;
};

struct Taken {
    Picture picture;
    Projection projection;
    int quality = 0;  // of the JPEG
    bool grey = false;
};

// Turned by up to 1.2°, soft, noisy, grey; `coarse`: in black and white alone, as a fax has it.
Taken scanned(const Picture& page, bool coarse, Dice& dice);
// From a pinhole at `tilt` degrees off the page's normal; `rough`: out of focus, in poor light,
// with a shadow's edge across the chart.
Taken photographed(const Picture& page, double tilt, int width, bool rough, Dice& dice);

}  // namespace gapwright::drawn_charts
