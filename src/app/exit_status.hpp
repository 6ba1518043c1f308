// Exit statuses of every command.
#pragma once

namespace gapwright {

enum ExitStatus : int {
    exit_kept = 0,       // all promises kept, or thin, with a warning
    exit_broken = 1,     // a promise or rating is broken
    exit_bad_input = 2,  // the message says where and what was expected; nothing was written
    exit_failed = 3,     // the computation failed, or nothing could be judged; the message says why
    exit_defect = 70,    // a defect of ours
};

}  // namespace gapwright
