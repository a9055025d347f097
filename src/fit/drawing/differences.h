// SPDX-License-Identifier: MIT
// In words: where the answers to one drawing differ.
#pragma once

#include <string>
#include <vector>

#include "fit/drawing/problem.h"

namespace aplomb::drawing {

std::vector<std::string> differences(const Task& task, const std::vector<Found>& answers);

} // namespace aplomb::drawing
