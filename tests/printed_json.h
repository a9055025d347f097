// SPDX-License-Identifier: MIT
// JSON values in the messages of tests.
#pragma once

#include <ostream>

#include "json/json.h"

namespace aplomb {

inline void PrintTo(const Json& json, std::ostream* out) {
    *out << json.dump();
}

} // namespace aplomb
