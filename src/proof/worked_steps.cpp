#include "proof/worked_steps.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "circuit/index.hpp"
#include "circuit/link_point.hpp"
#include "circuit/probe.hpp"
#include "device/constants.hpp"
#include "device/figures.hpp"
#include "device/junction.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"
#include "units/preferred.hpp"

namespace gapwright {
namespace {

constexpr double least_current = 1e-6;     // A: a string that carries less is not worked out
constexpr double unnoticed_share = 0.002;  // of the source: smaller drops are left out

std::string volts(double v) {
    return engineering_short(v, Dimension::voltage, 4);
}
std::string amperes(double i) {
    return engineering_short(i, Dimension::current, 4);
}
std::string ohms(double r) {
    return engineering_short(r, Dimension::resistance, 4);
}

// Parts in series between two nodes, in the direction of their path.
struct SeriesString {
    Side side;
    std::vector<std::size_t> parts;  // by index, in order
    Node from;
    Node to;
};

std::vector<int> touches_of(const Link& link, Side side) {
    std::vector<int> touches(link.side(side).node_names.size(), 0);
    for (const auto& part : link.parts) {
        const auto& p = part.on(side);
        if (!p) continue;
        ++touches[to_index(p->from)];
        ++touches[to_index(p->to)];
        if (p->control) ++touches[to_index(*p->control)];
    }
    return touches;
}

// The strings of a side: each path, cut at every node that a third part touches.
std::vector<SeriesString> strings_of(const Link& link, Side side) {
    std::vector<SeriesString> strings;
    const auto touches = touches_of(link, side);
    for (const auto& path : link.side(side).paths) {
        std::optional<SeriesString> open;
        for (const auto& item : path) {
            if (!item.part) continue;
            const auto& placement = *link.parts[*item.part].on(side);
            if (!open) open = SeriesString{side, {}, placement.from, placement.to};
            open->parts.push_back(*item.part);
            open->to = placement.to;
            const bool inside = touches[to_index(placement.to)] == 2 &&
                                placement.to != Node::side_return && placement.to != supply_node;
            if (inside) continue;
            strings.push_back(std::move(*open));
            open.reset();
        }
        if (open) strings.push_back(std::move(*open));
    }
    return strings;
}

class StringWorker {
  public:
    StringWorker(const Link& link, const LinkCircuit& circuit,
                 const std::vector<StatePoint>& nominal, SeriesString string)
        : link_(link), circuit_(circuit), nominal_(nominal), string_(std::move(string)) {}

    std::optional<WorkedSteps> work() {
        for (const auto k : string_.parts) {
            if (link_.parts[k].description.kind != Kind::resistor) continue;
            resistors_.push_back(k);
            resistance_ += link_.parts[k].description.nominal(Key::value);
        }
        if (resistors_.empty() || resistance_ <= 0) return std::nullopt;
        find_state();
        if (std::abs(current_) < least_current) return std::nullopt;
        WorkedSteps steps{.state = link_.states[state_].name, .resistors = names(), .lines = {}};
        add_wanted(steps);
        add_check(steps);
        return steps;
    }

    // The same for one resistor of the string: the others are drops as any part is.
    std::optional<ResistorSum> sum_for(std::size_t part) {
        resistors_ = {part};
        find_state();
        if (current_ < least_current) return std::nullopt;
        const auto others = drops([&](std::size_t k) { return solved_drop(k); });
        ResistorSum sum{.state = link_.states[state_].name, .current = current_};
        sum.lines = series_resistance(source(), others, sum.current).lines;
        return sum;
    }

  private:
    const StatePoint& point() const { return nominal_[state_]; }

    std::string names() const {
        std::string text;
        for (const auto k : resistors_) {
            if (!text.empty()) text += " + ";
            text += link_.parts[k].name;
        }
        return text;
    }

    void find_state() {
        const Probe probe = circuit_.of(resistors_.front(), string_.side)->current();
        for (std::size_t s = 0; s < nominal_.size(); ++s) {
            const double current = measure(probe, nominal_[s]);
            if (std::abs(current) <= std::abs(current_)) continue;
            current_ = current;
            state_ = s;
        }
    }

    // What drives the string: a logic output's level, or the voltage of its first node.
    double source() const {
        const Part& first = link_.parts[string_.parts.front()];
        if (first.description.kind == Kind::logic_output) {
            const auto setting = link_.states[state_].settings.at(string_.parts.front());
            return first.description.nominal(setting == Setting::high ? Key::high : Key::low);
        }
        return point().side(string_.side).voltage(string_.from);
    }

    // The voltage over a part that is no resistor, at the solved point.
    double solved_drop(std::size_t part) const {
        if (link_.parts[part].description.kind == Kind::logic_output) {
            return current_ * link_.parts[part].description.nominal(Key::resistance);
        }
        return measure(circuit_.of(part, string_.side)->voltage(), point());
    }

    // The junction's description of a part that has one.
    const Description* junction_of(std::size_t part) const {
        const Description& d = link_.parts[part].description;
        switch (d.kind) {
            case Kind::diode:
            case Kind::led:
                return &d;
            case Kind::coupler:
                return string_.side == Side::input ? &d : nullptr;
            case Kind::pair:
                return string_.side == Side::input ? d.emitter.get() : nullptr;
            default:
                return nullptr;
        }
    }

    // The current at which the light source's figures are stated: what a person would aim at.
    struct Wanted {
        double current;
        std::string why;
    };
    std::optional<Wanted> wanted_current() const {
        std::optional<Wanted> wanted;
        for (const auto k : string_.parts) {
            const auto* junction = junction_of(k);
            if (!junction || junction->kind == Kind::diode) continue;
            const std::string& name = link_.parts[k].name;
            if (wanted && !link_.parts[k].is_gap()) continue;
            if (const auto* ctr = junction->find(Key::ctr)) {
                wanted = Wanted{ctr->conditions[0],
                                fmt::format("where the transfer ratio of {} is stated", name)};
            } else if (const auto* forward = junction->find(Key::forward)) {
                wanted = Wanted{forward->conditions[0],
                                fmt::format("where the forward voltage of {} is stated", name)};
            }
        }
        return wanted;
    }

    double drop_at(std::size_t part, double current) const {
        const auto* d = junction_of(part);
        if (!d) {
            const double solved = solved_drop(part);
            const Kind kind = link_.parts[part].description.kind;
            const bool ohmic = kind == Kind::coil || kind == Kind::load || kind == Kind::contact ||
                               kind == Kind::inductor || kind == Kind::logic_output;
            return ohmic ? solved * current / current_ : solved;
        }
        Junction<double> card{.saturation_current = 0,
                              .ideality = d->nominal(Key::ideality),
                              .series_resistance = d->nominal(Key::series_resistance),
                              .bandgap = d->nominal(Key::bandgap),
                              .temperature_exponent = d->nominal(Key::temperature_exponent)};
        const auto* forward = d->find(Key::forward);
        card.saturation_current =
            forward ? saturation_current_through(forward->spread.nominal, forward->conditions[0],
                                                 card.ideality, card.series_resistance)
                    : d->nominal(Key::saturation_current);
        return junction_voltage(junction_at(card, reference_temperature), current) +
               current * card.series_resistance;
    }

    template <class DropOf>
    std::vector<Drop> drops(const DropOf& drop_of, double share = unnoticed_share) const {
        std::vector<Drop> result;
        const double least = share * std::abs(source());
        for (const auto k : string_.parts) {
            if (std::ranges::find(resistors_, k) != resistors_.end()) continue;
            const double v = drop_of(k);
            if (std::abs(v) >= least) result.push_back({link_.parts[k].name, v});
        }
        const double far = point().side(string_.side).voltage(string_.to);
        if (std::abs(far) >= least) {
            result.push_back({node_description(link_.side(string_.side), string_.to), far});
        }
        return result;
    }

    void add_wanted(WorkedSteps& steps) const {
        const auto wanted = wanted_current();
        if (!wanted || current_ < 0) return;
        const auto sum = series_resistance(
            source(), drops([&](std::size_t k) { return drop_at(k, wanted->current); }),
            wanted->current);
        steps.lines.push_back(fmt::format("for {}, {}:", amperes(wanted->current), wanted->why));
        for (const auto& line : sum.lines) steps.lines.push_back("  " + line);
        if (sum.resistance <= 0) return;
        const auto [below, above] = preferred_neighbours(sum.resistance, Series::e24);
        steps.lines.push_back(below == above ? fmt::format("  {} is a value of E24", ohms(below))
                                             : fmt::format("  nearest values of E24: {} and {}",
                                                           ohms(below), ohms(above)));
    }

    // With so many of the small drops that the sum is that of the solved point, figure by figure.
    SeriesSum solved_sum() const {
        SeriesSum sum = {};
        for (const double share : {unnoticed_share, unnoticed_share / 30, 0.0}) {
            const auto solved = drops([&](std::size_t k) { return solved_drop(k); }, share);
            sum = series_resistance(source(), solved, std::abs(current_));
            if (volts(sum.across) == volts(std::abs(current_) * resistance_)) break;
        }
        return sum;
    }

    void add_check(WorkedSteps& steps) const {
        const auto sum = solved_sum();
        steps.lines.push_back(fmt::format("with the value used, at the solved point:"));
        steps.lines.push_back("  " + sum.lines.front());
        if (resistors_.size() > 1) {
            std::string total;
            for (const auto k : resistors_) {
                if (!total.empty()) total += " + ";
                total += ohms(link_.parts[k].description.nominal(Key::value));
            }
            steps.lines.push_back(fmt::format("  {} = {}", total, ohms(resistance_)));
        }
        // The exact voltage over the resistors, not the difference of rounded drops.
        for (const auto& line : series_check(current_ * resistance_, resistance_).lines) {
            steps.lines.push_back("  " + line);
        }
    }

    const Link& link_;
    const LinkCircuit& circuit_;
    const std::vector<StatePoint>& nominal_;
    SeriesString string_;
    std::vector<std::size_t> resistors_;
    double resistance_ = 0;
    std::size_t state_ = 0;
    double current_ = 0;
};

}  // namespace

SeriesSum series_resistance(double source, const std::vector<Drop>& drops, double wanted_current) {
    SeriesSum sum{.across = source, .resistance = 0, .lines = {}};
    std::string line = volts(source);
    for (const auto& drop : drops) {
        sum.across -= drop.voltage;
        line += drop.voltage < 0 ? fmt::format(" + {} ({})", volts(-drop.voltage), drop.name)
                                 : fmt::format(" − {} ({})", volts(drop.voltage), drop.name);
    }
    sum.resistance = sum.across / wanted_current;
    sum.lines.push_back(drops.empty() ? fmt::format("{} over the resistor", line)
                                      : fmt::format("{} = {}", line, volts(sum.across)));
    if (sum.across <= 0) {
        sum.lines.push_back("the drops leave nothing for a resistor: this current cannot flow");
    } else {
        sum.lines.push_back(fmt::format("{} / {} = {}", volts(sum.across), amperes(wanted_current),
                                        ohms(sum.resistance)));
    }
    return sum;
}

SeriesCheck series_check(double across, double resistance) {
    SeriesCheck check{.current = across / resistance, .power = 0, .lines = {}};
    check.power = across * check.current;
    check.lines.push_back(
        fmt::format("{} / {} = {}", volts(across), ohms(resistance), amperes(check.current)));
    check.lines.push_back(fmt::format("{} · {} = {}", volts(across), amperes(check.current),
                                      engineering_short(check.power, Dimension::power, 4)));
    return check;
}

std::optional<ResistorSum> resistor_sum(const Link& link, const LinkCircuit& circuit,
                                        const std::vector<StatePoint>& nominal, std::size_t part) {
    for (const Side side : {Side::input, Side::output}) {
        for (auto& string : strings_of(link, side)) {
            if (std::ranges::find(string.parts, part) == string.parts.end()) continue;
            return StringWorker(link, circuit, nominal, std::move(string)).sum_for(part);
        }
    }
    return std::nullopt;
}

std::vector<WorkedSteps> worked_steps(const Link& link, const LinkCircuit& circuit,
                                      const std::vector<StatePoint>& nominal) {
    std::vector<WorkedSteps> all;
    for (const Side side : {Side::input, Side::output}) {
        for (auto& string : strings_of(link, side)) {
            if (auto steps = StringWorker(link, circuit, nominal, std::move(string)).work()) {
                all.push_back(std::move(*steps));
            }
        }
    }
    return all;
}

}  // namespace gapwright
