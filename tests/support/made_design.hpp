// Designs made by hand, for what tells of them.
#pragma once

#include <string>

#include "design/design.hpp"
#include "proof/proof.hpp"
#include "proof/prove.hpp"
#include "support/link_text.hpp"

namespace gapwright::testing_support {

inline Limit made_limit() {
    return {.state = "on",
            .subject = "voltage supply to coil",
            .dimension = Dimension::voltage,
            .sense = Sense::at_least,
            .is_promise = true,
            .bound = 16.8,
            .value = 21.6,
            .reserve = 0.286,
            .where = {{.name = "U1.photocurrent_ratio",
                       .value = 0.00341,
                       .nominal = 0.0045,
                       .dimension = Dimension::ratio,
                       .effect = 1},
                      {.name = "temperature",
                       .value = 318.15,
                       .nominal = 290.65,
                       .dimension = Dimension::temperature,
                       .effect = 0.5}}};
}

inline ChosenValue made_value() {
    return {.part = "R1",
            .text = "270 Ω + 22 Ω",
            .joint = Joint::series,
            .value = {292, 277.4, 306.6},
            .ideal = 301.4,
            .why = {"U1 forward current 10.2 mA: the middle between what the coil needs and the "
                    "rating",
                    "R1 = (4.75 V − 0.15 V − 1.25 V) / 10.2 mA = 328 Ω"},
            .around = {{.text = "270 Ω", .ohms = 270, .reserve = 0.241, .limited_by = "K1, on"},
                       {.text = "270 Ω + 22 Ω",
                        .ohms = 292,
                        .reserve = 0.286,
                        .limited_by = "voltage supply to coil, on",
                        .taken = true},
                       {.text = "330 Ω", .ohms = 330, .reserve = -0.02, .limited_by = "K1, on"}},
            .window = ValueWindow{.lowest = 10,
                                  .highest = 1e6,
                                  .holds_from = 180.3,
                                  .holds_to = 591.7,
                                  .ends_below = "U1 forward current, on",
                                  .ends_above = "voltage supply to coil, on"}};
}

// An answer to the plain link; its proof is a real one, its other figures are invented.
inline Answer made_answer(Verdict verdict) {
    Answer answer;
    answer.text = plain_link();
    answer.link = *link_from(answer.text);
    const auto circuit = build_circuit(answer.link);
    Proof proof = *prove(answer.link, *circuit, {.nominal_only = true});
    proof.verdict = verdict;
    answer.proof = std::make_shared<const Proof>(std::move(proof));
    answer.characters = {Character::first_choice, Character::fewest_parts};
    answer.aim = Aim::most_reserve;
    answer.when_dead = {"off"};
    answer.parts = 9;
    answer.current = 0.0342;
    answer.limit = made_limit();
    answer.values = {made_value()};
    answer.sets_on_offer = 1771561;
    answer.all_looked_at = true;
    if (verdict == Verdict::broken) {
        answer.limit.value = 14.1;
        answer.limit.reserve = 14.1 / 16.8 - 1;
        answer.broken = {answer.limit};
    }
    return answer;
}

inline Design made_design(Verdict verdict) {
    Design design;
    design.title = "Bell hammer";
    design.stock = "the E24 series";
    design.answers = {made_answer(verdict)};
    return design;
}

// Of a need: two drafts as answers, and gaps compared.
inline Design made_need_design() {
    Design design = made_design(Verdict::kept);
    design.stock = "drawer.csv";
    design.drafts = 12;
    design.skipped.resize(2);
    design.answers.push_back(made_answer(Verdict::thin));
    design.answers[1].characters = {Character::least_current};
    for (auto& answer : design.answers) {
        answer.draft = {.input = "series resistor",
                        .gap = "Four-pin coupler, gain class B",
                        .output = "npn switch",
                        .text = answer.text,
                        .sets_speed = {}};
        answer.helps = {{"Four-pin coupler, gain class C, as U1", 0.352, 1.8}};
        answer.objections = {{.share = 0.4,
                              .part = "Q1",
                              .state = "on",
                              .name = "base drive",
                              .found = "131 µA",
                              .asked = "830 µA, a twentieth of the collector current",
                              .reason = "so that the weakest specimen saturates too"}};
    }
    design.answers[1].against_first = "over answer 1: 16.7 mA against 34.2 mA";
    design.answers[1].not_in_drawer = {"npn-small"};
    design.outputs = {{.name = "npn switch",
                       .kind = "",
                       .reserve = 0.286,
                       .limited_by = "voltage supply to coil, on",
                       .ruled_out = ""},
                      {.name = "npn switch, inverted",
                       .kind = "",
                       .reserve = {},
                       .limited_by = "",
                       .ruled_out = "the load is on when the input side is dead"}};
    design.gaps = {{.name = "Four-pin coupler, gain class B",
                    .kind = "coupler",
                    .reserve = 0.286,
                    .limited_by = "voltage supply to coil, on",
                    .ruled_out = ""},
                   {.name = "White lamp LED and light-dependent resistor",
                    .kind = "lamp and light-dependent resistor",
                    .reserve = {},
                    .limited_by = "",
                    .ruled_out = "no insulation rating"}};
    return design;
}

}  // namespace gapwright::testing_support
