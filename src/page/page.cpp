#include "page/page.hpp"

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

#include "chart/raster.hpp"
#include "draw/picture.hpp"
#include "folder/atomic_save.hpp"
#include "folder/folder.hpp"
#include "page/assets.hpp"
#include "page/cards.hpp"
#include "page/drawers.hpp"
#include "page/folder_view.hpp"
#include "page/json.hpp"
#include "page/link_routes.hpp"
#include "page/refusal.hpp"
#include "page/works.hpp"
#include "report/json/ordered_json.hpp"
#include "service/exchange.hpp"

namespace gapwright {
namespace {

Answered<Reply> as_reply(const Answered<Json>& json) {
    if (!json) return std::unexpected(json.error());
    return json_reply(*json);
}

std::string_view type_of(std::string_view name) {
    if (name.ends_with(".html")) return "text/html; charset=utf-8";
    if (name.ends_with(".js")) return "text/javascript; charset=utf-8";
    if (name.ends_with(".css")) return "text/css; charset=utf-8";
    if (name.ends_with(".svg")) return "image/svg+xml";
    return "application/octet-stream";
}

// "/api/links/ID/try" → "links", "ID", "try"; a path of fewer parts leaves the rest empty.
struct ApiPath {
    std::string kind;
    std::string id;
    std::string action;
};
std::optional<ApiPath> api_path(std::string_view path) {
    constexpr std::string_view prefix = "/api/";
    if (!path.starts_with(prefix)) return std::nullopt;
    path.remove_prefix(prefix.size());
    ApiPath result;
    for (std::string* part : {&result.kind, &result.id, &result.action}) {
        const std::size_t end = std::min(path.find('/'), path.size());
        *part = path.substr(0, end);
        path.remove_prefix(std::min(end + 1, path.size()));
    }
    return path.empty() ? std::optional(result) : std::nullopt;
}

Answered<Reply> page_file(std::string_view path) {
    const std::string_view name = path == "/" ? "index.html" : path.substr(1);
    if (name == "picture.css") {
        return Reply{.status = 200,
                     .type = "text/css; charset=utf-8",
                     .body = std::string(picture_style()),
                     .download_name = {}};
    }
    const auto files = page_files();
    const auto found = std::ranges::find(files, name, &PageFile::name);
    if (found == files.end()) return refused(404, "there is no such page");
    return Reply{.status = 200,
                 .type = std::string(type_of(name)),
                 .body = std::string(found->text),
                 .download_name = {}};
}

// Whether files came or went, and which links changed outside.
Json pulse(Workspace& workspace) {
    Json links = Json::array();
    for (const auto& link : workspace.open_links()) {
        const auto stands = link->standing();
        links.push_back(
            {{"id", link->id()}, {"revision", stands.revision}, {"outside", stands.outside}});
    }
    return {{"folder", workspace.stamp()}, {"links", links}};
}

Answered<Reply> new_link(Workspace& workspace, const std::string& body) {
    const auto order = json_object(body);
    if (!order) return std::unexpected(order.error());
    const auto id = make_new_link(workspace, *order);
    if (!id) return std::unexpected(id.error());
    const auto link = workspace.link(*id);
    if (!link) return std::unexpected(link.error());
    return json_reply(present_view(workspace, **link, ""));
}

Answered<Reply> new_card(Workspace& workspace, const std::string& body) {
    const auto order = json_object(body);
    if (!order) return std::unexpected(order.error());
    return as_reply(make_new_card(workspace, *order));
}

Answered<Reply> new_chart(Workspace& workspace, const Request& request) {
    const auto name = request.query.find("name");
    const std::string typed = name == request.query.end() ? "" : name->second;
    const bool jpeg = typed.ends_with(".jpg") || typed.ends_with(".jpeg");
    const auto file =
        new_file_name(typed, jpeg ? (typed.ends_with(".jpg") ? ".jpg" : ".jpeg") : ".png");
    if (!file) return refused(422, file.error());
    // A picture that cannot be read is not put there.
    if (const auto raster = decode_raster(request.body, *file); !raster) {
        return refused("this is no picture that can be read", raster.error());
    }
    const auto saved =
        workspace.folder().save(*file, request.body, {.replace = false, .last_look = {}});
    if (!saved && saved.error().exists) {
        return refused(409, *file + " is there already", "give it another name");
    }
    if (!saved) return refused(422, saved.error().reason);
    return json_reply(folder_view(workspace));
}

Answered<Reply> chart_bytes(Workspace& workspace, const std::string& id) {
    const auto file = workspace.file_of(id);
    if (!file) return std::unexpected(file.error());
    const bool png = file->ends_with(".png");
    if (!png && !file->ends_with(".jpg") && !file->ends_with(".jpeg")) {
        return refused(404, "this file is no picture");
    }
    auto content = workspace.read(id, "", largest_picture_file);
    if (!content) return std::unexpected(content.error());
    return Reply{.status = 200,
                 .type = png ? "image/png" : "image/jpeg",
                 .body = std::move(content->text),
                 .download_name = {}};
}

Answered<Reply> job_order(Workspace& workspace, const std::string& body) {
    const auto order = json_object(body);
    if (!order) return std::unexpected(order.error());
    const auto id = start_work(workspace, *order);
    if (!id) return std::unexpected(id.error());
    return as_reply(workspace.jobs().view(*id));
}

Answered<Reply> restored(Workspace& workspace, const std::string& body) {
    const auto order = json_object(body);
    if (!order) return std::unexpected(order.error());
    const auto id = workspace.restore_link(text_in(*order, "from"), text_in(*order, "to"));
    if (!id) return std::unexpected(id.error());
    return json_reply(folder_view(workspace));
}

Answered<Reply> answer_get(Workspace& workspace, const ApiPath& path, const Request& request,
                           const std::stop_token& stop) {
    if (path.kind == "links" && !path.id.empty()) {
        return answer_about_link(workspace, path.id, path.action, request, stop);
    }
    if (path.kind == "cards" && !path.id.empty()) {
        return answer_about_card(workspace, path.id, path.action, request);
    }
    if (!path.action.empty()) return refused(404, "there is no such question");
    if (path.kind == "folder" && path.id.empty()) return json_reply(folder_view(workspace));
    if (path.kind == "pulse" && path.id.empty()) return json_reply(pulse(workspace));
    if (path.kind == "drawers" && !path.id.empty()) {
        return as_reply(drawer_view(workspace, path.id));
    }
    if (path.kind == "charts" && !path.id.empty()) return chart_bytes(workspace, path.id);
    if (path.kind == "jobs" && !path.id.empty()) return as_reply(workspace.jobs().view(path.id));
    return refused(404, "there is no such question");
}

Answered<Reply> answer_post(Workspace& workspace, const ApiPath& path, const Request& request,
                            const std::stop_token& stop) {
    if (path.kind == "links" && path.id.empty()) return new_link(workspace, request.body);
    if (path.kind == "links") {
        return answer_about_link(workspace, path.id, path.action, request, stop);
    }
    if (path.kind == "jobs" && path.action == "stop") {
        return as_reply(workspace.jobs().stop(path.id));
    }
    if (path.kind == "cards" && !path.id.empty()) {
        return answer_about_card(workspace, path.id, path.action, request);
    }
    if (!path.id.empty()) return refused(404, "there is no such question");
    if (path.kind == "cards") return new_card(workspace, request.body);
    if (path.kind == "charts") return new_chart(workspace, request);
    if (path.kind == "jobs") return job_order(workspace, request.body);
    if (path.kind == "drawers") {
        const auto edit = json_object(request.body);
        if (!edit) return std::unexpected(edit.error());
        return as_reply(save_drawer(workspace, *edit));
    }
    if (path.kind == "trash") return restored(workspace, request.body);
    return refused(404, "there is no such question");
}

}  // namespace

std::expected<Page, std::string> Page::open(const std::filesystem::path& folder) {
    auto opened = Folder::open(folder);
    if (!opened) return std::unexpected(opened.error());
    return Page(std::make_unique<Workspace>(std::move(*opened)));
}

Page::Page(std::unique_ptr<Workspace> workspace) : workspace_(std::move(workspace)) {}
Page::Page(Page&&) noexcept = default;
Page& Page::operator=(Page&&) noexcept = default;
Page::~Page() = default;

Reply Page::answer(const Request& request, const std::stop_token& stop) {
    const auto path = api_path(request.path);
    Answered<Reply> reply = refused(404, "there is no such page");
    if (path && request.method == Method::get) {
        reply = answer_get(*workspace_, *path, request, stop);
    } else if (path) {
        reply = answer_post(*workspace_, *path, request, stop);
    } else if (request.method == Method::get) {
        reply = page_file(request.path);
    }
    if (reply) return std::move(*reply);
    return {.status = reply.error().status,
            .type = "application/json",
            .body = json_text(refusal_view(reply.error())),
            .download_name = {}};
}

}  // namespace gapwright
