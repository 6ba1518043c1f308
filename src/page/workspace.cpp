#include "page/workspace.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cstddef>
#include <cstdint>
#include <expected>
#include <filesystem>
#include <functional>
#include <memory>
#include <mutex>
#include <string>
#include <string_view>
#include <utility>
#include <vector>
#include "folder/folder.hpp"
#include "folder/working_file.hpp"
#include "link/link.hpp"
#include "page/fields.hpp"
#include "page/open_link.hpp"
#include "page/refusal.hpp"

namespace gapwright {
namespace {

constexpr std::string_view link_ending = ".link.toml";
constexpr std::string_view trash = ".trash/";  // hidden, so that no listing shows it

std::int64_t now_ms() {
    return std::chrono::duration_cast<std::chrono::milliseconds>(
               std::chrono::steady_clock::now().time_since_epoch())
        .count();
}

std::uint64_t stamp_of(const FolderListing& listing) {
    std::uint64_t stamp = listing.files.size();
    const auto add = [&](std::uint64_t value) {
        stamp ^= value + 0x9e3779b97f4a7c15U + (stamp << 6U) + (stamp >> 2U);  // as in hash tables
    };
    for (const auto& file : listing.files) {
        add(std::hash<std::string>()(file.path));
        add(file.size);
        add(static_cast<std::uint64_t>(file.changed));
    }
    return stamp >> 12U;  // whole in a double, as JSON has it
}

Refusal told(const FileError& error) {
    if (error.kind == FileFault::taken)
        return Refusal{409, error.message, "give it another name", {}};
    const bool none = error.kind == FileFault::missing || error.kind == FileFault::bad_path;
    return Refusal{none ? 404 : 422, error.message, {}, {}};
}

}  // namespace

Workspace::Workspace(Folder folder) : folder_(std::make_shared<const Folder>(std::move(folder))) {}

std::string Workspace::folder_of(const std::string& file) const {
    return (folder_->path() / std::filesystem::path(file).parent_path()).string();
}

Answered<std::string> Workspace::file_of(const std::string& id) {
    auto file = ids_.path_of(id);
    if (!file) {
        // A page that was open before the program was started: files are known once they are
        // listed.
        const std::lock_guard lock(mutex_);
        look();
        for (const auto& listed : listing_.files) ids_.id_of(listed.path);
        file = ids_.path_of(id);
    }
    if (!file) return refused(404, "no such file is known", "go back to the folder");
    return *file;
}

Answered<std::shared_ptr<OpenLink>> Workspace::link(const std::string& id) {
    const auto file = file_of(id);
    if (!file) return std::unexpected(file.error());
    if (!file->ends_with(link_ending)) return refused(404, "this file is no link");
    const std::lock_guard lock(mutex_);
    auto& open = links_[id];
    if (!open) {
        auto opened = WorkingFile::open(folder_, *file);
        if (!opened) {
            links_.erase(id);
            return std::unexpected(told(opened.error()));
        }
        open = std::make_shared<OpenLink>(id, std::move(*opened), folder_of(*file));
    }
    return open;
}

std::vector<std::shared_ptr<OpenLink>> Workspace::open_links() {
    const std::lock_guard lock(mutex_);
    std::vector<std::shared_ptr<OpenLink>> links;
    for (const auto& [id, link] : links_) links.push_back(link);
    return links;
}

Answered<std::string> Workspace::make_link(const std::string& file, std::string text) {
    std::string id = ids_.id_of(file);
    auto made = WorkingFile::create(folder_, file, std::move(text));
    if (!made && made.error().exists) {
        return refused(409, file + " is there already", "give it another name");
    }
    if (!made) return refused(422, made.error().reason);
    const std::lock_guard lock(mutex_);
    links_[id] = std::make_shared<OpenLink>(id, std::move(*made), folder_of(file));
    looked_ = -1;
    return id;
}

Answered<std::string> Workspace::move_link(const std::string& id, const std::string& to) {
    const auto file = file_of(id);
    if (!file) return std::unexpected(file.error());
    if (!file->ends_with(link_ending)) return refused(404, "this file is no link");
    const std::lock_guard lock(mutex_);
    const auto moved = folder_->move(*file, to);
    if (!moved) return std::unexpected(told(moved.error()));
    // Without sessions there are none to take along.
    const auto records = [](std::string name) {
        name.resize(name.size() - link_ending.size());
        return name + ".bench";
    };
    if (!to.starts_with(trash)) (void)folder_->move(records(*file), records(to));
    links_.erase(id);
    looked_ = -1;
    return ids_.id_of(to);
}

Answered<std::string> Workspace::trash_link(const std::string& id) {
    const auto file = file_of(id);
    if (!file) return std::unexpected(file.error());
    std::string stem = std::filesystem::path(*file).filename().string();
    stem.resize(stem.size() - std::min(stem.size(), link_ending.size()));
    Answered<std::string> last = refused(409, "the trash is full of files of this name");
    constexpr int most = 1000;
    for (int number = 1; number <= most; ++number) {
        std::string to = fmt::format("{}{}{}{}", trash, stem,
                                     number == 1 ? "" : fmt::format(".{}", number), link_ending);
        if (folder_->stamp(to)) continue;
        last = move_link(id, to);
        if (last) return to;
        break;
    }
    return last;
}

Answered<std::string> Workspace::restore_link(const std::string& trashed, const std::string& to) {
    if (!trashed.starts_with(trash) || !trashed.ends_with(link_ending) ||
        !to.ends_with(link_ending)) {
        return refused(404, "this is not in the trash");
    }
    const std::lock_guard lock(mutex_);
    const auto moved = folder_->move(trashed, to);
    if (!moved) return std::unexpected(told(moved.error()));
    looked_ = -1;
    return ids_.id_of(to);
}

Answered<FileContent> Workspace::read(const std::string& id, std::string_view ending,
                                      std::size_t limit) {
    const auto file = file_of(id);
    if (!file) return std::unexpected(file.error());
    if (!file->ends_with(ending)) return refused(404, "this is a file of another kind");
    auto content = folder_->read(*file, limit);
    if (!content) return std::unexpected(told(content.error()));
    return std::move(*content);
}

void Workspace::look() {
    constexpr std::int64_t often = 500;  // ms: the page asks every second
    const std::int64_t now = now_ms();
    if (looked_ >= 0 && now - looked_ < often) return;
    listing_ = folder_->list();
    stamp_ = stamp_of(listing_);
    looked_ = now;
}

std::uint64_t Workspace::stamp() {
    const std::lock_guard lock(mutex_);
    look();
    return stamp_;
}

FolderListing Workspace::listing() {
    const std::lock_guard lock(mutex_);
    looked_ = -1;
    look();
    return listing_;
}

std::shared_ptr<const std::vector<CardChoice>> Workspace::cards(const std::string& folder) {
    const std::uint64_t now = stamp();
    {
        const std::lock_guard lock(mutex_);
        const auto known = cards_.find(folder);
        if (known != cards_.end() && known->second.stamp == now) return known->second.choices;
    }
    auto choices =
        std::make_shared<const std::vector<CardChoice>>(card_choices(shelf_beside(folder)));
    const std::lock_guard lock(mutex_);
    cards_[folder] = {now, choices};
    return choices;
}

}  // namespace gapwright
