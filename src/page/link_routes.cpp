#include "page/link_routes.hpp"
#include <algorithm>
#include <cstddef>
#include <expected>
#include <filesystem>
#include <memory>
#include <optional>
#include <stop_token>
#include <string>
#include <string_view>
#include <utility>

#include "folder/folder.hpp"
#include "folder/working_file.hpp"
#include "page/bench_table.hpp"
#include "page/edits.hpp"
#include "page/export.hpp"
#include "page/folder_view.hpp"
#include "page/json.hpp"
#include "page/judged.hpp"
#include "page/link_view.hpp"
#include "page/open_link.hpp"
#include "page/part_detail.hpp"
#include "page/refusal.hpp"
#include "page/typed_value.hpp"
#include "page/verdict_view.hpp"
#include "page/works.hpp"
#include "page/workspace.hpp"
#include "report/json/ordered_json.hpp"
#include "service/exchange.hpp"

namespace gapwright {
namespace {

constexpr std::size_t live_samples = 10000;
constexpr std::size_t most_samples = 1000000;
constexpr std::size_t largest_text = WorkingFile::largest_text;

std::string asked(const Request& request, const char* key) {
    const auto found = request.query.find(key);
    return found == request.query.end() ? "" : found->second;
}

Answered<Reply> shown(Workspace& workspace, OpenLink& link, const std::string& state) {
    return json_reply(present_view(workspace, link, state));
}

// The text that edits are about: that of the revision which the page has seen.
std::optional<Refusal> stale(const WorkingFile& file, const Json& body) {
    const double revision = number_in(body, "revision", -1);
    if (revision == static_cast<double>(file.revision())) return std::nullopt;
    return Refusal{409, "the text has changed meanwhile", "look at it again", {}};
}

Answered<Reply> try_out(Workspace& workspace, OpenLink& link, const Json& body,
                        const std::stop_token& stop) {
    const OpenLink::Trial trial(link, stop);
    Answered<EditedText> text = refused(409, "");
    LinkText source;
    {
        const auto held = link.hold();
        if (auto refusal = stale(held.file, body)) return std::unexpected(std::move(*refusal));
        source = link.text_of(held.file);
    }
    text = apply_edits(source.text, body.value("edits", Json::array()),
                       {FileSort::link, source.folder});
    if (!text) return std::unexpected(text.error());
    if (text->text.size() > largest_text) return refused(413, "a link file is 1 MiB at most");
    source.text = std::move(text->text);
    const double samples = number_in(body, "samples", 0);
    JudgeOptions options{
        .samples = live_samples, .timed_samples = 100, .at_once = true, .stop = trial.token()};
    if (samples >= 1) {
        options.samples =
            static_cast<std::size_t>(std::min(samples, static_cast<double>(most_samples)));
    }
    const auto cards = workspace.cards(source.folder);
    const Judged judged = judge(std::move(source), options);
    if (trial.overtaken()) return refused(409, "a newer trial came");
    const auto held = link.hold();
    return json_reply(link_view({link.id(), text_in(body, "state"), *cards}, held.file, judged));
}

Answered<Reply> edit(Workspace& workspace, OpenLink& link, const Json& body) {
    {
        const auto held = link.hold();
        if (auto refusal = stale(held.file, body)) return std::unexpected(std::move(*refusal));
        auto text = apply_edits(held.file.text(), body.value("edits", Json::array()),
                                {FileSort::link, link.text_of(held.file).folder});
        if (!text) return std::unexpected(text.error());
        if (text->text.size() > largest_text) {
            return refused(413, "a link file is 1 MiB at most");
        }
        if (text->text != held.file.text()) {
            held.file.change(std::move(text->text), std::move(text->words));
        }
    }
    return shown(workspace, link, text_in(body, "state"));
}

Answered<Reply> outside(Workspace& workspace, OpenLink& link, const Json& body,
                        const std::string& state) {
    const std::string take = text_in(body, "take");
    if (take != "file" && take != "mine") return refused(400, "take the file's, or keep mine");
    {
        const auto held = link.hold();
        const auto done = take == "file" ? held.file.take_disk() : held.file.keep_mine();
        if (!done) return refused(409, done.error());
    }
    return shown(workspace, link, state);
}

Answered<Reply> take(Workspace& workspace, OpenLink& link, const Json& body,
                     const std::string& state) {
    const auto result = workspace.jobs().result(text_in(body, "job"));
    if (!result) return std::unexpected(result.error());
    const auto answers = result->find("answers");
    const double number = number_in(body, "answer", -1);
    if (answers == result->end() || !(number >= 0) ||
        number >= static_cast<double>(answers->size())) {
        return refused(404, "there is no such answer");
    }
    const Json& answer = (*answers)[static_cast<std::size_t>(number)];
    {
        const auto held = link.hold();
        if (auto refusal = stale(held.file, body)) return std::unexpected(std::move(*refusal));
        held.file.change(text_in(answer, "text"), "an answer of the design taken");
    }
    return shown(workspace, link, state);
}

// What is known of the link at the bench, as long as it stays as it was measured.
struct AtBench {
    std::shared_ptr<const PreparedBench> setup;
    std::string file;
};
Answered<AtBench> at_bench(Workspace& workspace, OpenLink& link) {
    LinkText source;
    {
        const auto held = link.hold();
        source = link.text_of(held.file);
    }
    auto setup = workspace.bench().last(link.id(), source.text);
    if (!setup) return refused(409, "the link has changed since it was measured");
    return AtBench{std::move(setup), (workspace.folder().path() / source.name).string()};
}

Answered<Reply> record(Workspace& workspace, OpenLink& link, const Json& body) {
    const auto at = at_bench(workspace, link);
    if (!at) return std::unexpected(at.error());
    const auto recorded = record_readings(*at->setup, body, at->file);
    if (!recorded) return std::unexpected(recorded.error());
    return json_reply(*recorded);
}

Answered<Reply> sessions(Workspace& workspace, OpenLink& link) {
    const auto at = at_bench(workspace, link);
    if (!at) return std::unexpected(at.error());
    const auto view = sessions_view(*at->setup, at->file);
    if (!view) return std::unexpected(view.error());
    return json_reply(*view);
}

// The proof of the present text, or why there is none.
Answered<std::shared_ptr<const Judged>> proven(Workspace& workspace, OpenLink& link) {
    auto judged = link.judged(workspace.stamp());
    if (judged->proof) return judged;
    if (!judged->problems.empty()) return refused("the link file has problems", judged->problems);
    return refused(422, why_unproven(*judged));
}

Answered<Reply> part(Workspace& workspace, OpenLink& link, const std::string& name,
                     const std::stop_token& stop) {
    const auto judged = proven(workspace, link);
    if (!judged) return std::unexpected(judged.error());
    const auto cards = workspace.cards((*judged)->source.folder);
    const auto detail = part_detail(**judged, name, *cards, stop);
    if (!detail) return std::unexpected(detail.error());
    return json_reply(*detail);
}

Answered<Reply> in_case(Workspace& workspace, OpenLink& link, const Request& request) {
    const auto judged = proven(workspace, link);
    if (!judged) return std::unexpected(judged.error());
    const std::string number = asked(request, "promise");
    if (number.empty() || number.size() > 6 ||
        number.find_first_not_of("0123456789") != std::string::npos) {
        return refused(404, "there is no such promise");
    }
    const auto view = case_view(**judged, {.promise = std::stoi(number),
                                           .highest = asked(request, "end") == "highest",
                                           .state = asked(request, "state")});
    if (!view) return std::unexpected(view.error());
    return json_reply(*view);
}

Answered<Reply> proof(Workspace& workspace, OpenLink& link) {
    const auto judged = proven(workspace, link);
    if (!judged) return std::unexpected(judged.error());
    Json view = proof_view(**judged);
    view["revision"] = link.hold().file.revision();
    return json_reply(view);
}

// A link among others: what it looks like, and how it stands.
Answered<Reply> tile(Workspace& workspace, OpenLink& link) {
    link.hold().file.look();
    return json_reply(tile_view(*link.judged(workspace.stamp())));
}

Answered<Reply> leads(Workspace& workspace, OpenLink& link, const Request& request) {
    const auto view = leads_view(
        workspace, link,
        {asked(request, "reading"), asked(request, "board"), asked(request, "suspects")});
    if (!view) return std::unexpected(view.error());
    return json_reply(*view);
}

Answered<Reply> told(Workspace& workspace, OpenLink& link, std::string_view action,
                     const Request& request, const std::stop_token& stop) {
    if (action.empty()) return shown(workspace, link, asked(request, "state"));
    if (action == "part") return part(workspace, link, asked(request, "name"), stop);
    if (action == "case") return in_case(workspace, link, request);
    if (action == "proof") return proof(workspace, link);
    if (action == "tile") return tile(workspace, link);
    if (action == "sessions") return sessions(workspace, link);
    if (action == "leads") return leads(workspace, link, request);
    if (action == "export") return export_of(workspace, link, request.query);
    return refused(404, "there is no such question");
}

// Under another name in the same folder.
Answered<Reply> rename(Workspace& workspace, OpenLink& link, const Json& body) {
    const auto name = new_file_name(text_in(body, "name"), ".link.toml");
    if (!name) return refused(422, name.error());
    const std::string to =
        (std::filesystem::path(link.hold().file.path()).parent_path() / *name).string();
    const auto id = workspace.move_link(link.id(), to);
    if (!id) return std::unexpected(id.error());
    return json_reply(folder_view(workspace));
}

Answered<Reply> to_trash(Workspace& workspace, OpenLink& link) {
    const std::string file = link.hold().file.path();
    const auto trashed = workspace.trash_link(link.id());
    if (!trashed) return std::unexpected(trashed.error());
    Json view = folder_view(workspace);
    view["trashed"] = {{"from", *trashed}, {"to", file}};
    return json_reply(view);
}

Answered<Reply> done(Workspace& workspace, OpenLink& link, std::string_view action,
                     const Request& request, const std::stop_token& stop) {
    const auto body = json_object(request.body.empty() ? "{}" : request.body);
    if (!body) return std::unexpected(body.error());
    const std::string state = asked(request, "state");
    if (action == "try") return try_out(workspace, link, *body, stop);
    if (action == "edit") return edit(workspace, link, *body);
    if (action == "outside") return outside(workspace, link, *body, state);
    if (action == "take") return take(workspace, link, *body, state);
    if (action == "record") return record(workspace, link, *body);
    if (action == "rename") return rename(workspace, link, *body);
    if (action == "trash") return to_trash(workspace, link);
    if (action == "undo") {
        link.hold().file.undo();
    } else if (action == "redo") {
        link.hold().file.redo();
    } else if (action == "save") {
        link.hold().file.save_again();
    } else {
        return refused(404, "there is no such question");
    }
    return shown(workspace, link, state);
}

}  // namespace

Json present_view(Workspace& workspace, OpenLink& link, const std::string& state) {
    link.hold().file.look();
    const auto judged = link.judged(workspace.stamp());
    const auto cards = workspace.cards(judged->source.folder);
    const auto held = link.hold();
    return link_view({link.id(), state, *cards}, held.file, *judged);
}

Answered<Reply> answer_about_link(Workspace& workspace, const std::string& id,
                                  std::string_view action, const Request& request,
                                  const std::stop_token& stop) {
    const auto link = workspace.link(id);
    if (!link) return std::unexpected(link.error());
    return (request.method == Method::get ? told : done)(workspace, **link, action, request, stop);
}

}  // namespace gapwright
