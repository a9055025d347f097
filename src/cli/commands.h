// SPDX-License-Identifier: MIT
// The subcommands. Each prints its result and returns the exit status, or throws a Failure.
#pragma once

#include "cli/arguments.h"

namespace aplomb::cli {

int run_inspect(const Arguments& arguments);
int run_read(const Arguments& arguments);
int run_balance(const Arguments& arguments);

} // namespace aplomb::cli
