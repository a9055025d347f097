// SPDX-License-Identifier: MIT
#include "clip/stances.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "capi/handles.h"
#include "clip/moments.h"
#include "clip/on_the_spot.h"

namespace aplomb {
namespace {

constexpr double smooth_frequency = 12; // Hz
constexpr double near_seconds = 0.75;   // slow moments within it make the ground
constexpr double ground_part = 0.2;     // of these moments lie below the ground: captured floors drift
// A foot's heel and ball stand on one level: the higher one's ground is at most this above the other's, of the leg's
// length. With on_height it makes the 4.5 % that a still pose goes by.
constexpr double level_foot = 0.015;

double nan() {
    return std::numeric_limits<double>::quiet_NaN();
}

/// The first frame from `start` on whose value is not `value`.
int run_end(const uint8_t* on, int start, int count) {
    int end = start;
    while (end < count && on[end] == on[start])
        ++end;
    return end;
}

/// The ground at every frame: the height that a fifth of the part's slow moments near that frame lie below.
void find_ground(const Shot& shot, const double* height, const double* speed, double* window,
                 double* ground) {
    const double slow = touch_rule.on_speed * shot.walk_speed;
    int first = 0, last = 0;
    for (int f = 0; f < shot.count; ++f) {
        while (shot.times[f] - shot.times[first] > near_seconds)
            ++first;
        while (last < shot.count && shot.times[last] - shot.times[f] <= near_seconds)
            ++last;
        int found = 0;
        for (int k = first; k < last; ++k)
            if (speed[k] < slow) window[found++] = height[k];
        ground[f] = nan();
        if (found == 0) continue;
        double* ranked = window + static_cast<int>(ground_part * (found - 1));
        std::nth_element(window, ranked, window + found);
        ground[f] = *ranked;
    }
}

/// A run of frames in which a limb stands, by its parts.
struct FootRun {
    int limb, first, end;
    double level;
};

/// The run of the limb that starts at or after `start`; false: none is left.
bool next_run(const Shot& shot, const Stances& stances, const StanceMemory& memory, int limb, int start,
              FootRun& run) {
    int first = start;
    while (first < shot.count && !stances.bears(limb, first))
        ++first;
    if (first == shot.count) return false;
    int end = first;
    double sum = 0;
    for (; end < shot.count && stances.bears(limb, end); ++end) {
        double lowest = std::numeric_limits<double>::infinity();
        for (int p = 2 * limb; p < 2 * limb + 2; ++p)
            if (stances.on[p][end]) lowest = std::min(lowest, memory.height[p][end]);
        sum += lowest;
    }
    run = {limb, first, end, sum / (end - first)};
    return true;
}

/// A foot that is held still in the air is slow, too, and near its own ground. But a foot that really stands, higher than
/// another foot that stands, has something under it, and at some time comes to carry all of the body.
bool is_lifted(const Shot& shot, const Stances& stances, const StanceMemory& memory, const FootRun& run) {
    const double lower = run.level - touch_rule.off_height * shot.leg;
    for (int f = run.first; f < run.end; ++f) {
        bool carried_by_lower = false;
        for (int limb = 0; limb < shot.figure->limb_count; ++limb) {
            if (limb == run.limb || !stances.on[2 * limb]) continue;
            for (int p = 2 * limb; p < 2 * limb + 2; ++p)
                carried_by_lower = carried_by_lower || (stances.on[p][f] && memory.height[p][f] < lower);
        }
        if (!carried_by_lower) return false;
    }
    return true;
}

void drop_lifted(const Shot& shot, const StanceMemory& memory, Stances& stances) {
    // The highest first: the foot that it was lifted over stays, or is dropped for the same reason later.
    while (true) {
        FootRun highest{-1, 0, 0, -std::numeric_limits<double>::infinity()};
        for (int limb = 0; limb < shot.figure->limb_count; ++limb) {
            if (!stances.on[2 * limb]) continue;
            FootRun run{};
            for (int start = 0; next_run(shot, stances, memory, limb, start, run); start = run.end)
                if (run.level > highest.level && is_lifted(shot, stances, memory, run)) highest = run;
        }
        if (highest.limb < 0) return;
        for (int p = 2 * highest.limb; p < 2 * highest.limb + 2; ++p)
            std::fill(stances.on[p] + highest.first, stances.on[p] + highest.end, uint8_t{0});
    }
}

/// Where for a while nothing bears, and yet the body does not fall, a sole that stands before or after only moved faster
/// than a standing one may, as on stairs. The slowest of such soles is taken to bear.
void bear_what_does_not_fall(const Shot& shot, const Track& track, const StanceMemory& memory,
                             Stances& stances) {
    constexpr double longest = 0.4, falls = 0.3; // seconds; of gravity
    const auto bears = [&](int f) {
        for (int p = 0; p < 2 * shot.figure->limb_count; ++p)
            if (stances.on[p] && stances.on[p][f]) return true;
        return false;
    };
    for (int f = 0, end = 0; f < shot.count; f = end + 1) {
        end = f;
        while (end < shot.count && !bears(end))
            ++end;
        const double lasts = end < shot.count ? shot.times[end] - shot.times[f] : longest;
        if (end == f || f == 0 || end == shot.count || lasts > longest) continue;
        Arc arc{};
        const bool told = fit_fall(shot, track, f, end - 1, arc);
        if (told ? arc.gravity >= falls * norm(shot.gravity) : lasts >= touch_rule.least_seconds) continue;
        for (int k = f; k < end; ++k) {
            int slowest = -1;
            for (int p = 0; p < 2 * shot.figure->limb_count; ++p)
                if (memory.speed[p] && (stances.on[p][f - 1] || stances.on[p][end]) &&
                    (slowest < 0 || memory.speed[p][k] < memory.speed[slowest][k]))
                    slowest = p;
            stances.on[slowest][k] = 1;
        }
    }
}

/// The furthest that a part got from where its range began, along the ground and relative to its motion.
double slip_of(const Shot& shot, const Track& track, const aplomb_stance_range& range) {
    const PartTrack& heel = track.part[2 * range.limb + heel_part];
    const PartTrack& ball = track.part[2 * range.limb + ball_part];
    const auto place = [&](int f) {
        const Vec3 moved = shot.ground_velocity * (shot.times[f] - shot.times[range.first]);
        if (range.footing == APLOMB_FLAT && heel.exists && ball.exists)
            return (heel.place[f] + ball.place[f]) * 0.5 - moved;
        const bool on_heel = range.footing == APLOMB_ON_HEEL || !ball.exists;
        return (on_heel ? heel : ball).place[f] - moved;
    };
    if (!heel.exists && !ball.exists) return 0;
    double furthest = 0;
    for (int f = range.first; f <= range.last; ++f)
        furthest = std::max(furthest, norm(reject(place(f) - place(range.first), shot.up)));
    return furthest / shot.unit;
}

/// Finds stances by the ground of each part near every frame.
void find_stances_on_grounds(const Shot& shot, const Track& track, StanceMemory& memory, Stances& stances) {
    memory.smoother.set_up(shot.times, shot.count, smooth_frequency);
    for (int p = 0; p < 2 * shot.figure->limb_count; ++p) {
        if (!track.part[p].exists || shot.figure->limbs[p / 2].kind == APLOMB_ARM) continue;
        std::copy_n(track.part[p].place, shot.count, memory.place);
        memory.smoother.smooth(memory.place);
        for (int f = 0; f < shot.count; ++f)
            memory.speed[p][f] = norm(slope(shot.times, memory.place, shot.count, f) - shot.ground_velocity);
        for (int f = 0; f < shot.count; ++f)
            memory.place[f] = {track.part[p].height[f], 0, 0};
        memory.smoother.smooth(memory.place);
        for (int f = 0; f < shot.count; ++f)
            memory.height[p][f] = memory.place[f].x;
        find_ground(shot, memory.height[p], memory.speed[p], memory.window, memory.ground[p]);
    }
    for (int p = 0; p < 2 * shot.figure->limb_count; ++p) {
        if (!memory.ground[p] || shot.figure->limbs[p / 2].kind == APLOMB_ARM) continue;
        const double* other = memory.ground[p ^ 1];
        bool before = true;
        for (int f = 0; f < shot.count; ++f) {
            double ground = memory.ground[p][f];
            if (other && ground > other[f] + level_foot * shot.leg) ground = other[f] + level_foot * shot.leg;
            before = std::isfinite(ground) && touches(before, (memory.height[p][f] - ground) / shot.leg,
                                                      memory.speed[p][f] / shot.walk_speed);
            stances.on[p][f] = before;
        }
        drop_brief(shot, stances.on[p], 0, touch_rule.least_seconds);
        drop_brief(shot, stances.on[p], 1, touch_rule.least_seconds);
    }
}

} // namespace

void drop_brief(const Shot& shot, uint8_t* on, uint8_t value, double least_seconds) {
    for (int start = 0, end = 0; start < shot.count; start = end) {
        end = run_end(on, start, shot.count);
        if (on[start] != value || start == 0 || end == shot.count) continue;
        if (shot.times[end] - shot.times[start] < least_seconds)
            std::fill(on + start, on + end, static_cast<uint8_t>(!value));
    }
}

void Stances::lay_out(Layout& layout, const aplomb_figure& figure, size_t frames) {
    for (int p = 0; p < 2 * figure.limb_count; ++p)
        on[p] = layout.take<uint8_t>(frames);
}

void StanceMemory::lay_out(Layout& layout, const Track& track, size_t frames) {
    smoother.lay_out(layout, frames);
    place = layout.take<Vec3>(frames);
    size_t parts = 0;
    for (int p = 0; p < max_parts; ++p)
        parts += track.part[p].exists;
    window = layout.take<double>(parts * frames);
    for (int p = 0; p < max_parts; ++p) {
        if (!track.part[p].exists) continue;
        height[p] = layout.take<double>(frames);
        speed[p] = layout.take<double>(frames);
        ground[p] = layout.take<double>(frames);
    }
}

void find_stances(const Shot& shot, const Track& track, StanceMemory& memory, Stances& stances) {
    if (is_on_the_spot(shot, track)) {
        find_stances_on_the_spot(shot, track, memory.window, stances);
    } else {
        find_stances_on_grounds(shot, track, memory, stances);
        drop_lifted(shot, memory, stances);
        bear_what_does_not_fall(shot, track, memory, stances);
    }
    // A sole of one part stands flat.
    for (int p = 0; p < 2 * shot.figure->limb_count; ++p)
        if (track.part[p].exists && !track.part[p ^ 1].exists)
            std::copy_n(stances.on[p], shot.count, stances.on[p ^ 1]);
}

void take_stances(const Shot& shot, Stances& stances) {
    for (int r = 0; r < shot.given.stance_count; ++r) {
        const aplomb_stance_range& range = shot.given.stances[r];
        for (int f = range.first; f <= range.last; ++f) {
            stances.on[2 * range.limb + heel_part][f] = range.footing != APLOMB_ON_BALL;
            stances.on[2 * range.limb + ball_part][f] = range.footing != APLOMB_ON_HEEL;
        }
    }
}

aplomb_status take_shown_stances(const Shot& shot, double* pose, Stances& stances, aplomb_error* error) {
    const int joints = shot.figure->joint_count;
    const auto type = shot.given.floats ? APLOMB_FLOAT : APLOMB_DOUBLE;
    const size_t number = shot.number_size();
    double* turns = pose + 3 * joints;
    for (int f = 0; f < shot.count; ++f) {
        aplomb_contact contacts[APLOMB_MAX_CONTACTS];
        aplomb_status s = aplomb_gather(shot.translations(f), type, 3 * number, 3, joints, pose, error);
        if (s == APLOMB_OK) s = aplomb_gather(shot.rotations(f), type, 4 * number, 4, joints, turns, error);
        int32_t count = 0;
        if (s == APLOMB_OK) {
            count = aplomb_stance_default(shot.figure, pose, turns, contacts, error);
            if (count < 0) s = static_cast<aplomb_status>(count);
        }
        if (s) return at_frame(s, shot.given.first_number + f, error);
        for (int32_t k = 0; k < count; ++k) {
            const aplomb_contact& contact = contacts[k];
            if (contact.hold != APLOMB_BEARING || !stances.on[2 * contact.limb]) continue;
            stances.on[2 * contact.limb + heel_part][f] = contact.footing != APLOMB_ON_BALL;
            stances.on[2 * contact.limb + ball_part][f] = contact.footing != APLOMB_ON_HEEL;
        }
    }
    return APLOMB_OK;
}

int list_ranges(const Shot& shot, const Track& track, const Stances& stances, aplomb_stance_range* ranges) {
    int count = 0;
    for (int limb = 0; limb < shot.figure->limb_count; ++limb)
        for (int f = 0; f < shot.count;) {
            if (!stances.bears(limb, f)) {
                ++f;
                continue;
            }
            const int first = f;
            const aplomb_footing footing = stances.footing(limb, first);
            while (f < shot.count && stances.bears(limb, f) && stances.footing(limb, f) == footing)
                ++f;
            if (ranges) {
                ranges[count] = {limb, first, f - 1, footing, 0};
                ranges[count].slip = slip_of(shot, track, ranges[count]);
            }
            ++count;
        }
    return count;
}

} // namespace aplomb
