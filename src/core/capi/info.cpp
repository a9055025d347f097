// SPDX-License-Identifier: MIT
// Static texts: version, build, statuses, roles and sides.
#include "capi/handles.h"
#include "figure/words.h"

#define APLOMB_TEXT_OF(number) #number
#define APLOMB_TEXT(number) APLOMB_TEXT_OF(number)

#if defined(__clang__)
#define APLOMB_COMPILER "clang " APLOMB_TEXT(__clang_major__) "." APLOMB_TEXT(__clang_minor__)
#elif defined(__GNUC__)
#define APLOMB_COMPILER "gcc " APLOMB_TEXT(__GNUC__) "." APLOMB_TEXT(__GNUC_MINOR__)
#else
#define APLOMB_COMPILER "an unknown compiler"
#endif

uint32_t aplomb_version(void) {
    return APLOMB_VERSION;
}

const char* aplomb_build_info(void) {
    return "aplomb " APLOMB_TEXT(APLOMB_VERSION_MAJOR) "." APLOMB_TEXT(APLOMB_VERSION_MINOR) "." APLOMB_TEXT(
        APLOMB_VERSION_PATCH) ", " APLOMB_COMPILER
#ifdef NDEBUG
                              ", without assertions";
#else
                              ", with assertions";
#endif
}

const char* aplomb_status_text(aplomb_status status) {
    switch (static_cast<int>(status)) {
    case APLOMB_OK:
        return "ok";
    case APLOMB_OUT_OF_REACH:
        return "out of reach";
    case APLOMB_NOT_CONVERGED:
        return "not converged";
    case APLOMB_SETTLING:
        return "settling";
    case APLOMB_BAD_ARGUMENT:
        return "bad argument";
    case APLOMB_BAD_FIGURE:
        return "bad figure";
    case APLOMB_BAD_POSE:
        return "bad pose";
    case APLOMB_NO_SUPPORT:
        return "no support";
    case APLOMB_OUT_OF_MEMORY:
        return "out of memory";
    case APLOMB_WRONG_VERSION:
        return "wrong version";
    case APLOMB_BAD_FILE:
        return "bad file";
    case APLOMB_CANNOT_OPEN:
        return "cannot open";
    case APLOMB_CANCELLED:
        return "cancelled";
    default:
        return "unknown";
    }
}

const char* aplomb_role_text(aplomb_role role) {
    return aplomb::role_text(role);
}
const char* aplomb_side_text(aplomb_side side) {
    return aplomb::side_text(side);
}
