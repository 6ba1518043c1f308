// [[promise]]: what the link must hold.
#include <algorithm>
#include <array>
#include <cstddef>
#include <optional>
#include <utility>
#include <vector>

#include "card/part_kind.hpp"
#include "circuit/index.hpp"
#include "link/file_table.hpp"
#include "link/link.hpp"
#include "link/reading.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"
#include "source/toml_document.hpp"
#include "units/dimension.hpp"

namespace gapwright::reading {
namespace {

using K = PromiseKey;

class PromiseReader {
  public:
    PromiseReader(Reading& reading, const Stated<K>& table)
        : reading_(reading), table_(table), place_(table.place) {}

    void read() {
        const auto faults = reading_.problems.size();
        const FileTable& known = table_of(K{});
        refuse_unknown(reading_, table_.table, known, known.title);
        promise_.place = place_;
        promise_.reserve = reading_.link.surroundings.reserve;
        if (const auto reserve = spread_at(reading_, table_, K::reserve)) {
            promise_.reserve = reserve->nominal;
        }
        if (table_.find(K::signal)) {
            read_of_signal();
        } else {
            read_quantity();
            table_.find(K::change) ? read_change() : read_rest();
        }
        if (reading_.problems.size() == faults) {
            reading_.link.promises.push_back(std::move(promise_));
        }
    }

  private:
    void read_quantity() {
        const TomlEntry* stated = nullptr;
        K about = K::voltage;
        for (const K key : {K::current, K::voltage, K::power}) {
            const auto* entry = table_.find(key);
            if (!entry) continue;
            if (stated) {
                reading_.problems.push_back({.cause = Cause::contradiction,
                                             .place = entry->key_place,
                                             .message = "a promise is about one quantity",
                                             .remedy = "write two promises",
                                             .other = stated->key_place,
                                             .other_message = "the first stands here"});
                return;
            }
            stated = entry;
            about = key;
        }
        if (!stated) {
            reading_.problem(Cause::missing_key, place_, "the promise names no quantity",
                             "write for example current = \"D1\" or voltage = \"signal\"");
            return;
        }
        if (about == K::voltage) {
            promise_.quantity = Promise::Quantity::voltage;
            dimension_ = Dimension::voltage;
            read_nodes(stated->value);
        } else {
            const bool power = about == K::power;
            promise_.quantity = power ? Promise::Quantity::power : Promise::Quantity::current;
            dimension_ = power ? Dimension::power : Dimension::current;
            read_part(stated->value, stated->key);
        }
    }

    // PART, PART.receiver of a gap, or PART.base of a transistor.
    void read_part(const TomlValue& value, std::string_view key) {
        const auto* text = value.text();
        if (!text) {
            reading_.problem(
                Cause::wrong_type, value.place,
                fmt::format("{} is the name of a part, found {}", key, value.type_name()));
            return;
        }
        std::string name = *text;
        const auto ends = [&](std::string_view ending) {
            if (!name.ends_with(ending)) return false;
            name.resize(name.size() - ending.size());
            return true;
        };
        promise_.receiver = ends(".receiver");
        promise_.control = !promise_.receiver && ends(".base");
        promise_.text = fmt::format("{} {}", key, *text);
        const auto index = reading_.link.find_part(name);
        if (!index) {
            std::vector<std::string> names;
            for (const auto& part : reading_.link.parts) names.push_back(part.name);
            reading_.problem(
                Cause::unknown_name, value.place,
                fmt::format("no part is called \"{}\"{}", name, did_you_mean(name, names)));
            return;
        }
        const Part& part = reading_.link.parts[*index];
        promise_.part = *index;
        promise_.side =
            part.output && (!part.input || promise_.receiver) ? Side::output : Side::input;
        if (promise_.receiver && !part.is_gap()) {
            reading_.problem(Cause::contradiction, value.place,
                             fmt::format("{} is no gap and has no receiver", part.name));
        }
        const auto& placement = part.on(promise_.side);
        if (promise_.control &&
            (part.description.kind != Kind::transistor || !placement || !placement->control ||
             promise_.quantity == Promise::Quantity::power)) {
            reading_.problem(Cause::contradiction, value.place,
                             fmt::format("{} is not the current of a transistor's base", *text));
        }
    }

    void read_nodes(const TomlValue& value) {
        std::vector<const TomlValue*> names;
        if (value.text()) names.push_back(&value);
        if (const auto* list = value.array()) {
            for (const auto& item : *list) names.push_back(&item);
        }
        const bool texts = std::ranges::all_of(names, [](const auto* v) { return v->text(); });
        if (names.empty() || names.size() > 2 || !texts) {
            reading_.problem(Cause::wrong_type, value.place,
                             "a voltage is named by one node, or by two in a list",
                             "write for example voltage = \"signal\" or voltage = [\"supply\", "
                             "\"coil\"]");
            return;
        }
        const auto side = side_of(names, value);
        if (!side) return;
        promise_.side = *side;
        promise_.plus = *reading_.link.side(*side).find_node(*names[0]->text());
        promise_.text = fmt::format("voltage {}", *names[0]->text());
        if (names.size() == 2) {
            promise_.minus = *reading_.link.side(*side).find_node(*names[1]->text());
            promise_.text += fmt::format(" to {}", *names[1]->text());
        }
    }

    // The side on which every named node is; one of them where the promise says which.
    std::optional<Side> side_of(const std::vector<const TomlValue*>& names,
                                const TomlValue& value) {
        std::vector<Side> sides;
        for (const Side side : {Side::input, Side::output}) {
            const auto here = [&](const TomlValue* name) {
                return reading_.link.side(side).find_node(*name->text()).has_value();
            };
            if (std::ranges::all_of(names, here)) sides.push_back(side);
        }
        if (const auto* stated = text_at(reading_, table_, K::side)) {
            const std::string& word = *stated->text();
            if (word != "input" && word != "output") {
                reading_.problem(Cause::unknown_name, stated->place,
                                 "a side is \"input\" or \"output\"");
                return std::nullopt;
            }
            std::erase_if(sides, [&](Side side) { return side_name(side) != word; });
        }
        if (sides.size() == 1) return sides.front();
        if (sides.size() == 2) {
            reading_.problem(Cause::missing_key, value.place, "this name is a node of both sides",
                             "add side = \"output\"");
            return std::nullopt;
        }
        bool known = true;
        for (const auto* name : names) known = check_node(*name) && known;
        if (known) {
            reading_.problem(Cause::contradiction, value.place,
                             "these nodes are not on one side, and no voltage between the sides "
                             "is defined",
                             "name two nodes of one side");
        }
        return std::nullopt;
    }

    bool check_node(const TomlValue& name) {
        std::vector<std::string> names;
        for (const Side side : {Side::input, Side::output}) {
            const LinkSide& s = reading_.link.side(side);
            if (s.find_node(*name.text())) return true;
            for (std::size_t k = 0; k < s.node_names.size(); ++k) {
                if (s.node_is_named[k]) names.push_back(s.node_names[k]);
            }
        }
        reading_.problem(Cause::unknown_name, name.place,
                         fmt::format("no node is called \"{}\"{}", *name.text(),
                                     did_you_mean(*name.text(), names)),
                         "nodes are the names in the paths that are no parts");
        return false;
    }

    std::optional<double> bound(K key) {
        const auto spread = spread_at(reading_, table_.table, row_of(key), dimension_);
        if (!spread) return std::nullopt;
        if (spread->varies()) {
            reading_.problem(Cause::contradiction, table_.find(key)->value.place,
                             "a bound is one value, without a spread", bound_example());
        }
        return spread->nominal;
    }

    std::string bound_example() const {
        return fmt::format("write for example at_least = {}", dimension_example(dimension_));
    }

    void refuse(K key, std::string_view why) {
        if (const auto* entry = table_.find(key)) {
            reading_.problem(Cause::contradiction, entry->key_place, std::string(why));
        }
    }

    void read_rest() {
        refuse(K::reaches, "`reaches` belongs to a promise with `change`");
        refuse(K::within, "`within` belongs to a promise with `change`");
        const auto* state = table_.find(K::state);
        if (!state) {
            reading_.problem(Cause::missing_key, place_, "the promise names no state",
                             "write for example state = \"on\"");
        } else if (const auto index = state_at(reading_, state->value)) {
            promise_.state = *index;
        }
        promise_.at_least = bound(K::at_least);
        promise_.at_most = bound(K::at_most);
        if (!table_.find(K::at_least) && !table_.find(K::at_most)) {
            reading_.problem(Cause::missing_key, place_, "the promise states no bound",
                             bound_example());
        }
        if (promise_.at_least && promise_.at_most && *promise_.at_least > *promise_.at_most) {
            reading_.problems.push_back({.cause = Cause::contradiction,
                                         .place = table_.find(K::at_least)->value.place,
                                         .message = "no value is at least this and at most that",
                                         .remedy = "at_least is the lower of the two",
                                         .other = table_.find(K::at_most)->value.place,
                                         .other_message = "at_most stands here"});
        }
    }

    void read_change() {
        refuse(K::state, "a promise is about a state or about a change, not both");
        refuse(K::at_least, "a promise about a change has `reaches` and `within`");
        refuse(K::at_most, "a promise about a change has `reaches` and `within`");
        if (promise_.quantity == Promise::Quantity::current && !promise_.text.empty() &&
            reading_.link.parts[promise_.part].description.kind == Kind::capacitor) {
            reading_.problem(Cause::contradiction, place_,
                             "the current into a capacitor is not told",
                             "promise its voltage, or the current of a part in series with it");
        }
        const auto* entry = table_.find(K::change);
        const auto* list = entry->value.array();
        if (!list || list->size() != 2) {
            reading_.problem(Cause::wrong_type, entry->value.place,
                             "a change is a list of two states",
                             "write for example change = [\"off\", \"on\"]");
            return;
        }
        promise_.before = state_at(reading_, (*list)[0]);
        if (const auto after = state_at(reading_, (*list)[1])) promise_.state = *after;
        if (promise_.before == promise_.state && reading_.link.find_state(*(*list)[1].text())) {
            reading_.problem(Cause::contradiction, entry->value.place,
                             "a change is from one state to another");
        }
        promise_.reaches = bound(K::reaches);
        if (const auto within = spread_at(reading_, table_, K::within)) {
            promise_.within = within->nominal;
        }
        for (const K key : {K::reaches, K::within}) {
            if (!table_.find(key)) {
                reading_.problem(Cause::missing_key, place_,
                                 fmt::format("a promise about a change needs {}", name_of(key)),
                                 "write for example reaches = \"2 V\", within = \"20 µs\"");
            }
        }
    }

    // What each word of the key asks for besides, in their order.
    struct SignalWord {
        Promise::OfSignal quantity;
        K bound;                   // the key that states its bound
        std::string_view example;  // of that key
    };
    static constexpr std::array<SignalWord, 3> signal_words = {
        {{Promise::OfSignal::width_error, K::at_most, "at_most = \"10 %\""},
         {Promise::OfSignal::eye, K::at_least, "at_least = \"2 V\""},
         {Promise::OfSignal::highest_rate, K::at_least, "at_least = \"38 kBd\""}}};

    void read_of_signal() {
        for (const K key : {K::state, K::change, K::within, K::power}) {
            refuse(key,
                   fmt::format("`{}` does not belong to a promise about the signal", name_of(key)));
        }
        const TomlValue& value = table_.find(K::signal)->value;
        if (!reading_.link.signal) {
            reading_.problem(Cause::missing_key, value.place, "the link has no readable [signal]",
                             "write for example [signal] rate = \"9600 Bd\"");
        }
        const auto found =
            value.text() ? word_in(row_of(K::signal), *value.text()) : std::optional<std::size_t>();
        if (!found) {
            reading_.problem(Cause::unknown_name, value.place,
                             "a promise about the signal is about its \"pulse width error\", its "
                             "\"eye\" or its \"highest rate\"");
            return;
        }
        const std::string& word = *value.text();
        const SignalWord& asked = signal_words.at(*found);
        promise_.signal = asked.quantity;
        refuse(asked.bound == K::at_most ? K::at_least : K::at_most,
               fmt::format("\"{}\" is bounded by {}", word, name_of(asked.bound)));
        const bool rate = asked.quantity == Promise::OfSignal::highest_rate;
        if (rate) {
            for (const K key : {K::current, K::voltage, K::reaches, K::side}) {
                refuse(key, "the highest rate is that of all promises about the signal");
            }
            promise_.text = "highest rate";
        } else {
            read_quantity();
            promise_.text = fmt::format("{}, {}", word, promise_.text);
            promise_.reaches = bound(K::reaches);
            if (!table_.find(K::reaches)) {
                reading_.problem(Cause::missing_key, place_,
                                 "a promise about the signal needs the level at which pulses are "
                                 "timed",
                                 "write for example reaches = \"2.5 V\"");
            }
        }
        if (asked.quantity == Promise::OfSignal::width_error) dimension_ = Dimension::ratio;
        if (rate) dimension_ = Dimension::signalling_rate;
        (asked.bound == K::at_most ? promise_.at_most : promise_.at_least) = bound(asked.bound);
        if (!table_.find(asked.bound)) {
            reading_.problem(Cause::missing_key, place_, "the promise states no bound",
                             fmt::format("write for example {}", asked.example));
        }
    }

    Reading& reading_;
    const Stated<K>& table_;
    const Place& place_;
    Promise promise_;
    Dimension dimension_ = Dimension::voltage;
};

}  // namespace

void read_promises(Reading& reading) {
    const auto* entry = reading.find(RootKey::promise);
    if (!entry) return;
    const auto* list = entry->value.array();
    const bool tables =
        list && std::ranges::all_of(*list, [](const auto& v) { return v.table() != nullptr; });
    if (!tables) {
        reading.problem(Cause::wrong_type, entry->value.place, "promises are a list of tables",
                        "head each with [[promise]]");
        return;
    }
    if (list->size() > most_promises) {
        reading.problem(Cause::too_large, entry->key_place,
                        fmt::format("the link has {} promises, more than the {} it may have",
                                    list->size(), most_promises));
        return;
    }
    for (const auto& value : *list) {
        // the line of [[promise]] stands for the table as a whole
        const Stated<K> table{*value.table(), value.place};
        PromiseReader(reading, table).read();
    }
    for (const auto& promise : reading.link.promises) {
        if (promise.signal != Promise::OfSignal::highest_rate) continue;
        const bool bounded = std::ranges::any_of(reading.link.promises, [](const Promise& other) {
            return other.signal && other.signal != Promise::OfSignal::highest_rate;
        });
        if (bounded) continue;
        reading.problem(Cause::missing_key, promise.place,
                        "the highest rate is that at which other promises about the signal hold, "
                        "and the link has none",
                        "promise its \"pulse width error\" or its \"eye\" as well");
        return;
    }
}

}  // namespace gapwright::reading
