// SPDX-License-Identifier: MIT
// Poses that a clip holds for some frames, as on twos, are one moment each on an uneven grid: they stay held.
#pragma once

#include "aplomb/clip.h"

namespace aplomb {

/// aplomb_clip_balance with `held`, of what was checked. `result` may be NULL.
aplomb_status balance_held(const aplomb_figure& figure, const aplomb_clip& clip,
                           const aplomb_clip_balance_options& options, const aplomb_allocator& allocator,
                           void* translations, void* rotations, aplomb_clip_balance_result** result,
                           aplomb_error* error);

} // namespace aplomb
