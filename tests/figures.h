// SPDX-License-Identifier: MIT
// Figures of our own for tests and benchmarks, built through the public C API. All numbers are ours, set from
// published proportions: heights and lengths over stature from Drillis and Contini 1966 (in Winter,
// Biomechanics, figure 4.1), arm lengths from de Leva 1996, the ball of the foot from ANSUR II 2012.
#pragma once

#include <cmath>
#include <limits>
#include <memory>
#include <stdexcept>
#include <string>
#include <vector>

#include "aplomb/aplomb.h"

namespace lay {

struct Point {
    double x = 0, y = 0, z = 0; // left, up, forward; metres
};
inline Point operator+(Point a, Point b) {
    return {a.x + b.x, a.y + b.y, a.z + b.z};
}
inline Point operator-(Point a, Point b) {
    return {a.x - b.x, a.y - b.y, a.z - b.z};
}
inline Point operator*(Point a, double s) {
    return {a.x * s, a.y * s, a.z * s};
}

struct DestroyFigure {
    void operator()(aplomb_figure* figure) const { aplomb_figure_destroy(figure); }
};
using FigureHandle = std::unique_ptr<aplomb_figure, DestroyFigure>;

/// Where an upright body's joints are, as parts of its stature.
struct Proportions {
    double hips, spine[3], neck, head; // heights
    double shoulder_half, shoulder_height, upper_arm, forearm, hand;
    double knee, ankle; // heights
    double foot;        // length
};

inline constexpr Proportions adult_proportions = {
    .530, {.570, .640, .720}, .830, .910, .108, .818, .1618, .1545, .108, .285, .039, .152};
/// About two years old: a quarter of the stature is head and neck (common practice), legs short.
inline constexpr Proportions toddler_proportions = {
    .440, {.475, .540, .620}, .750, .800, .105, .735, .150, .130, .105, .235, .040, .160};

/// A description that owns its arrays. Every joint's rest rotation is the identity.
class LayFigure {
public:
    /// 22 bodies, 1.75 m, 75 kg, standing: feet 16 cm apart, knees straight, arms slightly away.
    static LayFigure adult() { return LayFigure(adult_proportions, 1.75, 75.0, 0.08, false); }
    /// 0.9 m, 13 kg, a big head.
    static LayFigure toddler() {
        LayFigure f(toddler_proportions, 0.90, 13.0, 0.05, false);
        f.mass_table = APLOMB_MASS_CHILD;
        return f;
    }
    /// The adult with fingers and twist joints: 60 joints.
    static LayFigure detailed() { return LayFigure(adult_proportions, 1.75, 75.0, 0.08, true); }
    /// A dog of 0.6 m at the shoulder, 25 kg, hocks and elbows bent as they stand: 26 joints.
    static LayFigure quadruped();

    /// Valid as long as this object lives unchanged; the caller may change members before creating.
    aplomb_figure_desc desc() {
        name_pointers.clear();
        for (const std::string& name : names)
            name_pointers.push_back(name.c_str());
        aplomb_figure_desc d;
        aplomb_figure_desc_init(&d, sizeof d);
        d.joint_count = count();
        d.parents = parents.data();
        d.translations = translations.data();
        d.names = name_pointers.data();
        d.roles = give_roles ? roles.data() : nullptr;
        d.sides = give_roles ? sides.data() : nullptr;
        d.tips = tips.data();
        d.total_mass = total_mass;
        d.mass_table = mass_table;
        return d;
    }
    FigureHandle create() {
        const aplomb_figure_desc d = desc();
        return create_figure(d);
    }
    /// Throws with the library's own sentence where the description is refused.
    static FigureHandle create_figure(const aplomb_figure_desc& d) {
        aplomb_figure* figure = nullptr;
        aplomb_error error{};
        if (aplomb_figure_create(&d, nullptr, &figure, &error)) throw std::runtime_error(error.message);
        return FigureHandle(figure);
    }

    int32_t count() const { return static_cast<int32_t>(parents.size()); }
    /// The joint of this name; throws where there is none.
    int32_t find(const std::string& name) const {
        for (size_t i = 0; i < names.size(); ++i) {
            if (names[i] == name) return static_cast<int32_t>(i);
        }
        throw std::runtime_error("no joint " + name);
    }
    Point position(int32_t joint) const { return positions[static_cast<size_t>(joint)]; }

    std::vector<std::string> names;
    std::vector<int32_t> parents, roles, sides;
    std::vector<double> translations, tips;
    std::vector<Point> positions; // in the world in the rest pose
    double total_mass = 0;
    int32_t mass_table = APLOMB_MASS_DE_LEVA_MALE;
    bool give_roles = true; // false: the library finds them from the names

private:
    std::vector<const char*> name_pointers;

    LayFigure() = default;
    LayFigure(const Proportions& p, double stature, double mass, double half_stance, bool fine);

    int32_t add(const std::string& name, int32_t parent, Point place, aplomb_role role, aplomb_side side) {
        const Point from = parent < 0 ? Point{} : position(parent);
        const Point offset = place - from;
        names.push_back(name);
        parents.push_back(parent);
        roles.push_back(role);
        sides.push_back(side);
        positions.push_back(place);
        translations.insert(translations.end(), {offset.x, offset.y, offset.z});
        const double unknown = std::numeric_limits<double>::quiet_NaN();
        tips.insert(tips.end(), {unknown, unknown, unknown});
        return count() - 1;
    }
    void set_tip(int32_t joint, Point tip) {
        const size_t i = 3 * static_cast<size_t>(joint);
        tips[i] = tip.x;
        tips[i + 1] = tip.y;
        tips[i + 2] = tip.z;
    }
    void add_arm(const Proportions& p, double stature, int32_t chest, double side, bool fine);
    void add_fingers(int32_t hand, double length, double side, Point along);
    void add_leg(const Proportions& p, double stature, double half_stance, double side, bool fine);
    void add_dog_leg(int32_t from, double side, bool fore);

    static std::string word(double side) { return side > 0 ? "left_" : "right_"; }
    static aplomb_side side_of(double side) { return side > 0 ? APLOMB_SIDE_LEFT : APLOMB_SIDE_RIGHT; }
};

inline LayFigure::LayFigure(const Proportions& p, double stature, double mass, double half_stance,
                            bool fine) {
    total_mass = mass;
    const double h = stature;
    const auto middle = APLOMB_SIDE_MIDDLE;
    int32_t last = add("hips", -1, {0, p.hips * h, 0}, APLOMB_ROLE_HIPS, middle);
    for (int i = 0; i < 3; ++i)
        last = add("spine_" + std::to_string(i + 1), last, {0, p.spine[i] * h, 0}, APLOMB_ROLE_SPINE, middle);
    const int32_t chest = last;
    const int32_t neck = add("neck", chest, {0, p.neck * h, 0}, APLOMB_ROLE_NECK, middle);
    const int32_t head = add("head", neck, {0, p.head * h, 0.01 * h}, APLOMB_ROLE_HEAD, middle);
    set_tip(head, {0, (1 - p.head) * h, 0});
    for (const double side : {1.0, -1.0})
        add_arm(p, stature, chest, side, fine);
    for (const double side : {1.0, -1.0})
        add_leg(p, stature, half_stance, side, fine);
}

inline void LayFigure::add_arm(const Proportions& p, double h, int32_t chest, double side, bool fine) {
    const std::string name = word(side);
    const aplomb_side which = side_of(side);
    const double away = 10.0 * 3.14159265358979323846 / 180.0;
    const Point along = {side * std::sin(away), -std::cos(away), 0};
    const Point shoulder = {side * p.shoulder_half * h, p.shoulder_height * h, 0};
    const Point elbow = shoulder + along * (p.upper_arm * h), wrist = elbow + along * (p.forearm * h);
    const int32_t girdle = add(name + "girdle", chest, {side * .02 * h, p.shoulder_height * h - .01 * h, 0},
                               APLOMB_ROLE_GIRDLE, which);
    const int32_t upper = add(name + "upper_arm", girdle, shoulder, APLOMB_ROLE_UPPER_ARM, which);
    int32_t above = upper;
    if (fine)
        above = add(name + "upper_arm_twist", upper, (shoulder + elbow) * 0.5, APLOMB_ROLE_HELPER, which);
    const int32_t lower = add(name + "lower_arm", above, elbow, APLOMB_ROLE_LOWER_ARM, which);
    if (fine) add(name + "lower_arm_twist", lower, (elbow + wrist) * 0.5, APLOMB_ROLE_HELPER, which);
    const int32_t hand = add(name + "hand", lower, wrist, APLOMB_ROLE_HAND, which);
    set_tip(hand, along * (p.hand * h));
    if (fine) add_fingers(hand, p.hand * h, side, along);
}

inline void LayFigure::add_fingers(int32_t hand, double length, double side, Point along) {
    static const char* const fingers[5] = {"thumb", "index", "middle", "ring", "little"};
    for (int finger = 0; finger < 5; ++finger) {
        int32_t last = hand;
        const Point across = {0, 0, (2 - finger) * 0.1 * length};
        for (int bone = 0; bone < 3; ++bone) {
            const Point place = position(hand) + across + along * (length * (0.45 + 0.18 * bone));
            last = add(word(side) + fingers[finger] + "_" + std::to_string(bone + 1), last, place,
                       APLOMB_ROLE_HELPER, side_of(side));
        }
        set_tip(last, along * (0.19 * length));
    }
}

inline void LayFigure::add_leg(const Proportions& p, double h, double half_stance, double side, bool fine) {
    const std::string name = word(side);
    const aplomb_side which = side_of(side);
    // The hips stand a little in front of the ankles, as people's do, on a straight knee.
    const double behind = -0.18 * p.foot * h;
    const Point hip = {side * half_stance, p.hips * h, 0}, ankle = {side * half_stance, p.ankle * h, behind};
    const double part = (p.hips - p.knee) / (p.hips - p.ankle);
    const Point knee = hip + (ankle - hip) * part;
    const double foot = p.foot * h;
    const int32_t thigh = add(name + "thigh", 0, hip, APLOMB_ROLE_THIGH, which);
    int32_t above = thigh;
    if (fine) above = add(name + "thigh_twist", thigh, (hip + knee) * 0.5, APLOMB_ROLE_HELPER, which);
    const int32_t shank = add(name + "shank", above, knee, APLOMB_ROLE_SHANK, which);
    if (fine) add(name + "shank_twist", shank, (knee + ankle) * 0.5, APLOMB_ROLE_HELPER, which);
    const int32_t end = add(name + "foot", shank, ankle, APLOMB_ROLE_FOOT, which);
    const Point ball = {ankle.x, 0.1 * foot, ankle.z + (.74 - .25) * foot};
    const int32_t toe = add(name + "toe", end, ball, APLOMB_ROLE_TOE, which);
    set_tip(toe, {0, -0.05 * foot, .26 * foot});
}

inline LayFigure LayFigure::quadruped() {
    LayFigure f;
    f.total_mass = 25;
    const auto middle = APLOMB_SIDE_MIDDLE;
    const int32_t hips = f.add("hips", -1, {0, .55, -.30}, APLOMB_ROLE_HIPS, middle);
    int32_t last = hips;
    for (int i = 0; i < 3; ++i)
        last = f.add("spine_" + std::to_string(i + 1), last, {0, .57, -.20 + .17 * i}, APLOMB_ROLE_SPINE,
                     middle);
    const int32_t chest = last;
    const int32_t neck = f.add("neck", chest, {0, .62, .32}, APLOMB_ROLE_NECK, middle);
    const int32_t head = f.add("head", neck, {0, .75, .45}, APLOMB_ROLE_HEAD, middle);
    f.set_tip(head, {0, -.03, .20});
    const int32_t tail = f.add("tail_1", hips, {0, .55, -.38}, APLOMB_ROLE_TAIL, middle);
    f.set_tip(f.add("tail_2", tail, {0, .48, -.50}, APLOMB_ROLE_TAIL, middle), {0, -.08, -.10});
    for (const double side : {1.0, -1.0})
        f.add_dog_leg(chest, side, true);
    for (const double side : {1.0, -1.0})
        f.add_dog_leg(hips, side, false);
    return f;
}

inline void LayFigure::add_dog_leg(int32_t from, double side, bool fore) {
    const std::string name = word(side) + (fore ? "fore_" : "hind_");
    const aplomb_side which = side_of(side);
    const double x = side * .09;
    int32_t toe;
    if (fore) {
        const int32_t girdle = add(name + "girdle", from, {side * .04, .58, .18}, APLOMB_ROLE_GIRDLE, which);
        const int32_t upper = add(name + "upper_arm", girdle, {x, .46, .28}, APLOMB_ROLE_UPPER_ARM, which);
        const int32_t lower = add(name + "lower_arm", upper, {x, .32, .20}, APLOMB_ROLE_LOWER_ARM, which);
        const int32_t hand = add(name + "paw", lower, {x, .12, .22}, APLOMB_ROLE_HAND, which);
        toe = add(name + "toe", hand, {x, .03, .24}, APLOMB_ROLE_TOE, which);
    } else {
        const int32_t thigh = add(name + "thigh", from, {x, .50, -.30}, APLOMB_ROLE_THIGH, which);
        const int32_t shank = add(name + "shank", thigh, {x, .32, -.24}, APLOMB_ROLE_SHANK, which);
        const int32_t hock = add(name + "hock", shank, {x, .16, -.38}, APLOMB_ROLE_FOOT, which);
        toe = add(name + "toe", hock, {x, .03, -.34}, APLOMB_ROLE_TOE, which);
    }
    set_tip(toe, {0, -.02, .06});
}

} // namespace lay
