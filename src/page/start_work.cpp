#include <expected>
#include <string>
#include "page/jobs.hpp"
#include "page/json.hpp"
#include "page/judged.hpp"
#include "page/refusal.hpp"
#include "page/works.hpp"
#include "page/workspace.hpp"
#include "report/json/ordered_json.hpp"

namespace gapwright {
namespace {

// The text of the link that an order is about, as it is on the screen.
struct Ordered {
    std::string id;
    LinkText source;
};
Answered<Ordered> ordered_link(Workspace& workspace, const Json& order) {
    const std::string id = text_in(order, "link");
    const auto link = workspace.link(id);
    if (!link) return std::unexpected(link.error());
    const auto held = (*link)->hold();
    return Ordered{id, (*link)->text_of(held.file)};
}

Answered<std::string> start_for_link(Workspace& workspace, const std::string& work,
                                     const Json& order) {
    auto about = ordered_link(workspace, order);
    if (!about) return std::unexpected(about.error());
    const std::string key = work + " " + about->id;
    const std::string board = text_in(order, "board");
    if (work == "design") {
        return workspace.jobs().start(key, [about = *about](JobProgress& progress) {
            return design_work(about.source, progress);
        });
    }
    if (work == "build") {
        return workspace.jobs().start(
            key, [&workspace, about = *about, board](JobProgress& progress) {
                return build_work({about.id, about.source, board}, workspace.boards(), progress);
            });
    }
    if (work == "board") {
        const auto link = workspace.link(about->id);
        if (!link) return std::unexpected(link.error());
        return workspace.jobs().start(key,
                                      [&workspace, link = *link, board](JobProgress& progress) {
                                          return board_work(workspace, *link, board, progress);
                                      });
    }
    if (work == "sheet") {
        return workspace.jobs().start(
            key, [&workspace, about = *about, board](JobProgress& progress) -> Answered<Json> {
                const auto setup = workspace.bench().setup(about.id, about.source, board,
                                                           workspace.boards(), progress);
                if (!setup) return std::unexpected(setup.error());
                return sheet_work(**setup);
            });
    }
    const Json list = order.value("readings", Json::object());
    return workspace.jobs().start(
        key, [&workspace, about = *about, list](JobProgress& progress) -> Answered<Json> {
            auto setup = workspace.bench().last(about.id, about.source.text);
            if (!setup) {
                const auto made = workspace.bench().setup(about.id, about.source, "",
                                                          workspace.boards(), progress);
                if (!made) return std::unexpected(made.error());
                setup = *made;
            }
            return readings_work(*setup, list, progress);
        });
}

}  // namespace

Answered<std::string> start_work(Workspace& workspace, const Json& order) {
    const std::string work = text_in(order, "work");
    if (work == "design" || work == "build" || work == "board" || work == "sheet" ||
        work == "readings") {
        return start_for_link(workspace, work, order);
    }
    if (work == "fit") {
        return workspace.jobs().start("fit", [&workspace, order](JobProgress& progress) {
            return fit_work(workspace, order, progress);
        });
    }
    if (work == "trace") {
        return workspace.jobs().start("trace", [&workspace, order](JobProgress& progress) {
            return trace_work(workspace, order, progress);
        });
    }
    return refused(400, "there is no such work");
}

}  // namespace gapwright
