// SPDX-License-Identifier: MIT
#include "cli/follow_page.h"

#include <algorithm>
#include <cstdlib>
#include <filesystem>

#include "cli/failure.h"
#include "cli/numbers.h"
#include "cli/results.h"
#include "cli/situation.h"
#include "cli/text.h"

namespace aplomb::cli {
namespace {

/// A frame's hips stand for the body's middle: what is drawn before it and what behind.
void place_middle(const Character& character, const aplomb_situation& situation, aplomb_reading& reading) {
    const int32_t hips = character.info().hips;
    std::vector<double> matrices(16 *
                                 static_cast<std::size_t>(aplomb_figure_joint_count(character.figure())));
    aplomb_error error{};
    check(aplomb_pose_to_matrices(character.figure(), static_cast<const double*>(situation.translations),
                                  static_cast<const double*>(situation.rotations), matrices.data(),
                                  APLOMB_DOUBLE, 16 * sizeof(double), APLOMB_WORLD, &error),
          error);
    std::copy_n(&matrices[16 * static_cast<std::size_t>(hips) + 12], 3, reading.body_centre);
}

/// A load, where it is in each frame, the file's unit.
struct Drawn {
    aplomb_load load;
    std::vector<bool> is_there;
    std::vector<Vec3> centre;
};

/// What falls comes from above, at rest where it was let go from.
void draw_fall(const Character& character, const Followed& f, std::size_t carry, Drawn& drawn) {
    const double metres = character.info().metres_per_unit, height = f.cargo.falls[carry] * metres;
    const auto first = static_cast<std::size_t>(f.cargo.carries.value[carry].first);
    if (!(height > 0) || first == 0) return;
    const int32_t axis = character.info().up_axis;
    Vec3 up;
    up[std::abs(axis) - 1] = axis > 0 ? 1 : -1;
    double falls = 0;
    aplomb_fall_time(height, 9.80665, &falls, nullptr);
    for (std::size_t k = 0; k < first; ++k) {
        const double fallen = std::max(0.0, falls - (f.frames.times[first] - f.frames.times[k]));
        drawn.is_there[k] = true;
        drawn.centre[k] = drawn.centre[first] + up * ((height - 0.5 * 9.80665 * fallen * fallen) / metres);
    }
}

std::vector<Drawn> loads_to_draw(const Character& character, const Followed& f) {
    const std::size_t count = f.frames.times.size();
    const Solver solver = make_solver(character);
    std::vector<Drawn> all;
    for (std::size_t c = 0; c < f.cargo.carries.value.size(); ++c) {
        const aplomb_carry& carry = f.cargo.carries.value[c];
        all.push_back({carry.load, std::vector<bool>(count), std::vector<Vec3>(count)});
        Drawn& drawn = all.back();
        for (const Swing& swing : f.swings)
            for (std::size_t k = 0; swing.carry == c && k < count; ++k) {
                const double* place = swing.frames[k].place;
                drawn.is_there[k] = true;
                drawn.centre[k] = Vec3{place[0], place[1], place[2]} / character.info().metres_per_unit;
            }
        if (f.cargo.hangs(c)) continue;
        for (int32_t k = carry.first; k <= carry.last; ++k) {
            const auto frame = static_cast<std::size_t>(k);
            aplomb_situation situation;
            aplomb_situation_init(&situation, sizeof situation);
            situation.translations = &f.poses.translations[3 * f.joints() * frame];
            situation.rotations = &f.poses.rotations[4 * f.joints() * frame];
            situation.loads = &carry.load, situation.load_count = 1;
            aplomb_reading reading;
            aplomb_reading_init(&reading, sizeof reading);
            aplomb_error error{};
            check(aplomb_read(solver.get(), &situation, nullptr, &reading, &error), error);
            const double* at = reading.load_centre[0];
            drawn.is_there[frame] = true, drawn.centre[frame] = {at[0], at[1], at[2]};
        }
        draw_fall(character, f, c, drawn);
    }
    return all;
}

/// A load is drawn where the reading has it, and upright along what pulls it down: here its string.
void place_loads(const Followed& f, std::size_t frame, const std::vector<Drawn>& drawn,
                 aplomb_situation& situation, aplomb_reading& reading) {
    int count = 0;
    for (const Drawn& load : drawn) {
        if (!load.is_there[frame]) continue;
        put(reading.load_centre[count++], load.centre[frame]);
    }
    reading.load_count = count;
    if (f.swings.empty()) return;
    const double* pull = f.swings[0].frames[frame].tension;
    const Vec3 string = {pull[0], pull[1], pull[2]};
    if (norm(string) > 0) put(situation.gravity, normalized(string) * 9.80665);
}

} // namespace

/// The skin, or the lay figure, in every frame; the key as a thin outline.
void write_follow_page(const Character& character, const Followed& f, const Arguments& arguments) {
    const std::string& page = arguments.moment.page;
    if (page.empty()) return;
    const std::size_t count = f.frames.times.size(), joints = f.joints();
    aplomb_mesh mesh{};
    const bool skinned = aplomb_character_mesh(character.handle(), &mesh, nullptr) == APLOMB_OK;
    const std::size_t numbers = 3 * static_cast<std::size_t>(mesh.vertex_count);
    std::vector<double> keyed_skin(skinned ? numbers * count : 0), skin(keyed_skin);
    const std::vector<Drawn> drawn = loads_to_draw(character, f);
    std::vector<std::vector<aplomb_load>> loads(count);
    std::vector<aplomb_reading> readings(count), keyed_readings(count);
    std::vector<aplomb_situation> situations(count);
    std::vector<aplomb_picture> pictures(count);
    aplomb_error error{};
    for (std::size_t k = 0; k < count; ++k) {
        const double *t = &f.frames.translations[3 * joints * k], *was = &f.frames.rotations[4 * joints * k],
                     *now = &f.poses.translations[3 * joints * k], *is = &f.poses.rotations[4 * joints * k];
        aplomb_situation_init(&situations[k], sizeof situations[k]);
        situations[k].translations = t, situations[k].rotations = was;
        aplomb_reading_init(&readings[k], sizeof readings[k]);
        place_middle(character, situations[k], readings[k]);
        place_loads(f, k, drawn, situations[k], readings[k]);
        keyed_readings[k] = readings[k];
        for (const Drawn& load : drawn)
            if (load.is_there[k]) loads[k].push_back(load.load);
        situations[k].loads = loads[k].data();
        situations[k].load_count = static_cast<int32_t>(loads[k].size());
        aplomb_picture& picture = pictures[k];
        aplomb_picture_init(&picture, sizeof picture);
        picture.figure = character.figure(), picture.situation = &situations[k];
        picture.before = {t, was, &keyed_readings[k], "keyed", nullptr},
        picture.after = {now, is, &readings[k], "followed", nullptr};
        if (!skinned) continue;
        picture.mesh = &mesh;
        double *before = &keyed_skin[numbers * k], *after = &skin[numbers * k];
        check(aplomb_character_skin(character.handle(), t, was, before, &error), error);
        check(aplomb_character_skin(character.handle(), now, is, after, &error), error);
        picture.before.skin = before, picture.after.skin = after;
    }
    aplomb_motion motion;
    aplomb_motion_init(&motion, sizeof motion);
    motion.pictures = pictures.data(), motion.picture_count = static_cast<int32_t>(count);
    motion.view = arguments.follow.view, motion.first_number = f.frames.first;
    motion.frames_per_second =
        count > 1 ? static_cast<double>(count - 1) / (f.frames.times.back() - f.frames.times.front()) : 24;
    const std::string title = std::filesystem::path(arguments.file.file).filename().string() + ", clip '" +
                              f.frames.clip_name + "'";
    const std::string text =
        "Thin outline: as keyed. " + fixed_number(motion.frames_per_second, 1) + " frames a second.";
    motion.title = title.c_str(), motion.text = text.c_str();
    check(aplomb_motion_write(&motion, page.c_str(), &error), error);
}

} // namespace aplomb::cli
