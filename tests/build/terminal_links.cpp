#include "build/terminal_links.hpp"

#include <map>
#include <random>
#include <utility>

namespace gapwright::testing_support {
namespace {

class LinkMaker {
  public:
    explicit LinkMaker(std::uint64_t number) : number_(number), random_(number) {}

    TerminalLink make() {
        for (const std::string side : {"input", "output"}) {
            side_ = side;
            nodes_.clear();
            const std::size_t all = part_variants().size();
            // One in turn, the others at random.
            strand(part_variants()[(number_ + (side == "input" ? 0 : all / 2)) % all]);
            gap(side == "input");
            for (std::size_t k = random_() % 3; k > 0; --k) strand(part_variants()[below(all)]);
            name_twice();
        }
        std::string text = "title = \"Made up\"\n";
        for (const std::string side : {"input", "output"}) {
            text += "[" + side + "]\n" + supply() + "paths = [\n" + paths_[side] + "]\n";
        }
        return {text + "[parts]\n" + parts_, held_};
    }

  private:
    std::size_t below(std::size_t count) { return random_() % count; }
    bool chance(std::size_t one_in) { return below(one_in) == 0; }

    std::string supply() {
        switch (below(3)) {
            case 0:
                return "supply = \"12 V ± 5 %\"\n";
            case 1:
                return "supply = { voltage = \"9 V\", resistance = \"2 Ω\" }\n";
            default:
                return "supply = { card = \"battery-9v\" }\n";
        }
    }

    std::string add(const std::string& letter, const std::string& text) {
        const std::string name = letter + std::to_string(++numbers_[letter]);
        parts_ += name + " = " + text + "\n";
        return name;
    }
    std::string resistor() { return add("R", "{ kind = \"resistor\", value = \"1 kΩ\" }"); }

    void path(const std::string& text) { paths_[side_] += "  \"" + text + "\",\n"; }

    // Supply, return, or a node that is there already; another than `besides`.
    std::string some_node(const std::string& besides) {
        std::vector<std::string> all = nodes_;
        all.insert(all.end(), {"supply", "return"});
        std::erase(all, besides);
        return all[below(all.size())];
    }

    // " > " or, at random, " > NODE > " with a node of its own, which others may then use.
    std::string joint() {
        if (!chance(2)) return " > ";
        const std::string name =
            side_.substr(0, side_.size() - 3) + std::to_string(nodes_.size() + fresh_.size());
        fresh_.push_back(name);
        return " > " + name + " > ";
    }

    // What holds current on either side of the part keeps every supply from being shorted.
    void run(const std::string& name, bool is_logic_output) {
        const std::string from = is_logic_output ? "supply" : some_node("");
        const std::string to = some_node(from);
        std::string text = from + (is_logic_output ? "" : " > " + resistor() + joint());
        if (is_logic_output) text += " > ";
        text += name + joint() + resistor() + " > " + to;
        path(text);
        settle();
    }

    void settle() {
        nodes_.insert(nodes_.end(), fresh_.begin(), fresh_.end());
        fresh_.clear();
    }

    // A node that nothing else has come to stands where one path ends and another begins.
    void name_twice() {
        std::string& paths = paths_[side_];
        for (const auto& node : nodes_) {
            const std::string within = " > " + node + " > ";
            const auto at = paths.find(within);
            const bool elsewhere = paths.contains("\"" + node + " > ") ||
                                   paths.contains(" > " + node + "\"") ||
                                   paths.find(within, at + 1) != std::string::npos;
            if (at == std::string::npos || elsewhere) continue;
            paths.replace(at, within.size(), " > " + node + "\",\n  \"" + node + " > ");
        }
    }

    void control(const std::string& node) {
        const std::string other = some_node("");
        path(chance(2) ? other + " > " + resistor() + " > " + node
                       : node + " > " + resistor() + " > " + other);
        // Now and then something else hangs there, too.
        if (chance(2)) path(node + " > " + resistor() + " > " + some_node(node));
        nodes_.push_back(node);
    }

    void strand(const PartVariant& variant) {
        const std::string name = add(variant.letter, variant.text);
        held_.push_back(side_ + " " + variant.name);
        if (variant.name == "logic input") {
            // Between a node and the return, as inputs stand; or on anything else.
            const std::string from = some_node("return");
            path(from + " > " + name + " > " + (chance(2) ? "return" : some_node(from)));
            return;
        }
        run(name, variant.name == "logic output");
        if (!variant.control.empty()) control(name + "." + variant.control);
    }

    void gap(bool is_input) {
        const PartVariant& variant = gap_variants()[number_ % gap_variants().size()];
        if (is_input) {
            gap_ = add("U", variant.text);
            held_.push_back("gap " + variant.name);
            run(gap_, false);
            return;
        }
        run(gap_, false);
        if (!variant.control.empty()) control(gap_ + "." + variant.control);
    }

    std::uint64_t number_;
    std::mt19937_64 random_;
    std::string side_;
    std::map<std::string, std::string> paths_;
    std::string parts_;
    std::string gap_;
    std::map<std::string, int> numbers_;
    std::vector<std::string> nodes_;  // of the side in hand
    std::vector<std::string> fresh_;  // of the path in hand
    std::vector<std::string> held_;
};

std::string pair_of(const std::string& emitter, const std::string& receiver) {
    return "{ kind = \"pair\", emitter = " + emitter + ", receiver = " + receiver +
           ", distance = \"10 mm\" }";
}

std::string coupler(const std::string& more) {
    return "{ kind = \"coupler\", forward = \"1.2 V at 10 mA\"" + more + " }";
}

}  // namespace

const std::vector<PartVariant>& part_variants() {
    const std::string bipolar = "{ kind = \"transistor\", polarity = ";
    const std::string field = "{ kind = \"mosfet\", channel = ";
    static const std::vector<PartVariant> all{
        {"resistor", "{ kind = \"resistor\", value = \"4.7 kΩ\" }", "R", ""},
        {"capacitor", "{ kind = \"capacitor\", value = \"10 nF\" }", "C", ""},
        {"electrolytic capacitor", "{ kind = \"capacitor\", value = \"10 µF\" }", "C", ""},
        {"inductor", "{ kind = \"inductor\", value = \"1 mH\" }", "L", ""},
        {"contact", "{ kind = \"contact\" }", "S", ""},
        {"diode", "{ kind = \"diode\", forward = \"0.7 V at 10 mA\" }", "D", ""},
        {"led", "{ card = \"red-led\" }", "D", ""},
        {"zener", "{ kind = \"zener\", forward = \"0.7 V at 10 mA\", zener_voltage = \"6.8 V\" }",
         "Z", ""},
        {"npn", "{ card = \"npn-small\" }", "Q", "base"},
        {"pnp", "{ card = \"pnp-small\" }", "Q", "base"},
        {"npn, pins bce", bipolar + "\"npn\", pins = \"bce\" }", "Q", "base"},
        {"pnp, pins cbe", bipolar + "\"pnp\", pins = \"cbe\" }", "Q", "base"},
        {"n-channel", field + "\"n\" }", "M", "gate"},
        {"p-channel", field + "\"p\" }", "M", "gate"},
        {"n-channel, pins dgs", field + "\"n\", pins = \"dgs\" }", "M", "gate"},
        {"p-channel, pins sgd", field + "\"p\", pins = \"sgd\" }", "M", "gate"},
        {"coil", "{ kind = \"coil\", resistance = \"400 Ω\" }", "K", ""},
        {"load", "{ kind = \"load\", resistance = \"1 kΩ\" }", "H", ""},
        {"logic output", "{ card = \"logic-output-5v\" }", "P", ""},
        {"logic input", "{ card = \"logic-input-5v\" }", "J", ""},
    };
    return all;
}

const std::vector<PartVariant>& gap_variants() {
    const std::string led =
        "{ kind = \"led\", forward = \"1.25 V at 20 mA\", "
        "radiant_intensity = \"8 mW/sr at 20 mA\" }";
    const std::string receiver =
        "{ kind = \"phototransistor\", sensitivity = \"5 µA at 10 W/m²\" }";
    const std::string six = ", package = \"6\"";
    const std::string twice = ", second_gain = 100";
    static const std::vector<PartVariant> all{
        {"four pins", coupler(""), "U", ""},
        {"six pins", coupler(six), "U", ""},
        {"six pins, base used", coupler(six), "U", "base"},
        {"card of four pins", "{ card = \"four-pin-coupler-b\" }", "U", ""},
        {"card with six pins, base used", "{ card = \"four-pin-coupler-b\"" + six + " }", "U",
         "base"},
        {"darlington of four pins", coupler(twice), "U", ""},
        {"darlington of six pins, base used", coupler(six + twice), "U", "base"},
        {"pair", pair_of("\"infrared-led\"", "\"infrared-receiver\""), "U", ""},
        {"pair, base used", pair_of(led, receiver), "U", "base"},
        {"darlington pair, base used",
         pair_of(led, receiver.substr(0, receiver.size() - 2) + twice + " }"), "U", "base"},
        {"pair with a light-dependent resistor", pair_of("\"white-led\"", "\"ldr-5mm\""), "U", ""},
    };
    return all;
}

TerminalLink terminal_link(std::uint64_t number) {
    return LinkMaker(number).make();
}

}  // namespace gapwright::testing_support
