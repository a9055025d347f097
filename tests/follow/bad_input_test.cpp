// SPDX-License-Identifier: MIT
// What is wrong is named in one sentence, and nothing is written.
#include <cstdlib>
#include <cstring>
#include <limits>
#include <string>

#include "tail.h"

namespace {

using tail::Tail;

const double nan = std::numeric_limits<double>::quiet_NaN();

class Refused : public testing::Test {
protected:
    Refused() : t(tail::even(3, .4)) {
        aplomb_follow_desc_init(&desc, sizeof desc);
        chain = t.chain;
        desc.chains = &chain, desc.chain_count = 1;
        aplomb_follow_frame_init(&frame, sizeof frame);
        frame.translations = t.rest.translations.data(), frame.rotations = t.rest.rotations.data();
        frame.seconds = 1. / 60;
    }
    void plan_says(const std::string& part) {
        aplomb_follow* made = nullptr;
        aplomb_error error{};
        EXPECT_EQ(aplomb_follow_create(t.figure.get(), &desc, nullptr, &made, &error), APLOMB_BAD_ARGUMENT);
        EXPECT_EQ(made, nullptr);
        EXPECT_NE(std::string(error.message).find(part), std::string::npos) << error.message;
        chain = t.chain;
    }
    void step_says(aplomb_status status, const std::string& part) {
        const std::vector<double> before = t.state;
        std::vector<double> out(t.rest.rotations.size(), 7);
        aplomb_error error{};
        EXPECT_EQ(aplomb_follow_step(t.follow.get(), t.state.data(), &frame, out.data(), &error), status);
        EXPECT_NE(std::string(error.message).find(part), std::string::npos) << error.message;
        EXPECT_EQ(out, std::vector<double>(out.size(), 7));
        EXPECT_EQ(std::memcmp(t.state.data(), before.data(), 8 * before.size()), 0);
    }

    Tail t;
    aplomb_chain chain{};
    aplomb_follow_desc desc{};
    aplomb_follow_frame frame{};
};

TEST_F(Refused, BadChains) {
    chain.stiffness = 0;
    plan_says("chains[0].stiffness is 0; 0.01 to 10000 are allowed.");
    chain.stiffness = -4;
    plan_says("chains[0].stiffness is -4");
    chain.damping = nan;
    plan_says("chains[0].damping is ");
    chain.limit = -1;
    plan_says("chains[0].limit is -1");
    chain.own_motion = 1.5;
    plan_says("chains[0].own_motion is 1.5");
    chain.first = 99;
    plan_says("chains[0].first is 99");
    chain.last = t.shape.find("head");
    plan_says("(head), does not hang on its first, joint 22 (tail_1).");
    chain.first = t.shape.find("left_thigh"), chain.last = t.shape.find("left_foot");
    plan_says("holds joint 16 (left_foot), a part of a leg or of the trunk");
    chain.first = t.shape.find("spine_2"), chain.last = t.shape.find("head");
    plan_says("(spine_3), a part of a leg or of the trunk");
    desc.gravity = 0;
    plan_says("gravity is 0");
    desc.gravity = 9.8, desc.frame_time = -1;
    plan_says("frame_time is -1");
    desc.frame_time = 0, desc.chain_count = 0;
    plan_says("chain_count is 0");
    const aplomb_chain two[] = {
        t.chain, aplomb_chain_make(APLOMB_CHAIN_TAIL, t.shape.find("tail_2"), t.shape.find("tail_3"))};
    desc.chain_count = 2, desc.chains = two;
    plan_says("chains[0] and chains[1] both hold joint 24 (tail_3).");
    desc.chains = nullptr;
    plan_says("chains is NULL.");
}

TEST_F(Refused, AChainWithoutLength) {
    lay::LayFigure shape = tail::tailed({.1});
    for (double& tip : shape.tips)
        tip = nan;
    shape.translations[3 * static_cast<size_t>(shape.find("tail_1")) + 2] = 0;
    const auto figure = shape.create();
    desc.chains = &chain;
    chain.last = chain.first;
    aplomb_follow* made = nullptr;
    aplomb_error error{};
    EXPECT_EQ(aplomb_follow_create(figure.get(), &desc, nullptr, &made, &error), APLOMB_BAD_ARGUMENT);
    EXPECT_STREQ(error.message, "chains[0]: the chain of joint 22 (tail_1) has no length.");
}

TEST_F(Refused, BadFrames) {
    frame.seconds = -1;
    step_says(APLOMB_BAD_ARGUMENT, "seconds is -1; 0 or 0.0001 to 10 are allowed.");
    frame.seconds = nan;
    step_says(APLOMB_BAD_ARGUMENT, "seconds is ");
    frame.seconds = 1. / 60, frame.place[1] = nan;
    step_says(APLOMB_BAD_ARGUMENT, "place");
    frame.place[1] = 0, frame.turn[3] = .5;
    step_says(APLOMB_BAD_ARGUMENT, "turn");
    frame.turn[3] = 1;
    std::vector<double> wrong = t.rest.rotations;
    wrong[4 * 23 + 3] = nan;
    frame.rotations = wrong.data();
    step_says(APLOMB_BAD_POSE, "rotations of joint 23 (tail_2): component 3 is");
    frame.rotations = t.rest.rotations.data(), frame.keyed_rotations = wrong.data();
    step_says(APLOMB_BAD_ARGUMENT, "keyed_translations is NULL");
    frame.keyed_translations = t.rest.translations.data();
    step_says(APLOMB_BAD_POSE, "keyed_rotations of joint 23");
    frame.keyed_rotations = frame.keyed_translations = nullptr;
    frame.translations = nullptr;
    step_says(APLOMB_BAD_ARGUMENT, "translations is NULL.");
}

TEST_F(Refused, AStateOfAnotherPlan) {
    Tail other(tail::even(3, .4), 5);
    t.state = other.state;
    step_says(APLOMB_BAD_ARGUMENT,
              "state is not one of this plan: it was never reset, or belongs to another one.");
    t.state.assign(t.state.size(), 0);
    step_says(APLOMB_BAD_ARGUMENT, "never reset");
    ASSERT_EQ(aplomb_follow_reset(t.follow.get(), t.state.data(), nullptr), APLOMB_OK);
    t.state[5] = nan;
    step_says(APLOMB_BAD_ARGUMENT, "state[5] is");
    EXPECT_EQ(aplomb_follow_at_rest(t.follow.get(), nullptr), 0);
}

/// What a caller has written into a state may be nonsense, but no numbers are lost over it.
TEST_F(Refused, AStateWhoseFramesTookNoTimeStillGivesNumbers) {
    for (int k = 0; k < 4; ++k)
        t.step(t.posed({{.1 * k * k, 0, 0}, {}}), 1. / 30);
    t.state[2] = 0; // the last frame's seconds
    const lay::Pose out = t.step(t.posed({{2, 0, 0}, {}}), 1. / 30);
    for (const double number : t.state)
        EXPECT_TRUE(std::isfinite(number));
    for (const double number : out.rotations)
        EXPECT_TRUE(std::isfinite(number));
}

TEST_F(Refused, BadShots) {
    aplomb_follow_shot shot;
    aplomb_follow_shot_init(&shot, sizeof shot);
    shot.translations = t.rest.translations.data(), shot.rotations = t.rest.rotations.data();
    const auto says = [&](const std::string& part) {
        std::vector<double> out(t.rest.rotations.size(), 7);
        aplomb_error error{};
        EXPECT_LT(aplomb_follow_frames(t.follow.get(), t.state.data(), &shot, out.data(), &error), 0);
        EXPECT_NE(std::string(error.message).find(part), std::string::npos) << error.message;
        EXPECT_EQ(out[0], 7);
    };
    says("frame_count is 0; a shot has 1 or more.");
    shot.frame_count = 1, shot.closed = 1;
    says("frame_count is 1; a loop has 4 or more.");
    shot.closed = 0;
    std::vector<double> two = t.rest.rotations, places = t.rest.translations;
    two.insert(two.end(), t.rest.rotations.begin(), t.rest.rotations.end());
    places.insert(places.end(), t.rest.translations.begin(), t.rest.translations.end());
    shot.frame_count = 2, shot.rotations = two.data(), shot.translations = places.data();
    says("frame_time is 0");
    const double times[] = {1, 1};
    shot.times = times;
    says("times[1] is 1, 0 seconds after the one before");
    shot.times = nullptr, shot.frame_time = .04;
    two[two.size() - 1] = 3;
    says("frame 1: rotations of joint 24 (tail_3)");
}

/// Counts what is taken and given back, and refuses after so many.
struct Counting {
    int left, taken = 0, held = 0;
    static void* allocate(size_t size, size_t, void* user) {
        Counting& c = *static_cast<Counting*>(user);
        if (c.taken++ >= c.left) return nullptr;
        ++c.held;
        return std::aligned_alloc(64, (size + 63) / 64 * 64);
    }
    static void deallocate(void* memory, size_t, void* user) {
        --static_cast<Counting*>(user)->held;
        std::free(memory);
    }
};

TEST_F(Refused, MemoryThatIsNotThere) {
    int refused = 0;
    for (int left = 0;; ++left) {
        Counting counting{left};
        const aplomb_allocator allocator = {Counting::allocate, Counting::deallocate, &counting};
        aplomb_follow* made = nullptr;
        aplomb_error error{};
        const aplomb_status status = aplomb_follow_create(t.figure.get(), &desc, &allocator, &made, &error);
        if (status == APLOMB_OK) {
            const int after = counting.taken;
            std::vector<double> state(static_cast<size_t>(aplomb_follow_state_size(made)));
            std::vector<double> out(t.rest.rotations.size());
            aplomb_follow_reset(made, state.data(), nullptr);
            EXPECT_EQ(aplomb_follow_step(made, state.data(), &frame, out.data(), nullptr), APLOMB_OK);
            EXPECT_EQ(counting.taken, after);
            aplomb_follow_destroy(made);
            EXPECT_EQ(counting.held, 0);
            break;
        }
        ++refused;
        EXPECT_EQ(status, APLOMB_OUT_OF_MEMORY);
        EXPECT_EQ(made, nullptr);
        EXPECT_EQ(counting.held, 0);
        EXPECT_NE(std::string(error.message).find("bytes"), std::string::npos);
    }
    EXPECT_EQ(refused, 3);
}

TEST(RefusedMotion, EachInOneSentence) {
    aplomb_error error{};
    double out = 7;
    const auto said = [&](aplomb_status status, const std::string& part) {
        EXPECT_EQ(status, APLOMB_BAD_ARGUMENT);
        EXPECT_NE(std::string(error.message).find(part), std::string::npos) << error.message;
        EXPECT_EQ(out, 7);
    };
    said(aplomb_fall_time(-1, 9.8, &out, &error), "height is -1; it must be above 0");
    said(aplomb_fall_time(1, nan, &out, &error), "gravity is ");
    said(aplomb_pendulum_time(0, .1, 9.8, &out, &error), "length is 0");
    said(aplomb_pendulum_time(1, 3.2, 9.8, &out, &error), "angle is 3.2");
    said(aplomb_step_time(.9, 1, 0, &out, &error), "other is 0");
    said(aplomb_settle_time(1, 1.5, .1, &out, &error), "damping is 1.5");
    said(aplomb_settle_time(1, .5, 1, &out, &error), "part is 1");
    aplomb_bounce bounce{};
    said(aplomb_bounce_time(1, 1.2, 9.8, 0, &bounce, &error), "restitution is 1.2");
    aplomb_give give{};
    said(aplomb_give_make(APLOMB_GIVE_ARMS, -1, 9.8, 0, &give, &error), "length is -1");
    said(aplomb_give_make(static_cast<aplomb_give_kind>(7), 1, 9.8, 0, &give, &error), "kind is 7");
    said(aplomb_give_step(&give, 0, .1, &out, &out, &error), "give.rate is 0");

    aplomb_hanging hanging;
    aplomb_hanging_init(&hanging, sizeof hanging);
    aplomb_hanging_state state{};
    const double hand[3] = {0, 0, 0}, bad[3] = {0, nan, 0};
    const auto hangs = [&](const double* at, double seconds, const std::string& part) {
        said(aplomb_hanging_step(&hanging, &state, seconds, at, nullptr, &error), part);
        EXPECT_EQ(state.running, 0);
    };
    hangs(hand, .1, "length is 0");
    hanging.length = .5;
    hangs(hand, .1, "mass is 0");
    hanging.mass = 3;
    hangs(hand, -1, "seconds is -1");
    hangs(bad, .1, "hand");
    hanging.damping = -.1;
    hangs(hand, .1, "damping is -0.1");
    hanging.damping = .1, hanging.gravity[1] = 0;
    hangs(hand, .1, "gravity has length 0");
}

} // namespace
