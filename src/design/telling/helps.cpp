// What would help: the same link with one thing changed, its values chosen anew.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <memory>
#include <optional>
#include <string>
#include <tuple>
#include <utility>
#include <vector>

#include <cstdint>
#include "card/card_shelf.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "circuit/index.hpp"
#include "design/design.hpp"
#include "design/judging/limits.hpp"
#include "design/needs/need_cards.hpp"
#include "design/telling/answer.hpp"
#include "design/values/practice.hpp"
#include "design/values/score.hpp"
#include "design/values/stock.hpp"
#include "design/values/value_problem.hpp"
#include "design/values/value_search.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "population/at_once.hpp"
#include "population/engine.hpp"
#include "proof/proof.hpp"
#include "proof/prove.hpp"
#include "proof/verdict.hpp"
#include "source/source_text.hpp"
#include "source/text_edit.hpp"
#include "source/toml_document.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

constexpr double least_gain = 0.01;  // of a bound: less is not worth a change
constexpr double least_stretch_gain = 0.05;
constexpr double enough_stretch = 1.25;  // kept with so much needs no help (own choice)
constexpr double close_tolerance = 0.01;
constexpr std::size_t few_specimens = 200;  // the search for the worst case is what counts
constexpr std::size_t most_helps = 4;

// A changed link with the best single values of a stock.
struct Tried {
    Link link;
    Score score;
};

// The choices nearest to an answer's values.
ValueSet nearest_set(const ValueProblem& problem, const Answer& answer) {
    ValueSet set{};
    for (std::size_t r = 0; r < problem.count() && r < answer.values.size(); ++r) {
        const double wanted = std::log(answer.values[r].value.nominal);
        set[r] = *std::ranges::min_element(problem.options(r), {}, [&](std::uint32_t c) {
            return std::abs(std::log(problem.stock().choices[c].value.nominal) - wanted);
        });
    }
    return set;
}

// From the answer's own values: what a change brings is seldom far from them.
std::optional<Tried> with_values(const Link& link, Stock stock, const Answer& answer,
                                 const EngineOptions& engine) {
    auto problem = ValueProblem::of(link, std::move(stock));
    if (!problem) return std::nullopt;
    const ValueSet start = nearest_set(*problem, answer);
    *problem = problem->about(start);
    const auto found = search_values(*problem, {.most_parts = 1,
                                                .starts = 0,
                                                .most_rounds = 4,
                                                .most_alone = 100,
                                                .most_sets_in_turn = 2000,
                                                .from = {start},
                                                .engine = engine});
    if (!found) return std::nullopt;
    return Tried{problem->link_with(found->set), found->worst.score};
}

// What it comes to when it is proven.
std::optional<Help> help_of(const std::string& change, const Link& link,
                            const EngineOptions& engine) {
    const auto circuit = build_circuit(link);
    if (!circuit) return std::nullopt;
    const auto proof = prove(link, *circuit, {.samples = few_specimens, .engine = engine});
    if (!proof) return std::nullopt;
    const auto limits = limits_of(*proof);
    Help help{.change = change, .reserve = limits.empty() ? 0 : limits.front().reserve};
    if (proof->stretch) help.stretch = proof->stretch->stretch.factor;
    return help;
}

// Where the card of a part is named in a text.
std::optional<Place> card_place(const TomlDocument& document, const std::string& part) {
    const auto* parts = document.root.find("parts");
    const auto* table = parts ? parts->value.table() : nullptr;
    const auto* entry = table ? table->find(part) : nullptr;
    const auto* keys = entry ? entry->value.table() : nullptr;
    const auto* card = keys ? keys->find("card") : nullptr;
    if (!card) return std::nullopt;
    return card->value.place;
}

// A change under trial.
struct Trial {
    std::string change;
    Link link;
    Stock stock;
};

// One task for all trials.
struct HelpTask {
    const Solved& solved;
    const Answer& answer;
    Stock singles;
};

void try_couplers(const HelpTask& task, std::vector<Trial>& trials) {
    const Solved& solved = task.solved;
    const auto document = read_toml(solved.text);
    if (!document) return;
    CardShelf shelf = shelf_beside(solved.folder);
    for (const auto& part : solved.problem.link().parts) {
        if (part.description.kind != Kind::coupler) continue;
        const auto place = card_place(*document, part.name);
        if (!place) continue;
        for (const auto& name : shelf.names()) {
            const auto card = sound_card(shelf, name);
            if (!card || card->kind != Kind::coupler || name == part.description.card) continue;
            const std::string text =
                edited(solved.text->text(), {replacement_at(*place, fmt::format("\"{}\"", name))});
            auto link = read_link(std::make_shared<const SourceText>(solved.text->name(), text),
                                  solved.folder);
            if (!link) continue;
            trials.push_back({fmt::format("{} as {} in place of {}", card->name, part.name,
                                          part.description.name),
                              std::move(*link), task.singles});
        }
    }
}

void try_closer_tolerance(const HelpTask& task, const Link& link, std::vector<Trial>& trials) {
    Stock stock = task.singles;
    bool closer = false;
    for (auto& choice : stock.choices) {
        const Spread limits{choice.value.nominal, choice.value.nominal * (1 - close_tolerance),
                            choice.value.nominal * (1 + close_tolerance)};
        if (choice.value.highest <= limits.highest) continue;
        choice.value = limits;
        closer = true;
    }
    if (closer) trials.push_back({"resistors of ± 1 %", link, std::move(stock)});
}

// Where a resistor's power is what limits, or runs warmer than is good.
void try_more_power(const HelpTask& task, const Link& link, std::vector<Trial>& trials) {
    const std::string power = fmt::format(" {}", spoken_key(Key::power));
    const auto is_short_of_power = [&](const ChosenValue& value) {
        const std::string subject = value.part + power;
        return task.answer.limit.subject == subject ||
               std::ranges::find(task.answer.broken, subject, &Limit::subject) !=
                   task.answer.broken.end() ||
               std::ranges::any_of(task.answer.objections, [&](const Objection& o) {
                   return o.part == value.part &&
                          o.name == practice_rule(Practice::dissipation).name;
               });
    };
    if (std::ranges::none_of(task.answer.values, is_short_of_power)) return;
    Stock stock = task.singles;
    double most = 0;
    for (auto& choice : stock.choices) {
        if (!choice.power) continue;
        *choice.power *= 2;
        most = std::max(most, *choice.power);
    }
    if (!(most > 0)) return;
    trials.push_back({fmt::format("resistors of the next power, {}",
                                  engineering_short(most, Dimension::power, 2)),
                      link, std::move(stock)});
}

Spread halved(const Spread& spread) {
    return {spread.nominal, (spread.nominal + spread.lowest) / 2,
            (spread.nominal + spread.highest) / 2};
}

void try_closer_supplies(const HelpTask& task, const Link& link, std::vector<Trial>& trials) {
    for (const Side side : {Side::input, Side::output}) {
        if (!link.side(side).supply) continue;
        Link changed = link;
        Spread& voltage = changed.side(side).supply->figures.at(Key::voltage).spread;
        if (!voltage.varies()) continue;
        voltage = halved(voltage);
        trials.push_back(
            {fmt::format("a supply of the {} side held twice as closely, {}", side_name(side),
                         engineering_range(voltage.lowest, voltage.highest, Dimension::voltage)),
             std::move(changed), task.singles});
    }
}

// A coil or load of a quarter more resistance takes a fifth less current.
void try_lighter_load(const HelpTask& task, const Link& link, std::vector<Trial>& trials) {
    constexpr double lighter = 1.25;
    for (std::size_t k = 0; k < link.parts.size(); ++k) {
        const Kind kind = link.parts[k].description.kind;
        if (kind != Kind::coil && kind != Kind::load) continue;
        Link changed = link;
        auto& figures = changed.parts[k].description.figures;
        const auto resistance = figures.find(Key::resistance);
        if (resistance == figures.end()) continue;
        Spread& ohms = resistance->second.spread;
        ohms = {ohms.nominal * lighter, ohms.lowest * lighter, ohms.highest * lighter};
        trials.push_back(
            {fmt::format("{} of {} in place of {}", link.parts[k].name,
                         engineering_short(ohms.nominal, Dimension::resistance, 3),
                         engineering_short(ohms.nominal / lighter, Dimension::resistance, 3)),
             std::move(changed), task.singles});
    }
}

bool is_worth_it(const Help& help, const Answer& answer) {
    const auto& stretch = answer.proof->stretch;
    const double before = stretch ? stretch->stretch.factor : 0;
    const double after = help.stretch.value_or(before);
    const bool more_reserve = help.reserve >= answer.limit.reserve + least_gain;
    const bool more_stretch = after >= before + least_stretch_gain;
    // Not bought with the other of the two.
    return (more_reserve && after >= before - least_stretch_gain) ||
           (more_stretch && help.reserve >= answer.limit.reserve - least_gain);
}

}  // namespace

std::vector<Help> helps_of(const Solved& solved, const Answer& answer,
                           const EngineOptions& options) {
    const auto& stretch = answer.proof->stretch;
    const bool enough = answer.proof->verdict == Verdict::kept && stretch &&
                        stretch->stretch.factor >= enough_stretch;
    if (enough) return {};
    const HelpTask task{solved, answer, limited_to(solved.problem.stock(), 1)};
    const auto link = read_link(solved.text, solved.folder);
    if (!link) return {};
    std::vector<Trial> trials;
    try_closer_tolerance(task, *link, trials);
    try_more_power(task, *link, trials);
    try_couplers(task, trials);
    try_closer_supplies(task, *link, trials);
    try_lighter_load(task, *link, trials);
    EngineOptions alone = options;
    alone.threads = 1;
    std::vector<std::optional<Tried>> tried(trials.size());
    at_once(trials.size(), options, [&](std::size_t k) {
        tried[k] = with_values(trials[k].link, trials[k].stock, answer, alone);
    });
    // Those that the search likes better, then those it likes as well: stretch is the proof's to
    // tell.
    const auto standing = [](const Score& score) {
        const Rank rank = rank_of(score);
        return std::tuple(rank.missing, rank.want, rank.practice);
    };
    const auto before = standing(solved.found.worst.score);
    std::vector<std::size_t> promising;
    for (const bool better : {true, false}) {
        for (std::size_t k = 0; k < trials.size() && promising.size() < most_helps; ++k) {
            if (!tried[k]) continue;
            const auto after = standing(tried[k]->score);
            if (better ? after < before : after == before) promising.push_back(k);
        }
    }
    std::ranges::sort(promising);  // as they were tried, the cheapest change first
    std::vector<std::optional<Help>> found(promising.size());
    at_once(promising.size(), options, [&](std::size_t k) {
        found[k] = help_of(trials[promising[k]].change, tried[promising[k]]->link, alone);
    });
    std::vector<Help> helps;
    for (const auto& help : found) {
        if (help && is_worth_it(*help, answer)) helps.push_back(*help);
    }
    return helps;
}

}  // namespace gapwright
