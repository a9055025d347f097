// SPDX-License-Identifier: MIT
// The pose problem once more, in the plain way, for any scalar type: every joint is placed, every mass
// counted. With Ceres' Jet as the scalar its derivatives are exact. Shares no mathematics with the library;
// from the solver it takes the numbering of its variables, and the keyed side of a limb that is too straight
// to show one.
#pragma once

#include <Eigen/Core>
#include <ceres/jet.h>
#include <ceres/rotation.h>

#include "balance/inside.h"

namespace own {

template<class T>
using Vec = Eigen::Matrix<T, 3, 1>;
template<class T>
using Mat = Eigen::Matrix<T, 3, 3>;

inline Vector plain(const aplomb::Vec3& v) {
    return {v.x, v.y, v.z};
}
inline Eigen::Matrix3d plain(const aplomb::Quat& q) {
    return Turn(q.w, q.x, q.y, q.z).normalized().toRotationMatrix();
}

template<class T>
Mat<T> exp_turn(const Vec<T>& r) {
    Mat<T> m;
    ceres::AngleAxisToRotationMatrix(r.data(), m.data());
    return m;
}
template<class T>
Vec<T> log_turn(const Mat<T>& m) {
    Vec<T> r;
    ceres::RotationMatrixToAngleAxis(m.data(), r.data());
    return r;
}

/// The smallest turn from the unit vector `a` to `b`: R = I + [v]x + [v]x^2 / (1 + a.b), v = a x b.
template<class T>
Mat<T> smallest_turn(const Vec<T>& a, const Vec<T>& b) {
    const Vec<T> v = a.cross(b);
    Mat<T> k;
    k << T(0), -v.z(), v.y(), v.z(), T(0), -v.x(), -v.y(), v.x(), T(0);
    return Mat<T>::Identity() + k + k * k * (T(1) / (T(1) + a.dot(b)));
}

/// Swing about left and forward, twist about the bone that hangs along -y.
template<class T>
Vec<T> swing_and_twist(const Mat<T>& m) {
    const Vec<T> bone(T(0), T(-1), T(0)), now = m * bone;
    const Vec<T> axis = bone.cross(now);
    const T sine2 = axis.squaredNorm(), cosine = bone.dot(now);
    T ratio = T(1) + sine2 / T(6);
    if (sine2 > 1e-12) {
        using std::atan2;
        using std::sqrt;
        const T sine = sqrt(sine2);
        ratio = atan2(sine, cosine) / sine;
    }
    const Mat<T> twist = smallest_turn<T>(bone, now).transpose() * m;
    using std::atan2;
    return {axis.x() * ratio, atan2(twist(0, 2), twist(0, 0)), axis.z() * ratio};
}

/// Everything at one setting of the variables.
template<class T>
struct Placed {
    std::vector<Vec<T>> place; // per joint
    std::vector<Mat<T>> turn;
    T distance[aplomb::max_limbs], used[aplomb::max_limbs]; // per fixed limb
    Vec<T> level;                                           // where the load in both hands is
    Mat<T> level_turn;
    bool level_placed = false, legs_placed = false;
    Eigen::Matrix<T, 2, 1> balance_point;
};

class JetModel {
public:
    explicit JetModel(const Inside& inside)
        : JetModel(inside.figure, inside.key, inside.reduction(), inside.carriage, inside.acceleration,
                   inside.momentum_rate) {}
    JetModel(const aplomb::Figure& figure, const aplomb::Key& key, const aplomb::Reduction& reduction,
             const aplomb::Carriage& carriage, const Vector& acceleration, const Vector& momentum_rate)
        : figure_(figure), s_(key), r_(reduction), carriage_(carriage), acceleration_(acceleration),
          momentum_rate_(momentum_rate) {
        for (int32_t j = 0; j < figure_.joint_count; ++j) {
            place_.push_back(plain(s_.body.world[j].position));
            turn_.push_back(plain(s_.body.world[j].rotation));
            neutral_.push_back(plain(figure_.joints[j].neutral));
        }
    }

    template<class T>
    Placed<T> place(const T* x) const {
        Placed<T> p;
        for (int32_t j = 0; j < figure_.joint_count; ++j)
            place_joint(x, j, p);
        p.legs_placed = true;
        for (int32_t j = 0; j < figure_.joint_count; ++j)
            if (is_on_hanging_arm(j)) place_joint(x, j, p);
        if (r_.has_level) { // once trunk and legs are placed, the load and the arms that hold it
            place_level(x, p);
            for (int32_t j = 0; j < figure_.joint_count; ++j)
                if (is_on_load_arm(j)) place_joint(x, j, p);
        }
        p.balance_point = balance_point(p);
        return p;
    }
    /// A joint's turn from the neutral; of the world for joint -1.
    template<class T>
    Mat<T> from_neutral(const Placed<T>& p, int32_t joint) const {
        if (joint < 0) return Mat<T>::Identity();
        return p.turn[index(joint)] * neutral_[index(joint)].transpose().cast<T>();
    }
    /// The turn of a joint's segment since the key.
    template<class T>
    Mat<T> since_key(const Placed<T>& p, int32_t joint) const {
        if (joint < 0) return Mat<T>::Identity();
        return p.turn[index(joint)] * turn_[index(joint)].transpose().cast<T>();
    }

    /// Of all masses, figure and loads.
    template<class T>
    Vec<T> centre_of_mass(const Placed<T>& p) const {
        Vec<T> sum = Vec<T>::Zero();
        double all = 0;
        each_mass(p, [&](const Vec<T>& at, double mass) { sum += at * T(mass), all += mass; });
        return sum / T(all);
    }

private:
    static size_t index(int32_t i) { return static_cast<size_t>(i); }

    template<class T>
    void place_joint(const T* x, int32_t j, Placed<T>& p) const {
        const int32_t parent = figure_.joints[j].parent;
        Vec<T> place = place_[index(j)].cast<T>();
        Mat<T> turn = turn_[index(j)].cast<T>();
        if (parent >= 0) { // rides with its parent, as keyed
            const Eigen::Matrix3d above = turn_[index(parent)].transpose();
            place = p.place[index(parent)] +
                    p.turn[index(parent)] * (above * (place_[index(j)] - place_[index(parent)])).cast<T>();
            turn = p.turn[index(parent)] * (above * turn_[index(j)]).cast<T>();
        }
        if (p.place.size() <= index(j)) p.place.emplace_back(), p.turn.emplace_back();
        p.place[index(j)] = place, p.turn[index(j)] = turn;
        if (j == figure_.hips) return move_hips(x, j, p);
        for (int i = 1; i < r_.link_count; ++i) {
            if (r_.link[i].joint == j) return lean(x, i, p);
        }
        for (int i = 0; i < r_.follower_count; ++i) {
            if (r_.follower[i].joint == j) return follow(i, p);
        }
        for (int i = 0; i < r_.limb_count; ++i)
            place_limb_joint(x, i, j, p);
    }

    template<class T>
    void move_hips(const T* x, int32_t j, Placed<T>& p) const {
        const Eigen::Matrix3d now = turn_[index(j)] * neutral_[index(j)].transpose();
        p.place[index(j)] = place_[index(j)].cast<T>() + plain(s_.ground.fore).cast<T>() * x[0] +
                            plain(s_.ground.left).cast<T>() * x[1] + plain(s_.ground.normal).cast<T>() * x[2];
        const Vec<T> own(x[3], x[4], x[5]);
        p.turn[index(j)] = exp_turn<T>(now.cast<T>() * own) * turn_[index(j)].cast<T>();
    }

    template<class T>
    void lean(const T* x, int link, Placed<T>& p) const {
        const int32_t j = r_.link[link].joint, parent = figure_.joints[j].parent;
        const Eigen::Matrix3d above =
            parent >= 0 ? Eigen::Matrix3d(turn_[index(parent)] * neutral_[index(parent)].transpose())
                        : Eigen::Matrix3d::Identity();
        const Eigen::Matrix3d now = turn_[index(j)] * neutral_[index(j)].transpose();
        const Vector key = log_turn<double>(above.transpose() * now);
        const T* own = x + r_.block_variable(r_.link[link].block);
        const aplomb::Vec3& w = r_.link[link].weight;
        const Vec<T> r(key.x() + w.x * own[0], key.y() + w.y * own[1], key.z() + w.z * own[2]);
        p.turn[index(j)] = from_neutral(p, parent) * exp_turn<T>(r) * neutral_[index(j)].cast<T>();
    }

    /// A part of the chest's turn, after what the load makes of it.
    template<class T>
    void follow(int i, Placed<T>& p) const {
        const aplomb::Follower& f = r_.follower[i];
        const Vec<T> chest = log_turn<T>(since_key(p, r_.link[f.link].joint));
        p.turn[index(f.joint)] =
            exp_turn<T>(chest * T(f.keep)) * plain(f.offer).cast<T>() * turn_[index(f.joint)].cast<T>();
        if (f.clear.side == 0 || !p.legs_placed) return;
        const Vec<T> hand = p.place[index(f.joint)] + since_key(p, f.joint) * plain(f.clear.line).cast<T>();
        const Vec<T> left = plain(s_.ground.left).cast<T>();
        const T gap = (left.dot(hand - body_point(f.clear.leg, p)) + T(f.clear.hang)) * T(f.clear.side);
        const T tangent =
            greater<T>((T(f.clear.wanted) - gap) / T(f.clear.length), T(0.0), .03) - T(f.clear.at_key);
        using std::atan2;
        p.turn[index(f.joint)] =
            exp_turn<T>(plain(f.clear.ahead).cast<T>() * (atan2(tangent, T(1.0)) * T(f.clear.side))) *
            p.turn[index(f.joint)];
    }

    bool is_on_hanging_arm(int32_t j) const {
        for (int i = 0; i < r_.follower_count; ++i)
            if (r_.follower[i].clear.side != 0 && aplomb::rides_on(figure_, j, r_.follower[i].joint))
                return true;
        return false;
    }
    bool is_on_load_arm(int32_t j) const {
        for (int i = 0; i < r_.limb_count; ++i) {
            const int32_t upper = figure_.limbs[r_.limb[i].limb].upper;
            if (r_.limb[i].holds_load && aplomb::rides_on(figure_, j, upper)) return true;
        }
        return false;
    }

    template<class T>
    Vec<T> body_point(const aplomb::BodyPoint& point, const Placed<T>& p) const {
        if (point.limb >= 0) {
            const aplomb::Limb& limb = figure_.limbs[r_.limb[point.limb].limb];
            const Vec<T>&high = p.place[index(point.span == 0 ? limb.upper : limb.lower)],
                  &low = p.place[index(point.span == 0 ? limb.lower : limb.end)];
            return high * T(1 - point.part) + low * T(point.part);
        }
        Vec<T> sum = Vec<T>::Zero();
        for (int k = 0; k < 2; ++k) {
            const int32_t j = r_.link[point.link[k]].joint;
            sum += (p.place[index(j)] + since_key(p, j) * plain(point.lever[k]).cast<T>()) *
                   T(k == 0 ? 1 - point.part : point.part);
        }
        return sum;
    }
    template<class T>
    static T greater(const T& a, const T& b, double width) {
        using std::sqrt;
        return (a + b + sqrt((a - b) * (a - b) + T(width * width))) * T(0.5);
    }

    template<class T>
    void place_level(const T* x, Placed<T>& p) const {
        const aplomb::LevelLoad& level = r_.level;
        const Vec<T> o = plain(s_.ground.origin).cast<T>(), fore = plain(s_.ground.fore).cast<T>(),
                     left = plain(s_.ground.left).cast<T>(), up = plain(s_.ground.normal).cast<T>();
        const auto shift = [&](const aplomb::BodyPoint& point) -> Vec<T> {
            return body_point(point, p) - o - plain(point.keyed).cast<T>();
        };
        const Vec<T> axis = shift(level.axis);
        T trunk = fore.dot(axis), most, keyed;
        if (level.pull >= 0) trunk -= x[level.pull];
        for (int k = 0; k < level.obstacle_count; ++k) {
            const T ahead = fore.dot(shift(level.obstacle[k])) - T(level.gap[k]), gap(-level.gap[k]);
            most = k == 0 ? ahead : greater<T>(most, ahead, level.smoothing);
            keyed = k == 0 ? gap : greater<T>(keyed, gap, level.smoothing);
        }
        most = greater<T>(most, trunk, level.smoothing);
        keyed = greater<T>(keyed, T(0), level.smoothing);
        p.level = o + plain(level.place).cast<T>() +
                  (fore * (most - keyed) + left * left.dot(axis) + up * (up.dot(axis) - T(level.sink))) *
                      T(level.ride);
        const Vec<T> chest = log_turn<T>(since_key(p, r_.link[r_.chest_link].joint));
        p.level_turn = exp_turn<T>(up * (up.dot(chest) * T(level.ride)));
        p.level_placed = true;
    }

    /// Start of a limb: both spans by the law of cosines. End: fixed in the world.
    template<class T>
    void place_limb_joint(const T* x, int i, int32_t j, Placed<T>& p) const {
        const aplomb::FixedLimb& fixed = r_.limb[i];
        const aplomb::Limb& limb = figure_.limbs[fixed.limb];
        if (j == limb.end) p.turn[index(j)] = turn_[index(j)].cast<T>();
        if (fixed.holds_load && !p.level_placed) return;
        if (j == limb.end && fixed.holds_load) p.turn[index(j)] = p.level_turn * turn_[index(j)].cast<T>();
        if (j == limb.end && fixed.bearing) p.place[index(j)] = place_[index(j)].cast<T>();
        if (j != limb.upper && j != limb.lower) return;
        const Vector a0 = place_[index(limb.upper)], k0 = place_[index(limb.lower)],
                     e0 = place_[index(limb.end)];
        const double l1 = (k0 - a0).norm(), l2 = (e0 - k0).norm();
        const Vec<T> a = p.place[index(limb.upper)];
        Vec<T> to = e0.cast<T>() + (a - a0.cast<T>()) * T(fixed.ride);
        if (fixed.with_chest > 0) {
            const int32_t chest = r_.link[r_.chest_link].joint;
            const Vec<T> rigid =
                p.place[index(chest)] + since_key(p, chest) * Vec<T>((e0 - place_[index(chest)]).cast<T>());
            to = e0.cast<T>() + (rigid - e0.cast<T>()) * T(fixed.with_chest);
        }
        if (fixed.holds_load) to = p.level + p.level_turn * plain(fixed.grip).cast<T>();
        const Vec<T> way = to - a;
        using std::sqrt;
        const T distance = sqrt(way.squaredNorm());
        const T used = reach(fixed, distance);
        const Vec<T> line = way * (T(1) / distance);
        const Vector line0 = (e0 - a0).normalized(), side0 = plain(fixed.span.side);
        Vec<T> side = smallest_turn<T>(line0.cast<T>(), line) * side0.cast<T>();
        if (fixed.swivel >= 0) side = exp_turn<T>(line * x[fixed.swivel]) * side;
        const T along = (used * used + T(l1 * l1 - l2 * l2)) / (T(2) * used);
        const T off = sqrt(T(l1 * l1) - along * along);
        if (fixed.elbow.outwards != 0)
            side = swivelled(fixed.elbow, p, line, side, Vec<T>((line * along + side * off) / T(l1)));
        const Vec<T> middle = a + line * along + side * off, end = a + line * used;
        const Vec<T> hinge = line.cross(side);
        if (j == limb.upper) {
            p.distance[i] = distance, p.used[i] = used;
            p.turn[index(j)] = carried<T>(k0 - a0, line0.cross(side0), middle - a, hinge, j);
        } else {
            p.turn[index(j)] = carried<T>(e0 - k0, line0.cross(side0), end - middle, hinge, j);
        }
    }

    /// An elbow that goes back behind the chest swivels outwards.
    template<class T>
    Vec<T> swivelled(const aplomb::Elbow& elbow, const Placed<T>& p, const Vec<T>& line, const Vec<T>& side,
                     const Vec<T>& upper) const {
        using std::sqrt;
        const Vec<T> ahead = since_key(p, r_.link[r_.chest_link].joint) * plain(elbow.ahead).cast<T>();
        const double e = 4 * aplomb::degree, most = 75 * aplomb::degree;
        const T past = -upper.dot(ahead) - T(elbow.limit);
        const T t = past + sqrt(past * past + T(e * e)) - T(e) - T(2 * elbow.at_key);
        const T angle = t / sqrt(T(1) + t * t / T(most * most));
        return exp_turn<T>(line * (angle * T(elbow.outwards))) * side;
    }

    /// The distance that a limb takes. A bearing one ends at its reach; a held one gives way over the last
    /// hundredth of its length, along a parabola that ends level at the reach.
    template<class T>
    static T reach(const aplomb::FixedLimb& fixed, const T& distance) {
        if (fixed.bearing || fixed.holds_load)
            return distance > fixed.span.most ? T(fixed.span.most) : distance;
        const double width = 0.01 * fixed.span.length, from = fixed.span.most - width;
        if (distance < from) return distance < fixed.span.least ? T(fixed.span.least) : distance;
        if (distance > fixed.span.most + width) return T(fixed.span.most);
        const T u = distance - T(from);
        return distance - u * u / T(4 * width);
    }

    /// Span and hinge before and after give a span's turn.
    template<class T>
    Mat<T> carried(const Vector& span0, const Vector& hinge0, const Vec<T>& span, const Vec<T>& hinge,
                   int32_t j) const {
        return frame<T>(span, hinge) * frame<double>(span0, hinge0).transpose().template cast<T>() *
               turn_[index(j)].cast<T>();
    }
    template<class T>
    static Mat<T> frame(const Vec<T>& span, const Vec<T>& hinge) {
        using std::sqrt;
        const Vec<T> a = span * (T(1) / sqrt(span.squaredNorm()));
        const Vec<T> across = hinge - a * a.dot(hinge);
        const Vec<T> b = across * (T(1) / sqrt(across.squaredNorm()));
        Mat<T> m;
        m.col(0) = a, m.col(1) = b, m.col(2) = a.cross(b);
        return m;
    }

    /// visit(place, mass).
    template<class T, class Visit>
    void each_mass(const Placed<T>& p, const Visit& visit) const {
        for (int32_t j = 0; j < figure_.joint_count; ++j) {
            const aplomb::Joint& joint = figure_.joints[j];
            visit(p.place[index(j)] + p.turn[index(j)] * plain(joint.centre).cast<T>(), joint.mass);
        }
        for (int k = 0; k < s_.load_count; ++k) {
            const aplomb::Load& load = s_.load[k];
            if (load.level && r_.has_level) {
                const Vector off = plain(load.centre - load.hang - carriage_.level.centre);
                visit(p.level + p.level_turn * Vec<T>(off.cast<T>()) + plain(load.hang).cast<T>(), load.mass);
                continue;
            }
            for (int h = 0; h < load.holder_count; ++h) {
                const size_t j = index(load.holder[h]);
                visit(p.place[j] + p.turn[j] * plain(load.local[h]).cast<T>() + plain(load.hang).cast<T>(),
                      load.mass / load.holder_count);
            }
        }
    }

    /// p = o + n x tau / (n.F) from all forces but the ground's.
    template<class T>
    Eigen::Matrix<T, 2, 1> balance_point(const Placed<T>& p) const {
        const Vector o = plain(s_.ground.origin), n = plain(s_.ground.normal),
                     g = plain(s_.ground.gravity) - acceleration_;
        Vec<T> force = Vec<T>::Zero(), torque = -momentum_rate_.template cast<T>();
        const auto add = [&](const Vec<T>& at, const Vector& f) {
            const Vec<T> lever = at - o.cast<T>();
            force += f.cast<T>(), torque += lever.cross(Vec<T>(f.cast<T>()));
        };
        each_mass(p, [&](const Vec<T>& at, double mass) { add(at, g * mass); });
        for (int k = 0; k < s_.pull_count; ++k) {
            const size_t j = index(s_.pull[k].joint);
            add(p.place[j] + p.turn[j] * plain(s_.pull[k].local).cast<T>(), plain(s_.pull[k].force));
        }
        const Vec<T> nn = n.cast<T>(), point = nn.cross(torque) * (T(1) / nn.dot(force));
        return {point.dot(Vec<T>(plain(s_.ground.fore).cast<T>())),
                point.dot(Vec<T>(plain(s_.ground.left).cast<T>()))};
    }

    const aplomb::Figure& figure_;
    const aplomb::Key& s_;
    const aplomb::Reduction& r_;
    const aplomb::Carriage& carriage_;
    Vector acceleration_, momentum_rate_;
    std::vector<Vector> place_; // keyed
    std::vector<Eigen::Matrix3d> turn_, neutral_;
};

} // namespace own
