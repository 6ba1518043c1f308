#include "reference/outside_subjects.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "reference/made_networks.hpp"
#include "support/link_text.hpp"

namespace gapwright::reference {
namespace {

Subject subject(const std::filesystem::path& file) {
    const auto link = read_link_file(file.string());
    if (!link) throw std::runtime_error(to_text(link.error()));
    auto circuit = build_circuit(*link);
    if (!circuit) throw std::runtime_error(to_text(circuit.error()));
    return {file.stem().stem().string(), *link, std::move(*circuit)};
}

// A made-up link has no spreads: they are put on here, as wide as benches see them.
double width_of(const std::string& name) {
    const auto ends = [&](const char* end) { return name.ends_with(end); };
    if (ends(".value") || ends(".resistance")) return 0.05;
    if (ends("supply.voltage")) return 0.15;
    if (ends(".gain") || ends(".photocurrent_ratio") || ends(".sensitivity")) return 0.4;
    if (ends(".transconductance")) return 0.4;
    if (ends(".threshold") || ends(".zener_voltage")) return 0.1;
    if (ends(".forward")) return 0.06;
    return 0;
}

}  // namespace

std::vector<Subject> subjects_in(const std::filesystem::path& folder) {
    std::vector<std::filesystem::path> files;
    for (const auto& entry : std::filesystem::directory_iterator(folder)) {
        if (entry.path().string().ends_with(".link.toml")) files.push_back(entry.path());
    }
    std::ranges::sort(files);
    std::vector<Subject> all;
    for (const auto& file : files) all.push_back(subject(file));
    return all;
}

Subject generated(std::uint64_t seed) {
    const auto read = testing_support::link_from(file_text(made_network(seed)));
    if (!read) throw std::runtime_error(to_text(read.error()));
    Link link = *read;
    link.surroundings.temperature = {298.15, 273.15, 323.15};
    for (std::size_t k = 0; k < link.parts.size(); ++k) {
        const auto& part = link.parts[k];
        if (part.is_gap()) continue;
        Promise promise;
        promise.side = part.input ? Side::input : Side::output;
        promise.part = k;
        promise.state = k % link.states.size();
        promise.at_least = -1e3;
        promise.at_most = 1e3;
        for (const auto quantity : {Promise::Quantity::current, Promise::Quantity::power}) {
            promise.quantity = quantity;
            promise.text =
                (quantity == Promise::Quantity::power ? "power " : "current ") + part.name;
            link.promises.push_back(promise);
        }
    }
    auto circuit = build_circuit(link);
    if (!circuit) throw std::runtime_error(to_text(circuit.error()));
    for (std::size_t k = 0; k < circuit->parameters.size(); ++k) {
        auto& p = circuit->parameters[k];
        const double nominal = p.spread.nominal;
        const double width = std::abs(nominal) * width_of(circuit->name_of(static_cast<Slot>(k)));
        if (!p.spread.varies()) p.spread = {nominal, nominal - width, nominal + width};
    }
    return {"made up " + std::to_string(seed), link, std::move(*circuit)};
}

}  // namespace gapwright::reference
