// SPDX-License-Identifier: MIT
// The C border of the file library: faults and exceptions end here, and callers' structs are taken by their size.
#pragma once

#include "base/structs.h"
#include "io/fault.h"

#include <exception>
#include <new>
#include <string>

namespace aplomb::io {

/// Tells the caller. `path`: the character file's; `argument`: which one of the entry point's the file is.
aplomb_status report(aplomb_error* error, const Fault& fault, const std::string& path,
                     const std::string& argument);

/// Without memory for the sentence not even the path is named.
aplomb_status report_no_memory(aplomb_error* error, const char* argument);

/// Runs one entry point; whatever is thrown becomes a status, also where telling it takes memory that is not there.
/// `argument`: which one the file is.
template<class Body>
aplomb_status guarded(aplomb_error* error, const char* path, Body body, const char* argument = "path") {
    try {
        try {
            body();
            return APLOMB_OK;
        } catch (const Fault& fault) {
            return report(error, fault, path, argument);
        } catch (const std::bad_alloc&) {
            throw;
        } catch (const std::exception& problem) {
            return report(error, {APLOMB_BAD_FILE, problem.what(), "path"}, path, argument);
        }
    } catch (const std::bad_alloc&) {
        return report_no_memory(error, argument);
    }
}

/// A copy in which members that the caller's version lacks are as in `full`. `name` is the argument's.
template<class T>
T read_struct(const T* given, const char* name, T full = {}) {
    aplomb_error error{};
    const aplomb_status status = check_struct(given, name, &error);
    if (status != APLOMB_OK) throw Fault{status, error.message, name};
    return aplomb::read_struct(given, full);
}

} // namespace aplomb::io
