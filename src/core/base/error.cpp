// SPDX-License-Identifier: MIT
#include "base/error.h"

#include <cstdarg>
#include <cstdio>

namespace aplomb {

aplomb_status fail(aplomb_error* error, aplomb_status status, const char* field, int index,
                   const char* format, ...) {
    if (!error) return status;
    *error = {};
    error->status = status;
    error->index = index;
    std::snprintf(error->field, sizeof error->field, "%s", field);
    va_list values;
    va_start(values, format);
    std::vsnprintf(error->message, sizeof error->message, format, values);
    va_end(values);
    return status;
}

} // namespace aplomb
