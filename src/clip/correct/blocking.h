// SPDX-License-Identifier: MIT
// Blocking passes: each key of a clip is balanced alone, as a still pose.
#pragma once

#include "aplomb/clip.h"

namespace aplomb {

/// Refuses what belongs to a moving body.
aplomb_status check_blocking(const aplomb_clip_balance_options& options, aplomb_error* error);
/// aplomb_clip_balance with `blocking`, of what was checked. `result` may be NULL.
aplomb_status balance_keys(const aplomb_figure& figure, const aplomb_clip& clip,
                           const aplomb_clip_balance_options& options, const aplomb_options& correction,
                           const aplomb_allocator& allocator, void* translations, void* rotations,
                           aplomb_clip_balance_result** result, aplomb_error* error);

} // namespace aplomb
