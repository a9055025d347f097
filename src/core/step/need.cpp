// SPDX-License-Identifier: MIT
#include "step/need.h"

#include <cmath>

namespace aplomb {
namespace {

constexpr double most_need = 0.15, most_need_at_rest = 0.5; // of the leg's length
constexpr double most_unknown = 0.05; // of the hips' part, in a first frame of which no motion is known
constexpr double moves_from = 0.02, moves_to = 0.12; // of the walk's speed
constexpr double sample_seconds = 0.05;              // between the history's entries
constexpr double least_stride = 0.4, most_stride = sample_seconds * (history_length - 2); // seconds
constexpr double alike = 0.25;      // strides that differ by more of their length tell nothing of the next
constexpr double overdue = 0.15;    // of a stride: a landing that is later than this is not that of a stride
constexpr int future_count = 24;    // of the sum over time to come
constexpr double future_step = 0.2; // of T
constexpr double seen_after = 0.05; // seconds: a bearing that begins or ends changes what is needed so late
constexpr double well_known = 0.75;
constexpr double sooner = 0.8;                     // of T
constexpr double leaves_from = 0.5, leaves_to = 1; // of a fall's speed; by eye, on recorded jumps and starts
constexpr double travel_from = 0.1, travel_to = 0.3; // of the walk's speed

/// A need in heading axes.
struct LevelNeed {
    Vec2 aim, hips;
};

LevelNeed operator+(const LevelNeed& a, const LevelNeed& b) {
    return {a.aim + b.aim, a.hips + b.hips};
}
LevelNeed operator-(const LevelNeed& a, const LevelNeed& b) {
    return {a.aim - b.aim, a.hips - b.hips};
}
LevelNeed operator*(const LevelNeed& a, double by) {
    return {a.aim * by, a.hips * by};
}

LevelNeed level_of(const Ground& ground, const Need& need) {
    const auto level = [&](const Vec3& way) { return Vec2{dot(way, ground.fore), dot(way, ground.left)}; };
    return {level(need.aim), level(need.hips)};
}
Need world_of(const Ground& ground, const LevelNeed& need) {
    const auto world = [&](const Vec2& way) { return ground.fore * way.fore + ground.left * way.left; };
    return {world(need.aim), world(need.hips)};
}

Vec3 at_most(const Vec3& way, double most) {
    const double length = norm(way);
    return length > most ? way * (most / length) : way;
}

/// The last stride's samples, read back in today's heading.
class History {
public:
    History(const Clock& clock, StepMemory& memory) : m_(memory), step_(sample_seconds * clock.scale) {}

    void add(const LevelNeed& now, double seconds) {
        const LevelNeed last = m_.sample_count > 0 ? entry(0) : now;
        const double since = m_.since_sample;
        m_.since_sample += seconds;
        if (m_.sample_count == 0) return push(now), void(m_.since_sample = 0);
        // A long frame leaves several samples, on the straight line from the last one.
        const double whole = since + seconds;
        for (double at = step_; m_.since_sample >= step_ && at <= step_ * history_length; at += step_) {
            push(last + (now - last) * std::min(1.0, at / whole));
            m_.since_sample -= step_;
        }
        if (m_.since_sample >= step_) m_.since_sample = 0;
    }
    /// `ago` seconds before this frame.
    LevelNeed at(double ago) const {
        const double place = (ago - m_.since_sample) / step_;
        if (place <= 0) return entry(0);
        const int before = std::min(static_cast<int>(place), history_length);
        const LevelNeed newer = entry(before), older = entry(before + 1);
        return newer + (older - newer) * (place - before);
    }

private:
    void push(const LevelNeed& need) {
        const int next = static_cast<int>(m_.next_sample);
        float* to = m_.history[next];
        to[0] = static_cast<float>(need.aim.fore);
        to[1] = static_cast<float>(need.aim.left);
        to[2] = static_cast<float>(need.hips.fore);
        to[3] = static_cast<float>(need.hips.left);
        m_.next_sample = (next + 1) % history_length;
        m_.sample_count = std::min<double>(m_.sample_count + 1, history_length);
    }
    /// The `back`-th last, or the oldest.
    LevelNeed entry(int back) const {
        const int count = static_cast<int>(m_.sample_count);
        if (count == 0) return {};
        const int index = static_cast<int>(m_.next_sample) - 1 - std::min(back, count - 1);
        const float* from = m_.history[(index + history_length) % history_length];
        const auto way = [&](int k) {
            return Vec2{static_cast<double>(from[k]), static_cast<double>(from[k + 1])};
        };
        return {way(0), way(2)};
    }

    StepMemory& m_;
    const double step_;
};

bool is_stride(double seconds) {
    return seconds >= least_stride && seconds <= most_stride;
}

/// How far strides are alike, from two that follow each other.
void learn_stride(const Clock& clock, double stride, StepMemory& m) {
    if (!is_stride(stride / clock.scale)) {
        m.period = m.agreement = 0;
        return;
    }
    if (m.period > 0)
        m.agreement = 1.0 - smooth_step(std::fabs(stride - m.period) / (alike * m.period));
    else
        m.agreement = 0.5; // one stride alone
    m.period = stride;
}

/// 0 to 1: how much of the last stride is expected again.
double expectation(const Clock& clock, const StepMemory& m) {
    if (!is_stride(m.period / clock.scale)) return 0;
    double longest = 0; // the landing that is next is of the foot whose last is the longest ago
    for (const FootMemory& foot : m.foot)
        longest = std::max(longest, foot.since_landing);
    const double late = longest / m.period - 1.0;
    return m.agreement * (1.0 - smooth_step((late - overdue) / overdue));
}

/// Of the way back over its feet what a body that goes away from them still needs. One that falls over them from rest goes at
/// d/T, with d the way: what goes as fast means to leave them, for a jump or a step. Both level.
Vec3 left_of_way_back(const Vec3& back, const Vec3& velocity, double T) {
    const double speed = norm(velocity);
    if (speed <= 0) return back;
    const double along = -dot(back, velocity) / speed;
    if (along <= 0) return back;
    const double ratio = speed * T < leaves_to * along ? speed * T / along : leaves_to;
    const double leaves = smooth_step((ratio - leaves_from) / (leaves_to - leaves_from));
    return back + velocity * (leaves * along / speed);
}

double time_constant(const StepMemory& memory, const Ground& ground) {
    return std::sqrt(memory.height / norm(ground.gravity));
}

} // namespace

bool is_motion_unknown(const Clock& clock, const StepMemory& memory) {
    return clock.anew && norm(memory.velocity + clock.drift) == 0;
}

double motion_of(const Clock& clock, const StepMemory& memory) {
    const double speed = norm(memory.velocity + clock.drift) / clock.walk_speed;
    if (is_motion_unknown(clock, memory)) return 1;
    return smooth_step((speed - moves_from) / (moves_to - moves_from));
}

Need need_of(const Figure& figure, const Clock& clock, const StepMemory& memory, const Vec3& velocity,
             const Key& s, const Aim& aim) {
    const double leg = figure.leg_length, moving = motion_of(clock, memory);
    const double most = (most_need_at_rest + (most_need - most_need_at_rest) * moving) * leg;
    const bool unknown = is_motion_unknown(clock, memory);
    const auto world = [&](const Vec2& way) { return s.ground.fore * way.fore + s.ground.left * way.left; };
    Need need;
    need.hips = at_most(world(aim.hips_way), unknown ? most_unknown * leg : most);
    const Vec3 level = reject(velocity + clock.drift, s.ground.normal);
    need.hips = left_of_way_back(need.hips, level, time_constant(memory, s.ground));
    need.aim = at_most(world(aim.rest_point - s.balance_point - aim.hips_way) + need.hips, most);
    return need;
}

Travel travel_of(const Clock& clock, const StepMemory& memory, const Ground& ground) {
    const Vec3 v = memory.velocity + clock.drift;
    const Vec2 level = {dot(v, ground.fore), dot(v, ground.left)};
    const double speed = norm(level);
    if (speed <= travel_from * clock.walk_speed) return {};
    return {level * (1.0 / speed),
            smooth_step((speed / clock.walk_speed - travel_from) / (travel_to - travel_from))};
}

namespace {

/// What is expected: the last stride again as far as strides are alike, else what is needed now.
class Forecast {
public:
    Forecast(const Clock& clock, const Ground& ground, const History& history, const LevelNeed& now,
             const StepMemory& memory)
        : history_(history), now_(now), period_(memory.period), late_(seen_after * clock.scale),
          again_(expectation(clock, memory)), travels_(travel_of(clock, memory, ground).part) {
        if (again_ > 0) off_ = now - history.at(period_);
    }
    double again() const { return again_; }
    /// What is left of something that faded to this part where it does not stay.
    double stays(double fading) const { return 1.0 - (1.0 - fading) * (again_ + (1.0 - again_) * travels_); }
    /// In `seconds`, by which what differs from the last stride has faded to this part.
    LevelNeed at(double seconds, double fading) const {
        // On its way a body leaves the foot that it needs now; a load stays.
        const Vec2 passing = now_.hips * (travels_ * (1.0 - fading));
        const LevelNeed plain = {now_.aim - passing, now_.hips - passing};
        if (again_ <= 0) return plain;
        double ago = period_ - seconds - late_;
        while (ago < 0)
            ago += period_;
        return (history_.at(ago) + off_ * fading) * again_ + plain * (1.0 - again_);
    }

private:
    const History& history_;
    const LevelNeed now_;
    const double period_, late_, again_, travels_;
    LevelNeed off_; // how this stride differs from the last
};

/// xi, with the way from what is expected to what is shown ahead laid over it.
LevelNeed mean_of_future(const Forecast& forecast, const LevelNeed& need_ahead, double ahead_seconds,
                         double T) {
    LevelNeed shown;
    if (ahead_seconds > 0) {
        // Strides that are alike know the shape between the poses, too.
        const double doubt = 1.0 - well_known * forecast.again();
        shown = (need_ahead - forecast.at(ahead_seconds, exp_negative(ahead_seconds / T))) * doubt;
    }
    const double ratio = exp_negative(future_step);
    LevelNeed sum;
    double weights = 0, fading = 1;
    for (int k = 0; k <= future_count; ++k, fading *= ratio) {
        const double s = k * future_step * T, weight = k == 0 ? 0.5 : fading;
        sum = sum + forecast.at(s, fading) * weight;
        weights += weight;
        if (ahead_seconds <= 0) continue;
        const double past = (s - ahead_seconds) / T;
        const double part = past <= 0 ? s / ahead_seconds : forecast.stays(exp_negative(past));
        sum = sum + shown * (weight * part);
    }
    return sum * (1.0 / weights);
}

/// The causal half. The part that answers the load goes sooner: a body knows what it takes, and does not wait to fall.
Need follow_with_lag(const Clock& clock, const Need& coming, double T, double behind, StepMemory& m) {
    const double load_T = sooner * T;
    const Vec3 load_lack = (coming.aim - coming.hips) - (m.lag.aim - m.lag.hips);
    const Vec3 hips_lack = coming.hips - m.lag.hips;
    const double load_stays = exp_negative(clock.seconds / load_T),
                 hips_stay = exp_negative(clock.seconds / T);
    const Vec3 load_gone = load_lack * (1.0 - load_stays), hips_gone = hips_lack * (1.0 - hips_stay);
    m.lag = {m.lag.aim + load_gone + hips_gone, m.lag.hips + hips_gone};
    const Vec3 load_ahead = load_lack * (load_stays * std::min(1.0, behind / load_T));
    const Vec3 hips_ahead = hips_lack * (hips_stay * std::min(1.0, behind / T));
    return {m.lag.aim + load_ahead + hips_ahead, m.lag.hips + hips_ahead};
}

} // namespace

Need filter_need(const Clock& clock, const Ground& ground, const Need& now, const Ahead& ahead, double stride,
                 double behind, StepMemory& m) {
    if (stride > 0) learn_stride(clock, stride, m);
    const LevelNeed level = level_of(ground, now);
    History history(clock, m);
    if (clock.anew || clock.seconds > 0) history.add(level, clock.seconds);
    if (clock.anew && ahead.seconds <= 0) return m.lag = now;
    const double T = time_constant(m, ground);
    const Forecast forecast(clock, ground, history, level, m);
    const Need coming =
        world_of(ground, mean_of_future(forecast, level_of(ground, ahead.need), ahead.seconds, T));
    if (clock.anew) m.lag = coming;
    return follow_with_lag(clock, coming, T, behind, m);
}

} // namespace aplomb
