// Links at a simulated bench, and how tests name their measurements.
#pragma once

#include <gtest/gtest.h>

#include <map>
#include <string>
#include <string_view>

#include "bench/reasoning/fault_dictionary.hpp"
#include "support/how_many.hpp"
#include "support/link_text.hpp"

namespace gapwright::testing_support {

inline const std::vector<const char*> bench_examples = how_many<std::vector<const char*>>(
    {"bell-hammer", "pendulum-beat"},
    {"bell-hammer", "chime-bus", "lamp-watch", "night-silence", "pendulum-beat", "winder-motor"});

inline Link example_link(const std::string& name) {
    return *read_link_file(PROJECT_FOLDER "/examples/clock-tower/" + name + ".link.toml");
}

// The place of a measurement in a list; the list's size, and a failure, where it is not there.
inline std::size_t index_of(const std::vector<Measurement>& all, std::string_view measure,
                            std::string_view state) {
    for (std::size_t m = 0; m < all.size(); ++m) {
        if (all[m].measure == measure && all[m].state == state) return m;
    }
    ADD_FAILURE() << "no measurement \"" << measure << "\" in state \"" << state << "\"";
    return all.size();
}

// A link with all that is known of it at the bench.
struct LinkAtBench {
    Link link;
    Link prepared;  // its faults can be edited into it
    FaultDictionary dictionary;

    std::size_t measurement(std::string_view measure, std::string_view state) const {
        return index_of(dictionary.measurements, measure, state);
    }
    std::size_t suspect(std::string_view text) const {
        const auto found = std::ranges::find(dictionary.suspects, text);
        if (found == dictionary.suspects.end()) ADD_FAILURE() << "no suspect \"" << text << '"';
        return static_cast<std::size_t>(found - dictionary.suspects.begin());
    }
};

inline LinkAtBench at_bench(const Link& link, const DictionaryOptions& options = {}) {
    return {link, prepared_for_faults(link, *build_circuit(link)),
            *fault_dictionary(link, options)};
}

// An example with its whole dictionary, made once for all tests of the program.
inline const LinkAtBench& example_at_bench(const std::string& name) {
    static std::map<std::string, LinkAtBench> made;
    const auto found = made.find(name);
    if (found != made.end()) return found->second;
    DictionaryOptions options;
    options.specimens = how_many<std::size_t>(60, options.specimens);
    options.good_specimens = how_many<std::size_t>(600, options.good_specimens);
    return made.emplace(name, at_bench(example_link(name), options)).first->second;
}

}  // namespace gapwright::testing_support
