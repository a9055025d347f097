// SPDX-License-Identifier: MIT
// The numbers of an accessor (glTF 2.0, section 3.6.2): component types, normalised integers, stride, sparse.
#pragma once

#include "io/gltf_document.h"

#include <string>
#include <vector>

namespace aplomb::io {

/// What the reader does with a value that is not finite.
enum class Unfinite { refused, kept };

/// All elements in a row. `type` is what the reader needs, such as "VEC3"; another type is refused.
std::vector<double> read_accessor(GltfDocument& document, std::size_t accessor, const std::string& type,
                                  Unfinite unfinite = Unfinite::refused);

} // namespace aplomb::io
