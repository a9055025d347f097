// SPDX-License-Identifier: MIT
#include "balance/write.h"

#include "balance/limb_turns.h"

namespace aplomb {
namespace {

struct Writer {
    const Figure& figure;
    const Situation& s;
    const Reduction& r;
    const ModelState& state;
    Vec3* translations;
    Quat* rotations;
    Changed& changed;

    const Quat& keyed(int joint) const { return s.body.world[joint].rotation; }

    /// Sets a joint from its own and its parent segment's turn since the key.
    void set(int joint, const Quat& turn, const Quat& parent_turn) {
        const int parent = figure.joints[joint].parent;
        const Quat above = parent >= 0 ? parent_turn * keyed(parent) : Quat{};
        Quat local = normalized(conjugate(above) * turn * keyed(joint));
        const Quat& old = s.pose.rotations[joint];
        if (dot(local, old) < 0) local = {-local.x, -local.y, -local.z, -local.w}; // one hemisphere for clips
        rotations[joint] = local;
        changed.joint[changed.count++] = joint;
    }

    void write_links() {
        const Quat still;
        for (int i = 0; i < r.link_count; ++i)
            set(r.link[i].joint, state.link[i].turn, i == 0 ? still : state.link[r.link[i].parent].turn);
        const int parent = figure.joints[figure.hips].parent;
        const Vec3 hips = s.body.world[figure.hips].position + (state.link[0].pivot - r.link[0].pivot);
        translations[figure.hips] =
            parent < 0 ? hips : rotate(conjugate(keyed(parent)), hips - s.body.world[parent].position);
    }

    void write_arms() {
        for (int i = 0; i < r.arm_count; ++i)
            set(r.arm[i].joint, state.arm[i].turn, state.link[r.arm[i].link].turn);
    }

    void write_limbs() {
        for (int i = 0; i < r.limb_count; ++i) {
            const Limb& limb = figure.limbs[r.limb[i].limb];
            const Quat& base = state.link[r.limb[i].link].turn;
            const LimbTurns turn = limb_turns(figure, s, r.limb[i], base, state.limb[i].span);
            set(limb.upper, turn.upper, base);
            set(limb.lower, turn.lower, turn.upper);
            set(limb.end, turn.end, turn.lower);
        }
    }
};

} // namespace

void write_pose(const Figure& figure, const Model& model, const ModelState& state, Vec3* translations,
                Quat* rotations, Changed& changed) {
    changed.count = 0;
    Writer w{figure, model.situation(), model.reduction(), state, translations, rotations, changed};
    w.write_links();
    w.write_arms();
    w.write_limbs();
}

} // namespace aplomb
