// A verdict on readings as a record of the bench.
#pragma once

#include "bench/reasoning/bench_verdict.hpp"
#include "bench/reasoning/fault_dictionary.hpp"
#include "bench/sessions/bench_record.hpp"
#include "link/link.hpp"

namespace gapwright {

// Title, present time, readings with their judgements, verdict and suspects; the file's name and
// who measured are for the caller to add.
BenchRecord record_of(const Link& link, const FaultDictionary& dictionary,
                      const BenchVerdict& verdict);

}  // namespace gapwright
