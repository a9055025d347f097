// SPDX-License-Identifier: MIT
// Loads as they are drawn: a cube for a rigid one, a bucket on a line for a hanging one. Sizes follow from
// the mass: a packed box at 700 kg/m3 (common practice), a bucket of water at 1000 kg/m3.
#include "report/scene.h"

#include <algorithm>
#include <cmath>

namespace aplomb::report {
namespace {

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

Form box(const Vec3& centre, const Quat& turn, double side) {
    Form form;
    form.material = Material::load;
    const double edge = 0.02 * side, reach = 0.5 * side - edge;
    Hull hull;
    for (int corner = 0; corner < 8; ++corner) {
        const Vec3 half{corner & 1 ? reach : -reach, corner & 2 ? reach : -reach,
                        corner & 4 ? reach : -reach};
        hull.push_back(sphere(centre + rotate(turn, half), edge));
    }
    form.hulls = {hull};
    return form;
}

Ellipsoid disc(const Vec3& centre, double radius, const Vec3& up) {
    const Vec3 side = any_perpendicular(up);
    return {centre, {side * radius, cross(up, side) * radius, up * (0.02 * radius)}};
}

void bucket(const Vec3& centre, const Vec3& up, double mass, double hang, double largest,
            std::vector<Form>& forms) {
    // A frustum about as high as it is wide: volume 0.62 times the cube of its height.
    const double height = std::min(std::cbrt(std::max(mass, 0.5) / 1000 / 0.62), largest);
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
    const double largest = 0.3 * body.stature;
    Vec3 up =
        -rotate(body.to_anatomical, {situation->gravity[0], situation->gravity[1], situation->gravity[2]});
    up = norm(up) > 0 ? normalized(up) : Vec3{0, 1, 0};
    for (int i = 0; i < count; ++i) {
        const aplomb_load& load = situation->loads[i];
        if (!(load.mass > 0)) continue;
        const Vec3 centre = body.length_in(reading.load_centre[i]);
        const size_t first = forms.size();
        if (load.hanging != 0) {
            bucket(centre, up, load.mass, load.hang * body.metres_per_unit, largest, forms);
        } else {
            const Quat turn = holder_turn(load, keyed, posture) * facing(body, keyed);
            forms.push_back(box(centre, turn, std::min(std::cbrt(load.mass / 700), largest)));
        }
        forms[first].load = i;
    }
    return forms;
}

} // namespace aplomb::report
