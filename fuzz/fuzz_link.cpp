// Any bytes as a link file: errors with text, or a valid link whose circuit is built and whose
// nominal point is solved or said not to settle.
#include <cstdint>
#include <cstdlib>

#include "proof/proof.hpp"
#include "proof/prove.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace gapwright;
    const auto text = std::make_shared<const SourceText>(
        "fuzz.link.toml", std::string(reinterpret_cast<const char*>(data), size));
    const auto link = read_link(text, "no-such-folder");
    if (!link) {
        if (link.error().empty() || to_text(link.error()).empty()) std::abort();
        return 0;
    }
    const auto circuit = build_circuit(*link);
    if (!circuit) {
        if (to_text(circuit.error()).empty()) std::abort();
        return 0;
    }
    if (link->parts.size() > 12) return 0;  // keeps each input quick
    const auto proof = prove(*link, *circuit, {.nominal_only = true});
    if (!proof && proof.error().message.empty()) std::abort();
    return 0;
}
