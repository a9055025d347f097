// SPDX-License-Identifier: MIT
// What ends the command early: one sentence for the person at the keyboard.
#pragma once

#include <string>

#include "aplomb/aplomb.h"

namespace aplomb::cli {

/// Exit statuses, the same for every subcommand.
enum ExitStatus { exit_in_balance = 0, exit_out_of_balance = 1, exit_wrong_use = 2 };

struct Failure {
    std::string sentence;
};

/// Throws where the library refused.
inline void check(aplomb_status status, const aplomb_error& error) {
    if (status >= 0) return;
    const std::string message = error.message;
    if (status == APLOMB_NO_SUPPORT && error.field == std::string("gravity"))
        throw Failure{
            "--gravity does not press the figure to the ground; point it down, as 0,-9.81,0 where y is up"};
    throw Failure{message.empty() ? std::string(aplomb_status_text(status)) : message};
}

} // namespace aplomb::cli
