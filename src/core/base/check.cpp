// SPDX-License-Identifier: MIT
#include "base/check.h"

#include <cmath>
#include <cstddef>

#include "base/error.h"

namespace aplomb {
namespace {

constexpr double unit_tolerance = 1e-4; // of a quaternion's length, as the header says

const char* name_of(const Numbers& n, int item) {
    return n.names && n.names[item] && n.names[item][0] ? n.names[item] : "without a name";
}

const double* item_of(const Numbers& n, int item) {
    return n.values + static_cast<size_t>(item) * static_cast<size_t>(n.width);
}

} // namespace

aplomb_status check_finite(const Numbers& n, double largest, aplomb_status status, aplomb_error* error) {
    for (int i = 0; i < n.count; ++i) {
        for (int k = 0; k < n.width; ++k) {
            const double value = item_of(n, i)[k];
            if (!std::isfinite(value))
                return fail(error, status, n.field, n.first + i,
                            "%s of %s %d (%.64s): component %d is %g, not a finite number.", n.field, n.item,
                            n.first + i, name_of(n, i), k, value);
            if (std::fabs(value) > largest)
                return fail(error, status, n.field, n.first + i,
                            "%s of %s %d (%.64s): component %d is %g, beyond %g.", n.field, n.item,
                            n.first + i, name_of(n, i), k, value, largest);
        }
    }
    return APLOMB_OK;
}

aplomb_status check_rotations(const Numbers& n, aplomb_status status, aplomb_error* error) {
    // The bound keeps the length below from overflowing; what it lets through is still not of unit length.
    if (const auto s = check_finite(n, largest_length, status, error)) return s;
    for (int i = 0; i < n.count; ++i) {
        const double* q = item_of(n, i);
        const double length = std::sqrt(q[0] * q[0] + q[1] * q[1] + q[2] * q[2] + q[3] * q[3]);
        if (std::fabs(length - 1.0) > unit_tolerance)
            return fail(error, status, n.field, n.first + i,
                        "%s of %s %d (%.64s): the quaternion has length %.9g, not 1.", n.field, n.item,
                        n.first + i, name_of(n, i), length);
    }
    return APLOMB_OK;
}

} // namespace aplomb
