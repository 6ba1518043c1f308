#include <fmt/format.h>
#include <algorithm>
#include <cstddef>
#include <memory>
#include <string>

#include "design/design.hpp"
#include "draw/schematic.hpp"
#include "page/jobs.hpp"
#include "page/judged.hpp"
#include "page/refusal.hpp"
#include "page/works.hpp"
#include "proof/proof.hpp"  // IWYU pragma: keep (of an answer)
#include "proof/verdict.hpp"
#include "report/json/ordered_json.hpp"
#include "report/pictures/schematic_view.hpp"
#include "report/words/design_words.hpp"
#include "report/words/proof_words.hpp"
#include "report/words/words.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

std::string limited_by(const Answer& answer) {
    return fmt::format("{}, {}", answer.limit.subject, answer.limit.state);
}

Json values(const Answer& answer) {
    Json list = Json::array();
    for (const auto& value : answer.values) {
        list.push_back({{"part", value.part},
                        {"text", value.text},
                        {"window", value.window ? window_text(*value.window) : ""},
                        {"why", value.why}});
    }
    return list;
}

// The first state in which something flows is told best; else the first.
std::string schematic(const Answer& answer) {
    if (answer.proof->states.empty()) return "";
    std::size_t shown = 0;
    double most = -1;
    for (std::size_t s = 0; s < answer.proof->states.size(); ++s) {
        double sum = 0;
        for (const auto& [name, watts] : answer.proof->states[s].powers) sum += watts;
        if (sum > most) shown = s;
        most = std::max(most, sum);
    }
    return draw_schematic(schematic_view(answer.link, *answer.proof, shown, Ranges::aside))
        .svg(false);
}

Json against_practice(const Answer& answer) {
    Json list = Json::array();
    for (const auto& objection : answer.objections) list.push_back(objection_text(objection));
    return list;
}

Json answer_view(const Answer& answer, std::size_t number) {
    return {{"number", number},
            {"characters",
             answer.proof->verdict == Verdict::broken ? "nearest miss" : characters_text(answer)},
            {"verdict", verdict_name(answer.proof->verdict)},
            {"verdict_words", verdict_sign(answer.proof->verdict)},
            {"reserve", reserve_text(answer.limit)},
            {"limited_by", limited_by(answer)},
            {"stretch", answer_stretch(answer)},
            {"when_dead", when_dead_text(answer)},
            {"against_first", answer.against_first},
            {"against_practice", against_practice(answer)},
            {"parts", fmt::format("{} parts", answer.parts)},
            {"current", engineering(answer.current, Dimension::current)},
            {"values", values(answer)},
            {"schematic", schematic(answer)},
            {"unknown", what_would_settle(*answer.proof)},
            {"text", answer.text}};
}

// What is not known does not hold.
bool holds(Verdict verdict) {
    return verdict == Verdict::kept || verdict == Verdict::thin;
}

std::string summary(const Design& design) {
    std::size_t hold = 0;
    for (const auto& answer : design.answers) hold += holds(answer.proof->verdict) ? 1 : 0;
    std::string words;
    if (design.answers.empty()) {
        words = "No set of values has an operating point";
    } else if (hold == 0) {
        words = "Nothing holds every promise; this comes nearest";
    } else {
        words = fmt::format("{} answer{} hold{} every promise and rating", hold,
                            hold == 1 ? "" : "s", hold == 1 ? "s" : "");
    }
    if (!design.stock.empty()) words += "; values from " + design.stock;
    if (design.drafts > 0)
        words +=
            fmt::format("; {} draft{} looked at", design.drafts, design.drafts == 1 ? "" : "s");
    return words + (design.stopped ? "; stopped before the end: the best so far." : ".");
}

Json gaps(const Design& design) {
    Json list = Json::array();
    for (const auto& gap : design.gaps) {
        list.push_back({{"gap", gap.name},
                        {"kind", gap.kind},
                        {"reserve", gap.reserve ? reserve_text(*gap.reserve) : "ruled out"},
                        {"words", gap.reserve ? "limited by " + gap.limited_by : gap.ruled_out}});
    }
    return list;
}

}  // namespace

Answered<Json> design_work(const LinkText& source, JobProgress& progress) {
    DesignOptions options{.samples = 10000};
    options.engine.stop = progress.stop();
    options.progress = [&](const DesignProgress& p) {
        progress.say(fmt::format("{} of {} looked at{}", p.done, p.all,
                                 p.best ? "; least reserve so far " + reserve_text(*p.best) : ""),
                     p.all ? static_cast<double>(p.done) / static_cast<double>(p.all) : -1);
    };
    const auto design = design_of(std::make_shared<const SourceText>(source.name, source.text),
                                  source.folder, options);
    if (!design && !design.error().problems.empty()) {
        return refused("this cannot be designed as it stands", design.error().problems);
    }
    if (!design) return refused(422, design.error().message);
    Json answers = Json::array();
    for (std::size_t k = 0; k < design->answers.size(); ++k) {
        answers.push_back(answer_view(design->answers[k], k));
    }
    Json left_out = Json::array();
    for (const auto& one : design->not_looked_at) {
        left_out.push_back(fmt::format("{}: {}", one.what, one.reason));
    }
    Json skipped = Json::array();
    for (const auto& row : design->skipped) skipped.push_back(to_text(row));
    return Json{{"words", summary(*design)},
                {"answers", answers},
                {"gaps", gaps(*design)},
                {"not_looked_at", left_out},
                {"skipped", skipped}};
}

}  // namespace gapwright
