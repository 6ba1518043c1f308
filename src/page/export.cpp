#include "page/export.hpp"

#include <algorithm>
#include <expected>
#include <filesystem>
#include <map>
#include <string>
#include <utility>
#include <vector>

#include "bench/meter/measurement.hpp"
#include "bench/reasoning/fault_dictionary.hpp"
#include "bench/sessions/readings_file.hpp"
#include "build/build_sheet.hpp"
#include "build/plan_file.hpp"
#include "link/link.hpp"
#include "page/build_maker.hpp"
#include "page/jobs.hpp"
#include "page/judged.hpp"
#include "page/open_link.hpp"
#include "page/refusal.hpp"
#include "page/workspace.hpp"
#include "report/bench_report.hpp"
#include "report/build_report.hpp"
#include "report/html/html_report.hpp"
#include "report/html/unchosen_link.hpp"
#include "report/json/verdict_json.hpp"
#include "report/pictures/picture_file.hpp"
#include "service/exchange.hpp"

namespace gapwright {
namespace {

Reply file_reply(std::string type, std::string body, std::string name) {
    return {.status = 200,
            .type = std::move(type),
            .body = std::move(body),
            .download_name = std::move(name)};
}

// What is asked for, of which text.
struct Wanted {
    const std::map<std::string, std::string>& query;
    LinkText source;
    std::string stem;  // of the link's name
    std::string what;

    std::string value(const char* key, const std::string& otherwise = {}) const {
        const auto found = query.find(key);
        return found == query.end() ? otherwise : found->second;
    }
};

Wanted wanted_of(OpenLink& link, const std::map<std::string, std::string>& query) {
    Wanted wanted{.query = query, .source = link.text_of(link.hold().file), .stem = {}, .what = {}};
    wanted.stem = std::filesystem::path(wanted.source.name).filename().string();
    wanted.stem = wanted.stem.substr(0, wanted.stem.find(".link.toml"));
    wanted.what = wanted.value("what");
    return wanted;
}

Answered<Reply> picture(const Wanted& wanted, const std::vector<const NamedPicture*>& all) {
    const std::string name = wanted.value("name");
    const auto found =
        std::ranges::find(all, name, [](const NamedPicture* one) { return one->name; });
    if (found == all.end()) return refused(404, "there is no such picture");
    const std::string svg = (*found)->picture.svg(true);
    const std::string as = wanted.value("as", "svg");
    const std::string file = wanted.stem + "-" + name + "." + as;
    if (as == "svg") return file_reply("image/svg+xml", svg, file);
    if (as != "png" && as != "pdf") return refused(404, "pictures are svg, png or pdf");
    auto bytes = as == "png" ? png_of(svg) : pdf_of(svg);
    if (!bytes) return refused(500, bytes.error());
    return file_reply(as == "png" ? "image/png" : "application/pdf", std::move(*bytes), file);
}

// A link with values still to be chosen: drawn, and not judged.
Answered<Reply> unchosen(const Wanted& wanted, const Link& link) {
    const auto schematics = unchosen_schematics(link);
    if (wanted.what == "report") {
        return file_reply("text/html; charset=utf-8",
                          unchosen_html(link, schematics, wanted.source.text),
                          wanted.stem + ".html");
    }
    std::vector<const NamedPicture*> all;
    for (const auto& one : schematics) all.push_back(&one);
    return picture(wanted, all);
}

Answered<Reply> proven(Workspace& workspace, OpenLink& link, const Wanted& wanted) {
    const auto judged = link.judged(workspace.stamp());
    if (!judged->to_choose.empty() && wanted.what != "check")
        return unchosen(wanted, *judged->link);
    if (!judged->proof) {
        return judged->problems.empty() ? refused(422, why_unproven(*judged))
                                        : refused("the link file has problems", judged->problems);
    }
    if (wanted.what == "check") {
        return file_reply("application/json", verdict_json(*judged->link, *judged->proof),
                          wanted.stem + ".check.json");
    }
    const auto contents = report_contents(*judged->link, *judged->circuit, *judged->proof);
    if (wanted.what == "report") {
        return file_reply("text/html; charset=utf-8",
                          html_report(*judged->link, *judged->proof, contents, wanted.source.text),
                          wanted.stem + ".html");
    }
    return picture(wanted, contents.all());
}

Answered<Reply> built(Workspace& workspace, OpenLink& link, const Wanted& wanted) {
    JobProgress unseen;
    const std::string board = wanted.value("board", "solderless");
    const auto made = make_build({link.id(), wanted.source, board}, workspace.boards(), unseen);
    if (!made) return std::unexpected(made.error());
    const BuildSheet& sheet = made->sheet;
    if (wanted.what == "parts") {
        return file_reply("text/csv; charset=utf-8", parts_csv(made->parts),
                          wanted.stem + "-parts.csv");
    }
    if (wanted.what == "nodes") {
        return file_reply("text/csv; charset=utf-8", nodes_csv(sheet.wiring, sheet.plan),
                          wanted.stem + "-nodes.csv");
    }
    if (wanted.what == "plan") {
        return file_reply("text/csv; charset=utf-8", plan_csv(sheet.plan, sheet.wiring),
                          wanted.stem + "-plan.csv");
    }
    const BuildAnswer answer = made->answer();
    return file_reply("text/html; charset=utf-8", build_html(answer, build_pictures(answer)),
                      wanted.stem + "-build.html");
}

Answered<Reply> measured(Workspace& workspace, OpenLink& link, const Wanted& wanted) {
    auto setup = workspace.bench().last(link.id(), wanted.source.text);
    if (!setup) {
        JobProgress unseen;
        const auto made =
            workspace.bench().setup(link.id(), wanted.source, "", workspace.boards(), unseen);
        if (!made) return std::unexpected(made.error());
        setup = *made;
    }
    if (wanted.what == "readings") {
        std::vector<Measurement> lines;
        for (const auto& line : setup->sheet.lines) {
            lines.push_back(setup->dictionary.measurements[line.measurement]);
        }
        return file_reply("text/csv; charset=utf-8", readings_form(lines),
                          wanted.stem + "-readings.csv");
    }
    const BenchAnswer answer{.link = setup->link,
                             .dictionary = setup->dictionary,
                             .sheet = setup->sheet,
                             .bands = setup->bands,
                             .verdict = {},
                             .holes = setup->holes,
                             .temperature = bench_temperature,
                             .light = setup->link.surroundings.light,
                             .age = 0,
                             .built = {}};
    return file_reply("text/html; charset=utf-8", bench_html(answer), wanted.stem + "-sheet.html");
}

}  // namespace

Answered<Reply> export_of(Workspace& workspace, OpenLink& link,
                          const std::map<std::string, std::string>& query) {
    const Wanted wanted = wanted_of(link, query);
    const std::string& what = wanted.what;
    if (what == "link") {
        return file_reply("application/toml", wanted.source.text, wanted.stem + ".link.toml");
    }
    if (what == "report" || what == "check" || what == "picture") {
        return proven(workspace, link, wanted);
    }
    if (what == "parts" || what == "nodes" || what == "plan" || what == "build") {
        return built(workspace, link, wanted);
    }
    if (what == "sheet" || what == "readings") return measured(workspace, link, wanted);
    return refused(404, "there is no such file to export");
}

}  // namespace gapwright
