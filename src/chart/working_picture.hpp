// The picture in which curves are followed: the plot upright, straight and no larger than it takes.
#pragma once

#include <optional>

#include "chart/axis_scale.hpp"
#include "chart/ink_map.hpp"
#include "chart/raster.hpp"

namespace gapwright {

struct WorkingPicture {
    Raster raster = {};
    ChartScale scale;          // of this picture, affine
    PlaneMap to_picture = {};  // from its pixels to those of the picture that it was made of
    double step = 1;           // px of that picture in one of this, about the middle

    [[nodiscard]] PixelPoint from_picture(PixelPoint pixel) const {
        return mapped(inverse(to_picture), pixel);
    }
};

// The picture itself where it is small and the scale is affine. Else the plot with `area` and a
// margin drawn anew, upright; larger plots than 1400 px are made smaller, which also averages a
// photograph's noise.
WorkingPicture working_picture(const Raster& raster, const ChartScale& scale,
                               const ChartArea& area);

}  // namespace gapwright
