// SPDX-License-Identifier: MIT
#include "model/write.h"

#include "model/limb_turns.h"

namespace aplomb {
namespace {

/// How a rigid part moves: about a point, and where that point goes.
struct Motion {
    Quat turn;
    Vec3 about, shift;

    Vec3 place(const Vec3& point) const { return about + shift + rotate(turn, point - about); }
};

struct Writer {
    const Figure& figure;
    const Key& s;
    const Model& model;
    const Reduction& r;
    const ModelState& state;
    Vec3* translations;
    Quat* rotations;
    Changed& changed;
    LimbTurns limb_turn[max_limbs];

    const Placement& keyed(int joint) const { return s.body.world[joint]; }

    /// Sets a joint's rotation from its own and its parent segment's turn since the key.
    void set(int joint, const Quat& turn, const Quat& parent_turn) {
        const int parent = figure.joints[joint].parent;
        const Quat above = parent >= 0 ? parent_turn * keyed(parent).rotation : Quat{};
        Quat local = normalized(conjugate(above) * turn * keyed(joint).rotation);
        const Quat& old = s.pose.rotations[joint];
        if (dot(local, old) < 0) local = {-local.x, -local.y, -local.z, -local.w}; // one hemisphere for clips
        rotations[joint] = local;
        changed.joint[changed.count++] = joint;
    }

    /// Sets a joint's translation from its new place and its parent segment's.
    void move(int joint, const Vec3& place, const Motion& parent_motion) {
        const int parent = figure.joints[joint].parent;
        translations[joint] = parent < 0 ? place
                                         : rotate(conjugate(parent_motion.turn * keyed(parent).rotation),
                                                  place - parent_motion.place(keyed(parent).position));
        changed.moved[changed.moved_count++] = joint;
    }

    void write_links() {
        const Quat still;
        for (int i = 0; i < r.link_count; ++i)
            set(r.link[i].joint, state.link[i].turn, i == 0 ? still : state.link[r.link[i].parent].turn);
        move(figure.hips, keyed(figure.hips).position + (state.link[0].pivot - r.link[0].pivot), Motion{});
    }

    void write_followers() {
        for (int i = 0; i < r.follower_count; ++i) {
            const Follower& f = r.follower[i];
            set(f.joint, state.follower[i].turn,
                f.parent < 0 ? state.link[f.link].turn : state.follower[f.parent].turn);
        }
    }

    bool is_apart(int joint) const { return figure.joints[joint].carrier != figure.joints[joint].parent; }

    void write_limbs() {
        for (int i = 0; i < r.limb_count; ++i) {
            const Limb& limb = figure.limbs[r.limb[i].limb];
            const Quat& base = model.base_turn(state, r.limb[i]);
            const LimbTurns& turn = limb_turn[i] =
                limb_turns(figure, s, r.limb[i], base, model.end_turn(state, r.limb[i]), state.limb[i].span);
            set(limb.upper, turn.upper, base);
            set(limb.lower, turn.lower, turn.upper);
            if (!is_apart(limb.end)) set(limb.end, turn.end, turn.lower);
        }
    }

    /// Of a fixed limb's part that begins with `joint`; false where it is none of its parts.
    bool motion_in_limb(int i, int joint, Motion& motion) const {
        const Limb& limb = figure.limbs[r.limb[i].limb];
        const bool is_end = joint == limb.end;
        if (is_end && r.limb[i].bearing) {
            motion = {Quat{}, Vec3{}, r.limb[i].moved};
            return true;
        }
        const Vec3 start = keyed(limb.upper).position;
        const Motion upper = {limb_turn[i].upper, start, state.limb[i].span.start - r.limb[i].span.start};
        const Vec3 middle = keyed(limb.lower).position;
        const Motion lower = {limb_turn[i].lower, middle, upper.place(middle) - middle};
        const Vec3 end = keyed(limb.end).position;
        if (is_end)
            motion = {limb_turn[i].end, end, lower.place(end) - end};
        else if (joint == limb.lower || joint == limb.upper)
            motion = joint == limb.lower ? lower : upper;
        else
            return false;
        return true;
    }

    /// How what the joint is rigid with moves since the key.
    Motion motion_of(int joint) const {
        for (int j = joint; j >= 0; j = figure.joints[j].carrier) {
            Motion motion;
            for (int i = 0; i < r.limb_count; ++i)
                if (motion_in_limb(i, j, motion)) return motion;
            for (int i = 0; i < r.follower_count; ++i) {
                if (r.follower[i].joint != j) continue;
                return {state.follower[i].turn, keyed(j).position,
                        state.follower[i].start - (keyed(j).position - s.ground.origin)};
            }
            for (int i = 0; i < r.link_count; ++i)
                if (r.link[i].joint == j)
                    return {state.link[i].turn, keyed(j).position, state.link[i].pivot - r.link[i].pivot};
        }
        return {};
    }

    /// An end that the file hangs elsewhere gets the place and attitude that its limb brings it to.
    void write_apart() {
        for (int j = 0, left = figure.apart_count; left > 0; ++j) {
            if (!is_apart(j)) continue;
            --left;
            const int parent = figure.joints[j].parent;
            const Motion own = motion_of(j), above = parent >= 0 ? motion_of(parent) : Motion{};
            if (is_still(own) && is_still(above)) continue;
            set(j, own.turn, above.turn);
            move(j, own.place(keyed(j).position), above);
        }
    }

    static bool is_still(const Motion& m) {
        return m.turn.x == 0 && m.turn.y == 0 && m.turn.z == 0 && m.shift.x == 0 && m.shift.y == 0 &&
               m.shift.z == 0;
    }
};

} // namespace

void write_pose(const Figure& figure, const Model& model, const ModelState& state, Vec3* translations,
                Quat* rotations, Changed& changed) {
    changed.count = changed.moved_count = 0;
    Writer w{figure, model.key(), model, model.reduction(), state, translations, rotations, changed, {}};
    w.write_links();
    w.write_followers();
    w.write_limbs();
    if (figure.apart_count > 0) w.write_apart();
}

} // namespace aplomb
