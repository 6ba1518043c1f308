// A page on a folder of its own, asked as the browser asks it, without HTTP.
#pragma once

#include <gtest/gtest.h>

#include <chrono>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>
#include <string>
#include <thread>

#include "page/page.hpp"

namespace gapwright {

using AskedJson = nlohmann::json;

class PageScene {
  public:
    PageScene() : folder_(made_folder()), page_(opened(folder_)) {}
    ~PageScene() {
        std::error_code ignored;
        std::filesystem::remove_all(folder_, ignored);
    }
    PageScene(const PageScene&) = delete;
    PageScene& operator=(const PageScene&) = delete;

    const std::filesystem::path& folder() const { return folder_; }

    void write(const std::string& name, const std::string& text) const {
        std::filesystem::create_directories((folder_ / name).parent_path());
        std::ofstream(folder_ / name, std::ios::binary) << text;
    }
    std::string read(const std::string& name) const { return text_of(folder_ / name); }
    static std::string text_of(const std::filesystem::path& path) {
        std::ifstream stream(path, std::ios::binary);
        std::ostringstream text;
        text << stream.rdbuf();
        return text.str();
    }
    void copy_example(const std::string& name, const std::string& as = {}) const {
        const auto source = std::filesystem::path(PROJECT_FOLDER) / "examples/clock-tower" / name;
        write(as.empty() ? source.filename().string() : as, text_of(source));
    }

    Reply get_reply(const std::string& path, std::map<std::string, std::string> query = {}) {
        return page_.answer({.method = Method::get,
                             .path = path,
                             .query = std::move(query),
                             .body = {},
                             .type = {}},
                            {});
    }
    Reply post_reply(const std::string& path, const AskedJson& body, std::stop_token stop = {},
                     std::map<std::string, std::string> query = {}) {
        return page_.answer({.method = Method::post,
                             .path = path,
                             .query = std::move(query),
                             .body = body.dump(),
                             .type = "application/json"},
                            stop);
    }
    AskedJson get(const std::string& path, std::map<std::string, std::string> query = {}) {
        return parsed(get_reply(path, std::move(query)));
    }
    AskedJson post(const std::string& path, const AskedJson& body = AskedJson::object()) {
        return parsed(post_reply(path, body));
    }
    AskedJson refused(int status, const std::string& path, const AskedJson& body) {
        const Reply reply = post_reply(path, body);
        EXPECT_EQ(reply.status, status) << reply.body;
        return AskedJson::parse(reply.body);
    }
    Page& page() { return page_; }
    // The program ends and is started again.
    void restart() { page_ = opened(folder_); }

    // The id of a file as the folder shows it.
    std::string id_of(const std::string& file) {
        const AskedJson view = get("/api/folder");
        for (const char* list : {"links", "cards", "charts", "points", "drawers"}) {
            for (const auto& entry : view[list]) {
                if (entry["file"] == file) return entry["id"];
            }
        }
        ADD_FAILURE() << file << " is not in the folder";
        return "";
    }
    std::string example_id(const std::string& name, const std::string& note) {
        const AskedJson view = get("/api/folder");
        for (const auto& entry : view["examples"]) {
            if (entry["name"] == name && entry["note"] == note) return entry["id"];
        }
        ADD_FAILURE() << name << " is no example";
        return "";
    }

    // Waits for a job that was started and returns its last view.
    AskedJson finish(const AskedJson& job) {
        const std::string path = "/api/jobs/" + job["id"].get<std::string>();
        for (int k = 0; k < 12000; ++k) {
            AskedJson view = get(path);
            if (view["state"] != "running") return view;
            std::this_thread::sleep_for(std::chrono::milliseconds(10));
        }
        ADD_FAILURE() << "the work does not end";
        return {};
    }
    AskedJson done(const AskedJson& order) {
        AskedJson view = finish(post("/api/jobs", order));
        EXPECT_EQ(view["state"], "done") << view.dump();
        return view["result"];
    }

    static AskedJson parsed(const Reply& reply) {
        EXPECT_EQ(reply.status, 200) << reply.body;
        EXPECT_EQ(reply.type, "application/json");
        return AskedJson::parse(reply.body);
    }

  private:
    static std::filesystem::path made_folder() {
        std::string name = (std::filesystem::temp_directory_path() / "page-XXXXXX").string();
        EXPECT_NE(mkdtemp(name.data()), nullptr);
        return name;
    }
    static Page opened(const std::filesystem::path& folder) {
        auto page = Page::open(folder);
        EXPECT_TRUE(page) << (page ? "" : page.error());
        return std::move(*page);
    }

    std::filesystem::path folder_;
    Page page_;
};

// One edit of a value, as a Trial.
inline AskedJson trial(const AskedJson& view, const AskedJson& at, const std::string& text) {
    return {{"edits", {{{"at", at}, {"text", text}}}},
            {"revision", view["revision"]},
            {"state", ""},
            {"samples", 0}};
}

}  // namespace gapwright
