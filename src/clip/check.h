// SPDX-License-Identifier: MIT
// A clip as it comes in. Poses are checked frame by frame when they are read.
#pragma once

#include "base/error.h"
#include "clip/track.h"

namespace aplomb {

/// Checks the figure and a clip as it was given; `whole` then has all members.
aplomb_status take_clip(const aplomb_figure* figure, const aplomb_clip* clip, aplomb_clip& whole,
                        aplomb_error* error);
aplomb_status check_clip(const aplomb_figure& figure, const aplomb_clip& clip, aplomb_error* error);

/// An element of a caller's list, as sentences name it.
struct Element {
    const char *owner, *name;
    int index;
};
/// Checks that its frames are the clip's.
aplomb_status check_frames(const Element& of, int first, int last, int frames, aplomb_error* error);
/// Checks that no earlier element of the list `meets` it; `whose` ends the sentence.
template<class T, class Meets>
aplomb_status check_meetings(const Element& of, const T* list, const char* whose, Meets meets,
                             aplomb_error* error) {
    const T& range = list[of.index];
    for (int q = 0; q < of.index; ++q) {
        const T& other = list[q];
        if (meets(other))
            return fail(error, APLOMB_BAD_ARGUMENT, of.name, of.index,
                        "%s.%s[%d] (frames %d to %d) overlaps %s.%s[%d] (%d to %d)%s.", of.owner, of.name,
                        of.index, range.first, range.last, of.owner, of.name, q, other.first, other.last,
                        whose);
    }
    return APLOMB_OK;
}

/// Checks that no earlier element of the list that is `alike` has some of its frames.
template<class T, class Alike>
aplomb_status check_apart(const Element& of, const T* list, const char* whose, Alike alike,
                          aplomb_error* error) {
    const T& range = list[of.index];
    const auto meets = [&](const T& other) {
        return alike(other) && other.first <= range.last && range.first <= other.last;
    };
    return check_meetings(of, list, whose, meets, error);
}

/// The part of a carried load's weight that the body bears in a frame: 0 outside its range.
double carried_part(const Shot& shot, const aplomb_carry& carry, int frame);

/// Seconds in which a load's weight comes onto the body, and leaves it again.
struct Ramps {
    double up, down;
};
Ramps ramps_of(const Shot& shot, const aplomb_carry& carry);

/// What a clip gives of one frame: pose, gravity, ground, and what is carried there, with the part of its weight that is borne.
/// Contacts are not given but found.
struct GivenFrame {
    aplomb_load loads[APLOMB_MAX_LOADS];
    int which[APLOMB_MAX_LOADS]; // `which` of each load's carry
    aplomb_situation situation;  // points to the loads
};
void give_frame(const Shot& shot, int frame, GivenFrame& to);

} // namespace aplomb
