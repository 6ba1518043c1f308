#include "report/pictures/schematic_view.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "circuit/index.hpp"
#include "draw/schematic.hpp"
#include "link/link.hpp"
#include "proof/cases/case.hpp"
#include "proof/proof.hpp"
#include "report/pictures/load_doing.hpp"
#include "report/pictures/part_symbol.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

constexpr double shown_current = 1e-6;  // A: less moves nothing, and few meters show it

// A figure of a state with its band, where the state has one of that name.
struct Flow {
    double nominal = 0;
    std::string text;
    std::string range;  // of all specimens; empty without a proof
};
std::optional<Flow> flow(const std::vector<std::pair<std::string, double>>& figures,
                         const std::vector<Band>& bands, std::string_view name,
                         Dimension dimension) {
    for (std::size_t k = 0; k < figures.size(); ++k) {
        if (figures[k].first != name) continue;
        Flow found{figures[k].second, metered(figures[k].second, dimension), ""};
        if (k < bands.size()) {
            found.range = engineering_range(bands[k].lowest, bands[k].highest, dimension, 3);
        }
        return found;
    }
    return std::nullopt;
}

// By the current of an emitter.
Shine shine_at(double current) {
    if (current < shown_current) return Shine::dark;
    if (current < 1e-3) return Shine::weak;
    return current < 5e-3 ? Shine::medium : Shine::strong;
}

class Viewer {
  public:
    // Without a solved point (`now` is none) what flows is left out.
    Viewer(const Link& link, const NominalState* now, std::size_t state, Ranges ranges)
        : link_(link), now_(now), state_(state), ranges_(ranges) {}

    SchematicSide side(Side which) const {
        SchematicSide view;
        const LinkSide& source = link_.side(which);
        if (source.supply) {
            view.supply_note =
                with_tolerance(source.supply->at(Key::voltage).spread, Dimension::voltage);
        }
        for (const auto& path : source.paths) add_path(which, path, view);
        for (std::size_t n = 2; n < source.node_names.size(); ++n) {
            if (!source.node_is_named[n]) continue;
            const std::string& name = source.node_names[n];
            const auto voltage = voltage_of(which, name);
            view.nodes.push_back(
                {name, voltage ? voltage->text : "",
                 voltage && ranges_ == Ranges::written ? voltage->range : std::string()});
        }
        return view;
    }

  private:
    void add_path(Side which, const Path& path, SchematicSide& view) const {
        SchematicStrand strand{.from = path.front().name, .to = {}, .parts = {}};
        for (std::size_t k = 1; k < path.size(); ++k) {
            if (path[k].part) {
                strand.parts.push_back(part(which, *path[k].part));
                continue;
            }
            strand.to = path[k].name;
            view.strands.push_back(strand);
            strand = {.from = path[k].name, .to = {}, .parts = {}};
        }
    }

    SchematicPart part(Side which, std::size_t index) const {
        const Part& source = link_.parts[index];
        SchematicPart view;
        view.name = source.name;
        view.symbol = symbol_of(source.description, which);
        view.at_gap = source.is_gap();
        view.to_choose = source.description.value_to_choose;
        const auto& settings = link_.states[state_].settings;
        const auto setting = settings.find(index);
        view.closed = setting != settings.end() && setting->second == Setting::closed;
        if (const auto& control = source.on(which)->control) {
            view.control_node = link_.side(which).node_names[to_index(*control)];
        }
        const bool receiver = source.is_gap() && which == Side::output;
        const bool open_emitter = source.description.emitter && which == Side::input;
        const std::string value =
            open_emitter ? source.description.emitter->card : part_value(source);
        // What a packaged gap is stands at its light, for both halves.
        if (source.description.kind == Kind::coupler) view.body = value;
        if (!value.empty() && view.body.empty()) view.notes.push_back(value);
        if (setting != settings.end()) {
            view.notes.emplace_back(setting_word(setting->second));
            view.press = pressed(index);
        }
        if (!now_) return view;
        const auto current =
            flow(now_->currents, now_->current_bands,
                 receiver ? source.name + ".receiver" : source.name, Dimension::current);
        if (current) {
            view.live = std::abs(current->nominal) >= shown_current;
            if (source.is_gap() && !receiver) view.shine = shine_at(current->nominal);
        }
        const double flowing = view.live ? current->nominal : 0;
        const auto does = what_it_does(source.description, flowing, pin_voltage(source, which));
        view.active = does.active;
        if (!does.word.empty()) view.notes.push_back(does.word);
        if (!current) return view;
        view.notes.push_back(current->text);
        view.range = current->range;
        if (ranges_ == Ranges::written && !current->range.empty()) {
            view.notes.push_back(current->range);
        }
        return view;
    }

    std::optional<Flow> voltage_of(Side which, std::string_view node) const {
        if (now_ == nullptr) return std::nullopt;
        return flow(now_->voltages, now_->voltage_bands,
                    fmt::format("{}.{}", side_name(which), node), Dimension::voltage);
    }

    // Of the node at which a part's current enters.
    std::optional<double> pin_voltage(const Part& part, Side which) const {
        const auto& names = link_.side(which).node_names;
        const auto pin = voltage_of(which, names[to_index(part.on(which)->from)]);
        return pin ? std::optional(pin->nominal) : std::nullopt;
    }

    // The state in which this part alone is set otherwise, or, where there is none, the next in
    // which it is; empty where it never is.
    std::string pressed(std::size_t part) const {
        const auto& now = link_.states[state_].settings;
        const State* best = nullptr;
        std::size_t fewest = 0;
        for (std::size_t k = 1; k < link_.states.size(); ++k) {
            const State& other = link_.states[(state_ + k) % link_.states.size()];
            std::size_t changed = 0;
            for (const auto& [which, setting] : other.settings) {
                const auto before = now.find(which);
                changed += before == now.end() || before->second != setting ? 1U : 0U;
            }
            const auto own = other.settings.find(part);
            if (own == other.settings.end() || own->second == now.at(part)) continue;
            if (best == nullptr || changed < fewest) {
                best = &other;
                fewest = changed;
            }
        }
        return best == nullptr ? "" : best->name;
    }

    const Link& link_;
    const NominalState* now_;
    std::size_t state_;
    Ranges ranges_;
};

SchematicInput whole_view(const Link& link, const NominalState* now, std::size_t state,
                          Ranges ranges) {
    const Viewer viewer(link, now, state, ranges);
    const std::string title = link.title.empty() ? link.file : link.title;
    // Not to scale, so told; couplers keep their own inside.
    std::string measure;
    for (const auto& part : link.parts) {
        const auto* distance = part.description.find(Key::distance);
        if (distance && measure.empty()) {
            measure = engineering_short(distance->spread.nominal, Dimension::length);
        }
    }
    return {.title = fmt::format("{}, state {}", title, link.states[state].name),
            .description =
                "Schematic: input side on the left, the gap as a hatched strip, output "
                "side on the right.",
            .input = viewer.side(Side::input),
            .output = viewer.side(Side::output),
            .gap_measure = measure};
}

}  // namespace

void mark_case(SchematicInput& drawn, const Link& link, const Case& figures) {
    const auto note = [&](SchematicPart& part) {
        const auto own = std::ranges::find(link.parts, part.name, &Part::name);
        const auto index = static_cast<std::size_t>(own - link.parts.begin());
        for (const auto& figure : figures) {
            if (figure.kind != Varying::parameter || !figure.figure.is_of_part(index)) continue;
            if (figure.nominal == 0 || figure.value == figure.nominal) continue;
            const double off = figure.value / figure.nominal - 1;
            part.notes.push_back(fmt::format("{} {}{}", spoken_key(figure.figure.key),
                                             off > 0 ? "+" : "", percent(off, 2)));
        }
    };
    for (SchematicSide* side : {&drawn.input, &drawn.output}) {
        for (auto& strand : side->strands) std::ranges::for_each(strand.parts, note);
    }
}

SchematicInput schematic_view(const Link& link, const Proof& proof, std::size_t state,
                              Ranges ranges) {
    return whole_view(link, &proof.states[state], state, ranges);
}

SchematicInput schematic_view(const Link& link, std::size_t state) {
    return whole_view(link, nullptr, state, Ranges::aside);
}

}  // namespace gapwright
