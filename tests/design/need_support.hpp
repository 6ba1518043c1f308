// The six needs of Averley, for tests.
#pragma once

#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>
#include <vector>

#include "design/arrangements/catalogue.hpp"

namespace gapwright::testing_support {

inline const std::string needs_folder = PROJECT_FOLDER "/examples/clock-tower/needs";

inline const std::vector<std::string>& example_needs() {
    static const std::vector<std::string> names = {"bell-hammer",   "lamp-watch", "pendulum-beat",
                                                   "night-silence", "chime-bus",  "winder-motor"};
    return names;
}

inline std::string example_text(const std::string& name) {
    std::ifstream stream(needs_folder + "/" + name + ".link.toml", std::ios::binary);
    std::ostringstream text;
    text << stream.rdbuf();
    return text.str();
}

inline Expected<Need> need_from(const std::string& text) {
    return read_need(std::make_shared<const SourceText>("need.link.toml", text), needs_folder);
}

inline Expected<Link> link_of(const std::string& text) {
    return read_link(std::make_shared<const SourceText>("draft.link.toml", text), needs_folder);
}

// A need whose every figure is given; tests replace parts of it.
inline std::string plain_need() {
    return R"(title = "Plain"
[input]
supply = "5 V ± 5 %"
[output]
supply = "12 V ± 10 %"
[need]
drive = { kind = "logic output", high = "4.75 .. 5 V", source_limit = "8 mA" }
load = { kind = "coil", resistance = "400 Ω ± 10 %", pull_in = "8.4 V", drop_out = "1.2 V" }
[choose]
gaps = ["four-pin-coupler-c"]
indicator = "either"
)";
}

// The same for other loads.
inline const std::string plain_coil =
    R"({ kind = "coil", resistance = "400 Ω ± 10 %", pull_in = "8.4 V", drop_out = "1.2 V" })";

}  // namespace gapwright::testing_support
