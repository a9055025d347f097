// SPDX-License-Identifier: MIT
// What the answers of one drawing do not agree in, in words.
#pragma once

#include <string>
#include <vector>

#include "fit/drawing/problem.h"

namespace aplomb::drawing {

std::vector<std::string> differences(const Task& task, const std::vector<Found>& answers);

} // namespace aplomb::drawing
