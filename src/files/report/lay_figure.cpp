// SPDX-License-Identifier: MIT
// The body as a wooden lay figure: a chest and a pelvis joined by a waist, tapered limbs, hands, feet with
// soles. Thickness follows from mass and length at the density of water, so that heavy limbs look heavy; the
// forms themselves are drawn by eye.
#include "report/scene.h"

#include <algorithm>
#include <cmath>

namespace aplomb::report {
namespace {

constexpr double density = 1000; // kg/m3, about that of a body

/// Builds the forms one part of the body after another.
class Builder {
public:
    Builder(const Body& body, const Posture& posture) : body_(body), posture_(posture) {}
    std::vector<Form> build();

private:
    const Place& at(int joint) const { return posture_[static_cast<size_t>(joint)]; }
    const BodyJoint& joint(int index) const { return body_.joints[static_cast<size_t>(index)]; }
    double mass_below(int first, int stop) const;
    double trunk_mass() const;
    double radius(double mass, double length) const;
    bool middle_of(aplomb_limb_kind kind, Vec3& middle) const;
    int first_of(aplomb_role role) const;

    void trunk_upright(const Vec3& pelvis, const Vec3& shoulders);
    void trunk_level(const Vec3& pelvis, const Vec3& shoulders);
    void pelvis_form(const Vec3& pelvis, double length);
    void chest_form(const Vec3& shoulders, double length);
    void trunk();
    void neck_and_head();
    void head_of_biped(const Place& head, double height);
    void head_of_quadruped(const Place& head, double size);
    double crown_height() const;
    double head_height() const; // chin to crown
    void tail();
    void leg(const BodyLimb& limb);
    void arm(const BodyLimb& limb);
    void foot(const BodyLimb& limb, double ankle_radius);
    void hand(const BodyLimb& limb, double span, double wrist_radius);
    Form& add(Material material, std::vector<Hull> hulls, double bias = 0);

    const Body& body_;
    const Posture& posture_;
    std::vector<Form> forms_;
    Vec3 neck_base_;
    double half_breadth_ = 0, half_depth_ = 0; // of the trunk
    bool quadruped_ = false;
};

Form& Builder::add(Material material, std::vector<Hull> hulls, double bias) {
    forms_.push_back({material, std::move(hulls), bias});
    return forms_.back();
}

/// Mass of the joints from `first` down to, without, `stop`.
double Builder::mass_below(int first, int stop) const {
    double mass = 0;
    std::vector<bool> inside(body_.joints.size(), false);
    for (int j = first; j < static_cast<int>(body_.joints.size()); ++j) {
        const int parent = joint(j).parent;
        const auto index = static_cast<size_t>(j);
        inside[index] = j != stop && (j == first || (parent >= 0 && inside[static_cast<size_t>(parent)]));
        mass += inside[index] ? joint(j).mass : 0;
    }
    return mass;
}

double Builder::trunk_mass() const {
    double mass = 0;
    for (const BodyJoint& j : body_.joints)
        if (j.role == APLOMB_ROLE_HIPS || j.role == APLOMB_ROLE_SPINE || j.role == APLOMB_ROLE_GIRDLE)
            mass += j.mass;
    return mass;
}

/// The radius of a round bar of this mass and length, within what still looks like a limb.
double Builder::radius(double mass, double length) const {
    if (length <= 0) return 0.02 * body_.stature;
    return std::clamp(std::sqrt(mass / (density * pi * length)), 0.09 * length, 0.26 * length);
}

bool Builder::middle_of(aplomb_limb_kind kind, Vec3& middle) const {
    Vec3 sum;
    double count = 0;
    for (const BodyLimb& limb : body_.limbs)
        if (limb.kind == kind) sum += at(limb.upper).position, count += 1;
    if (count > 0) middle = sum / count;
    return count > 0;
}

int Builder::first_of(aplomb_role role) const {
    for (size_t j = 0; j < body_.joints.size(); ++j)
        if (body_.joints[j].role == role) return static_cast<int>(j);
    return -1;
}

void Builder::pelvis_form(const Vec3& pelvis, double length) {
    const Quat turn = at(body_.hips).turn;
    Hull hull{ellipsoid(pelvis + rotate(turn, {0, 0.13 * length, -0.06 * half_depth_}), turn,
                        {0.93 * half_breadth_, 0.13 * length, 0.92 * half_depth_})};
    for (const BodyLimb& limb : body_.limbs)
        if (limb.kind == APLOMB_LEG)
            hull.push_back(
                ellipsoid(at(limb.upper).position + rotate(turn, {0, 0.02 * length, -0.1 * half_depth_}),
                          turn, {0.48 * half_breadth_, 0.15 * length, 0.9 * half_depth_}));
    add(Material::body, {hull});
}

void Builder::chest_form(const Vec3& shoulders, double length) {
    const Quat turn = at(body_.chest >= 0 ? body_.chest : body_.hips).turn;
    const Vec3 ribs = shoulders + rotate(turn, {0, -0.30 * length, 0.08 * half_depth_});
    Hull hull{ellipsoid(ribs, turn, {0.88 * half_breadth_, 0.25 * length, 0.98 * half_depth_}),
              ellipsoid(shoulders + rotate(turn, {0, -0.08 * length, 0}), turn,
                        {0.98 * half_breadth_, 0.13 * length, 0.80 * half_depth_})};
    // The yoke reaches for the shoulders wherever the girdle has moved them.
    for (const BodyLimb& limb : body_.limbs)
        if (limb.kind == APLOMB_ARM)
            hull.push_back(sphere(at(limb.upper).position * 0.80 + shoulders * 0.20 +
                                      rotate(turn, {0, -0.03 * length, 0}),
                                  0.42 * half_depth_));
    const Vec3 collar = neck_base_ + rotate(turn, {0, 0.06 * length, -0.1 * half_depth_});
    hull.push_back(ellipsoid(collar, turn, {0.5 * half_depth_, 0.04 * length, 0.4 * half_depth_}));
    add(Material::body, {hull});
}

void Builder::trunk_upright(const Vec3& pelvis, const Vec3& shoulders) {
    const double length = norm(shoulders - pelvis);
    const Quat low = at(body_.hips).turn, high = at(body_.chest >= 0 ? body_.chest : body_.hips).turn;
    const Vec3 bottom = pelvis + rotate(low, {0, 0.2 * length, 0});
    const Vec3 top = shoulders + rotate(high, {0, -0.42 * length, 0});
    // Farther from the viewer than both neighbours, whichever way one looks.
    Form& waist = add(Material::waist,
                      {{ellipsoid(bottom, low, {0.78 * half_breadth_, 0.1 * length, 0.8 * half_depth_}),
                        ellipsoid(top, high, {0.78 * half_breadth_, 0.1 * length, 0.84 * half_depth_})}});
    waist.bias = -0.02 * length;
    pelvis_form(pelvis, length);
    chest_form(shoulders, length);
}

/// A body on four legs: one form from croup to withers, deeper at the chest.
void Builder::trunk_level(const Vec3& pelvis, const Vec3& shoulders) {
    const Vec3 along = shoulders - pelvis;
    const double length = norm(along);
    const double r = std::min(half_depth_ * 1.2, 0.4 * length);
    const Quat rear = at(body_.hips).turn, front = at(body_.chest >= 0 ? body_.chest : body_.hips).turn;
    const Ellipsoid croup = ellipsoid(pelvis, rear, {0.85 * r, 0.95 * r, 0.95 * r});
    const Ellipsoid loin = ellipsoid(pelvis + along * 0.45, front, {0.85 * r, 0.85 * r, 0.6 * r});
    const Ellipsoid chest = ellipsoid(shoulders + along * -0.08, front, {0.95 * r, 1.15 * r, 1.0 * r});
    // The withers join the chest to the neck.
    add(Material::body, {{croup, loin}, {loin, chest}, {chest, sphere(neck_base_, 0.55 * r)}});
}

void Builder::trunk() {
    if (body_.hips < 0) return;
    Vec3 pelvis = at(body_.hips).position, shoulders;
    middle_of(APLOMB_LEG, pelvis);
    quadruped_ = middle_of(APLOMB_FORE_LEG, shoulders);
    const int neck = first_of(APLOMB_ROLE_NECK);
    const int top = neck >= 0 ? neck : body_.head >= 0 ? body_.head : body_.chest;
    if (!quadruped_ && !middle_of(APLOMB_ARM, shoulders)) shoulders = top >= 0 ? at(top).position : pelvis;
    neck_base_ = top >= 0 ? at(top).position : shoulders;
    const double length = norm(shoulders - pelvis);
    if (length < 1e-6) return;
    // An elliptic cylinder, half as broad again as it is deep.
    half_depth_ =
        std::clamp(std::sqrt(trunk_mass() / (density * pi * 1.5 * length)), 0.1 * length, 0.35 * length);
    half_breadth_ = 1.5 * half_depth_;
    if (quadruped_)
        trunk_level(pelvis, shoulders);
    else
        trunk_upright(pelvis, shoulders);
}

/// Head joint to crown, from the stature and the lowest sole of the neutral. The joint may lie at the ears or
/// at the base of the skull.
double Builder::crown_height() const {
    double ground = 1e30;
    for (const BodyLimb& limb : body_.limbs)
        if (limb.kind != APLOMB_ARM)
            ground = std::min(ground, body_.neutral[static_cast<size_t>(limb.end)].position.y + limb.heel.y);
    const double above = ground + body_.stature - body_.neutral[static_cast<size_t>(body_.head)].position.y;
    return std::clamp(above, 0.08 * body_.stature, 0.24 * body_.stature);
}

double Builder::head_height() const {
    return std::max(1.18 * crown_height(), std::min(0.13 * body_.stature, 1.45 * crown_height()));
}

void Builder::head_of_biped(const Place& head, double h) {
    // Measured from the crown, which the neutral puts above the joint.
    const double crown = crown_height();
    const auto point = [&](double up, double forward) {
        return head.position + rotate(head.turn, {0, crown + (up - 1) * h, forward * h});
    };
    add(Material::body,
        {{ellipsoid(point(0.62, 0.00), head.turn, {0.32 * h, 0.38 * h, 0.40 * h}),
          ellipsoid(point(0.14, 0.15), head.turn, {0.25 * h, 0.14 * h, 0.21 * h})},
         {sphere(point(0.52, 0.36), 0.05 * h), sphere(point(0.39, 0.44), 0.045 * h),
          sphere(point(0.33, 0.32), 0.05 * h)}},
        0.02 * h);
}

void Builder::head_of_quadruped(const Place& head, double size) {
    const auto point = [&](double up, double forward) {
        return head.position + rotate(head.turn, {0, up * size, forward * size});
    };
    add(Material::body, {{sphere(point(0, 0.1), 0.5 * size), sphere(point(-0.25, 1.25), 0.24 * size)},
                         {sphere(point(0.3, -0.1), 0.2 * size), sphere(point(0.75, -0.2), 0.08 * size)}});
}

void Builder::neck_and_head() {
    if (body_.head < 0) return;
    const Place& head = at(body_.head);
    const double length = norm(head.position - neck_base_);
    const double h = head_height();
    const double r = quadruped_ ? radius(mass_below(body_.head, -1), 0.14 * body_.stature) * 1.1
                                : std::min(0.25 * h, 0.034 * body_.stature);
    const Vec3 collar = quadruped_ ? neck_base_ : neck_base_ - rotate(head.turn, {0, 0.05 * h, 0.04 * h});
    const Vec3 nape =
        quadruped_ ? head.position : head.position + rotate(head.turn, {0, 0.05 * h, -0.04 * h});
    if (length > 0)
        add(Material::waist, {{sphere(collar, (quadruped_ ? 1.6 : 1.15) * r), sphere(nape, r)}}, -0.02 * h);
    if (quadruped_)
        head_of_quadruped(head, 1.5 * r);
    else
        head_of_biped(head, h);
}

void Builder::tail() {
    double r = 0.03 * body_.stature;
    for (size_t j = 0; j < body_.joints.size(); ++j) {
        const BodyJoint& bone = body_.joints[j];
        if (bone.role != APLOMB_ROLE_TAIL || bone.parent < 0) continue;
        add(Material::body, {{sphere(at(bone.parent).position, r), sphere(posture_[j].position, 0.75 * r)}});
        r *= 0.75;
    }
}

/// Two tapered spans; the calf swells behind the line from knee to ankle.
void Builder::leg(const BodyLimb& limb) {
    const Place &hip = at(limb.upper), &knee = at(limb.lower), &ankle = at(limb.end);
    const double thigh = norm(knee.position - hip.position), shank = norm(ankle.position - knee.position);
    const double r = 0.94 * radius(mass_below(limb.upper, limb.lower), thigh);
    const double s = std::min(radius(mass_below(limb.lower, limb.end), shank), 0.75 * r);
    const Vec3 forward = rotate(hip.turn, {0, 0, 1}), back = rotate(knee.turn, {0, 0, -1});
    const Vec3 along = knee.position - hip.position, down = ankle.position - knee.position;
    const double knee_radius = std::min(0.66 * r, 1.12 * s);
    add(Material::body,
        {{sphere(hip.position, 1.02 * r),
          sphere(hip.position + along * 0.35 + forward * (0.08 * r), 0.98 * r),
          sphere(knee.position, knee_radius)}},
        0.01 * r);
    add(Material::body, {{sphere(knee.position, 0.94 * knee_radius),
                          sphere(knee.position + down * 0.28 + back * (0.22 * s), 1.08 * s),
                          sphere(ankle.position, 0.64 * s)}});
    foot(limb, 0.70 * s);
}

void Builder::foot(const BodyLimb& limb, double ankle_radius) {
    const Place& ankle = at(limb.end);
    if (limb.sole_length <= 0) return;
    const double length = limb.sole_length, half = 0.5 * limb.sole_breadth, thick = 0.035 * length;
    const auto under = [&](double left, double up, double forward) {
        return ankle.position + rotate(ankle.turn, limb.heel + Vec3{left, up, forward});
    };
    // Below a hock or a raised wrist runs one more bone, down to the paw.
    const bool digitigrade = -limb.heel.y > 0.6 * length;
    if (digitigrade) {
        const Vec3 paw = limb.toe >= 0 ? at(limb.toe).position : under(0, 0.3 * length, 0.4 * length);
        add(Material::body, {{sphere(ankle.position, ankle_radius), sphere(paw, 0.8 * ankle_radius)}});
    }
    // The toes turn with their own joint, about the ball.
    const Quat toe_turn = limb.toe >= 0 ? at(limb.toe).turn : ankle.turn;
    Vec3 ball = under(0, thick, 0.7 * length);
    if (limb.toe >= 0 && !digitigrade) {
        const Vec3 rest = body_.neutral[static_cast<size_t>(limb.toe)].position -
                          body_.neutral[static_cast<size_t>(limb.end)].position - limb.heel;
        ball = at(limb.toe).position - rotate(toe_turn, {0, std::max(rest.y - thick, 0.0), 0});
    }
    const double front = std::max(length - norm(ball - under(0, thick, 0)), 0.15 * length);
    const auto toes = [&](double left, double up, double forward) {
        return ball + rotate(toe_turn, {left, up, forward});
    };
    const Hull slab{sphere(under(0.5 * half, thick, 0.22 * half + thick), thick),
                    sphere(under(-0.5 * half, thick, 0.22 * half + thick), thick),
                    sphere(under(0, thick, thick), thick), sphere(toes(0.9 * half, 0, 0), thick),
                    sphere(toes(-0.9 * half, 0, 0), thick)};
    const Hull slab_front{slab[3], slab[4], sphere(toes(0.55 * half, 0, 0.8 * front), thick),
                          sphere(toes(-0.55 * half, 0, 0.8 * front), thick),
                          sphere(toes(0, 0, front - thick), thick)};
    const double heel = std::min(0.62 * half, 0.16 * length);
    const Hull instep{sphere(under(0, heel + thick, heel + thick), heel),
                      sphere(toes(0, 0.06 * length, 0), 0.085 * length),
                      sphere(toes(0.5 * half, 0.045 * length, 0), 0.06 * length),
                      sphere(toes(-0.5 * half, 0.045 * length, 0), 0.06 * length)};
    const Hull front_part{instep[1], instep[2], instep[3],
                          sphere(toes(0, 0.03 * length, 0.7 * front), 0.05 * length)};
    std::vector<Hull> upper{instep, front_part};
    if (!digitigrade)
        upper.push_back({sphere(ankle.position, ankle_radius), instep[0],
                         sphere(toes(0, 0.06 * length, -0.2 * length), 0.08 * length)});
    add(Material::body, upper, 0.004 * length).foot = true;
    add(Material::sole, {slab, slab_front}).foot = true;
}

void Builder::arm(const BodyLimb& limb) {
    const Place &shoulder = at(limb.upper), &elbow = at(limb.lower), &wrist = at(limb.end);
    const Vec3 along = elbow.position - shoulder.position, down = wrist.position - elbow.position;
    const double upper = norm(along), lower = norm(down);
    const double r = radius(mass_below(limb.upper, limb.lower), upper);
    const double s = std::min(radius(mass_below(limb.lower, limb.end), lower), 0.9 * r);
    add(Material::body,
        {{sphere(shoulder.position, 1.18 * r), sphere(shoulder.position + along * 0.4, 0.98 * r),
          sphere(elbow.position, 0.74 * r)}},
        0.01 * r);
    add(Material::body,
        {{sphere(elbow.position, 0.72 * r), sphere(elbow.position + down * 0.28, 1.06 * s),
          sphere(wrist.position, 0.62 * s)}},
        0.02 * r);
    hand(limb, lower, 0.62 * s);
}

/// A mitten, a little curled, with a thumb to the front.
void Builder::hand(const BodyLimb& limb, double span, double wrist_radius) {
    if (limb.end == limb.lower || joint(limb.end).role != APLOMB_ROLE_HAND) return;
    const Place& wrist = at(limb.end);
    const double length = 0.62 * span;
    const double inward = limb.side == APLOMB_SIDE_LEFT ? -1 : limb.side == APLOMB_SIDE_RIGHT ? 1 : 0;
    const auto point = [&](double in, double down, double forward) {
        return wrist.position + rotate(wrist.turn, {inward * in * length, -down * length, forward * length});
    };
    const Ellipsoid palm =
        ellipsoid(point(0.01, 0.36, 0.02), wrist.turn, {0.12 * length, 0.24 * length, 0.23 * length});
    add(Material::body,
        {{sphere(wrist.position, wrist_radius), palm},
         {palm, sphere(point(0.12, 0.86, 0.04), 0.10 * length)},
         {sphere(point(0.04, 0.25, 0.14), 0.085 * length), sphere(point(0.12, 0.56, 0.30), 0.065 * length)}},
        0.5 * length);
}

std::vector<Form> Builder::build() {
    trunk();
    neck_and_head();
    tail();
    for (const BodyLimb& limb : body_.limbs) {
        if (limb.kind == APLOMB_ARM)
            arm(limb);
        else
            leg(limb);
    }
    return std::move(forms_);
}

} // namespace

std::vector<Form> lay_figure(const Body& body, const Posture& posture) {
    return Builder(body, posture).build();
}

} // namespace aplomb::report
