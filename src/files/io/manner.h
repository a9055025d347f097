// SPDX-License-Identifier: MIT
// A studio's manner: a JSON file of this project's own, with what of the options table is set otherwise than usual.
//
//   {
//     "aplomb_manner": 1,                 format version
//     "note": ["12 pairs tell ..."],      for people; any text or list of texts
//     "options": { "hips_side": 0.041, "trunk_fore": 0.21 }    in the library's own units: angles in radians
//   }
#pragma once

#include "aplomb/aplomb.h"

#include <string>
#include <string_view>

namespace aplomb::io {

/// Sets what the text names and leaves the rest. Refuses unknown keys and says what is near.
void read_manner(std::string_view bytes, aplomb_options& options);

/// What of `options` differs from the defaults.
std::string write_manner(const aplomb_options& options, std::string_view note);

} // namespace aplomb::io
