#include "page/export.hpp"

#include <algorithm>
#include <expected>
#include <filesystem>
#include <map>
#include <string>
#include <utility>
#include <vector>

#include "bench/fault_dictionary.hpp"
#include "bench/measurement.hpp"
#include "bench/readings_file.hpp"
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
#include "report/html_report.hpp"
#include "report/picture_file.hpp"
#include "report/unchosen_link.hpp"
#include "report/verdict_json.hpp"
#include "service/exchange.hpp"

namespace gapwright {
namespace {

std::string value_of(const std::map<std::string, std::string>& query, const char* key,
                     const std::string& otherwise = {}) {
    const auto found = query.find(key);
    return found == query.end() ? otherwise : found->second;
}

Reply file_reply(std::string type, std::string body, std::string name) {
    return {.status = 200,
            .type = std::move(type),
            .body = std::move(body),
            .download_name = std::move(name)};
}

class Exporter {
  public:
    Exporter(Workspace& workspace, OpenLink& link, const std::map<std::string, std::string>& query)
        : workspace_(workspace), link_(link), query_(query) {
        const auto held = link.hold();
        source_ = link.text_of(held.file);
        stem_ = std::filesystem::path(source_.name).filename().string();
        stem_ = stem_.substr(0, stem_.find(".link.toml"));
    }

    Answered<Reply> run() {
        const std::string what = value_of(query_, "what");
        if (what == "link") {
            return file_reply("application/toml", source_.text, stem_ + ".link.toml");
        }
        if (what == "report" || what == "check" || what == "picture") return proven(what);
        if (what == "parts" || what == "nodes" || what == "plan" || what == "build") {
            return built(what);
        }
        if (what == "sheet" || what == "readings") return measured(what);
        return refused(404, "there is no such file to export");
    }

  private:
    Answered<Reply> proven(const std::string& what) {
        const auto judged = link_.judged(workspace_.stamp());
        if (!judged->to_choose.empty() && what != "check") return unchosen(*judged->link, what);
        if (!judged->proof) {
            return judged->problems.empty()
                       ? refused(422, why_unproven(*judged))
                       : refused("the link file has problems", judged->problems);
        }
        if (what == "check") {
            return file_reply("application/json", verdict_json(*judged->link, *judged->proof),
                              stem_ + ".check.json");
        }
        const auto contents = report_contents(*judged->link, *judged->circuit, *judged->proof);
        if (what == "report") {
            return file_reply("text/html; charset=utf-8",
                              html_report(*judged->link, *judged->proof, contents, source_.text),
                              stem_ + ".html");
        }
        return picture(contents.all());
    }

    // A link with values still to be chosen: drawn, and not judged.
    Answered<Reply> unchosen(const Link& link, const std::string& what) const {
        const auto schematics = unchosen_schematics(link);
        if (what == "report") {
            return file_reply("text/html; charset=utf-8",
                              unchosen_html(link, schematics, source_.text), stem_ + ".html");
        }
        std::vector<const NamedPicture*> all;
        for (const auto& one : schematics) all.push_back(&one);
        return picture(all);
    }

    Answered<Reply> picture(const std::vector<const NamedPicture*>& all) const {
        const std::string name = value_of(query_, "name");
        const auto found =
            std::ranges::find(all, name, [](const NamedPicture* one) { return one->name; });
        if (found == all.end()) return refused(404, "there is no such picture");
        const std::string svg = (*found)->picture.svg(true);
        const std::string as = value_of(query_, "as", "svg");
        const std::string file = stem_ + "-" + name + "." + as;
        if (as == "svg") return file_reply("image/svg+xml", svg, file);
        if (as != "png" && as != "pdf") return refused(404, "pictures are svg, png or pdf");
        auto bytes = as == "png" ? png_of(svg) : pdf_of(svg);
        if (!bytes) return refused(500, bytes.error());
        return file_reply(as == "png" ? "image/png" : "application/pdf", std::move(*bytes), file);
    }

    Answered<Reply> built(const std::string& what) {
        JobProgress unseen;
        const std::string board = value_of(query_, "board", "solderless");
        const auto made = make_build(source_, board, unseen);
        if (!made) return std::unexpected(made.error());
        const BuildSheet& sheet = made->sheet;
        if (what == "parts") {
            return file_reply("text/csv; charset=utf-8", parts_csv(made->parts),
                              stem_ + "-parts.csv");
        }
        if (what == "nodes") {
            return file_reply("text/csv; charset=utf-8", nodes_csv(sheet.wiring, sheet.plan),
                              stem_ + "-nodes.csv");
        }
        if (what == "plan") {
            return file_reply("text/csv; charset=utf-8", plan_csv(sheet.plan, sheet.wiring),
                              stem_ + "-plan.csv");
        }
        const BuildAnswer answer = made->answer();
        return file_reply("text/html; charset=utf-8", build_html(answer, build_pictures(answer)),
                          stem_ + "-build.html");
    }

    Answered<Reply> measured(const std::string& what) {
        auto setup = workspace_.bench().last(link_.id(), source_.text);
        if (!setup) {
            JobProgress unseen;
            const auto made = workspace_.bench().setup(link_.id(), source_, "", unseen);
            if (!made) return std::unexpected(made.error());
            setup = *made;
        }
        if (what == "readings") {
            std::vector<Measurement> wanted;
            for (const auto& line : setup->sheet.lines) {
                wanted.push_back(setup->dictionary.measurements[line.measurement]);
            }
            return file_reply("text/csv; charset=utf-8", readings_form(wanted),
                              stem_ + "-readings.csv");
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
        return file_reply("text/html; charset=utf-8", bench_html(answer), stem_ + "-sheet.html");
    }

    Workspace& workspace_;
    OpenLink& link_;
    const std::map<std::string, std::string>& query_;
    LinkText source_;
    std::string stem_;
};

}  // namespace

Answered<Reply> export_of(Workspace& workspace, OpenLink& link,
                          const std::map<std::string, std::string>& query) {
    return Exporter(workspace, link, query).run();
}

}  // namespace gapwright
