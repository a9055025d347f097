// SPDX-License-Identifier: MIT
// aplomb_manner_*: a studio's manner is learnt from pairs.
#include "aplomb/fit.h"

#include "base/structs.h"

extern "C" void aplomb_manner_options_init(aplomb_manner_options* options, size_t size) {
    aplomb::init_struct(options, size, aplomb_manner_options{});
}
