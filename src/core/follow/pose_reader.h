// SPDX-License-Identifier: MIT
// Reads a host's pose joint by joint, and writes it: only the joints that a chain needs are converted.
#pragma once

#include <cmath>

#include "base/pair_rotation.h"
#include "figure/frame.h"
#include "follow/plan.h"

namespace aplomb {

class PoseReader {
public:
    PoseReader(const Figure& figure, const HostPose& pose)
        : pose_(pose), frame_(figure.frame), turned_(turned(figure.frame)) {}

    Vec3 translation(int32_t joint) const {
        const Vec3 t = pose_.floats ? three<float>(joint) : three<double>(joint);
        return turned_ ? length_in(frame_, t) : t * frame_.metres_per_unit;
    }
    Quat rotation(int32_t joint) const {
        // Number by number: what is copied whole has to wait until its numbers are in memory.
        const Quat q = pose_.floats ? four<float>(joint) : four<double>(joint);
        const double s = 1.0 / std::sqrt(dot(q, q));
        if (turned_) return rotation_in(frame_, {q.x * s, q.y * s, q.z * s, q.w * s});
        return {q.x * s, q.y * s, q.z * s, q.w * s};
    }
    /// Of two joints.
    Vec3Pair translations(const int32_t (&joint)[2]) const {
        if (turned_) return side_by_side(translation(joint[0]), translation(joint[1]));
        const Vec3Pair t = pose_.floats ? side_by_side(three<float>(joint[0]), three<float>(joint[1]))
                                        : side_by_side(three<double>(joint[0]), three<double>(joint[1]));
        return t * frame_.metres_per_unit;
    }
    QuatPair rotations(const int32_t (&joint)[2]) const {
        if (turned_) return side_by_side(rotation(joint[0]), rotation(joint[1]));
        return normalized(pose_.floats ? side_by_side(four<float>(joint[0]), four<float>(joint[1]))
                                       : side_by_side(four<double>(joint[0]), four<double>(joint[1])));
    }
    /// Of all pairs of a chain.
    void read(const FollowChain& chain, QuatPair* rotations_of) const {
        for (int32_t p = 0; p < chain.joint_pair_count(); ++p)
            rotations_of[p] = rotations(chain.joint_pairs[p].joint);
    }
    /// Writes as the pose is written.
    void write(const Quat& rotation, void* rotations, int32_t joint) const {
        const Quat q = turned_ ? rotation_out(frame_, rotation) : rotation;
        if (pose_.floats)
            put_four<float>(rotations, joint, q);
        else
            put_four<double>(rotations, joint, q);
    }

private:
    template<class T>
    Vec3 three(int32_t joint) const {
        const T* t = static_cast<const T*>(pose_.translations) + 3 * static_cast<size_t>(joint);
        return {t[0], t[1], t[2]};
    }
    template<class T>
    Quat four(int32_t joint) const {
        const T* q = static_cast<const T*>(pose_.rotations) + 4 * static_cast<size_t>(joint);
        return {q[0], q[1], q[2], q[3]};
    }

    template<class T>
    static void put_four(void* rotations, int32_t joint, const Quat& q) {
        T* to = static_cast<T*>(rotations) + 4 * static_cast<size_t>(joint);
        to[0] = static_cast<T>(q.x), to[1] = static_cast<T>(q.y), to[2] = static_cast<T>(q.z),
        to[3] = static_cast<T>(q.w);
    }

    HostPose pose_;
    const Frame& frame_;
    bool turned_;
};

} // namespace aplomb
