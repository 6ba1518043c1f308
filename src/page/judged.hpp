// A link file's text, read and proven: what every view of a link is told from.
#pragma once

#include <cstddef>
#include <memory>
#include <optional>
#include <stop_token>
#include <string>
#include <vector>

#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"
#include "source/toml_document.hpp"

namespace gapwright {

struct Proof;

// A text that is shown, and whose it is.
struct LinkText {
    std::string name;    // in messages: the file's path below the folder
    std::string folder;  // where its cards and its drawer are looked for
    std::string text;
};

// What a text comes to.
struct Judged {
    LinkText source;
    std::shared_ptr<const SourceText> text;
    std::optional<TomlDocument> document;
    bool is_need = false;  // it states a need, and no circuit yet
    Problems problems = {};
    std::optional<Link> link;  // where it is one without problems
    std::optional<LinkCircuit> circuit;
    std::shared_ptr<const Proof> proof;
    bool at_once = false;                     // the proof leaves limits on the way out
    std::string failure = {};                 // why there is no proof though there is a circuit
    double milliseconds = 0;                  // that reading and proving took
    std::vector<std::string> to_choose = {};  // resistors whose value is to be chosen
};

// Why a text without problems has no proof, in a sentence.
std::string why_unproven(const Judged& judged);

struct JudgeOptions {
    std::size_t samples = 10000;
    std::size_t timed_samples = 1000;
    bool at_once = false;  // leaves out the limits that take waveforms (limits_on_the_way)
    std::stop_token stop = {};
};

// Reads and proves. A text that cannot be read has problems and nothing else. Where it was asked to
// stop, `proof` is missing and `failure` says so.
Judged judge(LinkText source, const JudgeOptions& options);

}  // namespace gapwright
