// SPDX-License-Identifier: MIT
// Loads as they are drawn: a box for a rigid one, a bucket on a line for a hanging one. Sizes that are not given follow
// from the mass: a packed box at 700 kg/m3 (common practice), a bucket of water at 1000 kg/m3; nothing is larger than what
// a correction takes it for. What two hands hold is drawn level, as it is carried.
#include "report/scene.h"

#include <algorithm>
#include <cmath>

namespace aplomb::report {
namespace {

/// By Newton's rule, which gives the same bits everywhere; std::cbrt does not.
double cube_root(double value) {
    double root = std::max(value, 1.0);
    for (int i = 0; i < 60; ++i)
        root = (2 * root + value / (root * root)) / 3;
    return root;
}

constexpr double narrowest = 0.6, widest = 1.6; // of a cube's side
constexpr double largest_box = 0.165;           // of the stature, a third of a leg's length
constexpr double largest_bucket = 0.15; // of the stature: its rim a sixth of a leg's length from its middle
constexpr double hand_thickness = 0.04; // metres, common practice

/// How far the holders have turned from the keyed pose to this one; the mean of two.
Quat holder_turn(const aplomb_load& load, const Posture& keyed, const Posture& posture) {
    Quat sum{0, 0, 0, 0};
    for (const int32_t holder : load.holder) {
        if (holder < 0 || static_cast<size_t>(holder) >= posture.size()) continue;
        const auto h = static_cast<size_t>(holder);
        const Quat turn = posture[h].turn * conjugate(keyed[h].turn);
        const double sign = dot(turn, sum) < 0 ? -1 : 1;
        sum = {sum.x + sign * turn.x, sum.y + sign * turn.y, sum.z + sign * turn.z, sum.w + sign * turn.w};
    }
    return dot(sum, sum) > 0 ? normalized(sum) : Quat{};
}

/// A box of a cube's volume that fits between two hands, so that they hold it by its sides.
Vec3 box_sides(double cube, double between) {
    const double across = std::clamp(between, narrowest * cube, widest * cube);
    const double other = cube * std::sqrt(cube / across);
    return {across, other, other};
}

/// Between the joints that hold it, less a hand's thickness; the cube's own side for one hand or the back.
double room_between_holders(const aplomb_load& load, const Posture& posture, double cube) {
    const auto count = static_cast<int32_t>(posture.size());
    const bool two =
        load.holder[0] >= 0 && load.holder[0] < count && load.holder[1] >= 0 && load.holder[1] < count;
    if (!two) return cube;
    const Vec3 way = posture[static_cast<size_t>(load.holder[0])].position -
                     posture[static_cast<size_t>(load.holder[1])].position;
    return norm(way) - hand_thickness;
}

/// The part of a turn that is about an axis.
Quat twist_about(const Vec3& axis, const Quat& turn) {
    const Vec3 along = axis * dot(axis, turn.vec());
    const Quat twist{along.x, along.y, along.z, turn.w};
    return dot(twist, twist) > 1e-12 ? normalized(twist) : Quat{};
}

Form box(const Vec3& centre, const Quat& turn, const Vec3& sides) {
    Form form;
    form.material = Material::load;
    const double edge = 0.02 * std::min(sides.x, sides.y);
    const Vec3 reach = sides * 0.5 - Vec3{edge, edge, edge};
    Hull hull;
    for (int corner = 0; corner < 8; ++corner) {
        const Vec3 half{corner & 1 ? reach.x : -reach.x, corner & 2 ? reach.y : -reach.y,
                        corner & 4 ? reach.z : -reach.z};
        hull.push_back(sphere(centre + rotate(turn, half), edge));
    }
    form.hulls = {hull};
    return form;
}

Ellipsoid disc(const Vec3& centre, double radius, const Vec3& up) {
    const Vec3 side = any_perpendicular(up);
    return {centre, {side * radius, cross(up, side) * radius, up * (0.02 * radius)}};
}

/// The height of a frustum about as high as it is wide: its volume is 0.62 times the cube of its height.
double bucket_height(double mass) {
    return cube_root(std::max(mass, 0.5) / 1000 / 0.62);
}

void bucket(const Vec3& centre, const Vec3& up, double height, double hang, std::vector<Form>& forms) {
    const double top = 0.52 * height, bottom = 0.38 * height;
    const Vec3 rim = centre + up * (0.5 * height), base = centre - up * (0.5 * height);
    forms.push_back({Material::load, {{disc(rim, top, up), disc(base, bottom, up)}}});
    forms.push_back({Material::load,
                     {{disc(rim, 0.96 * top, up), disc(rim - up * (0.06 * height), 0.95 * top, up)}},
                     0.001 * height});
    const Vec3 hook = centre + up * std::max(hang, 0.75 * height);
    const double wire = 0.012 * height;
    const Vec3 side = any_perpendicular(up), ahead = cross(up, side);
    const Vec3 across = (side + ahead) * (0.7071 * top);
    forms.push_back(
        {Material::load_line,
         {{sphere(hook, wire), sphere(rim + across, wire)}, {sphere(hook, wire), sphere(rim - across, wire)}},
         0});
}

} // namespace

std::vector<Form> load_forms(const Body& body, const aplomb_picture& picture, const Posture& keyed,
                             const Posture& posture, const aplomb_reading& reading) {
    std::vector<Form> forms;
    const aplomb_situation* situation = picture.situation;
    if (situation == nullptr || situation->loads == nullptr) return forms;
    const int count = std::min({situation->load_count, reading.load_count, APLOMB_MAX_LOADS});
    Vec3 up = -body.direction_in(situation->gravity);
    up = norm(up) > 0 ? normalized(up) : Vec3{0, 1, 0};
    for (int i = 0; i < count; ++i) {
        const aplomb_load& load = situation->loads[i];
        if (!(load.mass > 0)) continue;
        const Vec3 centre = body.length_in(reading.load_centre[i]);
        const size_t first = forms.size();
        if (load.hanging != 0) {
            const double height = load.half_size[1] > 0
                                      ? 2 * load.half_size[1] * body.metres_per_unit
                                      : std::min(bucket_height(load.mass), largest_bucket * body.stature);
            bucket(centre, up, height, load.hang * body.metres_per_unit, forms);
        } else {
            Quat turn = holder_turn(load, keyed, posture);
            if (load.holder[1] >= 0) turn = twist_about(up, turn);
            turn = turn * facing(body, keyed);
            const double cube = std::min(cube_root(load.mass / 700), largest_box * body.stature);
            Vec3 sides = box_sides(cube, room_between_holders(load, posture, cube));
            for (int a = 0; a < 3; ++a) // left, up, forward
                if (load.half_size[a] > 0) sides[a] = 2 * load.half_size[a] * body.metres_per_unit;
            forms.push_back(box(centre, turn, sides));
        }
        forms[first].load = i;
    }
    return forms;
}

} // namespace aplomb::report
