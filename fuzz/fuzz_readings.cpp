// Any bytes as readings: errors with text, or readings that come out as they went in.
#include <cstdint>
#include <cstdlib>

#include "bench/sessions/readings_file.hpp"

namespace {

const std::vector<gapwright::Measurement>& known() {
    using namespace gapwright;
    using enum MeasurementKind;
    static const std::vector<Measurement> list = {
        {.kind = voltage, .measure = "voltage at coil", .state = "on"},
        {.kind = current, .measure = "current of supply", .state = "on"},
        {.kind = voltage, .measure = "voltage at coil", .state = "off"},
        {.kind = resistance, .measure = "resistance of R1", .state = std::string(unpowered)},
        {.kind = junction, .measure = "junction of D1", .state = std::string(unpowered)},
        {.kind = isolation, .measure = "isolation", .state = std::string(unpowered)}};
    return list;
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace gapwright;
    const auto read = [](std::string text) {
        return read_readings(std::make_shared<const SourceText>("fuzz.csv", std::move(text)),
                             known());
    };
    const auto readings = read(std::string(reinterpret_cast<const char*>(data), size));
    if (!readings) {
        if (readings.error().empty() || to_text(readings.error()).empty()) std::abort();
        return 0;
    }
    const auto back = read(readings_csv(known(), *readings));
    if (!back || back->size() != readings->size()) std::abort();
    for (std::size_t k = 0; k < back->size(); ++k) {
        const Reading& before = (*readings)[k];
        const Reading& after = (*back)[k];
        if (before.measurement != after.measurement || before.value != after.value) std::abort();
    }
    return 0;
}
