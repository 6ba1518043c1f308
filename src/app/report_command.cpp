#include "app/report_command.hpp"

#include <fmt/format.h>

#include <cerrno>
#include <cstdio>
#include <cstring>
#include <filesystem>
#include <fstream>

#include "report/html_report.hpp"
#include "report/picture_file.hpp"
#include "source/toml_document.hpp"

namespace gapwright {
namespace {

// Writes beside the file first and moves it into place, so that a file is whole or not there.
bool write_file(const std::filesystem::path& path, const std::string& text) {
    const std::filesystem::path part = path.string() + ".part";
    {
        std::ofstream stream(part, std::ios::binary);
        stream << text;
        if (!stream.flush()) {
            fmt::print(stderr, "gapwright: {} could not be written: {}\n", path.string(),
                       std::strerror(errno));
            std::error_code ignored;
            std::filesystem::remove(part, ignored);
            return false;
        }
    }
    std::error_code error;
    std::filesystem::rename(part, path, error);
    if (error) fmt::print(stderr, "gapwright: {}: {}\n", path.string(), error.message());
    return !error;
}

// A name of a state or part as the name of a file.
std::string file_name(const std::string& name) {
    std::string result;
    for (const char c : name) {
        const bool plain = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') ||
                           (c >= '0' && c <= '9') || c == '-' || c == '.' ||
                           static_cast<unsigned char>(c) >= 0x80;
        result += plain ? c : '_';
    }
    return result;
}

using Encode = std::expected<std::string, std::string> (*)(const std::string& svg);

std::expected<std::string, std::string> as_it_is(const std::string& svg) {
    return svg;
}

bool write_pictures(const ReportContents& contents, const std::string& folder,
                    std::string_view ending, Encode encode) {
    if (folder.empty()) return true;
    std::error_code error;
    std::filesystem::create_directories(folder, error);
    for (const auto* picture : contents.all()) {
        const auto data = encode(picture->picture.svg(true));
        if (!data) {
            fmt::print(stderr, "gapwright: {}: {}\n", picture->name, data.error());
            return false;
        }
        const std::filesystem::path path =
            std::filesystem::path(folder) / (file_name(picture->name) + std::string(ending));
        if (!write_file(path, *data)) return false;
    }
    return true;
}

}  // namespace

ExitStatus run_report(const ReportOptions& options) {
    const auto proven = prove_file(options.prove);
    if (!proven) return proven.error();
    const auto contents = report_contents(proven->link, proven->circuit, proven->proof);
    const auto source = read_file(options.prove.file);
    const std::string html = html_report(proven->link, proven->proof, contents,
                                         source ? (*source)->text() : std::string_view());
    const bool written = (options.output.empty() || write_file(options.output, html)) &&
                         write_pictures(contents, options.svg_folder, ".svg", as_it_is) &&
                         write_pictures(contents, options.png_folder, ".png", png_of) &&
                         write_pictures(contents, options.pdf_folder, ".pdf", pdf_of);
    if (!written) return exit_failed;
    if (!options.output.empty()) {
        fmt::print("{}: {}\n", options.output, verdict_name(proven->proof.verdict));
    }
    return status_of(proven->proof);
}

}  // namespace gapwright
