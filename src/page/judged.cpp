#include "page/judged.hpp"

#include <chrono>
#include <cstddef>
#include <memory>
#include <ratio>
#include <string>
#include <utility>

#include "design/needs/need_cards.hpp"
#include "fit/link_cards.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "link/need.hpp"
#include "proof/proof.hpp"
#include "proof/prove.hpp"
#include "report/html/unchosen_link.hpp"
#include "source/source_text.hpp"
#include "source/toml_document.hpp"

namespace gapwright {
namespace {

void read(Judged& judged) {
    auto document = read_toml(judged.text);
    if (!document) {
        judged.problems = document.error();
        return;
    }
    judged.document = std::move(*document);
    judged.is_need = states_a_need(*judged.document);
    if (judged.is_need) {
        if (const auto need = read_checked_need(judged.text, judged.source.folder); !need) {
            judged.problems = need.error();
        }
        return;
    }
    auto link = read_checked_link(judged.text, judged.source.folder);
    if (!link) {
        judged.problems = link.error();
        return;
    }
    judged.link = std::move(*link);
    for (const std::size_t k : judged.link->to_choose()) {
        judged.to_choose.push_back(judged.link->parts[k].name);
    }
}

}  // namespace

std::string why_unproven(const Judged& judged) {
    if (!judged.failure.empty()) return judged.failure;
    if (!judged.to_choose.empty()) return unchosen_sentence(*judged.link);
    return "there is no circuit yet: the file states a need";
}

Judged judge(LinkText source, const JudgeOptions& options) {
    const auto began = std::chrono::steady_clock::now();
    Judged judged;
    judged.text = std::make_shared<const SourceText>(source.name, source.text);
    judged.source = std::move(source);
    read(judged);
    if (judged.link && judged.to_choose.empty()) {
        auto circuit = build_circuit(*judged.link);
        if (circuit) {
            judged.circuit = std::move(*circuit);
        } else {
            judged.problems = circuit.error();
        }
    }
    if (judged.circuit) {
        ProofOptions proof_options{.samples = options.samples,
                                   .timed_samples = options.timed_samples,
                                   .limits_on_the_way = !options.at_once,
                                   .stretch = !options.at_once};
        judged.at_once = options.at_once;
        proof_options.engine.stop = options.stop;
        auto proof = prove(*judged.link, *judged.circuit, proof_options);
        if (proof) {
            judged.proof = std::make_shared<const Proof>(std::move(*proof));
        } else {
            judged.failure = proof.error().message;
        }
    }
    judged.milliseconds =
        std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - began).count();
    return judged;
}

}  // namespace gapwright
