// SPDX-License-Identifier: MIT
#include "fit/drawing/soles.h"

#include <algorithm>

#include "fit/drawing/build.h"

namespace aplomb::drawing {
namespace {

constexpr double touching = .045; // of the leg's length: aplomb_stance_default
constexpr double clear = .75; // of the stances: a sole that stands on one end in fewer may as well lie flat

void lift(aplomb_contact& contact) {
    contact.hold = APLOMB_HELD, contact.ride = APLOMB_RIDE_HIP;
}

} // namespace

std::vector<Sole> soles_of(const aplomb_figure* figure, const double* translations, const double* rotations) {
    std::vector<double> worlds(16 * joint_count);
    aplomb_pose_to_matrices(figure, translations, rotations, worlds.data(), APLOMB_DOUBLE,
                            16 * sizeof(double), APLOMB_WORLD, nullptr);
    std::vector<Sole> soles;
    for (int32_t k = 0; k < aplomb_figure_limb_count(figure); ++k) {
        aplomb_limb_info limb;
        aplomb_limb_info_init(&limb, sizeof limb);
        aplomb_figure_limb(figure, k, &limb, nullptr);
        if (limb.kind != APLOMB_LEG) continue;
        Sole sole{k};
        double rear = 1e30;
        for (int32_t i = 0; i < limb.sole_point_count; ++i) {
            const double* m = &worlds[16 * static_cast<std::size_t>(limb.sole_joint[i])];
            const double* p = limb.sole_points[i];
            const double height = m[1] * p[0] + m[5] * p[1] + m[9] * p[2] + m[13];
            sole.lowest = std::min(sole.lowest, height);
            if (limb.sole_joint[i] != limb.end) {
                sole.ball = std::min(sole.ball, height);
            } else if (p[2] < rear + 1e-6) { // of equals the lower
                sole.heel = p[2] < rear - 1e-6 ? height : std::min(sole.heel, height);
                rear = std::min(rear, p[2]);
            }
        }
        soles.push_back(sole);
    }
    return soles;
}

double lowest_of(const std::vector<Sole>& soles) {
    double lowest = 1e30;
    for (const Sole& sole : soles)
        lowest = std::min(lowest, sole.lowest);
    return lowest;
}

std::vector<aplomb_contact> stance_of(const aplomb_figure* figure, const std::vector<Sole>& soles,
                                      double slack) {
    aplomb_figure_info info;
    aplomb_figure_info_init(&info, sizeof info);
    aplomb_figure_describe(figure, &info, nullptr);
    const double ground = lowest_of(soles) + touching * info.leg_length + slack;
    std::vector<aplomb_contact> contacts;
    for (int32_t k = 0; k < info.limb_count; ++k)
        contacts.push_back(aplomb_contact_make(k, APLOMB_FREE));
    for (const Sole& sole : soles) {
        aplomb_contact& contact = contacts[static_cast<std::size_t>(sole.limb)];
        contact.hold = APLOMB_BEARING;
        if (sole.lowest > ground) lift(contact);
        if (sole.heel > ground && sole.ball <= ground) contact.footing = APLOMB_ON_BALL;
        if (sole.ball > ground && sole.heel <= ground) contact.footing = APLOMB_ON_HEEL;
    }
    return contacts;
}

std::vector<aplomb_contact> agreed(const std::vector<std::vector<aplomb_contact>>& stances) {
    std::vector<aplomb_contact> contacts = stances.front();
    for (std::size_t k = 0; k < contacts.size(); ++k) {
        aplomb_contact& contact = contacts[k];
        if (contact.hold == APLOMB_FREE) continue;
        double bearing = 0, on_ball = 0, on_heel = 0;
        for (const std::vector<aplomb_contact>& stance : stances) {
            if (stance[k].hold != APLOMB_BEARING) continue;
            bearing += 1;
            on_ball += stance[k].footing == APLOMB_ON_BALL ? 1 : 0;
            on_heel += stance[k].footing == APLOMB_ON_HEEL ? 1 : 0;
        }
        contact = aplomb_contact_make(contact.limb, APLOMB_BEARING);
        if (on_ball > clear * bearing) contact.footing = APLOMB_ON_BALL;
        if (on_heel > clear * bearing) contact.footing = APLOMB_ON_HEEL;
        if (bearing < .5 * static_cast<double>(stances.size())) lift(contact);
    }
    return contacts;
}

} // namespace aplomb::drawing
