// SPDX-License-Identifier: MIT
// Plain sentences on how a pose reads, each with the number that bears it out. What they say, and from which
// number on they say it, is common practice of the trade, and every sentence is marked so.
#pragma once

#include "reading/findings.h"

namespace aplomb {

/// Writes at most APLOMB_MAX_CUES, the most important first; returns how many.
int find_cues(const Figure& figure, const Key& s, const Support& support, const Findings& findings,
              Cue* cues);

} // namespace aplomb
