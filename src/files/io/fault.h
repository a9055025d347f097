// SPDX-License-Identifier: MIT
// What goes wrong while a file is read or written. Thrown inside src/files/io only; border.h turns it into an
// aplomb_error, so that none crosses the C API.
#pragma once

#include "aplomb/aplomb.h"

#include <string>
#include <utility>

namespace aplomb::io {

struct Fault {
    aplomb_status status = APLOMB_BAD_FILE;
    std::string message;
    std::string field = "path";
    int index = -1;
    std::string file = {}; // where it is not the character file itself
};

/// The file is not what it claims to be, or asks for something that is not read.
[[noreturn]] inline void refuse(std::string message) {
    throw Fault{APLOMB_BAD_FILE, std::move(message)};
}

[[noreturn]] inline void bad_argument(const char* field, const std::string& message, int index = -1) {
    throw Fault{APLOMB_BAD_ARGUMENT, message, field, index};
}

} // namespace aplomb::io
