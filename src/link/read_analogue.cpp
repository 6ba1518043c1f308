// [analogue]: what of the input side is varied, and where it is to arrive.
#include <cstddef>
#include <string>
#include <string_view>
#include <vector>
#include "card/part_kind.hpp"
#include "circuit/index.hpp"
#include "link/file_table.hpp"
#include "link/reading.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"
#include "source/toml_document.hpp"

namespace gapwright::reading {
namespace {

using K = AnalogueKey;

class AnalogueReader {
  public:
    AnalogueReader(Reading& reading, const Stated<K>& table) : reading_(reading), table_(table) {
        analogue_.place = table.place;
    }

    Analogue read() {
        if (const auto* state = table_.find(K::state)) {
            if (const auto found = state_at(reading_, state->value)) analogue_.state = *found;
        }
        read_drive();
        read_swing();
        read_output();
        return analogue_;
    }

  private:
    // The text under a key that must be there.
    const TomlValue* needed(K key, std::string_view message, std::string_view remedy) {
        if (!table_.find(key)) {
            reading_.problem(Cause::missing_key, analogue_.place, std::string(message),
                             std::string(remedy));
        }
        return text_at(reading_, table_, key);
    }

    void read_drive() {
        const auto* value = needed(K::drive, "the analogue signal states no drive",
                                   "write drive = \"supply\", or the name of a logic output");
        if (!value) return;
        const std::string& name = *value->text();
        if (name == "supply") {
            if (!reading_.link.input.supply) {
                reading_.problem(Cause::contradiction, value->place,
                                 "the input side has no supply that could be varied",
                                 "state supply below [input], or name a logic output");
            }
            return;
        }
        const auto index = reading_.link.find_part(name);
        if (!index) {
            std::vector<std::string> names = {"supply"};
            for (const auto& part : reading_.link.parts) {
                if (drives(part)) names.push_back(part.name);
            }
            reading_.problem(
                Cause::unknown_name, value->place,
                fmt::format("no part is called \"{}\"{}", name, did_you_mean(name, names)),
                "a drive is \"supply\" or a logic output of the input side");
            return;
        }
        const Part& part = reading_.link.parts[*index];
        if (part.readable && !drives(part)) {
            reading_.problem(Cause::contradiction, value->place,
                             fmt::format("{} is no logic output of the input side", name),
                             "a drive is \"supply\" or a logic output of the input side");
        }
        analogue_.drive = index;
    }

    static bool drives(const Part& part) {
        return part.description.kind == Kind::logic_output && part.input;
    }

    void read_swing() {
        if (!table_.find(K::swing)) {
            reading_.problem(Cause::missing_key, analogue_.place,
                             "the analogue signal states no swing",
                             "write for example swing = \"0.2 V\", peak, either side of the "
                             "drive's level");
            return;
        }
        const auto swing = spread_at(reading_, table_, K::swing);
        if (!swing) return;
        if (swing->varies()) {
            reading_.problem(Cause::contradiction, table_.find(K::swing)->value.place,
                             "a swing is one value, without a spread",
                             "write for example swing = \"0.2 V\"");
        }
        analogue_.swing = swing->nominal;
    }

    void read_output() {
        const auto* value = needed(K::output, "the analogue signal states no output",
                                   "write for example output = \"signal\", a node of the output "
                                   "side");
        if (!value) return;
        const std::string& name = *value->text();
        if (const auto node = reading_.link.output.find_node(name)) {
            if (*node == Node::side_return) {
                reading_.problem(Cause::contradiction, value->place,
                                 "the output is measured against the return",
                                 "name another node of the output side");
            }
            analogue_.output = *node;
            return;
        }
        if (reading_.link.input.find_node(name)) {
            reading_.problem(Cause::contradiction, value->place,
                             fmt::format("\"{}\" is a node of the input side", name),
                             "name a node of the output side");
            return;
        }
        const LinkSide& side = reading_.link.output;
        std::vector<std::string> names;
        for (std::size_t k = 0; k < side.node_names.size(); ++k) {
            if (side.node_is_named[k]) names.push_back(side.node_names[k]);
        }
        reading_.problem(Cause::unknown_name, value->place,
                         fmt::format("no node is called \"{}\"{}", name, did_you_mean(name, names)),
                         "nodes are the names in the paths that are no parts");
    }

    Reading& reading_;
    const Stated<K>& table_;
    Analogue analogue_;
};

}  // namespace

void read_analogue(Reading& reading) {
    const auto faults = reading.problems.size();
    const auto table = stated<K>(reading);
    if (!table) return;
    const Analogue analogue = AnalogueReader(reading, *table).read();
    if (reading.problems.size() == faults) reading.link.analogue = analogue;
}

}  // namespace gapwright::reading
