#include <cstddef>
#include "board/wiring.hpp"
#include "build/wiring_of_link.hpp"
#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"

namespace gapwright {
namespace {

// Bodies up to a rating, the smallest first. Lengths in hole pitches of 2.54 mm.
struct Size {
    double up_to;
    Footprint footprint;
};

constexpr double unlimited = 1e300;

constexpr Size resistors[] = {
    {0.26, {Body::axial, 3, 6, 2.5, 0.95, 1.0}},  // 6.3 mm × 2.4 mm
    {0.51, {Body::axial, 4, 6, 3.6, 1.3, 1.3}},  {1.01, {Body::axial, 5, 8, 4.6, 1.8, 1.8}},
    {2.01, {Body::axial, 7, 9, 6.1, 2.1, 2.1}},  {unlimited, {Body::axial, 8, 11, 7.5, 3.0, 3.0}},
};
constexpr Size diodes[] = {
    {0.4, {Body::axial, 3, 5, 1.6, 0.9, 0.9}},
    {unlimited, {Body::axial, 4, 6, 2.1, 1.2, 1.2}},
};
constexpr Footprint small_transistor = {Body::in_line, 1, 1, 2.05, 1.65, 3.0};
constexpr Footprint tab_transistor = {Body::in_line, 1, 1, 4.0, 1.9, 6.0};  // for a heat sink
constexpr double most_of_small = 1.0;                                       // W, A
constexpr Footprint led = {Body::radial, 1, 1, 2.0, 2.0, 3.5};              // 5 mm
constexpr Footprint small_capacitor = {Body::radial, 1, 2, 2.0, 1.0, 2.5};
constexpr Footprint large_capacitor = {Body::radial, 1, 2, 2.5, 2.5, 4.5};
constexpr Footprint inductor = {Body::axial, 4, 6, 3.6, 1.6, 1.6};
constexpr Footprint coupler = {Body::coupler, 1, 1, 1.8, 3.0, 1.8};
constexpr Footprint elsewhere = {Body::leads, 1, 1, 0, 0, 0};

template <std::size_t N>
Footprint by_rating(const Size (&sizes)[N], const Figure* rating, double otherwise) {
    const double value = rating ? rating->spread.nominal : otherwise;
    for (const Size& size : sizes) {
        if (value <= size.up_to) return size.footprint;
    }
    return sizes[N - 1].footprint;
}

}  // namespace

Footprint footprint_of(const Description& description) {
    switch (description.kind) {
        case Kind::resistor:
            return by_rating(resistors, description.find(Key::power), 0.25);
        case Kind::diode:
        case Kind::zener:
            return by_rating(diodes, description.find(Key::forward_current), 0.1);
        case Kind::transistor:
        case Kind::mosfet:
            for (const Key limit : {Key::power, Key::collector_current, Key::drain_current}) {
                const Figure* rating = description.find(limit);
                if (rating && rating->spread.nominal > most_of_small) return tab_transistor;
            }
            return small_transistor;
        case Kind::led:
            return led;
        case Kind::capacitor: {
            const Figure* value = description.find(Key::value);
            return value && value->spread.nominal >= 1e-6 ? large_capacitor : small_capacitor;
        }
        case Kind::inductor:
            return inductor;
        case Kind::coupler: {
            Footprint body = coupler;
            if (description.has_six_pins()) body.length += 1;
            return body;
        }
        case Kind::contact:
        case Kind::coil:
        case Kind::load:
        case Kind::logic_output:
        case Kind::logic_input:
        case Kind::pair:
        case Kind::phototransistor:
        case Kind::light_dependent_resistor:
        case Kind::battery:
            break;
    }
    return elsewhere;
}

}  // namespace gapwright
