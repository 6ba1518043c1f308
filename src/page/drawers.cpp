#include "page/drawers.hpp"

#include <algorithm>
#include <cstddef>
#include <expected>
#include <filesystem>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "card/drawer.hpp"
#include "card/part_kind.hpp"
#include "folder/atomic_save.hpp"
#include "folder/folder.hpp"
#include "page/json.hpp"
#include "page/refusal.hpp"
#include "page/workspace.hpp"
#include "report/json/ordered_json.hpp"
#include "source/csv_document.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"
#include "units/colour_bands.hpp"

namespace gapwright {
namespace {

constexpr std::string_view ending = ".csv";
constexpr std::size_t largest = std::size_t{1} << 20U;

// The bands on a row's resistors, in the order of reading; none where bands cannot say it.
Json bands_of(const DrawerRow* row) {
    Json bands = Json::array();
    if (row == nullptr || row->kind != Kind::resistor || !row->value) return bands;
    const auto colours =
        colour_bands(row->value->nominal, row->value->highest / row->value->nominal - 1);
    if (!colours) return bands;
    for (const BandColour colour : *colours) bands.push_back(colour_name(colour));
    return bands;
}

Json row_view(const CsvRecord& record, const Drawer& drawer) {
    Json cells = Json::array();
    for (const auto& field : record.fields) cells.push_back(field.text);
    const auto row = std::ranges::find_if(
        drawer.rows, [&](const DrawerRow& one) { return one.place.begin == record.place.begin; });
    const auto skipped = std::ranges::find_if(drawer.skipped, [&](const Diagnostic& problem) {
        return problem.place.begin >= record.place.begin && problem.place.end <= record.place.end;
    });
    std::string problem;
    if (skipped != drawer.skipped.end()) {
        problem = skipped->message;
        if (!skipped->remedy.empty()) problem += "; " + skipped->remedy;
    }
    return {{"cells", cells},
            {"bands", bands_of(row == drawer.rows.end() ? nullptr : &*row)},
            {"problem", problem}};
}

Answered<std::vector<std::string>> fields_in(const Json& list) {
    if (!list.is_array()) return refused(400, "this is no row");
    std::vector<std::string> fields;
    for (const Json& field : list) {
        if (!field.is_string()) return refused(400, "this is no row");
        fields.push_back(field.get<std::string>());
    }
    return fields;
}

// As CSV, its lines ended as those of the text that it replaces.
Answered<std::string> text_of_rows(const Json& edit, bool plain_ends) {
    std::string text;
    const auto add = [&](const Json& list) -> Answered<bool> {
        const auto fields = fields_in(list);
        if (!fields) return std::unexpected(fields.error());
        std::string line = csv_line(*fields);
        if (plain_ends && line.ends_with("\r\n")) line.replace(line.size() - 2, 2, "\n");
        text += line;
        return true;
    };
    if (const auto head = add(edit.value("columns", Json::array())); !head) {
        return std::unexpected(head.error());
    }
    for (const Json& row : edit.value("rows", Json::array())) {
        if (const auto added = add(row); !added) return std::unexpected(added.error());
    }
    if (text.size() > largest) return refused(413, "a drawer is 1 MiB at most");
    return text;
}

}  // namespace

Answered<Json> drawer_view(Workspace& workspace, const std::string& id) {
    auto content = workspace.read(id, ending, largest);
    if (!content) return std::unexpected(content.error());
    const auto file = workspace.file_of(id);
    if (!file) return std::unexpected(file.error());
    const auto source = std::make_shared<const SourceText>(*file, content->text);
    const auto document = read_csv(source);
    const auto drawer = read_drawer(source);
    if (!document) return refused("this is no drawer", document.error());
    if (!drawer) return refused("this is no drawer", drawer.error());
    Json columns = Json::array();
    for (const auto& field : document->header.fields) columns.push_back(field.text);
    Json rows = Json::array();
    for (const auto& record : document->records) rows.push_back(row_view(record, *drawer));
    return Json{{"id", id},
                {"name", std::filesystem::path(*file).filename().string()},
                {"text", content->text},
                {"columns", columns},
                {"rows", rows}};
}

Answered<Json> save_drawer(Workspace& workspace, const Json& edit) {
    const std::string id = text_in(edit, "id");
    const std::string replaces = text_in(edit, "replaces");
    const auto file = workspace.file_of(id);
    if (!file) return std::unexpected(file.error());
    if (!file->ends_with(ending)) return refused(404, "this file is no drawer");
    const auto text = text_of_rows(edit, replaces.find("\r\n") == std::string::npos);
    if (!text) return std::unexpected(text.error());
    // What cannot be read as a drawer at all is not put in place of one that can.
    if (const auto read = read_drawer(std::make_shared<const SourceText>(*file, *text)); !read) {
        return refused("this is no drawer", read.error());
    }
    bool moved = false;
    SaveOptions options{.replace = true, .last_look = {}};
    options.last_look = [&]() -> std::expected<void, std::string> {
        const auto there = workspace.folder().read(*file);
        if (there && there->text == replaces) return {};
        moved = true;
        return std::unexpected(*file + " has changed outside meanwhile");
    };
    const auto saved = workspace.folder().save(*file, *text, options);
    if (!saved) return refused(moved ? 409 : 422, saved.error().reason);
    return drawer_view(workspace, id);
}

}  // namespace gapwright
