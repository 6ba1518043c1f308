#include "value_support.hpp"
#include "card/key.hpp"
#include "proof/proof.hpp"
#include "proof/prove.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <map>

namespace gapwright::testing_support {
namespace {

double together(const std::vector<double>& ohms, bool series) {
    double sum = 0;
    for (const double r : ohms) sum += series ? r : 1 / r;
    return series ? sum : 1 / sum;
}

// The least power of the whole at which one part has all that it may take, at the worst of all
// corners of the tolerances.
std::optional<double> power_of(const std::vector<const DrawerRow*>& parts, bool series) {
    std::optional<double> least;
    for (std::size_t corner = 0; corner < (std::size_t{1} << parts.size()); ++corner) {
        std::vector<double> ohms;
        for (std::size_t k = 0; k < parts.size(); ++k) {
            ohms.push_back((corner >> k) & 1U ? parts[k]->value->highest : parts[k]->value->lowest);
        }
        const double whole = together(ohms, series);
        for (std::size_t k = 0; k < parts.size(); ++k) {
            if (!parts[k]->power) continue;
            const double share = series ? ohms[k] / whole : whole / ohms[k];
            const double power = *parts[k]->power / share;
            if (!least || power < *least) least = power;
        }
    }
    return least;
}

MadeChoice made(const std::vector<DrawerRow>& rows, const std::vector<std::size_t>& used,
                bool series) {
    std::vector<double> nominal;
    std::vector<double> lowest;
    std::vector<double> highest;
    std::vector<const DrawerRow*> parts;
    for (const auto k : used) {
        nominal.push_back(rows[k].value->nominal);
        lowest.push_back(rows[k].value->lowest);
        highest.push_back(rows[k].value->highest);
        parts.push_back(&rows[k]);
    }
    return {used,
            {together(nominal, series), together(lowest, series), together(highest, series)},
            power_of(parts, series)};
}

bool enough(const std::vector<DrawerRow>& rows, const std::vector<MadeChoice>& set) {
    std::map<std::size_t, unsigned> taken;
    for (const auto& choice : set) {
        for (const auto k : choice.rows) ++taken[k];
    }
    return std::ranges::all_of(taken, [&](const auto& entry) {
        return !rows[entry.first].count || entry.second <= *rows[entry.first].count;
    });
}

// Assumed limits that are kept, of voltages, or of chosen resistors count for nothing while values
// are searched for.
bool counts(const RatingResult& r, const std::vector<std::string>& chosen) {
    return r.limit_stated || (r.verdict == Verdict::unknown && r.dimension != Dimension::voltage &&
                              std::ranges::find(chosen, r.part) == chosen.end());
}

double least_reserve(const Proof& proof, const std::vector<std::string>& chosen) {
    double least = std::numeric_limits<double>::infinity();
    for (const auto& p : proof.promises) {
        if (p.at_least) {
            least = std::min(least, reserve_left(p.lowest, *p.at_least, Sense::at_least));
        }
        if (p.at_most) {
            least = std::min(least, reserve_left(p.highest, *p.at_most, Sense::at_most));
        }
    }
    for (const auto& r : proof.ratings) {
        if (counts(r, chosen)) least = std::min(least, reserve_left(r.worst(), r.bound, r.sense));
    }
    return least;
}

double most_current(const Proof& proof, const std::vector<std::string>& supplies) {
    double most = 0;
    for (const auto& state : proof.states) {
        double sum = 0;
        for (const auto& [part, current] : state.currents) {
            if (std::ranges::find(supplies, part) != supplies.end()) sum += std::max(0.0, current);
        }
        most = std::max(most, sum);
    }
    return most;
}

void judge(const ValueCase& c, const Link& link, const std::vector<MadeChoice>& set,
           std::vector<Judged>& result) {
    Link filled = link;
    Judged judged{.set = set};
    for (std::size_t k = 0; k < set.size(); ++k) {
        const auto part = std::ranges::find(filled.parts, c.chosen[k], &Part::name);
        auto& figures = part->description.figures;
        figures[Key::value].spread = set[k].value;
        figures.erase(Key::power);
        if (set[k].power) {
            figures[Key::power] = {
                .spread = exactly(*set[k].power), .conditions = {}, .place = part->place};
        }
        judged.parts += set[k].rows.size();
    }
    const auto circuit = build_circuit(filled);
    ASSERT_TRUE(circuit);
    ProofOptions options{.samples = 0, .stretch = false};
    options.engine.threads = 1;
    const auto proof = prove(filled, *circuit, options);
    if (!proof) return;  // no operating point
    judged.reserve = least_reserve(*proof, c.chosen);
    judged.current = most_current(*proof, c.supplies);
    result.push_back(judged);
}

// --- cases ---

const std::string coupler_alone = R"(title = "One"
[surroundings]
temperature = "TEMPERATURE"
[input]
supply = "SUPPLY V ± 5 %"
paths = ["supply > S1 > R1 > U1 > return"]
[output]
supply = "5 V ± 5 %"
paths = ["supply > R2 > data", "data > U1 > return"]
[parts]
S1 = { kind = "contact" }
R1 = { kind = "resistor", value = "{}" }
R2 = { kind = "resistor", value = "SECOND", SECOND_POWER }
U1 = { card = "four-pin-coupler-b" }
[states]
on = { S1 = "closed" }
off = { S1 = "open" }
[[promise]]
state = "on"
voltage = "data"
at_most = "0.8 V"
[[promise]]
state = "on"
current = "R1"
at_least = "LEAST mA"
at_most = "MOST mA"
)";

const std::string three_resistors = R"(title = "Three"
[surroundings]
temperature = "TEMPERATURE"
[input]
supply = "SUPPLY V ± 5 %"
paths = ["supply > S1 > R1 > U1 > return"]
[output]
supply = "12 V ± 10 %"
paths = [
  "supply > R2 > U1 > Q1.base",
  "Q1.base > R3 > return",
  "supply > W1 > drain > Q1 > return",
]
[parts]
S1 = { kind = "contact" }
R1 = { kind = "resistor", value = "{}" }
R2 = { kind = "resistor", value = "{}" }
R3 = { kind = "resistor", value = "{}" }
U1 = { card = "four-pin-coupler-b" }
Q1 = { card = "npn-medium" }
W1 = { kind = "load", resistance = "LOAD Ω ± 10 %" }
[states]
on = { S1 = "closed" }
off = { S1 = "open" }
[[promise]]
state = "on"
voltage = "drain"
side = "output"
at_most = "0.6 V"
[[promise]]
state = "off"
current = "W1"
at_most = "1 mA"
)";

void put(std::string& text, const std::string& what, const std::string& value) {
    for (std::size_t at; (at = text.find(what)) != std::string::npos;) {
        text.replace(at, what.size(), value);
    }
}

class CaseMaker {
  public:
    explicit CaseMaker(unsigned k) : number_(k), random_(k) {}

    ValueCase make() {
        ValueCase c;
        const unsigned resistors = number_ % 5 == 4 ? 3 : 1 + number_ % 2;
        if (resistors == 3) {
            c.text = three_resistors;
            c.chosen = {"R1", "R2", "R3"};
            c.supplies = {"R1", "R2", "W1"};
        } else {
            c.text = coupler_alone;
            c.chosen = resistors == 1 ? std::vector<std::string>{"R1"}
                                      : std::vector<std::string>{"R1", "R2"};
            c.supplies = {"R1", "R2"};
        }
        const bool second = resistors == 1;
        put(c.text, R"("SECOND", SECOND_POWER)",
            second ? R"("2.2 kΩ ± 5 %", power = "0.25 W")" : R"("{}")");
        put(c.text, "TEMPERATURE", one_of<std::string>({"25 °C", "0 .. 50 °C", "-10 .. 60 °C"}));
        put(c.text, "SUPPLY", one_of<std::string>({"5", "9", "12", "24"}));
        put(c.text, "LEAST", one_of<std::string>({"2", "3", "5"}));
        put(c.text, "MOST", one_of<std::string>({"8", "12", "20"}));
        put(c.text, "LOAD", one_of<std::string>({"100", "220", "470"}));
        // As many choices as a proof of every set has time for.
        struct Size {
            std::size_t values;
            std::size_t parts;
        };
        const Size size = resistors == 1   ? one_of<Size>({{8, 1}, {6, 2}, {4, 3}, {3, 3}})
                          : resistors == 2 ? one_of<Size>({{7, 1}, {3, 2}, {5, 1}, {2, 2}, {2, 2}})
                                           : one_of<Size>({{4, 1}, {3, 1}, {3, 1}});
        c.most_parts = size.parts;
        for (std::size_t k = 0; k < size.values; ++k) c.rows.push_back(row(resistors == 3));
        Drawer drawer;
        drawer.rows = c.rows;
        c.stock = stock_of(drawer, "the drawer");
        return c;
    }

  private:
    template <class T>
    T one_of(std::vector<T> list) {
        return list[random_() % list.size()];
    }

    DrawerRow row(bool wide) {
        const double decade =
            wide ? one_of<double>({100, 1000, 10000}) : one_of<double>({100, 1000});
        const double digits = one_of<double>({1, 1.5, 2.2, 2.7, 3.3, 4.7, 5.6, 6.8, 8.2});
        const auto power = one_of<std::optional<double>>({{}, 0.1, 0.25, 0.6});
        const auto count = one_of<std::optional<unsigned>>({{}, 1U, 2U, 3U});
        return resistor_row(digits * decade, one_of<double>({0.01, 0.02, 0.05, 0.1}), power, count);
    }

    unsigned number_;
    std::mt19937 random_;
};

}  // namespace

std::vector<MadeChoice> made_choices(const std::vector<DrawerRow>& rows, std::size_t most_parts) {
    std::vector<MadeChoice> result;
    const std::size_t n = rows.size();
    for (std::size_t a = 0; a < n; ++a) {
        result.push_back(made(rows, {a}, true));
        for (std::size_t b = a; most_parts > 1 && b < n; ++b) {
            for (const bool series : {true, false}) {
                result.push_back(made(rows, {a, b}, series));
                for (std::size_t c = b; most_parts > 2 && c < n; ++c) {
                    result.push_back(made(rows, {a, b, c}, series));
                }
            }
        }
    }
    std::erase_if(result, [&](const MadeChoice& choice) { return !enough(rows, {choice}); });
    return result;
}

std::vector<Judged> judge_all(const ValueCase& c) {
    const auto link = link_of(c.with("1 kΩ ± 5 %"));
    EXPECT_TRUE(link) << to_text(link.error());
    std::vector<Judged> result;
    if (!link) return result;
    const auto choices = made_choices(c.rows, c.most_parts);
    const std::function<void(std::vector<MadeChoice>)> grow = [&](std::vector<MadeChoice> set) {
        if (set.size() == c.chosen.size()) {
            if (enough(c.rows, set)) judge(c, *link, set, result);
            return;
        }
        for (const auto& choice : choices) {
            auto more = set;
            more.push_back(choice);
            grow(std::move(more));
        }
    };
    grow({});
    return result;
}

ValueCase made_case(unsigned k) {
    return CaseMaker(k).make();
}

}  // namespace gapwright::testing_support
