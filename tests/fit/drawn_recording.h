// SPDX-License-Identifier: MIT
// Frames of recorded motion as drawings: dots by their anatomy on the recorded figure, seen from twelve sides with noise, and
// what is known of the frame to compare answers with.
#pragma once

#include <random>

#include "aplomb/drawing.h"
#include "recorded/recording.h"

namespace drawn {

using namespace recorded;

constexpr double pixels = 1000, noise = .01; // of a stature

/// How many of some things are right.
struct Part {
    int right = 0, all = 0;
    void add(bool is_right) { ++all, right += is_right ? 1 : 0; }
    double share() const { return all > 0 ? static_cast<double>(right) / all : 1; }
};

/// In or out of balance: by what is likelier among the variants; the same of drawings with toes; by the first answer; where the
/// variants do not leave it open; by the first answer with the feet that bear as the recording has them.
struct Score {
    Part fits, centre, balance, balance_toes, balance_first, balance_said, balance_given, kept, first;
    void print(const char* what) const {
        std::printf("%-30s fits %.3f, centre of mass %.3f, balance %.3f of %d, with toes %.3f of %d, by the "
                    "first answer %.3f, said %.3f of %d, with its stance %.3f, right answer kept %.3f, first "
                    "%.3f of %d\n",
                    what, fits.share(), centre.share(), balance.share(), balance.all, balance_toes.share(),
                    balance_toes.all, balance_first.share(), balance_said.share(), balance_said.all,
                    balance_given.share(), kept.share(), first.share(), kept.all);
    }
};

/// As `aplomb dots` says it: so in four of five variants or more.
constexpr double said_from = .8;

class Sitter {
public:
    explicit Sitter(const Clip& clip)
        : recording_(clip.file, clip.metres_per_unit), info_(recording_.info()) {
        Pose neutral;
        neutral.translations.resize(3 * joints()), neutral.rotations.resize(4 * joints());
        aplomb_figure_neutral_pose(recording_.figure(), neutral.translations.data(),
                                   neutral.rotations.data());
        neutral_ = recording_.worlds(neutral);
        double floor = 1e30;
        for (const int32_t leg : recording_.legs())
            for (const Vec3& p : recording_.sole(neutral_, leg))
                floor = std::fmin(floor, p.y);
        EXPECT_EQ(info_.up_axis, APLOMB_AXIS_Y);
        EXPECT_EQ(info_.forward_axis, APLOMB_AXIS_Z);
        // As drawing.h says: the crown the top, the chin at .87 of the stature, the neck level with the shoulders' tops.
        const Vec3 head = place(neutral_, info_.head);
        crown_ = own(info_.head, {head.x, floor + info_.stature, head.z});
        chin_ = own(info_.head, {head.x, floor + .87 * info_.stature, head.z + .045 * info_.stature});
        const int32_t neck =
            aplomb_figure_find_role(recording_.figure(), APLOMB_ROLE_NECK, APLOMB_SIDE_FROM_NAME);
        const Vec3 shoulders = (place(neutral_, joint(APLOMB_ROLE_UPPER_ARM, 0)) +
                                place(neutral_, joint(APLOMB_ROLE_UPPER_ARM, 1))) *
                               .5;
        neck_ = own(info_.chest, {shoulders.x, shoulders.y + .012 * info_.stature,
                                  place(neutral_, neck < 0 ? info_.head : neck).z});
    }

    /// One frame from one side.
    void draw(std::size_t frame, double azimuth, bool toes, std::mt19937& random, Score& score) const {
        const Pose pose = recording_.pose(0, recording_.times()[frame]);
        const std::vector<double> worlds = recording_.worlds(pose);
        const aplomb_reading truth = read(recording_.solver(), pose.situation());
        const std::array<Vec3, APLOMB_DOT_COUNT> places = dots_at(worlds);
        const Eye eye{std::cos(azimuth), std::sin(azimuth), pixels / info_.stature};
        std::normal_distribution<double> off(0, noise * pixels);
        aplomb_dots dots;
        aplomb_dots_init(&dots, sizeof dots);
        for (int k = 0; k < (toes ? APLOMB_DOT_COUNT : APLOMB_DOT_LEFT_TOE); ++k) {
            const Vec3& p = places[static_cast<std::size_t>(k)];
            dots.places[k][0] = eye.x(p) + off(random);
            dots.places[k][1] = eye.y(p) + off(random);
        }
        aplomb_drawing* drawing = nullptr;
        aplomb_error error{};
        const aplomb_status status = aplomb_drawing_fit(&dots, &drawing, &error);
        if (status != APLOMB_OK) {
            std::printf("frame %zu: %s\n", frame, error.message);
            score.fits.add(false), score.kept.add(false), score.centre.add(false);
            return;
        }
        judge(drawing, truth, places, eye, toes, score);
        aplomb_drawing_destroy(drawing);
    }

private:
    struct Eye {
        double cosine, sine, scale;
        double x(const Vec3& p) const { return 2000 + scale * (cosine * p.x - sine * p.z); }
        double y(const Vec3& p) const { return 2000 - scale * p.y; }
        double depth(const Vec3& p) const { return sine * p.x + cosine * p.z; }
    };

    std::size_t joints() const { return static_cast<std::size_t>(info_.joint_count); }
    int32_t joint(aplomb_role role, int side) const {
        return aplomb_figure_find_role(recording_.figure(), role,
                                       side == 0 ? APLOMB_SIDE_LEFT : APLOMB_SIDE_RIGHT);
    }
    static const double* matrix(const std::vector<double>& worlds, int32_t joint) {
        return &worlds[16 * static_cast<std::size_t>(joint)];
    }
    static Vec3 place(const std::vector<double>& worlds, int32_t joint) {
        return vector(matrix(worlds, joint) + 12);
    }
    static Vec3 in_world(const double* m, const Vec3& p) {
        return vector(m) * p.x + vector(m + 4) * p.y + vector(m + 8) * p.z + vector(m + 12);
    }
    /// A place of the neutral in the joint's own frame.
    Vec3 own(int32_t joint, const Vec3& world) const {
        const double* m = matrix(neutral_, joint);
        const Vec3 d = world - vector(m + 12);
        return {dot(vector(m), d), dot(vector(m + 4), d), dot(vector(m + 8), d)};
    }

    std::array<Vec3, APLOMB_DOT_COUNT> dots_at(const std::vector<double>& worlds) const {
        std::array<Vec3, APLOMB_DOT_COUNT> p;
        p[APLOMB_DOT_CROWN] = in_world(matrix(worlds, info_.head), crown_);
        p[APLOMB_DOT_CHIN] = in_world(matrix(worlds, info_.head), chin_);
        p[APLOMB_DOT_NECK] = in_world(matrix(worlds, info_.chest), neck_);
        for (int side = 0; side < 2; ++side) {
            const auto put = [&](int dot, aplomb_role role) {
                p[static_cast<std::size_t>(dot + side)] = place(worlds, joint(role, side));
            };
            put(APLOMB_DOT_LEFT_SHOULDER, APLOMB_ROLE_UPPER_ARM),
                put(APLOMB_DOT_LEFT_ELBOW, APLOMB_ROLE_LOWER_ARM);
            put(APLOMB_DOT_LEFT_WRIST, APLOMB_ROLE_HAND), put(APLOMB_DOT_LEFT_HIP, APLOMB_ROLE_THIGH);
            put(APLOMB_DOT_LEFT_KNEE, APLOMB_ROLE_SHANK), put(APLOMB_DOT_LEFT_ANKLE, APLOMB_ROLE_FOOT);
            // The tip of the foot: the middle of the sole's most forward points.
            const int32_t leg = recording_.legs()[static_cast<std::size_t>(side)];
            const std::vector<Vec3> flat = recording_.sole(neutral_, leg),
                                    sole = recording_.sole(worlds, leg);
            double furthest = -1e30, count = 0;
            for (const Vec3& q : flat)
                furthest = std::fmax(furthest, q.z);
            Vec3 sum{0, 0, 0};
            for (std::size_t k = 0; k < flat.size(); ++k)
                if (flat[k].z > furthest - .01 * info_.stature) sum = sum + sole[k], count += 1;
            p[static_cast<std::size_t>(APLOMB_DOT_LEFT_TOE + side)] = sum * (1 / count);
        }
        return p;
    }

    /// The margin along the picture: how far the balance point is inside what bears, pixels.
    template<class Across>
    static double margin(const aplomb_reading& r, Across across) {
        double low = 1e30, high = -1e30;
        for (int32_t k = 0; k < r.edge_count; ++k)
            low = std::fmin(low, across(r.area[k])), high = std::fmax(high, across(r.area[k]));
        const double at = across(r.balance_point);
        return std::fmin(at - low, high - at);
    }

    void judge(aplomb_drawing* drawing, const aplomb_reading& truth,
               const std::array<Vec3, APLOMB_DOT_COUNT>& places, const Eye& eye, bool toes,
               Score& score) const {
        aplomb_drawing_answer best = answer(drawing, 0);
        score.fits.add(best.misfit < 1.1 * noise * std::sqrt(2.0)); // of both axes together
        Pose pose;
        pose.translations.assign(best.translations, best.translations + 3 * best.joint_count);
        pose.rotations.assign(best.rotations, best.rotations + 4 * best.joint_count);
        const Solver solver = solver_of(best.figure);
        aplomb_situation situation = pose.situation();
        situation.contacts = best.contacts, situation.contact_count = best.contact_count;
        const aplomb_reading found = read(solver.get(), situation);
        const auto across = [&](const double* p) {
            double pixel[2] = {0, 0};
            aplomb_drawing_project(drawing, 0, p, pixel, nullptr);
            return pixel[0];
        };
        double centre[2];
        aplomb_drawing_project(drawing, 0, found.body_centre, centre, nullptr);
        const Vec3 mass = vector(truth.body_centre);
        score.centre.add(std::hypot(centre[0] - eye.x(mass), centre[1] - eye.y(mass)) < .015 * pixels);

        const double margin_there = margin(truth, [&](const double* p) { return eye.x(vector(p)); });
        if (std::fabs(margin_there) > .02 * pixels) {
            score.balance_first.add((margin_there > 0) == (margin(found, across) > 0));
            const double inside = likely_inside(drawing);
            score.balance.add((margin_there > 0) == (inside > .5));
            if (toes) score.balance_toes.add((margin_there > 0) == (inside > .5));
            if (inside >= said_from || inside <= 1 - said_from)
                score.balance_said.add((margin_there > 0) == (inside > .5));
            // Once more with the feet that bear, and on which part, as the recording has it.
            std::vector<aplomb_contact> contacts = stance_of(truth, best.figure);
            situation.contacts = contacts.data(),
            situation.contact_count = static_cast<int32_t>(contacts.size());
            score.balance_given.add((margin_there > 0) ==
                                    (margin(read(solver.get(), situation), across) > 0));
        }
        int32_t right = -1;
        for (int32_t k = 0; k < aplomb_drawing_answer_count(drawing) && right < 0; ++k)
            if (is_right(answer(drawing, k), places, eye)) right = k;
        score.kept.add(right >= 0), score.first.add(right == 0);
    }
    /// In how many of the variants the balance point is inside, along the picture.
    static double likely_inside(const aplomb_drawing* drawing) {
        std::vector<Solver> solvers;
        for (int32_t k = 0; k < aplomb_drawing_answer_count(drawing); ++k)
            solvers.push_back(solver_of(answer(drawing, k).figure));
        double inside = 0;
        for (int32_t k = 0; k < APLOMB_DRAWING_VARIANTS; ++k) {
            aplomb_drawing_variant variant;
            EXPECT_EQ(aplomb_drawing_variant_at(drawing, k, &variant, nullptr), APLOMB_OK);
            aplomb_situation situation;
            aplomb_situation_init(&situation, sizeof situation);
            situation.translations = variant.translations, situation.rotations = variant.rotations;
            situation.contacts = variant.contacts, situation.contact_count = variant.contact_count;
            aplomb_solver* solver = solvers[static_cast<std::size_t>(variant.answer)].get();
            const double there = margin(read(solver, situation), [](const double* p) { return p[0]; });
            inside += there > 0 ? 1.0 / APLOMB_DRAWING_VARIANTS : 0;
        }
        return inside;
    }
    static aplomb_drawing_answer answer(const aplomb_drawing* drawing, int32_t index) {
        aplomb_drawing_answer answer;
        aplomb_drawing_answer_init(&answer, sizeof answer);
        EXPECT_EQ(aplomb_drawing_answer_at(drawing, index, &answer, nullptr), APLOMB_OK);
        return answer;
    }
    std::vector<aplomb_contact> stance_of(const aplomb_reading& truth, const aplomb_figure* figure) const {
        std::vector<aplomb_contact> contacts;
        for (int32_t k = 0; k < truth.contact_count; ++k) {
            if (truth.contacts[k].limb < 0) continue;
            const aplomb_limb_info limb = recording_.limb(truth.contacts[k].limb);
            for (int32_t i = 0; i < aplomb_figure_limb_count(figure); ++i) {
                aplomb_limb_info mine;
                aplomb_limb_info_init(&mine, sizeof mine);
                aplomb_figure_limb(figure, i, &mine, nullptr);
                if (mine.kind == limb.kind && mine.side == limb.side)
                    contacts.push_back(aplomb_contact_make(i, APLOMB_BEARING));
            }
        }
        return contacts;
    }
    /// Every span of a limb that clearly comes forward or goes back does so in the answer. Spans within 30 degrees of the
    /// picture's plane are left out: noise of 1 % makes a whole span of 16 % as short as that.
    bool is_right(const aplomb_drawing_answer& a, const std::array<Vec3, APLOMB_DOT_COUNT>& places,
                  const Eye& eye) const {
        std::vector<double> worlds(16 * static_cast<std::size_t>(a.joint_count));
        aplomb_pose_to_matrices(a.figure, a.translations, a.rotations, worlds.data(), APLOMB_DOUBLE,
                                16 * sizeof(double), APLOMB_WORLD, nullptr);
        for (int side = 0; side < 2; ++side)
            for (const auto& [dot, role] : {std::pair{APLOMB_DOT_LEFT_SHOULDER, APLOMB_ROLE_UPPER_ARM},
                                            std::pair{APLOMB_DOT_LEFT_ELBOW, APLOMB_ROLE_LOWER_ARM},
                                            std::pair{APLOMB_DOT_LEFT_HIP, APLOMB_ROLE_THIGH},
                                            std::pair{APLOMB_DOT_LEFT_KNEE, APLOMB_ROLE_SHANK}}) {
                const auto k = static_cast<std::size_t>(dot + side);
                const Vec3 there = places[k + 2] - places[k];
                const double depth = eye.depth(there) / norm(there);
                if (std::fabs(depth) < .5) continue;
                const int32_t from =
                    aplomb_figure_find_role(a.figure, role, side == 0 ? APLOMB_SIDE_LEFT : APLOMB_SIDE_RIGHT);
                // Camera level: z is depth. The next joint of the limb follows.
                if ((place(worlds, from + 1).z - place(worlds, from).z) * depth < 0) return false;
            }
        return true;
    }

    Recording recording_;
    aplomb_figure_info info_;
    std::vector<double> neutral_;
    Vec3 crown_, chin_, neck_;
};

/// `frames` of each clip, drawn at random, from twelve sides; every other frame without toes.
inline Score draw_clips(const std::vector<std::string>& parts, int frames, int views, unsigned seed) {
    Score all;
    std::mt19937 random(seed);
    for (const std::string& part : parts) {
        const Clip& c = clip(part);
        const Sitter sitter(c);
        Score score;
        for (int k = 0; k < frames; ++k) {
            const std::size_t frame = c.first + random() % (c.frames - c.first);
            for (int view = 0; view < views; ++view) {
                const double azimuth =
                    (view * 360.0 / views + 15 + static_cast<double>(random() % 100) / 10) * aplomb::degree;
                sitter.draw(frame, azimuth, k % 2 == 0, random, score);
            }
        }
        score.print(c.file);
        std::fflush(stdout);
        for (const auto& member :
             {&Score::fits, &Score::centre, &Score::balance, &Score::balance_toes, &Score::balance_first,
              &Score::balance_said, &Score::balance_given, &Score::kept, &Score::first})
            (all.*member).right += (score.*member).right, (all.*member).all += (score.*member).all;
    }
    all.print("all");
    return all;
}

} // namespace drawn
