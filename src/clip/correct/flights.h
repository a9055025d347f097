// SPDX-License-Identifier: MIT
// A clip whose flights fall freely. The keyed flights are brought onto their arcs first, so that balancing sees the
// accelerations that the body will have; what balancing then moved in the air is brought onto arcs again.
#pragma once

#include "aplomb/clip.h"

namespace aplomb {

/// aplomb_clip_balance with `flights`, of what was checked. `result` may be NULL.
aplomb_status balance_with_flights(const aplomb_figure& figure, const aplomb_clip& clip,
                                   const aplomb_clip_balance_options& options,
                                   const aplomb_allocator& allocator, void* translations, void* rotations,
                                   aplomb_clip_balance_result** result, aplomb_error* error);

} // namespace aplomb
