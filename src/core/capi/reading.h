// SPDX-License-Identifier: MIT
// A reading as the caller gets it.
#pragma once

#include "reading/reading.h"

namespace aplomb {

aplomb_reading public_reading(const Figure& figure, const Key& s, const Support& support, const Area& zone,
                              const Aim& aim, const Findings& findings);

} // namespace aplomb
