// SPDX-License-Identifier: MIT
// The subcommands. Each prints its result and returns the exit status, or throws a Failure.
#pragma once

#include "cli/arguments.h"

namespace aplomb::cli {

int run_inspect(const Arguments& arguments);
int run_read(const Arguments& arguments);
/// Many frames of a clip, for run_read.
int run_read_clip(const Arguments& arguments);
int run_balance(const Arguments& arguments);
int run_fit(const Arguments& arguments);
int run_follow(const Arguments& arguments);
int run_timing(const Arguments& arguments);
int run_dots(const Arguments& arguments);
/// Many frames of a clip, for run_balance.
int run_balance_clip(const Arguments& arguments);

} // namespace aplomb::cli
