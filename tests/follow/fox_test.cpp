// SPDX-License-Identifier: MIT
// Chains on rigs that nobody here made (see the SOURCES.md of the reference files), where they are at hand.
#include <algorithm>
#include <map>
#include <string>

#include "aplomb/files.h"
#include "io/opened.h"
#include "tail.h"

namespace {

using aplomb::degree;
using aplomb::Quat;
using aplomb::Vec3;

made::Character open(const char* name, double unit = 0) {
    aplomb_character_options options;
    aplomb_character_options_init(&options, sizeof options);
    options.metres_per_unit = unit;
    aplomb_character* opened = nullptr;
    aplomb_error error{};
    EXPECT_EQ(aplomb_character_open((made::reference / name).c_str(), &options, &opened, &error), APLOMB_OK)
        << error.message;
    return made::Character(opened);
}

/// How many chains of each kind are found.
std::map<std::string, int> found(const aplomb_figure* figure) {
    std::map<std::string, int> counts;
    aplomb_chain chains[APLOMB_MAX_CHAINS];
    const int32_t count = aplomb_figure_chains(figure, chains, APLOMB_MAX_CHAINS);
    for (int32_t i = 0; i < count; ++i)
        ++counts[aplomb_chain_text(static_cast<aplomb_chain_kind>(chains[i].kind))];
    return counts;
}

using Counts = std::map<std::string, int>;

TEST(Rigs, ChainsAreFoundUnaided) {
    if (made::reference_is_missing()) GTEST_SKIP();
    EXPECT_EQ(found(aplomb_character_figure(open("figures/fox.glb", .01).get())),
              (Counts{{"tail", 1}, {"neck", 1}}));
    EXPECT_EQ(found(aplomb_character_figure(open("zoo/husky.glb").get())),
              (Counts{{"tail", 1}, {"neck", 1}, {"ear", 2}}));
    EXPECT_EQ(found(aplomb_character_figure(open("zoo/cow.glb").get())), (Counts{{"tail", 1}, {"neck", 1}}));
    EXPECT_EQ(found(aplomb_character_figure(open("zoo/knight_feet_apart.glb").get())),
              (Counts{{"neck", 1}, {"arm", 2}}));
    EXPECT_EQ(found(aplomb_character_figure(open("zoo/big_head_mage.glb").get())),
              (Counts{{"neck", 1}, {"arm", 2}}));
}

/// The fox turns by 40 degrees in 28 frames, at 24 a second: its loose tail sets off 3 to 5 frames after the hips and overshoots once, by
/// under 20 %.
TEST(Rigs, TheFoxsTailComesLateAndOvershootsOnce) {
    if (made::reference_is_missing()) GTEST_SKIP();
    const made::Character fox = open("figures/fox.glb", .01);
    const aplomb_figure* figure = aplomb_character_figure(fox.get());
    const size_t count = static_cast<size_t>(aplomb_figure_joint_count(figure));
    std::vector<double> t(3 * count), r(4 * count), out(4 * count);
    ASSERT_EQ(aplomb_character_pose(fox.get(), 0, 0, t.data(), r.data(), nullptr), APLOMB_OK);
    const std::vector<double> keyed = r;
    aplomb_chain chain =
        aplomb_chain_make(APLOMB_CHAIN_TAIL, aplomb_figure_find_joint(figure, "b_Tail01_012"),
                          aplomb_figure_find_joint(figure, "b_Tail03_014"));
    chain.stiffness = 2;
    aplomb_follow_desc desc;
    aplomb_follow_desc_init(&desc, sizeof desc);
    desc.chains = &chain, desc.chain_count = 1;
    aplomb_follow* made = nullptr;
    ASSERT_EQ(aplomb_follow_create(figure, &desc, nullptr, &made, nullptr), APLOMB_OK);
    const tail::FollowHandle follow(made);
    std::vector<double> state(static_cast<size_t>(aplomb_follow_state_size(made)));
    aplomb_follow_reset(made, state.data(), nullptr);

    const auto place = [&](const std::vector<double>& turns, int32_t joint, Quat& q) {
        Vec3 p;
        q = {};
        for (int32_t j = joint; j >= 0;) {
            const size_t i = static_cast<size_t>(j);
            const Quat own = {turns[4 * i], turns[4 * i + 1], turns[4 * i + 2], turns[4 * i + 3]};
            p = Vec3{t[3 * i], t[3 * i + 1], t[3 * i + 2]} + rotate(own, p);
            q = own * q;
            aplomb_joint_info info;
            aplomb_joint_info_init(&info, sizeof info);
            aplomb_figure_joint(figure, j, &info, nullptr);
            j = info.parent;
        }
        return p;
    };
    Quat last_at_rest;
    const Vec3 end = place(keyed, chain.last, last_at_rest), start = place(keyed, chain.first, last_at_rest);
    place(keyed, chain.last, last_at_rest);
    const Vec3 beyond = rotate(conjugate(last_at_rest), (end - start) * .5);
    const auto heading = [&](const std::vector<double>& turns) {
        Quat last, first;
        const Vec3 from = place(turns, chain.first, first), to = place(turns, chain.last, last);
        const Vec3 way = to + rotate(last, beyond) - from;
        return std::atan2(way.x, way.z);
    };
    const double turn = 40 * degree;
    std::vector<double> hips, tip;
    const Quat root = {keyed[0], keyed[1], keyed[2], keyed[3]};
    for (int frame = 0; frame < 90; ++frame) {
        const double x = std::clamp((frame - 6) / 28., 0., 1.);
        hips.push_back(turn * x * x * (3 - 2 * x));
        const Quat q = aplomb::exp_rotation({0, hips.back(), 0}) * root;
        put(r.data(), q);
        aplomb_follow_frame f;
        aplomb_follow_frame_init(&f, sizeof f);
        f.seconds = 1. / 24, f.translations = t.data(), f.rotations = r.data();
        ASSERT_EQ(aplomb_follow_step(made, state.data(), &f, out.data(), nullptr), APLOMB_OK);
        tip.push_back(std::remainder(heading(out) - heading(keyed), 2 * aplomb::pi));
    }
    const auto when = [&](const std::vector<double>& way) { // a tenth of the way is gone
        const auto at = std::find_if(way.begin(), way.end(), [&](double w) { return w > .1 * turn; });
        return static_cast<double>(at - way.begin()) - (*at - .1 * turn) / (at[0] - at[-1]);
    };
    EXPECT_GE(when(tip) - when(hips), 3);
    EXPECT_LE(when(tip) - when(hips), 5);
    const auto peak = std::max_element(tip.begin(), tip.end());
    EXPECT_GT(*peak / turn, 1.05);
    EXPECT_LT(*peak / turn, 1.20);
    EXPECT_GT(*std::min_element(peak, tip.end()) / turn, .93);
    EXPECT_NEAR(tip.back() / turn, 1, .01);
}

} // namespace
