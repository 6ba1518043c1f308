#include <fmt/format.h>
#include <expected>
#include <string>
#include <string_view>
#include <utility>

#include "folder/folder.hpp"
#include "page/edits.hpp"
#include "page/examples.hpp"
#include "page/folder_view.hpp"
#include "page/json.hpp"
#include "page/offers.hpp"
#include "page/refusal.hpp"
#include "page/typed_value.hpp"
#include "page/workspace.hpp"
#include "report/json/ordered_json.hpp"
#include "source/toml_edit.hpp"

namespace gapwright {
namespace {

// The smallest link that there is: a contact lights a coupler, whose receiver pulls a node down.
constexpr std::string_view blank = R"(title = "New link"

[surroundings]
temperature = "0 .. 40 °C"

[input]
supply = "5 V ± 5 %"
paths = ["supply > S1 > R1 > U1 > return"]

[output]
supply = "5 V ± 5 %"
paths = ["supply > R2 > data", "data > U1 > return"]

[parts]
S1 = { kind = "contact" }
R1 = { kind = "resistor", value = "470 Ω ± 5 %", power = "0.25 W" }
U1 = { card = "four-pin-coupler-b" }
R2 = { kind = "resistor", value = "4.7 kΩ ± 5 %", power = "0.25 W" }

[states]
on = { S1 = "closed" }
off = { S1 = "open" }

[[promise]]
state = "on"
voltage = "data"
at_most = "0.8 V"

[[promise]]
state = "off"
voltage = "data"
at_least = "3.5 V"
)";

constexpr std::string_view need = R"(title = "New link"

[surroundings]
temperature = "0 .. 40 °C"

[input]
supply = "5 V ± 5 %"

[output]
supply = "24 V ± 10 %"

[need]
drive = { card = "logic-output-5v" }
load = { card = "relay-coil-24v" }
)";

// What a form of a need filled in, as edits of the text above.
Json need_edits(const Json& values) {
    Json edits = Json::array();
    const auto set = [&](const char* key, Json at) {
        const std::string text = text_in(values, key);
        if (!text.empty()) edits.push_back({{"at", std::move(at)}, {"text", text}});
    };
    const auto set_part = [&](const char* key) {
        const std::string text = text_in(values, key);
        if (text.empty()) return;
        const Json at = {"need", key};
        // Words of an offer, or a card's name.
        const auto offer = offered_value(*toml_path(at), text);
        edits.push_back(
            {{"at", at},
             {"text", offer ? text : fmt::format("{{ card = {} }}", toml_string(text))}});
    };
    set("title", {"title"});
    set("about", {"about"});
    set("input_supply", {"input", "supply"});
    set("output_supply", {"output", "supply"});
    set_part("drive");
    set_part("load");
    set("rate", {"need", "rate"});
    set("when", {"need", "when"});
    return edits;
}

// Needs of the examples name a drawer, which comes with them unless there is one.
void bring_drawer(const Workspace& workspace) {
    for (const auto& file : example_needs()) {
        if (file.name.ends_with(".csv")) {
            (void)workspace.folder().save(file.name, file.text,
                                          {.replace = false, .last_look = {}});
        }
    }
}

Answered<std::string> example_text(Workspace& workspace, const std::string& id) {
    const auto path = workspace.ids().path_of(id);
    for (const auto& [group, files] :
         {std::pair("example", example_links()), std::pair("need", example_needs())}) {
        for (const auto& file : files) {
            if (!path || *path != fmt::format("({}) {}", group, file.name)) continue;
            if (std::string_view(group) == "need") bring_drawer(workspace);
            return std::string(file.text);
        }
    }
    return refused(404, "there is no such example");
}

Answered<std::string> text_for(Workspace& workspace, const Json& order) {
    const std::string from = text_in(order, "from");
    const std::string source = text_in(order, "source");
    if (from == "example") return example_text(workspace, source);
    if (from == "blank") return std::string(blank);
    if (from == "need") {
        const auto made =
            apply_edits(std::string(need), need_edits(order.value("values", Json::object())),
                        {FileSort::link, workspace.folder().path().string()});
        if (!made) return std::unexpected(made.error());
        return made->text;
    }
    if (from == "copy") {
        const auto link = workspace.link(source);
        if (!link) return std::unexpected(link.error());
        return (*link)->hold().file.text();
    }
    return refused(400, "there is nothing to begin a link with");
}

}  // namespace

Answered<std::string> make_new_link(Workspace& workspace, const Json& order) {
    const auto file = new_file_name(text_in(order, "name"), ".link.toml");
    if (!file) return refused(422, file.error());
    auto text = text_for(workspace, order);
    if (!text) return std::unexpected(text.error());
    return workspace.make_link(*file, std::move(*text));
}

}  // namespace gapwright
