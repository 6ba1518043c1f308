// The page of a folder: answers what the browser asks. web/src/contract.ts lists the questions.
#pragma once

#include <expected>
#include <filesystem>
#include <memory>
#include <stop_token>
#include <string>

#include "service/exchange.hpp"

namespace gapwright {

class Workspace;

class Page {
  public:
    // Errors, in words: the folder cannot be opened.
    static std::expected<Page, std::string> open(const std::filesystem::path& folder);

    Page(Page&&) noexcept;
    Page& operator=(Page&&) noexcept;
    ~Page();  // ends the work under way

    // May be called from several threads at once. Whoever calls has found that the question comes
    // from the page itself (service/request_guard.hpp).
    Reply answer(const Request& request, const std::stop_token& stop);

  private:
    explicit Page(std::unique_ptr<Workspace> workspace);
    std::unique_ptr<Workspace> workspace_;
};

}  // namespace gapwright
