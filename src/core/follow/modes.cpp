// SPDX-License-Identifier: MIT
#include "follow/modes.h"

#include <algorithm>
#include <cmath>

#include "base/error.h"
#include "base/jacobi.h"
#include "follow/stiffening.h"

namespace aplomb {
namespace {

constexpr double least_length = 1e-6;    // metres
constexpr double least_mass_part = 1e-9; // of the figure's mass; lighter segments count as rods
// Of the chain's length: a joint hardly swings whose load has its centre nearer to it than this.
constexpr double least_centre_part = 1e-3;

const Limb* hinged_limb(const Figure& figure, int32_t joint) {
    for (int32_t i = 0; i < figure.limb_count; ++i) {
        if (figure.limbs[i].lower == joint) return &figure.limbs[i];
    }
    return nullptr;
}

Mat3 in_world(const Inertia& i, const Quat& rotation) {
    const Mat3 r = to_matrix(rotation), own = {{{i.xx, i.xy, i.xz}, {i.xy, i.yy, i.yz}, {i.xz, i.yz, i.zz}}};
    return r * own * transpose(r);
}

/// What a mass at `off` from a centre adds to the inertia about it.
Mat3 offset_inertia(double mass, const Vec3& off) {
    return (Mat3::identity() * dot(off, off) - Mat3::outer(off, off)) * mass;
}

RigidBody joined(const RigidBody& a, const RigidBody& b) {
    if (b.mass <= 0) return a;
    if (a.mass <= 0) return b;
    RigidBody sum;
    sum.mass = a.mass + b.mass;
    sum.centre = (a.centre * a.mass + b.centre * b.mass) / sum.mass;
    sum.inertia = a.inertia + b.inertia + offset_inertia(a.mass, a.centre - sum.centre) +
                  offset_inertia(b.mass, b.centre - sum.centre);
    return sum;
}

class ModeMaker {
public:
    ModeMaker(const Figure& figure, const Placement* rest, ModeScratch& scratch, FollowChain& chain)
        : figure_(figure), rest_(rest), w_(scratch), chain_(chain), n_(chain.joint_count) {}

    aplomb_status make(double gravity, int32_t index, aplomb_error* error) {
        for (int32_t k = 0; k < n_; ++k)
            w_.place[k] = rest_[chain_.joints[k].joint].position;
        if (!measure_lengths())
            return fail(error, APLOMB_BAD_ARGUMENT, "chains", index,
                        "chains[%d]: the chain of joint %d (%.64s) has no length.", index, chain_.set.first,
                        figure_.joints[chain_.set.first].name);
        lump_figure();
        if (!carries_itself()) lump_rods();
        choose_axes();
        fill_masses();
        solve(gravity);
        for (int32_t k = 0; k < n_; ++k)
            describe_drive(k);
        describe_stiffening();
        return APLOMB_OK;
    }

private:
    Vec3 end_of(int32_t k) const {
        if (k + 1 < n_) return w_.place[k + 1];
        const Joint& joint = figure_.joints[chain_.joints[k].joint];
        const Placement& at = rest_[chain_.joints[k].joint];
        if (norm(joint.tip) > least_length) return to_world(at, joint.tip);
        if (joint.mass > 0 && norm(joint.centre) > least_length) return to_world(at, joint.centre * 2.0);
        // Nothing else is known of a last joint: its segment is taken to be like the one before it.
        if (k > 0) return w_.place[k] * 2.0 - w_.place[k - 1];
        return w_.place[k] * 2.0 - rest_[joint.parent].position;
    }

    bool measure_lengths() {
        double total = 0;
        for (int32_t k = 0; k < n_; ++k)
            total += w_.length[k] = norm(end_of(k) - w_.place[k]);
        total_length_ = total;
        // A joint at the same place as the next one gets a small length all the same.
        for (int32_t k = 0; k < n_; ++k)
            w_.length[k] = std::max(w_.length[k], 1e-3 * total);
        return total > least_length;
    }

    /// Lumps each joint's own segment with what hangs on it beside the chain, then adds everything below.
    void lump_figure() {
        for (int32_t k = 0; k < n_; ++k)
            w_.below[k] = RigidBody{};
        for (int32_t j = chain_.joints[0].joint; j < figure_.joint_count; ++j) {
            const int32_t k = link_of(j);
            const Joint& joint = figure_.joints[j];
            if (k < 0 || joint.mass <= 0) continue;
            w_.below[k] = joined(w_.below[k], {joint.mass, to_world(rest_[j], joint.centre),
                                               in_world(joint.inertia, rest_[j].rotation)});
        }
        sum_upwards();
    }
    /// The first joint of the chain on the way up from j, j included, or -1.
    int32_t link_of(int32_t j) const {
        for (; j >= chain_.joints[0].joint; j = figure_.joints[j].parent) {
            for (int32_t k = n_ - 1; k >= 0; --k) {
                if (chain_.joints[k].joint == j) return k;
            }
        }
        return -1;
    }
    void sum_upwards() {
        for (int32_t k = n_ - 2; k >= 0; --k)
            w_.below[k] = joined(w_.below[k], w_.below[k + 1]);
    }
    bool carries_itself() const {
        for (int32_t k = 0; k < n_; ++k) {
            const bool last = k + 1 == n_;
            const double own = w_.below[k].mass - (last ? 0.0 : w_.below[k + 1].mass);
            if (own < least_mass_part * figure_.total_mass ||
                norm(w_.below[k].centre - w_.place[k]) < least_centre_part * total_length_)
                return false;
        }
        return true;
    }
    /// Takes segments as thin rods of equal thickness; the unit of their mass does not matter.
    void lump_rods() {
        for (int32_t k = 0; k < n_; ++k) {
            const Vec3 along = end_of(k) - w_.place[k];
            const double length = w_.length[k];
            const Vec3 unit = norm(along) > least_length ? normalized(along) : Vec3{0, -1, 0};
            const Mat3 inertia =
                (Mat3::identity() - Mat3::outer(unit, unit)) * (length * length * length / 12.0);
            w_.below[k] = {length, w_.place[k] + unit * (0.5 * length), inertia};
        }
        sum_upwards();
    }

    /// A joint swings about two axes across its segment; a limb's middle joint about its hinge alone.
    void choose_axes() {
        int32_t used = 0;
        for (int32_t k = 0; k < n_; ++k) {
            FollowJoint& joint = chain_.joints[k];
            const Quat to_own = conjugate(rest_[joint.joint].rotation);
            joint.first_axis = used;
            joint.axis_count = swing_axis_count(figure_, joint.joint);
            if (const Limb* limb = hinged_limb(figure_, joint.joint)) {
                joint.axis[0] = rotate(conjugate(figure_.joints[joint.joint].neutral), limb->hinge);
            } else {
                const Vec3 way = end_of(k) - w_.place[k];
                const Vec3 along =
                    rotate(to_own, norm(way) > least_length ? normalized(way) : Vec3{0, -1, 0});
                joint.axis[0] = any_perpendicular(along);
                joint.axis[1] = cross(along, joint.axis[0]);
            }
            for (int32_t a = 0; a < joint.axis_count; ++a, ++used) {
                w_.axis[used] = rotate(rest_[joint.joint].rotation, joint.axis[a]);
                w_.joint_of[used] = k;
            }
        }
    }

    double mass_between(int32_t i, int32_t k) const {
        const int32_t outer = std::max(w_.joint_of[i], w_.joint_of[k]);
        const RigidBody& below = w_.below[outer];
        const Vec3 a = cross(w_.axis[i], below.centre - w_.place[w_.joint_of[i]]);
        const Vec3 b = cross(w_.axis[k], below.centre - w_.place[w_.joint_of[k]]);
        return below.mass * dot(a, b) + dot(w_.axis[i], below.inertia * w_.axis[k]);
    }
    double moment_of(int32_t k) const { return w_.below[k].mass * norm(w_.below[k].centre - w_.place[k]); }
    void fill_masses() {
        const int32_t count = chain_.axis_count;
        for (int32_t i = 0; i < count; ++i) {
            const int32_t k = w_.joint_of[i];
            w_.stiffness[i] = moment_of(k) / (w_.length[k] / total_length_);
            for (int32_t m = 0; m < count; ++m)
                w_.mass_matrix[i * count + m] = mass_between(i, m);
        }
        for (int32_t k = 0; k < n_; ++k)
            swing_length_[k] = mean_inertia(k) / moment_of(k);
    }
    /// The mean of the inertias about the joint's axes.
    double mean_inertia(int32_t k) const {
        const FollowJoint& joint = chain_.joints[k];
        double sum = 0;
        for (int32_t a = 0; a < joint.axis_count; ++a)
            sum += w_.mass_matrix[(joint.first_axis + a) * (chain_.axis_count + 1)];
        return sum / joint.axis_count;
    }

    /// Solves K y = w^2 M y by the symmetric K^-1/2 M K^-1/2, whose eigenvalues are 1 / w^2; each mode's mass is 1.
    void solve(double gravity) {
        const int32_t count = chain_.axis_count;
        for (int32_t i = 0; i < count; ++i) {
            for (int32_t m = 0; m < count; ++m)
                w_.mass_matrix[i * count + m] /= std::sqrt(w_.stiffness[i]) * std::sqrt(w_.stiffness[m]);
        }
        jacobi_eigen(w_.mass_matrix, w_.vectors, count);
        int32_t order[max_swing_axes];
        for (int32_t i = 0; i < count; ++i) { // the slowest first, equal ones by index
            int32_t at = i;
            for (; at > 0 && eigenvalue(order[at - 1]) < eigenvalue(i); --at)
                order[at] = order[at - 1];
            order[at] = i;
        }
        const double first_rate = std::sqrt(chain_.set.stiffness * gravity / swing_length_[0]);
        const double scale = first_rate * first_rate * eigenvalue(order[0]); // of K
        chain_.pairs[chain_.pair_count - 1].oscillators.set(
            1, {0, 0, 1}); // none goes with an odd one: it stays at zero
        for (int32_t m = 0; m < count; ++m) {
            const double value = std::max(eigenvalue(order[m]), 1e-12 * eigenvalue(order[0]));
            chain_.rate[m] = std::sqrt(scale / value);
            chain_.damping[m] = std::min(1.0, chain_.set.damping * chain_.rate[m] / chain_.rate[0]);
            chain_.pairs[m / 2].oscillators.set(m % 2, make_oscillator(chain_.rate[m], chain_.damping[m]));
            chain_.pairs[m / 2].softness[m % 2] = 1.0 / (chain_.rate[m] * chain_.rate[m]);
            for (int32_t i = 0; i < count; ++i)
                chain_.shape[i * chain_.shape_width() + m] =
                    w_.vectors[i * count + order[m]] / (std::sqrt(w_.stiffness[i]) * std::sqrt(value));
        }
        // M y = K y / w^2, and y^T M of what the joints turn by is the mode's place.
        for (int32_t m = 0; m < 2 && m < count; ++m) {
            for (int32_t i = 0; i < count; ++i)
                chain_.reach[m] += eigenvalue(order[m]) * w_.stiffness[i] *
                                   std::fabs(chain_.shape[i * chain_.shape_width() + m]);
        }
    }
    double eigenvalue(int32_t i) const { return w_.mass_matrix[i * (chain_.axis_count + 1)]; }

    void describe_drive(int32_t k) {
        FollowJoint& joint = chain_.joints[k];
        const Placement& at = rest_[joint.joint];
        const Vec3 centre = rotate(conjugate(at.rotation), w_.below[k].centre - w_.place[k]);
        for (int32_t a = 0; a < joint.axis_count; ++a)
            joint.push[a] = cross(joint.axis[a], centre) * -w_.below[k].mass;
        joint.swing_point = normalized(centre) * swing_length_[k];
        joint.rest_point = to_world(at, joint.swing_point);
        const Limits& limits = figure_.joints[joint.joint].limits;
        for (int a = 0; a < 3; ++a)
            joint.limited =
                joint.limited || std::isfinite(limits.lowest[a]) || std::isfinite(limits.highest[a]);
    }

    /// Turning about the chain's own line is left out: there the forces that a moving part feels (Coriolis) undo it.
    void describe_stiffening() {
        const FollowJoint& first = chain_.joints[0];
        const Vec3 along = normalized(first.swing_point);
        const Mat3 across = Mat3::identity() - Mat3::outer(along, along);
        const Mat3 to_world = to_matrix(rest_[first.joint].rotation), to_own = transpose(to_world);
        for (int32_t m = 0; m < chain_.axis_count; ++m) {
            ModePair& pair = chain_.pairs[m / 2];
            const Stiffening s = stiffening_of(w_, chain_, m, first.rest_point);
            const Mat3 g = across * to_own * s.turning * to_world * across * pair.softness[m % 2];
            const Vec3 a = to_own * s.acceleration * pair.softness[m % 2];
            const double numbers[stiffenings] = {
                g.row[0].x, g.row[1].y, g.row[2].z, 2 * g.row[0].y, 2 * g.row[0].z, 2 * g.row[1].z,
                a.x,        a.y,        a.z};
            for (int i = 0; i < stiffenings; ++i)
                pair.stiffening[i][m % 2] = numbers[i];
        }
    }

    const Figure& figure_;
    const Placement* rest_;
    ModeScratch& w_;
    FollowChain& chain_;
    const int32_t n_;
    double total_length_ = 0;
    double swing_length_[APLOMB_MAX_CHAIN_JOINTS] = {};
};

} // namespace

int32_t swing_axis_count(const Figure& figure, int32_t joint) {
    return hinged_limb(figure, joint) ? 1 : 2;
}

aplomb_status make_modes(const Figure& figure, const Placement* rest, double gravity, ModeScratch& scratch,
                         FollowChain& chain, int32_t index, aplomb_error* error) {
    return ModeMaker(figure, rest, scratch, chain).make(gravity, index, error);
}

} // namespace aplomb
