// What would help: the same link with one thing changed, its values chosen anew.
#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "card/card_shelf.hpp"
#include "card/part_kind.hpp"
#include "design/answer.hpp"
#include "design/design.hpp"
#include "design/need_cards.hpp"
#include "design/stock.hpp"
#include "design/value_problem.hpp"
#include "design/value_search.hpp"
#include "link/link.hpp"
#include "population/at_once.hpp"
#include "population/engine.hpp"
#include "proof/worst_case.hpp"
#include "source/source_text.hpp"
#include "source/text_edit.hpp"
#include "source/toml_document.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

constexpr double least_gain = 0.01;  // of a bound: less is not worth a change
constexpr double close_tolerance = 0.01;

SearchOptions quick_search(const EngineOptions& engine) {
    SearchOptions options{
        .most_parts = 1, .coarse_sets = 250, .most_rounds = 2, .effort = Effort::quick};
    options.engine = engine;
    options.engine.threads = 1;
    return options;
}

// The least reserve of a link text with the best single values of a stock.
std::optional<double> best_reserve(const std::string& text, const Solved& solved, Stock stock,
                                   const EngineOptions& engine) {
    const auto link =
        read_link(std::make_shared<const SourceText>(solved.text->name(), text), solved.folder);
    if (!link) return std::nullopt;
    const auto problem = ValueProblem::of(*link, std::move(stock));
    if (!problem) return std::nullopt;
    const auto found = search_values(*problem, quick_search(engine));
    if (!found) return std::nullopt;
    EngineOptions alone = engine;
    alone.threads = 1;
    return problem->about(found->set).worst(found->set, alone).score.reserve;
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

// A change, and the reserve that it comes to; several are worked out at once.
using Trial = std::function<std::optional<Help>()>;

void try_couplers(const Solved& solved, const EngineOptions& engine, std::vector<Trial>& trials) {
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
            const std::string change = fmt::format("{} as {} in place of {}", card->name, part.name,
                                                   part.description.name);
            trials.push_back([&solved, &engine, text, change]() -> std::optional<Help> {
                const auto reserve =
                    best_reserve(text, solved, limited_to(solved.problem.stock(), 1), engine);
                if (!reserve) return std::nullopt;
                return Help{change, *reserve};
            });
        }
    }
}

void try_closer_tolerance(const Solved& solved, const EngineOptions& engine,
                          std::vector<Trial>& trials) {
    Stock stock = limited_to(solved.problem.stock(), 1);
    bool closer = false;
    for (auto& choice : stock.choices) {
        const Spread limits{choice.value.nominal, choice.value.nominal * (1 - close_tolerance),
                            choice.value.nominal * (1 + close_tolerance)};
        if (choice.value.highest <= limits.highest) continue;
        choice.value = limits;
        closer = true;
    }
    if (!closer) return;
    trials.push_back([&solved, &engine, stock = std::move(stock)]() -> std::optional<Help> {
        const auto reserve = best_reserve(std::string(solved.text->text()), solved, stock, engine);
        if (!reserve) return std::nullopt;
        return Help{"resistors of ± 1 %", *reserve};
    });
}

}  // namespace

std::vector<Help> helps_of(const Solved& solved, double reserve, const EngineOptions& options) {
    std::vector<Trial> trials;
    try_couplers(solved, options, trials);
    try_closer_tolerance(solved, options, trials);
    std::vector<std::optional<Help>> found(trials.size());
    at_once(trials.size(), options, [&](std::size_t k) { found[k] = trials[k](); });
    std::vector<Help> helps;
    for (const auto& help : found) {
        if (help && help->reserve >= reserve + least_gain) helps.push_back(*help);
    }
    std::ranges::stable_sort(helps, std::ranges::greater{}, &Help::reserve);
    return helps;
}

}  // namespace gapwright
