#include "design/values/stock.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <set>
#include <span>
#include <string>
#include <tuple>
#include <utility>
#include <vector>

#include "card/drawer.hpp"
#include "card/part_kind.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"
#include "units/preferred.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

double reciprocal_sum(std::span<const double> values) {
    double sum = 0;
    for (const double v : values) sum += 1 / v;
    return 1 / sum;
}
double plain_sum(std::span<const double> values) {
    double sum = 0;
    for (const double v : values) sum += v;
    return sum;
}

// What one part of a joint takes of the whole's power at most: its own value at the end that gives
// it more, the others at theirs that give them less.
double largest_share(const std::vector<Spread>& parts, std::size_t which, Joint joint) {
    double own = 0;
    double others = 0;
    for (std::size_t k = 0; k < parts.size(); ++k) {
        const bool series = joint == Joint::series;
        const double more = series ? parts[k].highest : 1 / parts[k].lowest;
        const double less = series ? parts[k].lowest : 1 / parts[k].highest;
        (k == which ? own : others) += k == which ? more : less;
    }
    return own / (own + others);
}

Choice joined(const Stock& stock, std::span<const std::uint32_t> used, Joint joint) {
    Choice choice{.value = {},
                  .power = {},
                  .parts = {},
                  .count = static_cast<std::uint8_t>(used.size()),
                  .joint = joint};
    std::ranges::copy(used, choice.parts.begin());
    std::vector<Spread> spreads;
    std::array<std::vector<double>, 3> ends;
    for (const auto k : used) {
        spreads.push_back(stock.values[k].value);
        ends[0].push_back(spreads.back().nominal);
        ends[1].push_back(spreads.back().lowest);
        ends[2].push_back(spreads.back().highest);
    }
    const auto whole = joint == Joint::parallel ? reciprocal_sum : plain_sum;
    choice.value = {whole(ends[0]), whole(ends[1]), whole(ends[2])};
    for (std::size_t k = 0; k < used.size(); ++k) {
        const auto power = stock.values[used[k]].power;
        if (!power) continue;
        const double whole_power = *power / largest_share(spreads, k, joint);
        choice.power = choice.power ? std::min(*choice.power, whole_power) : whole_power;
    }
    return choice;
}

class ChoiceMaker {
  public:
    explicit ChoiceMaker(Stock& stock) : stock_(stock) {}

    void make(std::size_t most_parts) {
        grow({}, 0, most_parts);
        std::ranges::stable_sort(stock_.choices, [](const Choice& a, const Choice& b) {
            // Of alike ones first the one that stands more: a search that takes the first of them
            // loses nothing.
            const auto key = [](const Choice& c) {
                return std::tuple(c.value.nominal, c.count, -c.power.value_or(1e9));
            };
            return key(a) < key(b);
        });
    }

  private:
    // Every handful of values that begins with `held` and goes on from `first`.
    void grow(const std::vector<std::uint32_t>& held, std::uint32_t first, std::size_t most) {
        for (std::uint32_t k = first; k < stock_.values.size(); ++k) {
            const auto there = stock_.values[k].count;
            const auto taken = static_cast<unsigned>(std::ranges::count(held, k));
            if (there && taken >= *there) continue;
            std::vector<std::uint32_t> more = held;
            more.push_back(k);
            add(more);
            if (more.size() < most) grow(more, k, most);
        }
    }

    void add(const std::vector<std::uint32_t>& used) {
        if (used.size() == 1) {
            stock_.choices.push_back(joined(stock_, used, Joint::single));
            return;
        }
        for (const Joint joint : {Joint::series, Joint::parallel}) {
            stock_.choices.push_back(joined(stock_, used, joint));
        }
    }

    Stock& stock_;
};

}  // namespace

Stock stock_of(const Drawer& drawer, std::string name) {
    Stock stock{.name = std::move(name),
                .values = {},
                .choices = {},
                .triples = true,
                .cards = {},
                .skipped = drawer.skipped};
    std::set<std::string> cards;
    for (const auto& row : drawer.rows) {
        if (row.count && *row.count == 0) continue;
        if (!row.card.empty()) cards.insert(row.card);
        if (row.kind != Kind::resistor || !row.value || row.value->lowest <= 0) continue;
        stock.values.push_back({*row.value, row.power, row.count});
    }
    stock.cards.assign(cards.begin(), cards.end());
    stock.triples = stock.values.size() <= most_values_for_triples;
    ChoiceMaker(stock).make(stock.triples ? 3 : 2);
    return stock;
}

Stock limited_to(const Stock& stock, std::size_t parts) {
    Stock limited = stock;
    std::erase_if(limited.choices, [&](const Choice& c) { return c.count > parts; });
    return limited;
}

Stock series_stock(Series series, double lowest, double highest, double tolerance, double power) {
    Stock stock;
    for (double decade = std::pow(10, std::floor(std::log10(lowest))); decade <= highest;
         decade *= 10) {
        for (const double v : preferred_values(series)) {
            const double ohms = v * decade;
            if (ohms < lowest * (1 - 1e-9) || ohms > highest * (1 + 1e-9)) continue;
            stock.values.push_back(
                {{ohms, ohms * (1 - tolerance), ohms * (1 + tolerance)}, power, {}});
        }
    }
    ChoiceMaker(stock).make(1);
    return stock;
}

Stock standard_stock() {
    Stock stock = series_stock(Series::e24, 10, 1e6, 0.05, 0.25);
    stock.name = "the E24 series";
    return stock;
}

std::string choice_text(const Stock& stock, const Choice& choice) {
    std::string text;
    for (const auto k : choice.used()) {
        if (!text.empty()) text += choice.joint == Joint::parallel ? " ∥ " : " + ";
        text += engineering_short(stock.values[k].value.nominal, Dimension::resistance);
    }
    return text;
}

bool in_stock(const Stock& stock, std::span<const std::uint32_t> choices) {
    for (std::size_t a = 0; a < choices.size(); ++a) {
        for (const auto k : stock.choices[choices[a]].used()) {
            const auto& there = stock.values[k].count;
            if (!there) continue;
            unsigned taken = 0;
            for (const auto b : choices) {
                taken += static_cast<unsigned>(std::ranges::count(stock.choices[b].used(), k));
            }
            if (taken > *there) return false;
        }
    }
    return true;
}

}  // namespace gapwright
