#include "build/link_terminals.hpp"

#include <cstdlib>
#include <fstream>
#include <regex>
#include <set>
#include <sstream>
#include <stdexcept>
#include <vector>

namespace gapwright::testing_support {
namespace {

// The names of a part's pins by kind: where current enters, where it leaves, and what controls it.
struct PinNames {
    std::string enters;
    std::string leaves;
    std::string control;
};
const std::map<std::string, PinNames> pin_names{
    {"resistor", {"1", "2", ""}},
    {"inductor", {"1", "2", ""}},
    {"contact", {"1", "2", ""}},
    {"coil", {"1", "2", ""}},
    {"load", {"1", "2", ""}},
    {"capacitor", {"1", "2", ""}},
    {"electrolytic capacitor", {"plus", "minus", ""}},
    {"diode", {"anode", "cathode", ""}},
    {"led", {"anode", "cathode", ""}},
    {"zener", {"anode", "cathode", ""}},
    {"npn", {"collector", "emitter", "base"}},
    {"pnp", {"emitter", "collector", "base"}},
    {"n-channel", {"drain", "source", "gate"}},
    {"p-channel", {"source", "drain", "gate"}},
    {"logic output", {"", "pin", ""}},
    {"logic input", {"pin", "return", ""}},
    {"four pins, input", {"1 anode", "2 cathode", ""}},
    {"four pins, output", {"4 collector", "3 emitter", ""}},
    {"six pins, input", {"1 anode", "2 cathode", ""}},
    {"six pins, output", {"5 collector", "4 emitter", "6 base"}},
    {"pair, input", {"anode", "cathode", ""}},
    {"phototransistor", {"collector", "emitter", "base"}},
    {"light-dependent resistor", {"1", "2", ""}},
};

// What stands in quotes behind the first `key =` that is a whole word; empty where there is none.
std::string word(const std::string& text, const std::string& key) {
    std::smatch found;
    const std::regex wanted("(^|[^A-Za-z_.])" + key + " = \"([^\"]*)\"");
    return std::regex_search(text, found, wanted) ? found[2].str() : "";
}

std::string card_text(const std::string& name) {
    std::ifstream file(PROJECT_FOLDER "/cards/" + name + ".card.toml");
    std::stringstream text;
    text << file.rdbuf();
    if (text.str().empty()) throw std::runtime_error("no card " + name);
    return text.str();
}

std::vector<std::string> items_of(const std::string& path) {
    std::vector<std::string> items;
    std::istringstream words(path);
    for (std::string item; words >> item;) {
        if (item != ">") items.push_back(item);
    }
    return items;
}

class TextReader {
  public:
    explicit TextReader(const std::string& text) {
        std::istringstream lines(text);
        std::string section;
        for (std::string line; std::getline(lines, line);) {
            if (line.starts_with('[')) section = line.substr(1, line.find(']') - 1);
            if (section == "input" || section == "output") {
                if (line.starts_with("supply")) continue;
                // Whatever is in quotes is a path.
                for (std::size_t at = line.find('"'); at != std::string::npos;) {
                    const std::size_t end = line.find('"', at + 1);
                    paths_.emplace_back(section, items_of(line.substr(at + 1, end - at - 1)));
                    at = line.find('"', end + 1);
                }
            } else if (section == "parts" && line.find(" = ") != std::string::npos) {
                parts_[line.substr(0, line.find(" = "))] = line.substr(line.find(" = ") + 3);
            }
        }
    }

    LinkTerminals run() {
        for (const auto& [side, items] : paths_) {
            std::string here = side + " " + items.front();
            std::string before = items.front();
            for (std::size_t k = 1; k < items.size(); ++k) {
                before += " > " + items[k];
                if (!parts_.contains(items[k])) continue;
                const bool named = !parts_.contains(items.at(k + 1));
                const std::string next =
                    side + " " + (named ? items[k + 1] : before + " " + std::to_string(k));
                place(side, items[k], here, next);
                here = next;
            }
        }
        for (const auto& [name, text] : parts_) {
            if (name_of(text) != "coupler") continue;
            if (has_six_pins(text)) alone(name + " 3 unused");
            if (has_six_pins(text) && !result_.pins.contains(name + " 6 base")) {
                alone(name + " 6 base");
            }
        }
        for (const std::string side : {"input", "output"}) add_supply(side);
        return result_;
    }

  private:
    static std::string own_or_cards(const std::string& text, const std::string& key) {
        const std::string own = word(text, key);
        const std::string card = word(text, "card");
        return own.empty() && !card.empty() ? word(card_text(card), key) : own;
    }

    static std::string name_of(const std::string& text) { return own_or_cards(text, "kind"); }

    static bool has_six_pins(const std::string& text) {
        return own_or_cards(text, "package") == "6";
    }

    static double farads(const std::string& value) {
        const double number = std::strtod(value.c_str(), nullptr);
        for (const auto& [unit, size] :
             {std::pair{"µF", 1e-6}, std::pair{"nF", 1e-9}, std::pair{"pF", 1e-12}}) {
            if (value.ends_with(unit)) return number * size;
        }
        return number;
    }

    // The row of `pin_names`.
    static std::string kind_of(const std::string& side, const std::string& text) {
        // A pair's own kind stands before those of its halves.
        const std::string kind = name_of(text);
        if (kind == "transistor") return own_or_cards(text, "polarity") == "pnp" ? "pnp" : "npn";
        if (kind == "mosfet") {
            return own_or_cards(text, "channel") == "p" ? "p-channel" : "n-channel";
        }
        if (kind == "coupler") return (has_six_pins(text) ? "six pins, " : "four pins, ") + side;
        if (kind == "capacitor") {
            return farads(word(text, "value")) >= 1e-6 ? "electrolytic capacitor" : "capacitor";
        }
        if (kind != "pair") return kind;
        if (side == "input") return "pair, input";
        const std::string table = text.substr(text.find("receiver = "));
        const bool by_card = table.starts_with("receiver = \"");
        return by_card ? word(card_text(word(table, "receiver")), "kind") : word(table, "kind");
    }

    void place(const std::string& side, const std::string& name, const std::string& from,
               const std::string& to) {
        const std::string& text = parts_.at(name);
        const std::string kind = kind_of(side, text);
        const PinNames& names = pin_names.at(kind);
        const bool gap = name_of(text) == "coupler" || name_of(text) == "pair";
        const std::string half = kind == "phototransistor" || kind == "light-dependent resistor"
                                     ? " receiver"
                                 : kind == "pair, input" ? " emitter"
                                                         : "";
        const auto put = [&](const std::string& end, const std::string& pin,
                             const std::string& node) {
            result_.ends[(gap ? side + " " : "") + name + " " + end] = node;
            // An input's return comes with its side's supply.
            if (pin == "return" && node.ends_with(" return")) return;
            result_.pins[name + half + " " + pin] = node;
        };
        if (!names.enters.empty()) put("from", names.enters, from);
        put("to", names.leaves, to);
        const bool row = names.control == "gate" || kind == "npn" || kind == "pnp";
        const std::string control =
            side + " " + name + (names.control == "gate" ? ".gate" : ".base");
        if (!names.control.empty() && (row || is_named(side, control))) {
            put("control", names.control, control);
        }
        if (!row) return;
        const std::string order = own_or_cards(text, "pins");
        result_.rows[name] = !order.empty() ? order : names.control == "gate" ? "gds" : "ebc";
    }

    bool is_named(const std::string& side, const std::string& node) const {
        for (const auto& [of, items] : paths_) {
            for (const auto& item : items) {
                if (of == side && side + " " + item == node) return true;
            }
        }
        return false;
    }

    void alone(const std::string& pin) { result_.pins[pin] = "nothing but " + pin; }

    // Plus and minus, where anything else that has a pin is on them.
    void add_supply(const std::string& side) {
        std::set<std::string> used;
        for (const auto& [pin, node] : result_.pins) used.insert(node);
        if (used.contains(side + " supply")) result_.pins[side + " supply +"] = side + " supply";
        if (used.contains(side + " return")) result_.pins[side + " supply -"] = side + " return";
    }

    std::vector<std::pair<std::string, std::vector<std::string>>> paths_;  // by side
    std::map<std::string, std::string> parts_;
    LinkTerminals result_;
};

}  // namespace

LinkTerminals link_terminals(const std::string& text) {
    return TextReader(text).run();
}

}  // namespace gapwright::testing_support
