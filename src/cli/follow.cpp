// SPDX-License-Identifier: MIT
// aplomb follow: what follows from weight in a clip, as tracks and curves.
#include "aplomb/follow.h"
#include "aplomb/clip.h"

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <memory>
#include <optional>

#include "base/rotation.h"
#include "cli/chains.h"
#include "cli/commands.h"
#include "cli/failure.h"
#include "cli/frames.h"
#include "cli/numbers.h"
#include "cli/results.h"
#include "cli/swing.h"
#include "cli/text.h"
#include "json/json.h"

namespace aplomb::cli {
namespace {

struct DestroyFollow {
    void operator()(aplomb_follow* follow) const { aplomb_follow_destroy(follow); }
};

/// All frames, before and after.
struct Followed {
    Frames frames;
    std::vector<ChainChoice> chains;
    std::unique_ptr<aplomb_follow, DestroyFollow> plan;
    std::vector<double> rotations;
    std::vector<Swing> swings;

    std::size_t joints() const { return frames.joints; }
    Quat rotation(const std::vector<double>& of, std::size_t frame, int32_t joint) const {
        const double* q = &of[4 * (frame * joints() + static_cast<std::size_t>(joint))];
        return {q[0], q[1], q[2], q[3]};
    }
    /// From the key, own frame, radians.
    Vec3 turn(std::size_t frame, int32_t joint) const {
        const Quat was = rotation(frames.rotations, frame, joint), is = rotation(rotations, frame, joint);
        if (was.x == is.x && was.y == is.y && was.z == is.z && was.w == is.w) return {};
        return log_rotation(normalized(conjugate(was) * is));
    }
};

Followed follow(const Character& character, const Frames& frames, const Frames* keyed,
                const Arguments& arguments) {
    Followed f;
    f.frames = frames;
    f.chains =
        choose_chains(character, keyed ? *keyed : frames, arguments.follow.chains, arguments.moment.loads);
    std::vector<aplomb_chain> chains;
    for (const ChainChoice& choice : f.chains)
        chains.push_back(choice.chain);
    aplomb_follow_desc desc;
    aplomb_follow_desc_init(&desc, sizeof desc);
    desc.chains = chains.data(), desc.chain_count = static_cast<int32_t>(chains.size());
    aplomb_follow* made = nullptr;
    aplomb_error error{};
    const aplomb_status status = aplomb_follow_create(character.figure(), &desc, nullptr, &made, &error);
    if (status < 0 && error.index >= 0 && !arguments.follow.chains.empty())
        throw Failure{"--chain " + f.chains[static_cast<std::size_t>(error.index)].wish + ": " +
                      error.message};
    check(status, error);
    f.plan.reset(made);
    aplomb_follow_shot shot;
    aplomb_follow_shot_init(&shot, sizeof shot);
    shot.frame_count = static_cast<int32_t>(frames.times.size()), shot.closed = arguments.follow.loop;
    shot.times = frames.times.data();
    shot.translations = frames.translations.data(), shot.rotations = frames.rotations.data();
    if (keyed) {
        shot.keyed_translations = keyed->translations.data();
        shot.keyed_rotations = keyed->rotations.data();
    }
    std::vector<double> state(static_cast<std::size_t>(aplomb_follow_state_size(made)));
    f.rotations.resize(frames.rotations.size());
    check(aplomb_follow_frames(made, state.data(), &shot, f.rotations.data(), &error), error);
    f.swings = swing_loads(character, frames, f.rotations, arguments.moment.loads, arguments.follow.swing);
    return f;
}

/// The joint and frame at which a chain is furthest from its key.
struct Furthest {
    int32_t joint = -1;
    std::size_t frame = 0;
    double turn = 0;
};
Furthest furthest(const Followed& f, const ChainChoice& choice) {
    Furthest most{choice.joints.front(), 0, 0};
    for (std::size_t k = 0; k < f.frames.times.size(); ++k)
        for (const int32_t joint : choice.joints) {
            const double turn = norm(f.turn(k, joint));
            if (turn > most.turn) most = {joint, k, turn};
        }
    return most;
}

/// The mean time of a step in the shot; 0: none is taken, or what stands is not known.
double step_time(const Character& character, const Frames& frames) {
    aplomb_clip clip;
    aplomb_clip_init(&clip, sizeof clip);
    clip.frame_count = static_cast<int32_t>(frames.times.size());
    clip.times = frames.times.data();
    clip.translations = frames.translations.data(), clip.rotations = frames.rotations.data();
    aplomb_clip_reading* reading = nullptr;
    if (aplomb_clip_read(character.figure(), &clip, nullptr, nullptr, &reading, nullptr) != APLOMB_OK)
        return 0;
    int32_t count = 0;
    const aplomb_foot_step* steps = aplomb_clip_steps(reading, &count);
    double sum = 0;
    for (int32_t i = 0; i < count; ++i)
        sum += steps[i].seconds;
    aplomb_clip_reading_destroy(reading);
    return count > 0 ? sum / count : 0;
}

/// Whether steps of so many seconds feed the swing; empty where they do not.
std::string remark_on(const Character& character, double step, const Swing& swing) {
    char text[240] = "";
    if (step > 0)
        aplomb_hanging_remark(swing.load.hang * character.info().metres_per_unit, 9.80665, step, text,
                              sizeof text);
    return text[0] ? std::string(text) + "\n" : "";
}

std::string text_of(const Character& character, const Followed& f, const Arguments& arguments) {
    std::string text = printable(character.path()) + ", " + std::to_string(f.frames.times.size()) +
                       " frames of clip '" + f.frames.clip_name + "'\n\n";
    Table table({false, false, true, true, true, false});
    for (std::size_t i = 0; i < f.chains.size(); ++i) {
        const ChainChoice& choice = f.chains[i];
        const Furthest most = furthest(f, choice);
        const aplomb_chain& c = choice.chain;
        table.add({aplomb_chain_text(static_cast<aplomb_chain_kind>(c.kind)),
                   character.joint_name(c.first) + " to " + character.joint_name(c.last),
                   fixed_number(aplomb_follow_frequency(f.plan.get(), static_cast<int32_t>(i)), 2) + " Hz",
                   "own motion " + per_cent(c.own_motion), degrees(most.turn),
                   most.turn > 0 ? "at most, " + character.joint_name(most.joint) + " in frame " +
                                       std::to_string(f.frames.first + static_cast<int>(most.frame))
                                 : "it stays as keyed"});
    }
    text += table.text() + "\nA swing of 5 degrees is under half a degree after " +
            fixed_number(aplomb_follow_settling_time(f.plan.get()), 2) + " s.\n";
    const double step = f.swings.empty() ? 0 : step_time(character, f.frames);
    for (const Swing& swing : f.swings) {
        double angle = 0, pull = 0;
        for (const aplomb_hanging_result& frame : swing.frames) {
            angle = std::max(angle, frame.angle);
            pull = std::max(pull, norm(Vec3{frame.tension[0], frame.tension[1], frame.tension[2]}));
        }
        text += "The load " + swing.word + " swings out by " + degrees(angle) + " at most, and pulls with " +
                short_number(pull, 0) + " N at most, " + fixed_number(pull / (swing.load.mass * 9.80665), 1) +
                " times its weight.\n";
        text += remark_on(character, step, swing);
    }
    return text + wrote_text(arguments);
}

std::string csv_of(const Character& character, const Followed& f) {
    std::string text = "frame,seconds";
    for (const ChainChoice& choice : f.chains)
        for (const int32_t joint : choice.joints)
            for (const char* axis : {"_x", "_y", "_z"})
                text += "," + quoted_cell(character.joint_name(joint) + axis);
    for (const Swing& swing : f.swings)
        for (const char* what : {" x", " y", " z", " angle", " pull"})
            text += "," + quoted_cell(swing.word + what);
    text += "\n";
    for (std::size_t k = 0; k < f.frames.times.size(); ++k) {
        text +=
            std::to_string(f.frames.first + static_cast<int>(k)) + "," + short_number(f.frames.times[k], 6);
        for (const ChainChoice& choice : f.chains)
            for (const int32_t joint : choice.joints) {
                const Vec3 turn = f.turn(k, joint) / degree;
                for (int axis = 0; axis < 3; ++axis)
                    text += "," + short_number(turn[axis], 6);
            }
        for (const Swing& swing : f.swings) {
            const aplomb_hanging_result& r = swing.frames[k];
            for (const double number : {r.place[0], r.place[1], r.place[2], r.angle / degree,
                                        norm(Vec3{r.tension[0], r.tension[1], r.tension[2]})})
                text += "," + short_number(number, 6);
        }
        text += "\n";
    }
    return text;
}

std::string json_of(const Character& character, const Followed& f, const Arguments& arguments) {
    Json chains = Json::array();
    for (std::size_t i = 0; i < f.chains.size(); ++i) {
        const ChainChoice& choice = f.chains[i];
        const aplomb_chain& c = choice.chain;
        Json joints = Json::array();
        for (const int32_t joint : choice.joints) {
            Json turns = Json::array();
            for (std::size_t k = 0; k < f.frames.times.size(); ++k) {
                const Vec3 turn = f.turn(k, joint);
                turns.push_back(Json::array({turn.x, turn.y, turn.z}));
            }
            joints.push_back({{"joint", character.joint_name(joint)}, {"turns", turns}});
        }
        chains.push_back({{"kind", aplomb_chain_text(static_cast<aplomb_chain_kind>(c.kind))},
                          {"stiffness", c.stiffness},
                          {"damping", c.damping},
                          {"limit", c.limit},
                          {"own_motion", c.own_motion},
                          {"rigid", c.rigid != 0},
                          {"frequency", aplomb_follow_frequency(f.plan.get(), static_cast<int32_t>(i))},
                          {"joints", joints}});
    }
    Json whole = {{"clip", f.frames.clip_name},
                  {"first", f.frames.first},
                  {"seconds", Json(f.frames.times)},
                  {"settling_time", aplomb_follow_settling_time(f.plan.get())},
                  {"chains", chains}};
    Json swings = Json::array();
    for (const Swing& swing : f.swings) {
        Json frames = Json::array();
        for (const aplomb_hanging_result& r : swing.frames)
            frames.push_back({{"place", Json::array({r.place[0], r.place[1], r.place[2]})},
                              {"tension", Json::array({r.tension[0], r.tension[1], r.tension[2]})},
                              {"angle", r.angle},
                              {"slack", r.slack != 0}});
        swings.push_back({{"load", swing.word}, {"frames", frames}});
    }
    whole["loads"] = swings; // metres
    for (const Written& file : written(arguments))
        whole[file.what] = file.path;
    return whole.dump(2, ' ', Json::Broken::replaced) + "\n";
}

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

/// A load is drawn where the reading has it, and upright along what pulls it down: here its string.
void place_loads(const Character& character, const Followed& f, std::size_t frame,
                 aplomb_situation& situation, aplomb_reading& reading) {
    for (std::size_t i = 0; i < f.swings.size(); ++i) {
        const aplomb_hanging_result& r = f.swings[i].frames[frame];
        for (int a = 0; a < 3; ++a)
            reading.load_centre[i][a] = r.place[a] / character.info().metres_per_unit;
        const Vec3 pull = {r.tension[0], r.tension[1], r.tension[2]};
        if (i == 0 && norm(pull) > 0) put(situation.gravity, normalized(pull) * 9.80665);
    }
    reading.load_count = static_cast<int32_t>(f.swings.size());
}

/// The skin, or the lay figure, in every frame; the key as a thin outline.
void write_page(const Character& character, const Followed& f, const Arguments& arguments) {
    const std::string& page = arguments.moment.page;
    if (page.empty()) return;
    const std::size_t count = f.frames.times.size(), joints = f.joints();
    aplomb_mesh mesh{};
    const bool skinned = aplomb_character_mesh(character.handle(), &mesh, nullptr) == APLOMB_OK;
    const std::size_t numbers = 3 * static_cast<std::size_t>(mesh.vertex_count);
    std::vector<double> keyed_skin(skinned ? numbers * count : 0), skin(keyed_skin);
    std::vector<aplomb_load> loads;
    for (const Swing& swing : f.swings)
        loads.push_back(swing.load);
    std::vector<aplomb_reading> readings(count), keyed_readings(count);
    std::vector<aplomb_situation> situations(count);
    std::vector<aplomb_picture> pictures(count);
    aplomb_error error{};
    for (std::size_t k = 0; k < count; ++k) {
        const double *t = &f.frames.translations[3 * joints * k], *was = &f.frames.rotations[4 * joints * k],
                     *is = &f.rotations[4 * joints * k];
        aplomb_situation_init(&situations[k], sizeof situations[k]);
        situations[k].translations = t, situations[k].rotations = was;
        aplomb_reading_init(&readings[k], sizeof readings[k]);
        place_middle(character, situations[k], readings[k]);
        place_loads(character, f, k, situations[k], readings[k]);
        keyed_readings[k] = readings[k];
        situations[k].loads = loads.data(), situations[k].load_count = static_cast<int32_t>(loads.size());
        aplomb_picture& picture = pictures[k];
        aplomb_picture_init(&picture, sizeof picture);
        picture.figure = character.figure(), picture.situation = &situations[k];
        picture.before = {t, was, &keyed_readings[k], "keyed", nullptr},
        picture.after = {t, is, &readings[k], "followed", nullptr};
        if (!skinned) continue;
        picture.mesh = &mesh;
        double *before = &keyed_skin[numbers * k], *after = &skin[numbers * k];
        check(aplomb_character_skin(character.handle(), t, was, before, &error), error);
        check(aplomb_character_skin(character.handle(), t, is, after, &error), error);
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

void write_out(const Character& character, const Followed& f, const std::string& out) {
    if (out.empty()) return;
    aplomb_corrected_frames frames;
    aplomb_corrected_frames_init(&frames, sizeof frames);
    const std::string layer = f.frames.clip_name + " follow-through";
    frames.clip = f.frames.clip, frames.count = static_cast<int32_t>(f.frames.times.size());
    frames.seconds = f.frames.file_times.data();
    frames.translations = f.frames.translations.data(), frames.rotations = f.rotations.data();
    if (!out.ends_with(".bvh") && !out.ends_with(".BVH")) frames.layer = layer.c_str();
    aplomb_error error{};
    check(aplomb_character_write_frames(character.handle(), &frames, out.c_str(), &error), error);
}

} // namespace

int run_follow(const Arguments& arguments) {
    check_targets(arguments);
    if (arguments.file.json && arguments.moment.csv) throw Failure{"--csv does not go with --json"};
    if (!arguments.follow.swing.empty() && arguments.moment.loads.empty())
        throw Failure{"--swing goes with --load"};
    const Character character(arguments.file);
    const Frames frames = read_frames(character, arguments);
    if (arguments.follow.loop && frames.times.size() < 4)
        throw Failure{"--loop: the shot has " + std::to_string(frames.times.size()) +
                      " frames; a loop has 4 or more"};
    std::optional<Frames> keyed;
    if (!arguments.follow.keyed.empty()) keyed = read_keyed(frames, arguments);
    const Followed f = follow(character, frames, keyed ? &*keyed : nullptr, arguments);
    write_page(character, f, arguments);
    write_out(character, f, arguments.balance.out);
    print(arguments.moment.csv  ? csv_of(character, f)
          : arguments.file.json ? json_of(character, f, arguments)
                                : text_of(character, f, arguments));
    return exit_in_balance;
}

} // namespace aplomb::cli
