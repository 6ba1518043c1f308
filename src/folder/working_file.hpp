// A file while it is worked on: its text, its history, and what is on the disk meanwhile.
//
// Every change is saved at once. Before anything is replaced, the disk is compared with what was
// last read or written there; where somebody else has changed it, nothing is saved until the person
// has chosen: take_disk() or keep_mine(). Neither loses a text: the other one is in the history.
//
// One window remains. The comparison is the last thing before the new file takes the name; a change
// that another program makes between these two calls of the system, some microseconds apart, is
// replaced unseen.
#pragma once

#include <cstddef>
#include <cstdint>
#include <deque>
#include <expected>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "folder/atomic_save.hpp"
#include "folder/folder.hpp"
#include "source/text_check.hpp"

namespace gapwright {

struct HistoryLimits {
    std::size_t steps = 200;                     // that can be undone
    std::size_t bytes = std::size_t{16} << 20U;  // of texts kept for undo, and of those for redo;
                                                 // the latest is kept in any case
};

// What somebody else made of the file.
struct OutsideChange {
    std::optional<std::string> text = std::nullopt;  // what is on the disk; none where it is gone
                                                     // or cannot be read
    bool gone = false;
    std::string words = {};  // one sentence, no full stop
};

// Not for several threads at once.
class WorkingFile {
  public:
    static constexpr std::size_t largest_text = gapwright::largest_text;  // bytes

    // Opens a file that is there. Errors: those of Folder::read.
    static FileExpected<WorkingFile> open(std::shared_ptr<const Folder> folder, std::string path,
                                          HistoryLimits limits = {});

    // Makes a new file and opens it. Replaces none: then `exists` is set.
    static std::expected<WorkingFile, SaveFailure> create(std::shared_ptr<const Folder> folder,
                                                          std::string path, std::string text,
                                                          HistoryLimits limits = {});

    const std::string& path() const { return path_; }
    const std::string& text() const { return text_; }
    // Raised by one with each change of the text and each answer to an outside change.
    std::uint64_t revision() const { return revision_; }

    // Whether the disk holds the text, as far as was looked.
    bool saved() const { return trouble_.empty() && !outside_ && !unsaved(); }
    // Whether the text differs from what was last read or written.
    bool unsaved() const { return text_ != disk_; }
    // Why the last save failed; empty when it did not. One sentence, no full stop.
    const std::string& trouble() const { return trouble_; }
    // What somebody else has done, until it is resolved.
    const std::optional<OutsideChange>& outside() const { return outside_; }
    // Somebody else's change may be taken without asking: nothing of ours is unsaved.
    bool may_take_disk() const { return outside_ && outside_->text && !unsaved(); }

    // Each of these returns saved(). A change that cannot be saved remains in memory.
    bool change(std::string text, std::string label);
    bool undo();  // nothing happens where there is nothing to undo
    bool redo();
    bool save_again();

    // The labels of what undo() and redo() would do, the next first; in words such as
    // "R1 value: 330 Ω to 1 kΩ".
    std::vector<std::string> undo_labels() const;
    std::vector<std::string> redo_labels() const;

    // Looks at the disk: cheap while nothing has changed. True when outside() is another than
    // before. A disk that holds our text, or again what was last read or written, is no change.
    bool look();

    // The disk's text, as it is now, becomes the text; ours goes into the history. Errors: there is
    // no text on the disk that could be taken.
    std::expected<void, std::string> take_disk();

    // Our text replaces the disk's, which goes into the history, so that undo() brings it back; a
    // file that is gone is made anew. Errors: the disk's text cannot be read, and so not be kept;
    // it has changed once more since look(); those of a save.
    std::expected<void, std::string> keep_mine();

  private:
    struct Step {
        std::string text;  // to go back to
        std::string label;
    };

    WorkingFile(std::shared_ptr<const Folder> folder, std::string path, FileContent content,
                HistoryLimits limits);

    // What is on the disk, compared with `expected` (none: no file); a difference is told.
    std::optional<OutsideChange> difference(const std::optional<std::string>& expected);
    // Whether the text is in place; trouble() may tell of it all the same.
    bool save(const std::optional<std::string>& expected);
    void replace_text(std::string text);
    static std::vector<std::string> labels(const std::deque<Step>& steps);  // the latest first
    void remember(std::deque<Step>& steps, Step step) const;

    std::shared_ptr<const Folder> folder_;
    std::string path_;
    HistoryLimits limits_;
    std::string text_;
    std::uint64_t revision_ = 1;
    std::deque<Step> undo_;  // the latest last
    std::deque<Step> redo_;
    std::string disk_;          // last read or written
    FileStamp stamp_ = {};      // of that
    bool stamp_tells_ = false;  // it was old enough that a later write cannot have the same
    std::string trouble_ = {};
    std::optional<OutsideChange> outside_ = std::nullopt;
};

}  // namespace gapwright
