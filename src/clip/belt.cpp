// SPDX-License-Identifier: MIT
// How fast the ground moves under a walk on the spot. Standing soles are low and share its velocity; a swinging sole is
// low at times, too, but each time at another velocity. So the velocity is taken that most others of low soles are near,
// and then the mean of those. A body that moves about itself walks on no belt.
#include <algorithm>
#include <cmath>
#include <limits>

#include "base/error.h"
#include "base/scratch_block.h"
#include "base/structs.h"
#include "capi/handles.h"
#include "clip/check.h"
#include "clip/track.h"
#include "stance/rule.h"

namespace aplomb {
namespace {

constexpr double near_part =
    0.1; // of sqrt(g leg): velocities nearer than this count as one; half of what the stance rule allows
constexpr double rests_part = 0.05;   // slower ground counts as at rest: recorded feet slide as fast
constexpr double least_shared = 0.05; // of low soles; in the runs of game characters one in eleven shares it
constexpr double most_way =
    0.5; // of the belt's way: bodies go up to a quarter of it in walks and gallops, further in blows and rolls
constexpr int most_candidates = 400, rounds = 4;

class Belt {
public:
    Belt(const aplomb_figure& figure, const aplomb_clip& clip) { shot_.begin(figure, clip); }

    void lay_out(Layout& layout) {
        const size_t frames = static_cast<size_t>(shot_.count);
        shot_.times = layout.take<double>(frames);
        track_ = {};
        track_.lay_out(layout, *shot_.figure, frames);
        tracker_.lay_out(layout, *shot_.figure);
        samples_ = layout.take<Vec3>(frames * static_cast<size_t>(2 * shot_.figure->limb_count));
    }

    aplomb_status find(Vec3& velocity, aplomb_error* error) {
        shot_.fill_times();
        tracker_.set_up(*shot_.figure, shot_.unit);
        if (const auto s = tracker_.run(shot_, 0, shot_.count - 1, track_, error)) return s;
        take_samples();
        if (count_ == 0)
            return fail(error, APLOMB_NO_SUPPORT, "clip", -1,
                        "No ground can be found under the clip's %d frames: it takes a foot with a sole, and "
                        "three frames.",
                        shot_.count);
        velocity = most_shared();
        const bool moves = norm(velocity) >= rests_part * shot_.walk_speed;
        if (!moves || shared(velocity) < least_shared * count_ || !stays(velocity)) velocity = {};
        return APLOMB_OK;
    }

private:
    /// Over a belt the body only sways: its way is short compared with the belt's. A body that leaps or is thrown about goes
    /// as far as its feet.
    bool stays(const Vec3& velocity) const {
        double way = 0;
        for (int f = 1; f < shot_.count; ++f)
            way += norm(reject(track_.centre[f] - track_.centre[f - 1], shot_.up));
        return way < most_way * norm(velocity) * (shot_.times[shot_.count - 1] - shot_.times[0]);
    }

    void take_samples() {
        for (int p = 0; p < 2 * shot_.figure->limb_count; ++p) {
            const PartTrack& part = track_.part[p];
            if (!part.exists || shot_.figure->limbs[p / 2].kind == APLOMB_ARM) continue;
            const double lowest = *std::min_element(part.height, part.height + shot_.count);
            for (int f = 1; f + 1 < shot_.count; ++f) {
                if (part.height[f] > lowest + touch_rule.on_height * shot_.leg) continue;
                const Vec3 moved = part.place[f + 1] - part.place[f - 1];
                samples_[count_++] = reject(moved, shot_.up) / (shot_.times[f + 1] - shot_.times[f - 1]);
            }
        }
    }

    /// How many samples go at this velocity.
    int shared(const Vec3& velocity) const {
        return static_cast<int>(std::count_if(samples_, samples_ + count_, [&](const Vec3& sample) {
            return norm(sample - velocity) < near_part * shot_.walk_speed;
        }));
    }

    Vec3 most_shared() const {
        const double near = near_part * shot_.walk_speed;
        Vec3 best;
        int most = -1;
        const int step = std::max(1, count_ / most_candidates);
        for (int k = 0; k < count_; k += step) {
            int shared = 0;
            for (int i = 0; i < count_; i += step)
                shared += norm(samples_[i] - samples_[k]) < near;
            if (shared > most) most = shared, best = samples_[k];
        }
        for (int round = 0; round < rounds; ++round) {
            Vec3 sum;
            int shared = 0;
            for (int i = 0; i < count_; ++i)
                if (norm(samples_[i] - best) < near) sum += samples_[i], ++shared;
            best = sum / shared;
        }
        return best;
    }

    Shot shot_;
    Track track_;
    Tracker tracker_;
    Vec3* samples_ = nullptr;
    int count_ = 0;
};

} // namespace
} // namespace aplomb

using namespace aplomb;

aplomb_status aplomb_clip_find_ground_velocity(const aplomb_figure* figure, const aplomb_clip* clip,
                                               const aplomb_allocator* allocator, double velocity[3],
                                               aplomb_error* error) {
    if (!velocity)
        return fail(error, APLOMB_BAD_ARGUMENT, "velocity", -1, "velocity is NULL; it takes 3 numbers.");
    aplomb_clip given{};
    if (const auto s = take_clip(figure, clip, given, error)) return s;
    if (const auto s = check_allocator(allocator, error)) return s;
    Belt belt(*figure, given);
    const ScratchBlock block(allocator_or_default(allocator), [&](Layout& layout) { belt.lay_out(layout); });
    if (!block) return block.refused(error);
    Layout layout = block.layout();
    belt.lay_out(layout);
    Vec3 found;
    if (const auto s = belt.find(found, error)) return s;
    for (int i = 0; i < 3; ++i)
        velocity[i] = found[i] / figure->frame.metres_per_unit;
    return APLOMB_OK;
}
