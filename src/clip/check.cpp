// SPDX-License-Identifier: MIT
#include "clip/check.h"

#include <algorithm>
#include <cmath>
#include <initializer_list>

#include "base/error.h"
#include "base/structs.h"
#include "capi/handles.h"
#include "clip/smooth.h"

namespace aplomb {
namespace {

constexpr int most_frames = 1 << 24; // some four days at 48 a second; sizes in bytes stay far from overflow

aplomb_status check_times(const aplomb_clip& clip, aplomb_error* error) {
    if (!clip.times) {
        if (clip.frame_count == 1 || (std::isfinite(clip.frame_time) && clip.frame_time > 0))
            return APLOMB_OK;
        return fail(error, APLOMB_BAD_ARGUMENT, "frame_time", -1,
                    "clip.frame_time is %g; it must be more than 0 seconds.", clip.frame_time);
    }
    for (int f = 0; f < clip.frame_count; ++f) {
        if (!std::isfinite(clip.times[f]))
            return fail(error, APLOMB_BAD_ARGUMENT, "times", f, "clip.times[%d] is %g.", f, clip.times[f]);
        if (f > 0 && !(clip.times[f] > clip.times[f - 1]))
            return fail(error, APLOMB_BAD_ARGUMENT, "times", f,
                        "clip.times[%d] is %g, not after %g of the frame before.", f, clip.times[f],
                        clip.times[f - 1]);
    }
    return APLOMB_OK;
}

aplomb_status check_count(const char* name, const void* given, int count, aplomb_error* error) {
    if (count < 0) return fail(error, APLOMB_BAD_ARGUMENT, name, -1, "clip.%s is %d.", name, count);
    if (count > 0 && !given)
        return fail(error, APLOMB_BAD_ARGUMENT, name, -1, "clip.%s is %d, but there are none.", name, count);
    return APLOMB_OK;
}

aplomb_status check_stances(const aplomb_figure& figure, const aplomb_clip& clip, aplomb_error* error) {
    if (const auto s = check_count("stance_count", clip.stances, clip.stance_count, error)) return s;
    for (int r = 0; r < clip.stance_count; ++r) {
        const aplomb_stance_range& range = clip.stances[r];
        if (range.limb < 0 || range.limb >= figure.limb_count)
            return fail(error, APLOMB_BAD_ARGUMENT, "stances", r,
                        "clip.stances[%d].limb is %d; the figure has limbs 0 to %d.", r, range.limb,
                        figure.limb_count - 1);
        if (range.footing < APLOMB_FLAT || range.footing > APLOMB_ON_HEEL)
            return fail(error, APLOMB_BAD_ARGUMENT, "stances", r,
                        "clip.stances[%d].footing is %d; 0 to 2 are known.", r, range.footing);
        const Element element{"clip", "stances", r};
        if (const auto s = check_frames(element, range.first, range.last, clip.frame_count, error)) return s;
        const auto alike = [&](const aplomb_stance_range& other) { return other.limb == range.limb; };
        if (const auto s = check_apart(element, clip.stances, " of the same limb", alike, error)) return s;
    }
    return APLOMB_OK;
}

aplomb_status check_carries(const aplomb_clip& clip, aplomb_error* error) {
    if (const auto s = check_count("carry_count", clip.carries, clip.carry_count, error)) return s;
    for (int r = 0; r < clip.carry_count; ++r) {
        const aplomb_carry& carry = clip.carries[r];
        const Element element{"clip", "carries", r};
        if (const auto s = check_frames(element, carry.first, carry.last, clip.frame_count, error)) return s;
        if (carry.which < 0 || carry.which >= APLOMB_MAX_LOADS)
            return fail(error, APLOMB_BAD_ARGUMENT, "carries", r,
                        "clip.carries[%d].which is %d; 0 to %d are allowed.", r, carry.which,
                        APLOMB_MAX_LOADS - 1);
        for (const double ramp : {carry.pick_up, carry.put_down})
            if (ramp < 0 || std::isinf(ramp))
                return fail(error, APLOMB_BAD_ARGUMENT, "carries", r,
                            "clip.carries[%d] has a ramp of %g seconds; it must be 0 or more.", r, ramp);
        const auto alike = [&](const aplomb_carry& other) { return other.which == carry.which; };
        if (const auto s = check_apart(element, clip.carries, " of the same load", alike, error)) return s;
    }
    return APLOMB_OK;
}

aplomb_status check_vector(const char* name, const double* v, aplomb_error* error) {
    for (int i = 0; i < 3; ++i)
        if (!std::isfinite(v[i]))
            return fail(error, APLOMB_BAD_ARGUMENT, name, i, "clip.%s[%d] is %g.", name, i, v[i]);
    return APLOMB_OK;
}

/// Seconds, from those of a light load to those of a heavy one, by the load's part of the body's mass (common practice).
double usual_ramp(double part_of_body) {
    constexpr double light = 0.02, heavy = 0.40, light_seconds = 0.1, heavy_seconds = 0.5;
    const double t = std::clamp((part_of_body - light) / (heavy - light), 0.0, 1.0);
    return light_seconds + (heavy_seconds - light_seconds) * t;
}

} // namespace

aplomb_status check_frames(const Element& of, int first, int last, int frames, aplomb_error* error) {
    if (first >= 0 && first <= last && last < frames) return APLOMB_OK;
    return fail(error, APLOMB_BAD_ARGUMENT, of.name, of.index,
                "%s.%s[%d] goes from frame %d to %d; the clip has frames 0 to %d.", of.owner, of.name,
                of.index, first, last, frames - 1);
}

aplomb_status check_clip(const aplomb_figure& figure, const aplomb_clip& clip, aplomb_error* error) {
    if (clip.frame_count < 1 || clip.frame_count > most_frames)
        return fail(error, APLOMB_BAD_ARGUMENT, "frame_count", -1,
                    "clip.frame_count is %d; 1 to %d are allowed.", clip.frame_count, most_frames);
    if (!clip.translations)
        return fail(error, APLOMB_BAD_ARGUMENT, "translations", -1, "clip.translations is NULL.");
    if (!clip.rotations) return fail(error, APLOMB_BAD_ARGUMENT, "rotations", -1, "clip.rotations is NULL.");
    if (const auto s = check_times(clip, error)) return s;
    if (const auto s = check_vector("gravity", clip.gravity, error)) return s;
    if (const auto s = check_vector("ground_normal", clip.ground_normal, error)) return s;
    if (const auto s = check_vector("ground_velocity", clip.ground_velocity, error)) return s;
    if (const auto s = check_stances(figure, clip, error)) return s;
    return check_carries(clip, error);
}

aplomb_status take_clip(const aplomb_figure* figure, const aplomb_clip* clip, aplomb_clip& whole,
                        aplomb_error* error) {
    if (!figure) return fail(error, APLOMB_BAD_ARGUMENT, "figure", -1, "figure is NULL.");
    if (const auto s = check_struct(clip, "clip", error)) return s;
    whole = read_struct(clip, aplomb_clip{});
    return check_clip(*figure, whole, error);
}

Ramps ramps_of(const Shot& shot, const aplomb_carry& carry) {
    const double usual = usual_ramp(carry.load.mass / shot.body_mass);
    return {std::isnan(carry.pick_up) ? usual : carry.pick_up,
            std::isnan(carry.put_down) ? usual : carry.put_down};
}

double carried_part(const Shot& shot, const aplomb_carry& carry, int frame) {
    if (frame < carry.first || frame > carry.last) return 0;
    bool handed_to = false, handed_on = false;
    for (int r = 0; r < shot.given.carry_count; ++r) {
        const aplomb_carry& other = shot.given.carries[r];
        if (other.which != carry.which) continue;
        handed_to = handed_to || other.last == carry.first - 1;
        handed_on = handed_on || other.first == carry.last + 1;
    }
    const auto [up, down] = ramps_of(shot, carry);
    double part = 1;
    // A load that is carried from the clip's first frame on was picked up before it, and likewise at its end.
    if (!handed_to && carry.first > 0 && up > 0)
        part = std::min(part, smoothstep((shot.times[frame] - shot.times[carry.first]) / up));
    if (!handed_on && carry.last + 1 < shot.count && down > 0)
        part = std::min(part, smoothstep((shot.times[carry.last] - shot.times[frame]) / down));
    return part;
}

void give_frame(const Shot& shot, int frame, GivenFrame& to) {
    int count = 0;
    for (int r = 0; r < shot.given.carry_count; ++r) {
        const aplomb_carry& carry = shot.given.carries[r];
        if (frame < carry.first || frame > carry.last) continue;
        to.loads[count] = carry.load;
        to.loads[count].mass *= carried_part(shot, carry, frame);
        to.which[count++] = carry.which;
    }
    aplomb_situation& situation = to.situation;
    aplomb_situation_init(&situation, sizeof situation);
    situation.translations = shot.translations(frame), situation.rotations = shot.rotations(frame);
    situation.floats = shot.given.floats;
    situation.loads = to.loads, situation.load_count = count;
    std::copy_n(shot.given.gravity, 3, situation.gravity);
    std::copy_n(shot.given.ground_normal, 3, situation.ground_normal);
}

} // namespace aplomb
