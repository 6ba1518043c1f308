#include "bench/measurement.hpp"

namespace gapwright {

Dimension Measurement::dimension() const {
    switch (kind) {
        case MeasurementKind::voltage:
        case MeasurementKind::junction:
            return Dimension::voltage;
        case MeasurementKind::current:
            return Dimension::current;
        case MeasurementKind::resistance:
        case MeasurementKind::isolation:
            break;
    }
    return Dimension::resistance;
}

}  // namespace gapwright
