// SPDX-License-Identifier: MIT
#include "follow/hanging.h"

#include <algorithm>
#include <cmath>

#include "base/exponential.h"
#include "base/trig.h"
#include "follow/oscillator.h"

namespace aplomb {
namespace {

// Seconds. At 1/120 large swings would be slower than the exact elliptic integral says by more than (rate h)^2 / 12.
constexpr double longest_step = 1.0 / 160;
constexpr double longest_angle = 0.15; // radians, by which the swing's phase may advance in a step
constexpr int midpoint_rounds = 9;     // each multiplies the error by (longest_angle / 2)^2
constexpr double arm_damping = 0.5;

Vec3 vec(const double* v) {
    return {v[0], v[1], v[2]};
}

class Swing {
public:
    Swing(const aplomb_hanging& hanging, aplomb_hanging_state& state)
        : h_(hanging), s_(state), gravity_(vec(hanging.gravity)), away_(vec(state.away)),
          spin_(vec(state.spin)), given_(vec(state.given)), given_velocity_(vec(state.given_velocity)),
          length_(hanging.length), rate_(std::sqrt(norm(gravity_) / length_)) {}

    void start(const Vec3& hand) {
        s_ = aplomb_hanging_state{};
        s_.running = 1;
        put(s_.hand, hand);
        away_ = gravity_ * (length_ / norm(gravity_));
        spin_ = given_ = given_velocity_ = {};
        keep();
    }

    /// One frame. The hand's path in it is taken as a parabola; between frames the hand's velocity jumps.
    void move(double seconds, const Vec3& hand) {
        const Vec3 velocity = (hand - vec(s_.hand)) / seconds;
        Vec3 acceleration, jump;
        if (s_.running >= 2) acceleration = (velocity - vec(s_.velocity)) * (2.0 / (seconds + s_.seconds));
        // Straight pieces will do: an arm that gives rounds the corners between them.
        if (h_.give > 0) acceleration = {};
        const Vec3 half = acceleration * (0.5 * seconds);
        if (s_.running >= (h_.give > 0 ? 2 : 3)) jump = (velocity - half) - vec(s_.end_velocity);
        if (h_.give > 0)
            given_velocity_ -= jump;
        else
            kick(jump);
        const double most = std::min(longest_step, longest_angle / rate_);
        const double steps = -std::floor(-seconds / most * (1 - 1e-9));
        const double step = seconds / steps;
        const Propagator arm = make_propagator(2 * pi * h_.give, arm_damping, step);
        const double drag = exp_negative(h_.damping * rate_ * step);
        for (double k = 0; k < steps; ++k) {
            if (h_.give > 0) acceleration = give(arm) / step;
            advance(gravity_ - acceleration, step, drag);
        }
        acceleration_ = acceleration;
        put(s_.hand, hand), put(s_.velocity, velocity), put(s_.end_velocity, velocity + half);
        s_.seconds = seconds;
        s_.running = std::min(s_.running + 1, 3);
        keep();
    }

    aplomb_hanging_result result(const Vec3& hand) const {
        aplomb_hanging_result r{};
        put(r.place, hand + away_);
        const Vec3 out = normalized(away_);
        if (!s_.slack) put(r.tension, out * (h_.mass * std::max(0.0, pull(gravity_ - acceleration_))));
        const Vec3 down = normalized(gravity_);
        r.angle = arctan2(norm(cross(out, down)), dot(out, down));
        r.slack = s_.slack;
        r.caught = caught_;
        return r;
    }

private:
    void keep() {
        put(s_.away, away_), put(s_.spin, spin_);
        put(s_.given, given_), put(s_.given_velocity, given_velocity_);
    }
    /// Moves the give of the hand on by one step; returns by how much its velocity changed.
    Vec3 give(const Propagator& arm) {
        const Vec3 before = given_velocity_;
        for (int a = 0; a < 3; ++a)
            arm.move(0, given_[a], given_velocity_[a]);
        return given_velocity_ - before;
    }
    /// The hand's velocity jumps; relative to the hand, the load's velocity jumps the opposite way.
    void kick(const Vec3& jump) {
        if (s_.slack)
            spin_ -= jump;
        else
            spin_ -= cross(away_, jump) / (length_ * length_);
    }
    /// Tension over mass.
    double pull(const Vec3& gravity) const {
        return dot(gravity, away_) / length_ + length_ * dot(spin_, spin_);
    }

    void advance(const Vec3& gravity, double step, double drag) {
        if (s_.slack) {
            fly(gravity, step);
        } else {
            spin_ *= drag;
            swing(gravity, step);
            spin_ *= drag;
            if (pull(gravity) < 0) let_go();
        }
        stop();
    }

    void swing(const Vec3& gravity, double step) {
        Vec3 middle = away_, mean = spin_;
        for (int round = 0; round < midpoint_rounds; ++round) {
            mean = spin_ + cross(middle, gravity) * (0.5 * step / (length_ * length_));
            const Vec3 a = mean * (0.5 * step);
            middle = (away_ + cross(a, away_) + a * dot(a, away_)) / (1.0 + dot(a, a));
        }
        away_ = 2.0 * middle - away_;
        spin_ = 2.0 * mean - spin_;
    }

    void let_go() {
        spin_ = cross(spin_, away_); // while the string is slack, spin_ is a velocity
        s_.slack = 1;
    }
    void fly(const Vec3& gravity, double step) {
        away_ += spin_ * step + gravity * (0.5 * step * step);
        spin_ += gravity * step;
        if (norm(away_) >= length_) catch_again();
    }
    /// The string takes up the outward speed; nothing bounces.
    void catch_again() {
        const Vec3 out = normalized(away_);
        away_ = out * length_;
        spin_ = cross(out, spin_) / length_;
        s_.slack = 0;
        caught_ = 1;
    }

    /// A load that would come nearer to the body than the stop is kept at the stop.
    void stop() {
        const Vec3 way = vec(h_.stop);
        const double most = norm(way);
        if (most == 0) return;
        const Vec3 in = way / most;
        if (dot(away_, in) <= most) return;
        const Vec3 beside = reject(away_, in);
        const Vec3 velocity = s_.slack ? spin_ : cross(spin_, away_);
        const double across = norm(beside);
        const double reach = s_.slack ? across : std::sqrt(std::max(0.0, length_ * length_ - most * most));
        away_ = in * most + (across > 0 ? beside * (reach / across) : Vec3{});
        const Vec3 kept = velocity - in * std::max(0.0, dot(velocity, in));
        spin_ = s_.slack ? kept : cross(away_, kept) / (length_ * length_);
    }

    const aplomb_hanging& h_;
    aplomb_hanging_state& s_;
    const Vec3 gravity_;
    Vec3 away_, spin_, given_, given_velocity_, acceleration_;
    const double length_, rate_;
    int32_t caught_ = 0;
};

} // namespace

aplomb_hanging_result move_hanging(const aplomb_hanging& hanging, aplomb_hanging_state& state, double seconds,
                                   const Vec3& hand) {
    Swing swing(hanging, state);
    if (state.running == 0)
        swing.start(hand);
    else if (seconds > 0)
        swing.move(seconds, hand);
    return swing.result(hand);
}

} // namespace aplomb
