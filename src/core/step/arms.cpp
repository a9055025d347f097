// SPDX-License-Identifier: MIT
#include "step/arms.h"

#include <algorithm>
#include <initializer_list>

namespace aplomb {
namespace {

constexpr double fully_felt = 0.02; // of the body's mass

/// The first of the arm's numbers, or -1. `arm`: how many arms came before.
int numbers_of_arm(const Figure& figure, int limb) {
    int arm = 0;
    for (int i = 0; i < limb; ++i)
        arm += figure.limbs[i].kind == APLOMB_ARM;
    return figure.limbs[limb].kind == APLOMB_ARM && arm < most_arms ? first_arm + arm * arm_numbers : -1;
}

Vec3 vec(const double* numbers) {
    return {numbers[0], numbers[1], numbers[2]};
}

Vec3 chest_ahead(const Figure& figure, const Key& s) {
    return rotate(from_neutral(figure, s, figure.chest), Vec3{0, 0, 1});
}

void set(StepMemory& m, int number, double value) {
    m.is.at[number] = value, m.speed.at[number] = 0;
}

/// As its own numbers would have to be for the arm to lie as it does.
void read_holding_arm(const FixedLimb& fixed, const ModelState& state, int i, int first, StepMemory& m) {
    const TwoSpanState& span = state.limb[i].span;
    const Quat from = fixed.follower < 0 ? state.link[fixed.link].turn : state.follower[fixed.follower].turn;
    const Quat upper = to_quat(upper_turn(fixed.span, span)), lower = to_quat(lower_turn(fixed.span, span));
    const Vec3 own = log_rotation(conjugate(from) * upper), of_lower = log_rotation(conjugate(upper) * lower);
    for (int a = 0; a < 3; ++a)
        set(m, first + a, own[a]), set(m, first + arm_lower + a, of_lower[a]);
    for (const int number : {arm_elbow, arm_clear, arm_give_back})
        set(m, first + number, 0);
}

} // namespace

double heft_of(const Figure& figure, const Key& s, double heft) {
    const double g = norm(s.ground.gravity);
    double felt = 0;
    for (int k = 0; k < s.load_count; ++k)
        felt += s.load[k].mass;
    for (int k = 0; k < s.pull_count; ++k)
        felt += norm(s.pull[k].force) / g;
    return heft * smooth_step(felt / (fully_felt * figure.total_mass));
}

void follow_arms(const Figure& figure, const Key& s, const Clock& clock, const Stride& stride, double amount,
                 Carriage& carriage, StepMemory& m) {
    const double shown = std::min(amount, 1.0);
    Followed target;
    for (int i = 0; i < figure.limb_count; ++i) {
        const ArmOffer& offer = carriage.arm[i];
        const int first = numbers_of_arm(figure, i);
        if (first < 0) continue;
        double* at = target.at + first;
        put(at, log_rotation(offer.upper) * shown);
        at[arm_girdle] = offer.girdle * shown, at[arm_elbow] = offer.elbow * shown;
        at[arm_give_back] = offer.give_back;
        if (offer.load >= 0) at[arm_clear] = m.is.at[first + arm_clear]; // the clearance itself is there
    }
    target.at[sink_number] = carriage.level.sink * shown;
    target.at[neck_number] = carriage.neck_lean * shown;
    follow_own(clock, stride, target, m);
    const Vec3 ahead = chest_ahead(figure, s);
    for (int i = 0; i < figure.limb_count; ++i) {
        ArmOffer& offer = carriage.arm[i];
        const int first = numbers_of_arm(figure, i);
        const ArmOffer asked = offer;
        offer = ArmOffer{};
        if (first < 0) continue;
        const double* is = m.is.at + first;
        offer.upper = exp_rotation(vec(is)), offer.lower = exp_rotation(vec(is + arm_lower));
        offer.girdle = is[arm_girdle], offer.elbow = is[arm_elbow], offer.give_back = is[arm_give_back];
        if (asked.load >= 0)
            offer.clear = asked.clear, offer.load = asked.load, offer.leg = asked.leg;
        else if (is[arm_clear] != 0)
            offer.upper = exp_rotation(ahead * is[arm_clear]) * offer.upper;
    }
    carriage.level.sink = m.is.at[sink_number];
    carriage.neck_lean = m.is.at[neck_number];
}

void read_arms(const Figure& figure, const Reduction& r, const ModelState& state, StepMemory& m) {
    for (int i = 0; i < r.limb_count; ++i) {
        const int first = r.limb[i].holds_load ? numbers_of_arm(figure, r.limb[i].limb) : -1;
        if (first >= 0) read_holding_arm(r.limb[i], state, i, first, m);
    }
    for (int k = 0; k < r.follower_count; ++k) {
        if (r.follower[k].clear.side == 0) continue;
        for (int i = 0; i < figure.limb_count; ++i) {
            const int first = numbers_of_arm(figure, i);
            if (first >= 0 && figure.limbs[i].upper == r.follower[k].joint)
                set(m, first + arm_clear,
                    dot(log_rotation(state.follower[k].clear), r.follower[k].clear.ahead));
        }
    }
    if (!r.has_level) set(m, sink_number, 0), set(m, pull_number, 0);
}

} // namespace aplomb
