// Any bytes as a board plan: errors with text, or a plan that is read back, every fault with text;
// what names all of its pins and holes comes out as it went in.
#include <cstdint>
#include <cstdlib>

#include "board/read_back.hpp"
#include "build/plan_file.hpp"
#include "build/wiring_of_link.hpp"

namespace {

const gapwright::Wiring& wiring() {
    using namespace gapwright;
    static const Wiring made = [] {
        const auto text = std::make_shared<const SourceText>("fuzz.link.toml", R"([input]
supply = "9 V"
paths = ["supply > S1 > R1 > U1 > return"]
[output]
supply = "5 V"
paths = ["supply > R2 > signal", "signal > U1 > return"]
[parts]
S1 = { kind = "contact" }
R1 = { kind = "resistor", value = "1 kΩ" }
U1 = { card = "four-pin-coupler-b" }
R2 = { kind = "resistor", value = "10 kΩ" }
[states]
on = { S1 = "closed" }
)");
        return wiring_of(*read_link(text, "."));
    }();
    return made;
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace gapwright;
    const auto text = std::make_shared<const SourceText>(
        "fuzz.csv", std::string(reinterpret_cast<const char*>(data), size));
    const auto table = read_plan_csv(text);
    if (!table) {
        if (table.error().empty() || to_text(table.error()).empty()) std::abort();
        return 0;
    }
    const auto faults = read_back(*table, wiring());
    for (const auto& fault : faults) {
        if (fault.text.empty()) std::abort();
    }
    const Plan plan = plan_of(*table, wiring());
    if (faults.empty() && !read_back(table_of(plan, wiring()), wiring()).empty()) std::abort();
    return 0;
}
