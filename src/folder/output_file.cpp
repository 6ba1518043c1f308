#include "folder/output_file.hpp"

#include <algorithm>
#include <expected>
#include <filesystem>
#include <fstream>
#include <ios>
#include <iterator>
#include <optional>
#include <set>
#include <string>
#include <system_error>
#include <utility>
#include <vector>

#include "folder/atomic_save.hpp"

namespace gapwright {
namespace {

namespace fs = std::filesystem;

fs::path place_of(const fs::path& path) {
    std::error_code trouble;
    auto place = fs::weakly_canonical(fs::absolute(path, trouble), trouble);
    return trouble ? path : place;
}

bool is_same_file(const fs::path& a, const fs::path& b) {
    std::error_code ignored;
    return fs::equivalent(a, b, ignored) || place_of(a) == place_of(b);
}

// Also of a link that leads nowhere.
bool is_there(const fs::path& path) {
    std::error_code ignored;
    return fs::exists(fs::symlink_status(path, ignored));
}

bool holds(const fs::path& path, const std::string& text) {
    std::error_code trouble;
    if (!fs::is_regular_file(path, trouble) || fs::file_size(path, trouble) != text.size()) {
        return false;
    }
    std::ifstream file(path, std::ios::binary);
    const std::string there{std::istreambuf_iterator<char>(file), {}};
    return !file.bad() && there == text;
}

std::optional<Obstacle> obstacle_at(const fs::path& path, const OutputRule& rule) {
    const auto is_this = [&](const std::string& input) { return is_same_file(path, input); };
    if (std::ranges::any_of(rule.inputs, is_this)) return Obstacle{Obstacle::Kind::is_input, path};
    if (!rule.replace && is_there(path)) return Obstacle{Obstacle::Kind::is_there, path};
    return std::nullopt;
}

}  // namespace

std::vector<Obstacle> find_obstacles(const std::vector<fs::path>& paths, const OutputRule& rule) {
    std::vector<Obstacle> found;
    std::set<fs::path> places;
    for (const auto& path : paths) {
        if (!places.insert(place_of(path)).second) {
            found.push_back({Obstacle::Kind::named_twice, path});
        } else if (auto obstacle = obstacle_at(path, rule)) {
            found.push_back(std::move(*obstacle));
        }
    }
    return found;
}

std::expected<void, OutputFailure> write_outputs(const std::vector<OutputFile>& files,
                                                 const OutputRule& rule) {
    std::vector<const OutputFile*> missing;
    std::vector<fs::path> paths;
    for (const auto& file : files) {
        if (holds(file.path, file.text)) continue;
        missing.push_back(&file);
        paths.push_back(file.path);
    }
    if (auto obstacles = find_obstacles(paths, rule); !obstacles.empty()) {
        return std::unexpected(OutputFailure{std::move(obstacles), {}});
    }
    for (const auto* file : missing) {
        std::error_code told_by_the_save;
        if (file->make_folder) fs::create_directories(file->path.parent_path(), told_by_the_save);
        const auto saved =
            save_at(file->path, file->text, {.replace = rule.replace, .outlasts = false});
        if (saved) continue;
        if (saved.error().exists) {
            return std::unexpected(OutputFailure{{{Obstacle::Kind::is_there, file->path}}, {}});
        }
        return std::unexpected(OutputFailure{{}, saved.error().reason});
    }
    return {};
}

}  // namespace gapwright
