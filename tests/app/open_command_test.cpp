// `gapwright open` as people run it: what it prints, what it keeps to itself, how it ends.
#include <fcntl.h>
#include <gtest/gtest.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <chrono>
#include <csignal>
#include <filesystem>
#include <fstream>
#include <string>
#include <thread>
#include <vector>

#include "support/run_program.hpp"

namespace gapwright::testing_support {
namespace {

namespace fs = std::filesystem;

// The program at work on a folder, its stdout read to the end of the address.
class Opened {
  public:
    Opened(const fs::path& folder, const std::vector<std::string>& options,
           const std::vector<std::string>& environment = {}) {
        std::array<int, 2> out = {};
        if (pipe(out.data()) != 0) return;
        child_ = fork();
        if (child_ == 0) {
            dup2(out[1], STDOUT_FILENO);
            std::signal(SIGINT, SIG_DFL);
            for (const auto& variable : environment) putenv(strdup(variable.c_str()));
            std::vector<std::string> words = {PROGRAM, "open", folder.string()};
            words.insert(words.end(), options.begin(), options.end());
            std::vector<char*> arguments;
            for (auto& word : words) arguments.push_back(word.data());
            arguments.push_back(nullptr);
            execv(PROGRAM, arguments.data());
            _exit(127);
        }
        close(out[1]);
        out_ = out[0];
    }
    ~Opened() {
        if (child_ > 0) end(SIGKILL);
        close(out_);
    }
    Opened(const Opened&) = delete;
    Opened& operator=(const Opened&) = delete;

    // What it prints, until that holds `word`.
    const std::string& until(const std::string& word) {
        char letter = 0;
        while (printed_.find(word) == std::string::npos && read(out_, &letter, 1) == 1) {
            printed_ += letter;
        }
        return printed_;
    }
    // The one-use code in what was printed.
    std::string code() const {
        const auto begin = printed_.find("?code=");
        if (begin == std::string::npos) return "";
        const auto from = begin + 6;
        return printed_.substr(from, printed_.find_first_of("\"\n", from) - from);
    }
    std::string arguments() const {
        std::ifstream file("/proc/" + std::to_string(child_) + "/cmdline", std::ios::binary);
        return {std::istreambuf_iterator<char>(file), {}};
    }
    int end(int signal) {
        kill(child_, signal);
        int status = 0;
        waitpid(child_, &status, 0);
        child_ = -1;
        return WIFEXITED(status) ? WEXITSTATUS(status) : -WTERMSIG(status);
    }

  private:
    pid_t child_ = -1;
    int out_ = -1;
    std::string printed_;
};

TEST(OpenCommand, PrintsAnAddressThatWorksOnceAndEndsByCtrlC) {
    const ScratchFolder folder;
    for (const int signal : {SIGINT, SIGTERM, SIGHUP}) {
        Opened opened(folder.path(), {"--no-browser"});
        const std::string printed = opened.until("Ctrl-C");
        EXPECT_NE(printed.find("http://127.0.0.1:"), std::string::npos) << printed;
        EXPECT_GE(opened.code().size(), 22U) << printed;  // 128 bits in base 64
        EXPECT_EQ(opened.arguments().find(opened.code()), std::string::npos);
        const auto begin = std::chrono::steady_clock::now();
        EXPECT_EQ(opened.end(signal), 0);
        EXPECT_LT(std::chrono::steady_clock::now() - begin, std::chrono::seconds(2));
    }
    EXPECT_TRUE(fs::is_empty(folder.path()));
}

// So that a page left open goes on, and finds what was typed into it.
TEST(OpenCommand, ServesAFolderOnItsOwnPort) {
    const ScratchFolder folder;
    const auto port = [](const std::string& printed) {
        const auto colon = printed.find(':', printed.find("127.0.0.1"));
        return printed.substr(colon + 1, printed.find('/', colon) - colon - 1);
    };
    std::string first;
    {
        Opened opened(folder.path(), {"--json"});
        first = port(opened.until("\n"));
        EXPECT_EQ(opened.end(SIGINT), 0);
    }
    Opened again(folder.path(), {"--json"});
    EXPECT_EQ(port(again.until("\n")), first);
    Opened beside(folder.path(), {"--json"});
    EXPECT_NE(port(beside.until("\n")), first);
}

TEST(OpenCommand, GivesTheAddressAsJson) {
    const ScratchFolder folder;
    Opened first(folder.path(), {"--json"});
    Opened second(folder.path(), {"--json"});
    EXPECT_TRUE(first.until("\n").starts_with("{\"address\": \"http://127.0.0.1:"));
    second.until("\n");
    EXPECT_NE(first.code(), "");
    EXPECT_NE(first.code(), second.code());
}

// A stand-in for the desktop's opener notes what it is given.
TEST(OpenCommand, HandsTheCodeToTheBrowserInMemoryOnly) {
    const ScratchFolder folder;
    const ScratchFolder desk;
    const fs::path note = desk.path() / "note";
    {
        std::ofstream script(desk.path() / "xdg-open");
        script << "#!/bin/sh\ncp \"$1\" " << note.string() << ".html\nstat -c '%a %U' \"$1\" > "
               << note.string() << ".mode\necho \"$1\" > " << note.string() << ".tmp\nmv "
               << note.string() << ".tmp " << note.string() << "\n";
    }
    fs::permissions(desk.path() / "xdg-open", fs::perms::owner_all);
    std::string file;
    {
        Opened opened(
            folder.path(), {},
            {"PATH=" + desk.path().string() + ":/usr/bin:/bin", "DISPLAY=:0", "XDG_RUNTIME_DIR="});
        const std::string printed = opened.until("Ctrl-C");
        EXPECT_NE(printed.find("is open in the browser"), std::string::npos) << printed;
        EXPECT_EQ(opened.code(), "");  // nothing on the terminal either
        for (int k = 0; k < 500 && !fs::exists(note); ++k) {
            std::this_thread::sleep_for(std::chrono::milliseconds(10));
        }
        file = text_of_file(note);
        file = file.substr(0, file.find('\n'));
        EXPECT_TRUE(file.starts_with("/dev/shm/")) << file;
        EXPECT_EQ(file.find("code"), std::string::npos);
        EXPECT_TRUE(text_of_file(note.string() + ".mode").starts_with("600 "));
        EXPECT_NE(text_of_file(note.string() + ".html").find("/?code="), std::string::npos);
        EXPECT_TRUE(fs::exists(file));
        EXPECT_EQ(opened.end(SIGINT), 0);
    }
    EXPECT_FALSE(fs::exists(file));
    EXPECT_TRUE(fs::is_empty(folder.path()));
}

TEST(OpenCommand, SaysWhatIsWrongWithAFolderOrPort) {
    const ScratchFolder folder;
    const auto missing = run_program("open no-such-folder --no-browser", folder.path());
    EXPECT_EQ(missing.exit_status, 2);
    EXPECT_NE(missing.err.find("no-such-folder"), std::string::npos) << missing.err;
    std::ofstream(folder.path() / "file") << "x";
    EXPECT_EQ(run_program("open file --no-browser", folder.path()).exit_status, 2);
    const auto port = run_program("open . --no-browser --port 70000", folder.path());
    EXPECT_EQ(port.exit_status, 2);
    Opened taken(folder.path(), {"--json"});
    const std::string address = taken.until("\n");
    const auto colon = address.find(':', address.find("127.0.0.1"));
    const std::string number = address.substr(colon + 1, address.find('/', colon) - colon - 1);
    const auto again = run_program("open . --no-browser --port " + number, folder.path());
    EXPECT_EQ(again.exit_status, 2);
    EXPECT_NE(again.err.find("port"), std::string::npos) << again.err;
}

}  // namespace
}  // namespace gapwright::testing_support
