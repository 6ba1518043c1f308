#include "page/link_view.hpp"

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "bench/sessions/record_reading.hpp"
#include "draw/schematic.hpp"
#include "folder/working_file.hpp"
#include "link/link.hpp"
#include "page/fields.hpp"
#include "page/json.hpp"
#include "page/judged.hpp"
#include "page/unjudged_view.hpp"
#include "page/verdict_view.hpp"
#include "proof/proof.hpp"  // IWYU pragma: keep (of what is judged)
#include "proof/verdict.hpp"
#include "report/json/ordered_json.hpp"
#include "report/pictures/schematic_view.hpp"
#include "report/words/proof_words.hpp"
#include "report/words/words.hpp"

namespace gapwright {
namespace {

std::string text_at(const Judged& judged, const char* key) {
    const auto* entry = judged.document ? judged.document->root.find(key) : nullptr;
    const auto* text = entry ? entry->value.text() : nullptr;
    return text ? *text : "";
}

std::string first_of(const std::vector<std::string>& labels) {
    return labels.empty() ? "" : labels.front();
}

Json outside_view(const std::optional<OutsideChange>& outside) {
    if (!outside) return nullptr;
    return {{"text", outside->text ? Json(*outside->text) : Json(nullptr)}};
}

Json all_problems(const Judged& judged) {
    Json problems = problem_list(judged.problems);
    if (!judged.failure.empty()) {
        problems.push_back({{"message", judged.failure},
                            {"remedy", ""},
                            {"line", 0},
                            {"column", 0},
                            {"excerpt", judged.failure},
                            {"at", nullptr}});
    }
    return problems;
}

// How many sessions at the bench are on record, and what the last of them came to.
Json bench_on_record(const Judged& judged) {
    const std::filesystem::path own(judged.source.name);
    const auto past =
        past_sessions(std::filesystem::path(judged.source.folder) / own.filename(), {});
    if (!past || past->sessions.empty()) return {{"sessions", 0}, {"verdict", ""}};
    return {{"sessions", past->sessions.size()}, {"verdict", past->sessions.back().record.verdict}};
}

}  // namespace

Json tile_view(const Judged& judged) {
    std::string words;
    std::string drawing;
    if (judged.is_need) words = "a need: no circuit yet";
    if (!judged.problems.empty()) words = judged.problems.front().message;
    if (!judged.to_choose.empty()) words = "values are still to be chosen";
    if (judged.link && judged.proof && !judged.proof->states.empty()) {
        words = link_stretch_words(*judged.link, *judged.proof);
        drawing = draw_schematic(
                      without_words(schematic_view(*judged.link, *judged.proof, 0, Ranges::aside)))
                      .svg(false, 4);
    } else if (judged.link && !judged.link->states.empty() && judged.problems.empty()) {
        drawing = draw_schematic(without_words(schematic_view(*judged.link, 0))).svg(false, 4);
    }
    return {{"verdict", judged.proof ? verdict_name(judged.proof->verdict) : ""},
            {"verdict_words", judged.proof ? verdict_sign(judged.proof->verdict) : ""},
            {"words", words},
            {"drawing", drawing},
            {"bench", bench_on_record(judged)}};
}

Json link_view(const LinkShown& shown, const WorkingFile& file, const Judged& judged) {
    const std::string name = std::filesystem::path(file.path()).filename().string();
    return {
        {"id", shown.id},
        {"name", name.substr(0, name.find(".link.toml"))},
        {"file", file.path()},
        {"title", text_at(judged, "title")},
        {"about", text_at(judged, "about")},
        {"revision", file.revision()},
        {"text", judged.source.text},
        {"saved", file.saved()},
        {"trouble", file.trouble()},
        {"outside", outside_view(file.outside())},
        {"undo", first_of(file.undo_labels())},
        {"redo", first_of(file.redo_labels())},
        {"problems", all_problems(judged)},
        {"need", judged.document ? need_view(judged, shown.cards) : Json(nullptr)},
        {"has_circuit", judged.document && !judged.is_need},
        {"to_choose", judged.to_choose},
        {"judgement", judged.proof ? judgement_view(judged, shown.state) : Json(nullptr)},
        {"unjudged", judged.to_choose.empty() ? Json(nullptr) : unjudged_view(judged, shown.state)},
        {"bench", bench_on_record(judged)},
        {"parts", judged.link ? part_views(judged, shown.cards) : Json::array()},
        {"settings", judged.document ? setting_groups(judged) : Json::array()}};
}

}  // namespace gapwright
