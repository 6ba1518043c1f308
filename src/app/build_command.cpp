#include "app/build_command.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <expected>
#include <filesystem>
#include <memory>
#include <optional>
#include <stop_token>
#include <string>
#include <string_view>
#include <system_error>
#include <utility>
#include <vector>

#include "app/build_files.hpp"
#include "app/exit_status.hpp"
#include "app/outputs.hpp"
#include "app/prove_file.hpp"
#include "app/terminal.hpp"
#include "board/board.hpp"
#include "board/plan.hpp"
#include "board/plan_board.hpp"
#include "board/plan_table.hpp"
#include "board/read_back.hpp"
#include "board/wiring.hpp"
#include "build/build_sheet.hpp"
#include "build/first_power.hpp"
#include "build/parts_to_pull.hpp"
#include "build/plan_file.hpp"
#include "build/wiring_of_link.hpp"
#include "card/drawer.hpp"
#include "design/values/open_stock.hpp"
#include "folder/output_file.hpp"
#include "link/link.hpp"
#include "population/engine.hpp"
#include "report/build_report.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"
#include "source/toml_document.hpp"

namespace gapwright {
namespace {

// "30": rows; "12x20": rows and holes.
std::optional<BoardSize> size_of(const std::string& text) {
    BoardSize size;
    const char* end = text.data() + text.size();
    auto read = std::from_chars(text.data(), end, size.rows);
    if (read.ec == std::errc() && read.ptr != end && *read.ptr == 'x') {
        read = std::from_chars(read.ptr + 1, end, size.columns);
    }
    const bool whole = read.ec == std::errc() && read.ptr == end;
    const bool sane = size.rows > 0 && size.rows <= 200 && size.columns >= 0 && size.columns <= 200;
    return whole && sane ? std::optional(size) : std::nullopt;
}

template <class Value>
using OrStatus = std::expected<Value, ExitStatus>;

Expected<std::optional<Drawer>> open_drawer(const BuildCommandOptions& options, const Link& link,
                                            const std::string& folder) {
    if (options.drawer.empty()) return named_drawer(link.stock, folder);
    const auto text = read_file(options.drawer);
    if (!text) return std::unexpected(text.error());
    auto drawer = read_drawer(*text);
    if (!drawer) return std::unexpected(drawer.error());
    return std::optional(std::move(*drawer));
}

OrStatus<PartsToPull> pull_parts(const BuildCommandOptions& options, const Link& link,
                                 const EngineOptions& engine) {
    const bool json = options.prove.json;
    const auto text = read_file(options.prove.file);
    if (!text) return std::unexpected(refuse(text.error(), json));
    const std::string folder = std::filesystem::path(options.prove.file).parent_path().string();
    const auto drawer = open_drawer(options, link, folder);
    if (!drawer) return std::unexpected(refuse(drawer.error(), json));
    PullOptions pull{.seed = options.prove.seed};
    pull.engine = engine;
    ProgressLine line;
    pull.progress = [&](const PullProgress& p) {
        line.show(fmt::format("{} is missing: {} of {} others tried; Ctrl-C stops", p.designator,
                              p.tried, p.all));
    };
    auto parts = parts_to_pull(*text, folder, link, *drawer, pull);
    if (!parts && !parts.error().problems.empty()) {
        return std::unexpected(refuse(parts.error().problems, json));
    }
    if (!parts) return std::unexpected(fail(parts.error().message, json));
    if (!parts->skipped.empty()) {
        tell_text(to_text(parts->skipped));
        tell("gapwright: {} row{} of the drawer skipped\n", parts->skipped.size(),
             parts->skipped.size() == 1 ? "" : "s");
    }
    return std::move(*parts);
}

ExitStatus refuse_usage(const std::string& message, const std::string& remedy, bool json) {
    return refuse(
        only({.cause = Cause::out_of_range, .place = {}, .message = message, .remedy = remedy}),
        json);
}

ExitStatus refuse_plan(const PlanFailure& failure, bool json) {
    if (failure.stopped) return fail(failure.message, json);
    std::string remedy = "a larger board, or the link split over two";
    if (failure.needs) {
        remedy = failure.needs->columns > 0
                     ? fmt::format("--size {}x{} does", failure.needs->rows, failure.needs->columns)
                     : fmt::format("--size {} does", failure.needs->rows);
    }
    return refuse_usage(failure.message, remedy, json);
}

// One for each kind of board that is wanted.
OrStatus<std::vector<Plan>> new_plans(const BuildCommandOptions& options, const Wiring& wiring,
                                      const std::stop_token& stop) {
    const bool json = options.prove.json;
    PlanOptions wanted{.starts = options.starts, .seed = options.prove.seed};
    wanted.stop = [&] { return stop.stop_requested(); };
    if (!options.size.empty()) {
        wanted.size = size_of(options.size);
        if (!wanted.size) {
            return std::unexpected(refuse_usage(
                fmt::format("--size \"{}\" is no size", options.size),
                "write rows, for example 30, or rows and holes, for example 12x20", json));
        }
    }
    ProgressLine line;
    std::vector<Plan> plans;
    for (const BoardKind kind : board_kinds) {
        const std::string_view word = board_kind_word(kind);
        if (!options.boards.empty() &&
            std::ranges::find(options.boards, word) == options.boards.end()) {
            continue;
        }
        line.show(fmt::format("placing parts on the {} board; Ctrl-C takes the best so far", word));
        wanted.kind = kind;
        auto plan = plan_board(wiring, wanted);
        if (!plan) return std::unexpected(refuse_plan(plan.error(), json));
        if (const auto faults = read_back(table_of(*plan, wiring), wiring); !faults.empty()) {
            return std::unexpected(
                fail(fmt::format("a defect of ours: the {} plan does not read back: {}", word,
                                 faults.front().text),
                     json));
        }
        plans.push_back(std::move(*plan));
    }
    return plans;
}

// The line of the plan that names both holes, else the first.
Place place_of(const std::shared_ptr<const SourceText>& text,
               const std::vector<std::string>& holes) {
    if (holes.empty()) return {};
    const std::string both = fmt::format(",{},{},", holes.front(), holes.back());
    const std::string one = fmt::format(",{},", holes.front());
    for (const std::string& wanted : {both, one}) {
        const auto at = text->text().find(wanted);
        if (at == std::string_view::npos) continue;
        return {text, at + 1, at + wanted.size() - 1};
    }
    return {};
}

// A plan that a person changed is taken as it is, or refused with the holes that are wrong.
OrStatus<std::vector<Plan>> changed_plan(const BuildCommandOptions& options, const Wiring& wiring) {
    const bool json = options.prove.json;
    const auto text = read_file(options.plan);
    if (!text) return std::unexpected(refuse(text.error(), json));
    const auto table = read_plan_csv(*text);
    if (!table) return std::unexpected(refuse(table.error(), json));
    Problems problems;
    for (const auto& fault : read_back(*table, wiring)) {
        const bool bridged = fault.kind == BoardFault::Kind::bridged;
        problems.push_back({.cause = bridged ? Cause::shared_across_gap : Cause::contradiction,
                            .place = place_of(*text, fault.holes),
                            .message = fault.text,
                            .remedy = ""});
    }
    if (!problems.empty()) return std::unexpected(refuse(problems, json));
    return std::vector{plan_of(*table, wiring)};
}

}  // namespace

ExitStatus run_build(const BuildCommandOptions& options, const std::stop_token& stop) {
    const bool json = options.prove.json;
    const Outputs outputs{
        .files = {},
        .folders = {{"-o", options.folder}, {"--png", options.png}, {"--pdf", options.pdf}},
        .replace = options.replace,
        .json = json};
    EngineOptions engine;
    engine.stop = stop;
    const auto proven = prove_file(options.prove, outputs, stop);
    if (!proven) return proven.error();
    const Link& link = proven->link;
    const Wiring wiring = wiring_of(link);
    const auto parts = pull_parts(options, link, engine);
    if (!parts) return parts.error();
    const auto currents = first_currents(link, proven->circuit, options.prove.seed, engine);
    auto plans =
        options.plan.empty() ? new_plans(options, wiring, stop) : changed_plan(options, wiring);
    if (!plans) return plans.error();
    std::vector<BuildSheet> sheets;
    for (Plan& plan : *plans) {
        sheets.push_back(build_sheet({link, *proven->proof, currents}, wiring, std::move(plan)));
    }
    std::vector<BuildAnswer> answers;
    for (const auto& sheet : sheets) answers.push_back({link, *proven->proof, *parts, sheet});
    if (!write_answer(json ? build_json(answers) : build_text(answers, wants_colour()), outputs)) {
        return exit_failed;
    }
    std::vector<OutputFile> files;
    if (!add_build_files(files, answers, options)) return exit_failed;
    if (const auto failed = write_files(files, outputs, stop)) return *failed;
    const bool apart = std::ranges::all_of(
        sheets, [](const BuildSheet& sheet) { return sheet.insulation.kept(); });
    const ExitStatus status = status_of(*proven->proof);
    if (status != exit_failed && stop.stop_requested()) {
        tell("gapwright: stopped: these plans are the best so far\n");
        return exit_failed;
    }
    return status == exit_kept && !apart ? exit_broken : status;
}

}  // namespace gapwright
