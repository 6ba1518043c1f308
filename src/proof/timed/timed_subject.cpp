#include "proof/timed/timed_subject.hpp"

#include <fmt/format.h>

#include <string>

#include "circuit/index.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "proof/rest/promise_probe.hpp"
#include "time/signal_rate.hpp"
#include "time/timed_measure.hpp"
#include "units/engineering.hpp"

namespace gapwright {

std::string timed_subject(const Promise& promise) {
    if (!promise.before) return promise.text;
    return fmt::format("{} reaches {}", promise.text,
                       engineering_short(*promise.reaches, promise_dimension(promise)));
}

TimedMeasure timed_measure_of(const Link& link, const LinkCircuit& circuit,
                              const Promise& promise) {
    TimedMeasure measure{.reading = TimedMeasure::Reading::reach,
                         .schedule = {},
                         .probe = promise_probe(promise, circuit),
                         .level = *promise.reaches};
    if (promise.before) {
        measure.schedule = {.from = static_cast<StateIndex>(*promise.before),
                            .changes = {{0, static_cast<StateIndex>(promise.state)}}};
        return measure;
    }
    measure.bit = link.signal->bit;
    if (promise.signal == Promise::OfSignal::eye) {
        measure.reading = TimedMeasure::Reading::eye;
        measure.schedule = signal_pattern(*link.signal);
    } else {
        measure.reading = TimedMeasure::Reading::width_error;
        measure.schedule = signal_train(*link.signal);
    }
    return measure;
}

}  // namespace gapwright
