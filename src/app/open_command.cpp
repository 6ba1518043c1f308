#include "app/open_command.hpp"

#include <fmt/format.h>

#include <cstdint>
#include <expected>
#include <filesystem>
#include <optional>
#include <stop_token>
#include <string>
#include <system_error>
#include <utility>

#include "app/browser.hpp"
#include "app/exit_status.hpp"
#include "app/terminal.hpp"
#include "page/page.hpp"
#include "service/exchange.hpp"
#include "service/server.hpp"
#include "source/diagnostics.hpp"

namespace gapwright {
namespace {

ExitStatus no_page(const std::string& message, const std::string& remedy, bool json) {
    Diagnostic problem;
    problem.cause = Cause::unreadable_file;
    problem.message = message;
    problem.remedy = remedy;
    return refuse(only(std::move(problem)), json);
}

// The folder's own port, the same each time where it is free: a page that was open before then goes
// on once the browser has been let in again. Of those that are nobody's (IANA's dynamic ports).
std::uint16_t usual_port(const std::string& folder) {
    std::error_code ignored;
    const auto path = std::filesystem::weakly_canonical(folder, ignored).string();
    std::uint64_t hash = 14695981039346656037U;  // FNV-1a
    for (const char c : path) hash = (hash ^ static_cast<unsigned char>(c)) * 1099511628211U;
    constexpr std::uint64_t first = 49152;
    constexpr std::uint64_t count = 65536 - first;
    return static_cast<std::uint16_t>(first + hash % count);
}

std::expected<LoopbackServer, std::string> open_server(const OpenOptions& options,
                                                       const Handler& handler) {
    if (options.port != 0) return LoopbackServer::open({.port = options.port}, handler);
    auto usual = LoopbackServer::open({.port = usual_port(options.folder)}, handler);
    if (usual) return usual;
    return LoopbackServer::open({}, handler);
}

// How the page is reached, in words or as JSON; then nothing more until the end.
bool tell(const OpenOptions& options, const LoopbackServer& server, bool opened) {
    std::string text;
    if (options.json) {
        text = fmt::format("{{\"address\": \"{}\"}}\n", server.opening_address());
    } else if (opened) {
        text =
            fmt::format("The page is open in the browser: {}\nCtrl-C ends it.\n", server.address());
    } else {
        text = fmt::format(
            "Open this address in a browser on this computer; it works once:\n{}\nCtrl-C ends "
            "it.\n",
            server.opening_address());
    }
    return options.json ? write_json(text) : write_out(text);
}

}  // namespace

ExitStatus run_open(const OpenOptions& options, const std::stop_token& stop) {
    auto page = Page::open(options.folder);
    if (!page) {
        return no_page(page.error(), "name a folder that holds link files, or make one",
                       options.json);
    }
    auto server = open_server(options, [&](const Request& request, const std::stop_token& gone) {
        return page->answer(request, gone);
    });
    if (!server) return no_page(server.error(), "leave --port out", options.json);
    std::optional<LeadingFile> leading;
    bool opened = false;
    if (!options.no_browser && !options.json) {
        auto file = LeadingFile::make(server->opening_address());
        if (file) {
            leading = std::move(*file);
            opened = open_in_browser(*leading).has_value();
        }
    }
    if (!tell(options, *server, opened)) return exit_failed;
    server->run(stop);
    return exit_kept;
}

}  // namespace gapwright
