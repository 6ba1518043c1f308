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
#include "build/build_sheet.hpp"
#include "build/first_power.hpp"
#include "build/parts_to_pull.hpp"
#include "build/plan_file.hpp"
#include "build/wiring_of_link.hpp"
#include "card/drawer.hpp"
#include "design/open_stock.hpp"
#include "folder/output_file.hpp"
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

class BuildRun {
  public:
    BuildRun(const BuildCommandOptions& options, const std::stop_token& stop)
        : options_(options),
          outputs_{
              .files = {},
              .folders = {{"-o", options.folder}, {"--png", options.png}, {"--pdf", options.pdf}},
              .replace = options.replace,
              .json = options.prove.json} {
        engine_.stop = stop;
    }

    ExitStatus run() {
        auto proven = prove_file(options_.prove, outputs_, engine_.stop);
        if (!proven) return proven.error();
        proven_ = &*proven;
        wiring_ = wiring_of(proven->link);
        if (const auto failed = pull_parts()) return *failed;
        currents_ = first_currents(proven->link, proven->circuit, options_.prove.seed, engine_);
        if (const auto failed = options_.plan.empty() ? plan_boards() : read_plan()) return *failed;
        if (const auto failed = write()) return *failed;
        return status();
    }

  private:
    bool json() const { return options_.prove.json; }

    std::optional<ExitStatus> pull_parts() {
        const auto text = read_file(options_.prove.file);
        if (!text) return refuse(text.error(), json());
        const std::string folder =
            std::filesystem::path(options_.prove.file).parent_path().string();
        auto drawer = open_drawer(folder);
        if (!drawer) return refuse(drawer.error(), json());
        PullOptions options{.seed = options_.prove.seed};
        options.engine = engine_;
        ProgressLine line;
        options.progress = [&](const PullProgress& p) {
            line.show(fmt::format("{} is missing: {} of {} others tried; Ctrl-C stops",
                                  p.designator, p.tried, p.all));
        };
        auto parts = parts_to_pull(*text, folder, proven_->link, *drawer, options);
        if (!parts && !parts.error().problems.empty()) {
            return refuse(parts.error().problems, json());
        }
        if (!parts) return fail(parts.error().message, json());
        parts_ = std::move(*parts);
        if (!parts_.skipped.empty()) {
            tell_text(to_text(parts_.skipped));
            tell("gapwright: {} row{} of the drawer skipped\n", parts_.skipped.size(),
                 parts_.skipped.size() == 1 ? "" : "s");
        }
        return std::nullopt;
    }

    Expected<std::optional<Drawer>> open_drawer(const std::string& folder) const {
        if (options_.drawer.empty()) return named_drawer(proven_->link.stock, folder);
        const auto text = read_file(options_.drawer);
        if (!text) return std::unexpected(text.error());
        auto drawer = read_drawer(*text);
        if (!drawer) return std::unexpected(drawer.error());
        return std::optional(std::move(*drawer));
    }

    void add_sheet(Plan plan) {
        sheets_.push_back(
            build_sheet({proven_->link, *proven_->proof, currents_}, wiring_, std::move(plan)));
    }

    std::optional<ExitStatus> plan_boards() {
        PlanOptions options{.starts = options_.starts, .seed = options_.prove.seed};
        options.stop = [this] { return engine_.stop.stop_requested(); };
        if (!options_.size.empty()) {
            options.size = size_of(options_.size);
            if (!options.size) {
                return usage(fmt::format("--size \"{}\" is no size", options_.size),
                             "write rows, for example 30, or rows and holes, for example 12x20");
            }
        }
        ProgressLine line;
        for (const BoardKind kind : board_kinds) {
            if (!is_wanted(kind)) continue;
            line.show(fmt::format("placing parts on the {} board; Ctrl-C takes the best so far",
                                  board_kind_word(kind)));
            options.kind = kind;
            auto plan = plan_board(wiring_, options);
            if (!plan) return told(plan.error());
            if (const auto faults = read_back(table_of(*plan, wiring_), wiring_); !faults.empty()) {
                return fail(fmt::format("a defect of ours: the {} plan does not read back: {}",
                                        board_kind_word(kind), faults.front().text),
                            json());
            }
            add_sheet(std::move(*plan));
        }
        return std::nullopt;
    }

    bool is_wanted(BoardKind kind) const {
        return options_.boards.empty() ||
               std::ranges::find(options_.boards, board_kind_word(kind)) != options_.boards.end();
    }

    ExitStatus usage(const std::string& message, const std::string& remedy) const {
        return refuse(
            only({.cause = Cause::out_of_range, .place = {}, .message = message, .remedy = remedy}),
            json());
    }

    std::optional<ExitStatus> told(const PlanFailure& failure) const {
        if (failure.stopped) return fail(failure.message, json());
        std::string remedy = "a larger board, or the link split over two";
        if (failure.needs) {
            remedy =
                failure.needs->columns > 0
                    ? fmt::format("--size {}x{} does", failure.needs->rows, failure.needs->columns)
                    : fmt::format("--size {} does", failure.needs->rows);
        }
        return usage(failure.message, remedy);
    }

    // A plan that a person changed is taken as it is, or refused with the holes that are wrong.
    std::optional<ExitStatus> read_plan() {
        const auto text = read_file(options_.plan);
        if (!text) return refuse(text.error(), json());
        const auto table = read_plan_csv(*text);
        if (!table) return refuse(table.error(), json());
        const auto faults = read_back(*table, wiring_);
        if (!faults.empty()) {
            Problems problems;
            for (const auto& fault : faults) {
                const bool bridged = fault.kind == BoardFault::Kind::bridged;
                problems.push_back(
                    {.cause = bridged ? Cause::shared_across_gap : Cause::contradiction,
                     .place = place_of(*text, fault.holes),
                     .message = fault.text,
                     .remedy = ""});
            }
            return refuse(problems, json());
        }
        add_sheet(plan_of(*table, wiring_));
        return std::nullopt;
    }

    // The line of the plan that names both holes, else the first.
    static Place place_of(const std::shared_ptr<const SourceText>& text,
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

    std::vector<BuildAnswer> answers() const {
        std::vector<BuildAnswer> answers;
        for (const auto& sheet : sheets_) {
            answers.push_back({proven_->link, *proven_->proof, parts_, sheet});
        }
        return answers;
    }

    std::optional<ExitStatus> write() const {
        const auto all = answers();
        if (!write_answer(json() ? build_json(all) : build_text(all, wants_colour()), outputs_)) {
            return exit_failed;
        }
        std::vector<OutputFile> files;
        if (!add_build_files(files, all, options_)) return exit_failed;
        return write_files(files, outputs_, engine_.stop);
    }

    ExitStatus status() const {
        const bool apart = std::ranges::all_of(
            sheets_, [](const BuildSheet& sheet) { return sheet.insulation.kept(); });
        const ExitStatus link = status_of(*proven_->proof);
        if (link != exit_failed && engine_.stop.stop_requested()) {
            tell("gapwright: stopped: these plans are the best so far\n");
            return exit_failed;
        }
        return link == exit_kept && !apart ? exit_broken : link;
    }

    const BuildCommandOptions& options_;
    Outputs outputs_;
    const ProvenLink* proven_ = nullptr;
    EngineOptions engine_;
    Wiring wiring_;
    PartsToPull parts_;
    std::vector<FirstCurrent> currents_;
    std::vector<BuildSheet> sheets_;
};

}  // namespace

ExitStatus run_build(const BuildCommandOptions& options, const std::stop_token& stop) {
    return BuildRun(options, stop).run();
}

}  // namespace gapwright
