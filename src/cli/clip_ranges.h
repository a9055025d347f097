// SPDX-License-Identifier: MIT
// Frames, and what bears and is carried in them: "12..96", "left-foot=flat:12..40".
#pragma once

#include <string>
#include <vector>

#include "aplomb/clip.h"
#include "cli/character.h"
#include "cli/loads.h"

namespace aplomb::cli {

/// Frames of a clip, both in it.
struct Span {
    int first = 0, last = 0;
};
/// "all" or FIRST..LAST of a clip of `count` frames; else a Failure that begins with `where`.
Span parse_frames(const std::string& where, const std::string& text, int count, bool over_seam = false);

/// Stances as given: the limbs that are spoken of, and their ranges by the clip's own numbers.
struct GivenStances {
    std::vector<bool> limbs; // per limb: stands in the given ranges alone
    std::vector<aplomb_stance_range> ranges;

    bool any() const;
};
/// Of --stance and of the lines of the --ranges file, and for other limbs those of the figure description.
GivenStances parse_stances(const Character& character, const MomentArguments& arguments, int count);
/// What was found, with the limbs that were spoken of as given; by the numbers of a part of the clip.
std::vector<aplomb_stance_range> with_given(const std::vector<aplomb_stance_range>& found,
                                            const GivenStances& given, const Span& span);
/// "flat", "ball" or "heel".
const char* footing_word(int32_t footing);
/// "left-foot=flat:12..40", as parse_stances takes it.
std::string range_text(const Character& character, const aplomb_stance_range& range, int first_number);

/// Loads with their frames, by the numbers of a part of the clip; those not in it are left out. One that starts on the
/// frame after another's end and has its mass is the same, handed over.
struct Carries {
    std::vector<aplomb_carry> value;
    std::vector<std::string> places; // of each, as it was written
    std::vector<std::size_t> loads;  // of each, which of the given ones it is
};
Carries make_carries(const std::vector<Load>& loads, int count, const Span& span);

} // namespace aplomb::cli
