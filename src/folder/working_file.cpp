#include "folder/working_file.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cstddef>
#include <cstdint>
#include <deque>
#include <expected>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>
#include "folder/atomic_save.hpp"
#include "folder/folder.hpp"

namespace gapwright {
namespace {

std::int64_t now() {  // ns since 1970
    using namespace std::chrono;
    return duration_cast<nanoseconds>(system_clock::now().time_since_epoch()).count();
}

// A stamp seen at a moment says that nothing was written since only if it was older than a tick of
// the clock that stamps are made by; some file systems count in steps of two seconds.
bool old_enough(const FileStamp& stamp, std::int64_t seen) {
    constexpr std::int64_t tick = 2'500'000'000;  // ns
    return stamp.modified < seen - tick && stamp.status < seen - tick;
}

}  // namespace

WorkingFile::WorkingFile(std::shared_ptr<const Folder> folder, std::string path,
                         FileContent content, HistoryLimits limits)
    : folder_(std::move(folder)),
      path_(std::move(path)),
      limits_(limits),
      text_(content.text),
      disk_(std::move(content.text)),
      stamp_(content.stamp) {}

FileExpected<WorkingFile> WorkingFile::open(std::shared_ptr<const Folder> folder, std::string path,
                                            HistoryLimits limits) {
    auto content = folder->read(path, largest_text);
    if (!content) return std::unexpected(content.error());
    return WorkingFile(std::move(folder), std::move(path), std::move(*content), limits);
}

std::expected<WorkingFile, SaveFailure> WorkingFile::create(std::shared_ptr<const Folder> folder,
                                                            std::string path, std::string text,
                                                            HistoryLimits limits) {
    const auto stamp = folder->save(path, text, {.replace = false});
    if (!stamp) return std::unexpected(stamp.error());
    return WorkingFile(std::move(folder), std::move(path), {std::move(text), *stamp}, limits);
}

void WorkingFile::remember(std::deque<Step>& steps, Step step) const {
    steps.push_back(std::move(step));
    std::size_t bytes = 0;
    for (const auto& kept : steps) bytes += kept.text.size() + kept.label.size();
    while (steps.size() > 1 && (steps.size() > limits_.steps || bytes > limits_.bytes)) {
        bytes -= steps.front().text.size() + steps.front().label.size();
        steps.pop_front();
    }
}

std::optional<OutsideChange> WorkingFile::difference(const std::optional<std::string>& expected) {
    const std::int64_t seen = now();
    const auto content = folder_->read(path_, largest_text);
    if (content) {
        if (content->text == expected) {
            if (content->text == disk_) {
                stamp_ = content->stamp;
                stamp_tells_ = old_enough(stamp_, seen);
            }
            return std::nullopt;
        }
        return OutsideChange{.text = content->text,
                             .words = fmt::format("{} was changed by another program", path_)};
    }
    if (content.error().kind == FileFault::missing) {
        if (!expected) return std::nullopt;
        return OutsideChange{.gone = true, .words = fmt::format("{} is gone", path_)};
    }
    return OutsideChange{.words = content.error().message};
}

bool WorkingFile::save(const std::optional<std::string>& expected) {
    SaveOptions options;
    options.replace = expected.has_value();
    options.last_look = [&]() -> std::expected<void, std::string> {
        const auto met = difference(expected);
        if (met) return std::unexpected(met->words);
        return {};
    };
    const auto stamp = folder_->save(path_, text_, options);
    trouble_ = stamp ? "" : stamp.error().reason;
    const auto in_place = stamp ? std::optional(*stamp) : stamp.error().in_place;
    if (!in_place) {
        look();  // it may have failed because the file is no longer what it was
        return false;
    }
    disk_ = text_;
    stamp_ = *in_place;
    stamp_tells_ = false;
    outside_.reset();
    return true;
}

void WorkingFile::replace_text(std::string text) {
    text_ = std::move(text);
    ++revision_;
}

bool WorkingFile::change(std::string text, std::string label) {
    if (text == text_) return saved();
    remember(undo_, {text_, std::move(label)});
    redo_.clear();
    replace_text(std::move(text));
    return save_again();
}

bool WorkingFile::undo() {
    if (undo_.empty()) return saved();
    Step step = std::move(undo_.back());
    undo_.pop_back();
    remember(redo_, {text_, std::move(step.label)});
    replace_text(std::move(step.text));
    return save_again();
}

bool WorkingFile::redo() {
    if (redo_.empty()) return saved();
    Step step = std::move(redo_.back());
    redo_.pop_back();
    remember(undo_, {text_, std::move(step.label)});
    replace_text(std::move(step.text));
    return save_again();
}

bool WorkingFile::save_again() {
    if (outside_) {
        trouble_ = fmt::format("{} was not saved: {}", path_, outside_->words);
        return false;
    }
    save(disk_);
    return saved();
}

std::vector<std::string> WorkingFile::undo_labels() const {
    return labels(undo_);
}

std::vector<std::string> WorkingFile::redo_labels() const {
    return labels(redo_);
}

std::vector<std::string> WorkingFile::labels(const std::deque<Step>& steps) {
    std::vector<std::string> result;
    for (const auto& step : steps) result.push_back(step.label);
    std::ranges::reverse(result);
    return result;
}

bool WorkingFile::look() {
    if (!outside_ && stamp_tells_) {
        const auto stamp = folder_->stamp(path_);
        if (stamp && *stamp == stamp_) return false;
    }
    auto met = difference(disk_);
    if (met && met->text == text_) {
        // Somebody has written what we wanted to.
        disk_ = text_;
        trouble_.clear();
        met = difference(disk_);
    }
    const bool same = met.has_value() == outside_.has_value() &&
                      (!met || (met->text == outside_->text && met->words == outside_->words));
    outside_ = std::move(met);
    return !same;
}

std::expected<void, std::string> WorkingFile::take_disk() {
    look();
    if (!outside_) return {};
    if (!outside_->text) return std::unexpected(outside_->words);
    remember(undo_, {text_, "text of the disk taken"});
    redo_.clear();
    disk_ = *outside_->text;
    replace_text(disk_);
    stamp_tells_ = false;
    trouble_.clear();
    outside_.reset();
    return {};
}

std::expected<void, std::string> WorkingFile::keep_mine() {
    if (!outside_) return {};
    if (!outside_->text && !outside_->gone) return std::unexpected(outside_->words);
    const auto theirs = outside_->text;
    if (!save(theirs)) return std::unexpected(trouble_);
    if (theirs) {
        remember(undo_, {*theirs, "text kept in place of the disk's"});
        redo_.clear();
    }
    ++revision_;
    if (!trouble_.empty()) return std::unexpected(trouble_);
    return {};
}

}  // namespace gapwright
