/* SPDX-License-Identifier: MIT
 * Loaded before a test program (LD_PRELOAD): an invalid operation or a division by zero ends it. */
#define _GNU_SOURCE
#include <fenv.h>

__attribute__((constructor)) static void enable(void) {
    feenableexcept(FE_INVALID | FE_DIVBYZERO);
}
