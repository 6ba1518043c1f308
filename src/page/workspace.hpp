// What the page works on: one folder, the links of it that are open, and the work under way.
#pragma once

#include <cstddef>
#include <cstdint>
#include <map>
#include <memory>
#include <mutex>
#include <string>
#include <string_view>
#include <vector>

#include "folder/file_ids.hpp"
#include "folder/folder.hpp"
#include "page/bench_table.hpp"
#include "page/board_table.hpp"
#include "page/fields.hpp"
#include "page/jobs.hpp"
#include "page/open_link.hpp"
#include "page/refusal.hpp"

namespace gapwright {

// All functions may be called from several threads at once.
class Workspace {
  public:
    explicit Workspace(Folder folder);

    const Folder& folder() const { return *folder_; }
    FileIds& ids() { return ids_; }
    JobTable& jobs() { return jobs_; }
    BenchTable& bench() { return bench_; }
    BoardTable& boards() { return boards_; }

    // The folder of a file, for readers that look for cards beside it: a path of the system.
    std::string folder_of(const std::string& file) const;

    // An open link by the id of its file; opened where it is not yet. Errors: 404 for no id of
    // ours or no link file; those of reading it.
    Answered<std::shared_ptr<OpenLink>> link(const std::string& id);
    std::vector<std::shared_ptr<OpenLink>> open_links();

    // Makes a new file and returns its id. Errors: 409 where it is there, 422 with what the system
    // says.
    Answered<std::string> make_link(const std::string& file, std::string text);

    // Gives a link's file another path, and the records of its sessions with it; returns its new
    // id. Errors: 404, 409 where that is taken, 422.
    Answered<std::string> move_link(const std::string& id, const std::string& to);
    // Puts a link's file into the folder's trash; returns where it lies there.
    Answered<std::string> trash_link(const std::string& id);
    // Takes a file out of the trash again. Errors: as move_link.
    Answered<std::string> restore_link(const std::string& trashed, const std::string& to);

    // The text of a file of ours by its id, whose name ends so. Errors: 404, 422.
    Answered<FileContent> read(const std::string& id, std::string_view ending, std::size_t limit);
    Answered<std::string> file_of(const std::string& id);

    // Changes whenever files came, went or changed: made of names, sizes and times. Looked at once
    // a second at most.
    std::uint64_t stamp();
    FolderListing listing();

    // The cards that a link in that folder can name.
    std::shared_ptr<const std::vector<CardChoice>> cards(const std::string& folder);

  private:
    void look();  // mutex_ held

    std::shared_ptr<const Folder> folder_;
    FileIds ids_;

    std::mutex mutex_;
    std::map<std::string, std::shared_ptr<OpenLink>> links_;  // by id
    FolderListing listing_;
    std::uint64_t stamp_ = 0;
    std::int64_t looked_ = -1;  // ms, steady
    struct Cards {
        std::uint64_t stamp;
        std::shared_ptr<const std::vector<CardChoice>> choices;
    };
    std::map<std::string, Cards> cards_;  // by folder

    BoardTable boards_;
    BenchTable bench_;
    JobTable jobs_;  // last: its work refers to all the rest
};

}  // namespace gapwright
