#include "proof/stated_promise.hpp"

#include <fmt/format.h>

#include "link/link.hpp"
#include "proof/proof.hpp"
#include "proof/rest/promise_probe.hpp"
#include "proof/timed/timed_subject.hpp"
#include "units/dimension.hpp"

namespace gapwright {

PromiseResult stated_promise(const Link& link, const Promise& promise) {
    PromiseResult result;
    result.timed = !promise.at_rest();
    result.quantity = timed_subject(promise);
    result.at_least = promise.at_least;
    result.at_most = promise.at_most;
    result.dimension = promise_dimension(promise);
    if (promise.at_rest()) {
        result.state = link.states[promise.state].name;
        return result;
    }
    if (promise.before) {
        result.state = fmt::format("{} > {}", link.states[*promise.before].name,
                                   link.states[promise.state].name);
        result.reaches_dimension = promise_dimension(promise);
        result.dimension = Dimension::time;
        result.at_most = promise.within;
        return result;
    }
    result.state = "signal";
    result.either_sign = promise.signal == Promise::OfSignal::width_error;
    if (result.either_sign) result.dimension = Dimension::ratio;
    if (promise.signal == Promise::OfSignal::highest_rate) {
        result.dimension = Dimension::signalling_rate;
    }
    return result;
}

}  // namespace gapwright
