#include "report/html/html_writer.hpp"

#include <fmt/format.h>

#include <cctype>
#include <cstddef>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "draw/picture.hpp"
#include "report/html/html_report.hpp"
#include "report/html/html_style.hpp"

namespace gapwright {

std::string HtmlWriter::unbroken(const std::string& words) {
    constexpr std::string_view fixed_space = "\u00a0";
    constexpr std::string_view either = "±";
    std::string kept;
    for (std::size_t k = 0; k < words.size(); ++k) {
        const std::string_view before = std::string_view(words).substr(0, k);
        const std::string_view after = std::string_view(words).substr(k + 1);
        const bool within = words[k] == ' ' && !before.empty() &&
                            (std::isdigit(static_cast<unsigned char>(before.back())) != 0 ||
                             before.ends_with(either) || after.starts_with(either));
        kept += within ? fixed_space : std::string_view(words).substr(k, 1);
    }
    return kept;
}

void HtmlWriter::head(const std::string& title) {
    html_ += fmt::format(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
        "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
        "<link rel=\"icon\" href=\"data:,\">\n"
        "<title>{}</title>\n<style>\n{}{}</style>\n</head>\n<body>\n<main>\n",
        text(title), picture_style(), html_style());
}

std::string HtmlWriter::finish() {
    html_ += "</main>\n</body>\n</html>\n";
    return std::move(html_);
}

void HtmlWriter::field(std::string_view name, const std::string& value) {
    html_ += fmt::format("<div><dt>{}</dt><dd>{}</dd></div>\n", name, text(value));
}

void HtmlWriter::figure(const NamedPicture& picture) {
    html_ += fmt::format(
        "<figure>\n<div class=\"scroll\" tabindex=\"0\" role=\"group\" "
        "aria-label=\"{0}\">\n{1}</div>\n<figcaption>{0}</figcaption>\n</figure>\n",
        text(picture.caption), picture.picture.svg(false));
}

void HtmlWriter::section(std::string_view name, const std::vector<NamedPicture>& pictures,
                         std::string_view css) {
    if (pictures.empty()) return;
    html_ += fmt::format("<section>\n<h2>{}</h2>\n<div class=\"{}\">\n", name, css);
    for (const auto& p : pictures) figure(p);
    html_ += "</div>\n</section>\n";
}

void HtmlWriter::list(const std::vector<std::string>& lines, std::string_view tag) {
    html_ += fmt::format("<{}>\n", tag);
    for (const auto& line : lines) html_ += fmt::format("<li>{}</li>\n", text(unbroken(line)));
    html_ += fmt::format("</{}>\n", tag);
}

void HtmlWriter::table_head(const std::vector<std::string>& columns, std::string_view caption) {
    html_ += fmt::format(
        "<div class=\"scroll\" tabindex=\"0\" role=\"group\" "
        "aria-label=\"{0}\">\n<table>\n<caption>{0}</caption>\n<thead><tr>",
        caption);
    for (const auto& c : columns) html_ += fmt::format("<th scope=\"col\">{}</th>", c);
    html_ += "</tr></thead>\n<tbody>\n";
}

void HtmlWriter::table_row(const std::vector<std::string>& cells, std::string_view css) {
    html_ += css.empty() ? "<tr>" : fmt::format("<tr class=\"{}\">", css);
    for (const auto& c : cells) html_ += fmt::format("<td>{}</td>", text(unbroken(c)));
    html_ += "</tr>\n";
}

void HtmlWriter::table_end() {
    html_ += "</tbody>\n</table>\n</div>\n";
}

}  // namespace gapwright
