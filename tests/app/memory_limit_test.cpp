// Memory that runs out ends the program with a status that is documented, never with a signal: an
// exception of any thread is carried to the one that answers.
#include <fcntl.h>
#include <gtest/gtest.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <string>
#include <vector>

// Sanitizers take more address space than any limit leaves.
#ifndef GAPWRIGHT_SANITIZE

namespace gapwright {
namespace {

constexpr rlim_t megabyte = rlim_t{1} << 20U;

// The program's wait status (waitpid) in so much address space; what it says goes nowhere.
int wait_status(const std::vector<std::string>& arguments, rlim_t bytes) {
    std::vector<char*> words = {const_cast<char*>(PROGRAM)};
    for (const auto& argument : arguments) words.push_back(const_cast<char*>(argument.c_str()));
    words.push_back(nullptr);
    const pid_t child = ::fork();
    if (child == 0) {
        const int nowhere = ::open("/dev/null", O_RDWR);
        for (const int stream : {0, 1, 2}) ::dup2(nowhere, stream);
        const rlimit limit{.rlim_cur = bytes, .rlim_max = bytes};
        const rlimit no_core{.rlim_cur = 0, .rlim_max = 0};
        ::setrlimit(RLIMIT_CORE, &no_core);
        ::setrlimit(RLIMIT_AS, &limit);
        ::execv(PROGRAM, words.data());
        ::_exit(126);
    }
    int status = 0;
    EXPECT_EQ(::waitpid(child, &status, 0), child);
    return status;
}

// The least address space in which the program can be loaded at all, to a megabyte.
rlim_t least_to_load() {
    rlim_t too_little = 1;
    rlim_t enough = 4096;
    while (enough - too_little > 1) {
        const rlim_t middle = (too_little + enough) / 2;
        (wait_status({"--help"}, middle * megabyte) == 0 ? enough : too_little) = middle;
    }
    return enough;
}

// How often the command ended for want of memory.
int expect_documented_status(const std::vector<std::string>& arguments,
                             const std::vector<rlim_t>& megabytes_more) {
    static const rlim_t least = least_to_load();
    int failed = 0;
    for (const rlim_t more : megabytes_more) {
        const int status = wait_status(arguments, (least + more) * megabyte);
        const bool ended_by_itself = WIFEXITED(status);
        EXPECT_TRUE(ended_by_itself)
            << "a signal, " << WTERMSIG(status) << ", in " << least + more << " MB";
        if (!ended_by_itself) continue;
        const int said = WEXITSTATUS(status);
        EXPECT_TRUE((said >= 0 && said <= 3) || said == 70)
            << said << " in " << least + more << " MB";
        failed += said == 70 ? 1 : 0;
    }
    return failed;
}

// Above the last limit of each it takes seconds until memory runs out.
TEST(LittleMemory, EndsWithADocumentedStatus) {
    const std::string clock_tower = PROJECT_FOLDER "/examples/clock-tower/";
    const std::string link = clock_tower + "bell-hammer.link.toml";
    const auto design = [&](const std::string& need) {
        return std::vector<std::string>{"design", clock_tower + "needs/" + need};
    };
    const int ended_for_want_of_it =
        expect_documented_status({"check", link, "--samples", "2000"}, {0, 2, 8}) +
        expect_documented_status(design("bell-hammer.link.toml"), {0, 8, 33}) +
        expect_documented_status(design("pendulum-beat.link.toml"), {18, 21, 24, 27});
    EXPECT_GT(ended_for_want_of_it, 0);
}

}  // namespace
}  // namespace gapwright

#endif
