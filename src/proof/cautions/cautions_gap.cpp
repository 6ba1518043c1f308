#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "card/receiver.hpp"
#include "circuit/index.hpp"
#include "circuit/link_point.hpp"
#include "circuit/probe.hpp"
#include "link/link.hpp"
#include "proof/cautions/caution_notes.hpp"
#include "proof/limits/emitter_hours.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstddef>

#include "units/dimension.hpp"
#include "units/engineering.hpp"
#include "units/extra_low_voltage.hpp"

namespace gapwright::cautioning {
namespace {

constexpr double far_from_test = 2.0;     // ratio of the emitter's current to the CTR's
constexpr double nearest_in_sizes = 5.0;  // inverse square holds from here on

double highest_supply(const Link& link) {
    double highest = 0;
    for (const Side side : {Side::input, Side::output}) {
        if (const auto& supply = link.side(side).supply) {
            highest = std::max(highest, supply->at(Key::voltage).spread.highest);
        }
    }
    return highest;
}

void near_field(StatedNotes& notes, std::size_t k) {
    const Part& part = notes.link.parts[k];
    // (what was measured as it stands needs no law)
    if (part.description.choice(Key::over_distance, "") == "as built") return;
    const auto* size = part.description.emitter->find(Key::source_size);
    const double distance = part.description.at(Key::distance).spread.lowest;
    if (!size || distance >= nearest_in_sizes * size->spread.nominal) return;
    notes.add("near-field",
              fmt::format("{} is nearer than five times its source's size of {}: the inverse "
                          "square law overstates the light there; measure it.",
                          part.name, engineering_short(size->spread.nominal, Dimension::length)),
              k);
}

}  // namespace

void isolation(StatedNotes& notes) {
    const auto working = notes.link.surroundings.working_voltage;
    const double highest = std::max(highest_supply(notes.link), working.value_or(0));
    if (highest > extra_low_voltage) {
        notes.add("extra-low-voltage",
                  fmt::format("{} is above extra-low voltage (60 V d.c., 30 V r.m.s. a.c.): it "
                              "can kill. Local codes and licensed practice govern such work; "
                              "these figures do not replace them.",
                              engineering_short(highest, Dimension::voltage)));
        notes.each_part([&](std::size_t k, const Part& part) {
            if (!part.is_gap() || part.description.find(Key::insulation_voltage)) return;
            notes.add("no-insulation-rating",
                      fmt::format("{} states no insulation rating: use a coupler whose data "
                                  "sheet states one for this working voltage.",
                                  part.name),
                      k);
        });
    }
    if (!working) {
        notes.add("working-voltage-unstated",
                  "No working voltage between the sides is stated: keep both within extra-low "
                  "voltage (60 V d.c., 30 V r.m.s. a.c.).");
    }
    notes.each_part([&](std::size_t k, const Part& part) {
        const auto* rating = part.description.find(Key::insulation_voltage);
        if (rating && working && *working > rating->spread.lowest) {
            notes.add("insulation-exceeded",
                      fmt::format("The working voltage of {} is above the {} that {} is stated "
                                  "to insulate.",
                                  engineering_short(*working, Dimension::voltage),
                                  engineering_short(rating->spread.lowest, Dimension::voltage),
                                  part.name),
                      k);
        }
        if (part.description.kind == Kind::pair) {
            notes.add("home-made-gap",
                      fmt::format("{} is a gap made by hand: it has no insulation rating, and "
                                  "insulates nothing that can hurt.",
                                  part.name),
                      k);
            near_field(notes, k);
        }
    });
    notes.add("solderless-board",
              "On a solderless board nothing is insulated from anything that can hurt: "
              "extra-low voltage only.");
}

void emitters(Notes& notes) {
    notes.each_part([&](std::size_t k, const Part& part) {
        if (!part.is_gap() && part.description.kind != Kind::led) return;
        const Side side = part.input ? Side::input : Side::output;
        const Probe probe = notes.circuit.of(k, side)->current();
        const bool lit = std::ranges::any_of(notes.nominal, [&](const StatePoint& point) {
            return measure(probe, point) > dark_emitter;
        });
        if (lit) return;
        notes.add("never-lit",
                  fmt::format("{} is never lit in any state: is it the wrong way round, or the "
                              "path open?",
                              part.name),
                  k);
    });
}

void transfer_ratios(Notes& notes) {
    notes.each_part([&](std::size_t k, const Part& part) {
        const auto* ctr = part.description.find(Key::ctr);
        if (!ctr) return;
        const Probe probe = notes.circuit.of(k, Side::input)->current();
        double largest = 0;
        for (const auto& point : notes.nominal) largest = std::max(largest, measure(probe, point));
        const double test = ctr->conditions[0];
        if (largest < dark_emitter ||
            (largest < test * far_from_test && largest > test / far_from_test)) {
            return;
        }
        notes.add("test-current",
                  fmt::format("{} carries {}, but its transfer ratio is stated at {}: what it "
                              "is here comes from the model's curve.",
                              part.name, engineering(largest, Dimension::current),
                              engineering_short(test, Dimension::current)),
                  k);
    });
}

void ageing(StatedNotes& notes) {
    const bool counts = notes.link.surroundings.service > 0;
    notes.each_part([&](std::size_t k, const Part& part) {
        if (!part.is_gap()) return;
        const Description& d = part.description;
        const Description& emitter = d.kind == Kind::pair ? *d.emitter : d;
        const auto* life = emitter.find(Key::to_80_percent);
        if (life->assumed && counts) {
            notes.add(
                "life-unknown",
                fmt::format("The emitter of {} states no life: 20 000 to 200 000 h to 80 % of its "
                            "light are taken, over {}.",
                            part.name,
                            engineering_short(notes.link.surroundings.service, Dimension::time)),
                k);
        } else if (counts) {
            notes.add("life-exponents",
                      fmt::format("The fading of {} follows exponents of common practice, not "
                                  "of a standard.",
                                  part.name),
                      k);
        }
    });
}

void sunlight(StatedNotes& notes) {
    notes.each_part([&](std::size_t k, const Part& part) {
        if (part.description.kind != Kind::pair ||
            !receiver_rule(receiver_of(part.description)).infrared ||
            part.description.receiver->find(Key::ambient_sensitivity) ||
            notes.link.surroundings.light.highest == 0) {
            return;
        }
        notes.add("daylight-share",
                  fmt::format("The receiver of {} states no response to daylight: 110 lx for "
                              "each W/m² is assumed (common practice).",
                              part.name),
                  k);
    });
}

}  // namespace gapwright::cautioning
