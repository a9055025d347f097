// SPDX-License-Identifier: MIT
// aplomb follow: what follows from weight in a clip, as tracks and curves.
#include "aplomb/follow.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <memory>
#include <optional>

#include "base/rotation.h"
#include "cli/chains.h"
#include "cli/clip_text.h"
#include "cli/commands.h"
#include "cli/failure.h"
#include "cli/frames.h"
#include "cli/numbers.h"
#include "cli/results.h"
#include "cli/situation.h"
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
    // What the chains followed, and how: rotations.
    std::vector<double> led, followed;
    Poses poses; // in the end
    Cargo cargo;
    std::vector<Swing> swings;
    std::vector<aplomb_clip_given> given;
    std::optional<BalancedShot> balanced;
    int rounds = 0;        // of what swings
    double last_round = 0; // by how much the hips moved in the last one, metres
    double step_seconds = 0;

    std::size_t joints() const { return frames.joints; }
    Quat rotation(const std::vector<double>& of, std::size_t frame, int32_t joint) const {
        const double* q = &of[4 * (frame * joints() + static_cast<std::size_t>(joint))];
        return {q[0], q[1], q[2], q[3]};
    }
    /// By its following, own frame, radians.
    Vec3 turn(std::size_t frame, int32_t joint) const {
        const Quat was = rotation(led, frame, joint), is = rotation(followed, frame, joint);
        if (was.x == is.x && was.y == is.y && was.z == is.z && was.w == is.w) return {};
        return log_rotation(normalized(conjugate(was) * is));
    }
};

void let_follow(const Character& character, const Poses& led, const double* keyed_translations,
                const double* keyed_rotations, const Arguments& arguments, Followed& f) {
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
    shot.frame_count = static_cast<int32_t>(f.frames.times.size()), shot.closed = arguments.follow.loop;
    shot.times = f.frames.times.data();
    shot.translations = led.translations.data(), shot.rotations = led.rotations.data();
    shot.keyed_translations = keyed_translations, shot.keyed_rotations = keyed_rotations;
    std::vector<double> state(static_cast<std::size_t>(aplomb_follow_state_size(made)));
    f.led = led.rotations;
    f.followed.resize(led.rotations.size());
    check(aplomb_follow_frames(made, state.data(), &shot, f.followed.data(), &error), error);
}

/// What the chains did since they were led, on top of the keys.
void put_on_keys(const Followed& f, std::vector<double>& rotations) {
    for (std::size_t k = 0; k < f.frames.times.size(); ++k)
        for (const ChainChoice& choice : f.chains)
            for (const int32_t joint : choice.joints) {
                const Quat was = f.rotation(f.led, k, joint), is = f.rotation(f.followed, k, joint);
                if (norm(f.turn(k, joint)) == 0) continue;
                double* to = &rotations[4 * (k * f.joints() + static_cast<std::size_t>(joint))];
                put(to, normalized(Quat{to[0], to[1], to[2], to[3]} * conjugate(was) * is));
            }
}

bool gives_way(const std::vector<aplomb_clip_given>& given) {
    return std::any_of(given.begin(), given.end(),
                       [](const aplomb_clip_given& frame) { return frame.hips != 0 || frame.arms != 0; });
}

/// The furthest that the hips are from one to the other, metres.
double hips_apart(const Character& character, const Followed& f, const Poses& a, const Poses& b) {
    const auto hips = static_cast<std::size_t>(character.info().hips);
    double most = 0;
    for (std::size_t k = 0; k < f.frames.times.size(); ++k) {
        const std::size_t at = 3 * (f.joints() * k + hips);
        most = std::max(most, norm(Vec3{a.translations[at] - b.translations[at],
                                        a.translations[at + 1] - b.translations[at + 1],
                                        a.translations[at + 2] - b.translations[at + 2]}));
    }
    return most * character.info().metres_per_unit;
}

/// Keyed, balanced, given; followed, so that chains feel a body that sinks; given for what the chains have moved; and balanced
/// once more, now with what swings from the corrected hands.
Followed follow(const Character& character, const Frames& frames, const Frames* keyed,
                const Arguments& arguments) {
    Followed f;
    f.frames = frames;
    f.chains =
        choose_chains(character, keyed ? *keyed : frames, arguments.follow.chains, arguments.moment.loads);
    f.cargo = make_cargo(character, frames, arguments);
    if (!arguments.follow.swing.empty() && !f.cargo.swings())
        throw Failure{"--swing goes with a --load that hangs; add its length, as hang=0.35"};
    if (arguments.follow.balance && arguments.follow.loop && (arguments.follow.landings || f.cargo.arrives()))
        throw Failure{"--balance with --loop: in a loop nothing arrives or lands so far; leave that out, or "
                      "--loop"};
    const Weight weight(character, f.frames, f.cargo, arguments);
    f.step_seconds = weight.step_seconds();
    f.poses = {frames.translations, frames.rotations};
    const auto swing = [&] { return swing_loads(character, f.frames, f.cargo, f.poses, arguments.follow); };
    Poses led = arguments.follow.balance ? weight.balance(f.poses, {}).poses : f.poses;
    const bool gives = weight.counts() && gives_way(weight.give(led));
    if (arguments.follow.balance || (gives && !keyed))
        let_follow(character, led, frames.translations.data(), frames.rotations.data(), arguments, f);
    else
        let_follow(character, led, keyed ? keyed->translations.data() : nullptr,
                   keyed ? keyed->rotations.data() : nullptr, arguments, f);
    if (arguments.follow.balance || gives)
        put_on_keys(f, f.poses.rotations);
    else
        f.poses.rotations = f.followed;
    quiet_arms(character, f.frames, f.cargo, f.poses);
    if (weight.counts()) f.given = weight.give(f.poses);
    f.swings = swing();
    if (!arguments.follow.balance) return f;
    constexpr int most_rounds = 8;
    constexpr double settled = 5e-4; // metres
    const Poses asked = f.poses;
    const std::vector<Swing> before = f.swings;
    f.balanced = weight.balance(asked, {});
    for (f.rounds = 0; f.rounds < most_rounds && !before.empty(); ++f.rounds) {
        if (f.rounds > 0 && f.last_round < settled) break;
        f.poses = f.balanced->poses;
        f.swings = swing();
        f.balanced = weight.balance(asked, tensions_of(f.swings, before, f.frames));
        f.last_round = hips_apart(character, f, f.balanced->poses, f.poses);
    }
    f.poses = f.balanced->poses;
    f.swings = swing();
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

/// Whether steps of so many seconds feed the swing; empty where they do not.
std::string remark_on(const Character& character, double step, const Swing& swing) {
    char text[240] = "";
    if (step > 0)
        aplomb_hanging_remark(swing.load.hang * character.info().metres_per_unit, 9.80665, step, text,
                              sizeof text);
    return text[0] ? std::string(text) + "\n" : "";
}

/// "Hips sink by 3.1 cm at most, in frame 68."
std::string given_text(const Character& character, const Followed& f) {
    const double metres = character.info().metres_per_unit;
    std::string text;
    const auto add = [&](const char* what, double aplomb_clip_given::*way) {
        const auto most = std::max_element(f.given.begin(), f.given.end(),
                                           [&](const auto& a, const auto& b) { return a.*way < b.*way; });
        if (most == f.given.end() || !((*most).*way * metres > 5e-4)) return;
        text += std::string(what) + " by " + centimetres((*most).*way * metres) + " at most, in frame " +
                std::to_string(f.frames.first + static_cast<int>(most - f.given.begin())) + ".\n";
    };
    add("What the arms hold sinks in them", &aplomb_clip_given::arms);
    add("The hips give", &aplomb_clip_given::hips);
    return text;
}

std::string balanced_text(const Followed& f) {
    if (!f.balanced) return "";
    int before = 0, after = 0;
    double furthest = 0;
    for (const aplomb_clip_balanced& frame : f.balanced->frames) {
        before += frame.margin_before < frame.margin_asked;
        after += frame.status == APLOMB_OUT_OF_REACH;
        furthest = std::max(furthest, frame.slack);
    }
    std::string text = "Balanced with all that: " + std::to_string(before) +
                       (before == 1 ? " frame was" : " frames were") + " short of the margin asked for; ";
    text += after == 0 ? "none is.\n"
                       : std::to_string(after) + (after == 1 ? " is" : " are") + " out of reach, by " +
                             centimetres(furthest) + " at most.\n";
    if (f.balanced->status == APLOMB_NOT_CONVERGED)
        text += "The solver was stopped before its answer was exact; look at the result before you use it.\n";
    return text;
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
    for (const Swing& swing : f.swings) {
        double angle = 0, pull = 0;
        for (const aplomb_hanging_result& frame : swing.frames) {
            angle = std::max(angle, frame.angle);
            pull = std::max(pull, norm(Vec3{frame.tension[0], frame.tension[1], frame.tension[2]}));
        }
        text += "The load " + swing.word + " swings out by " + degrees(angle) + " at most, and pulls with " +
                short_number(pull, 0) + " N at most, " + fixed_number(pull / (swing.load.mass * 9.80665), 1) +
                " times its weight.\n";
        text += remark_on(character, f.step_seconds, swing);
    }
    return text + given_text(character, f) + balanced_text(f) + wrote_text(arguments);
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
    if (!f.given.empty()) text += ",hips give,arms give";
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
        if (!f.given.empty())
            text += "," + short_number(f.given[k].hips, 6) + "," + short_number(f.given[k].arms, 6);
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
    Json given = Json::array();
    for (const aplomb_clip_given& frame : f.given)
        given.push_back({{"hips", frame.hips}, {"arms", frame.arms}});
    for (const Written& file : written(arguments))
        whole[file.what] = file.path;
    whole["give"] = given; // the file's unit
    if (!f.balanced) return whole.dump(2, ' ', Json::Broken::replaced) + "\n";
    Json margins = Json::array();
    for (const aplomb_clip_balanced& frame : f.balanced->frames)
        margins.push_back({{"before", known(frame.margin_before)},
                           {"after", known(frame.margin_after)},
                           {"asked", known(frame.margin_asked)}});
    whole["balanced"] = {{"status", aplomb_status_text(f.balanced->status)},
                         {"margins", margins}, // the file's unit
                         {"rounds", f.rounds},
                         {"last_round", f.last_round}}; // metres
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

/// The skin, or the lay figure, in every frame; the key as a thin outline.
void write_page(const Character& character, const Followed& f, const Arguments& arguments) {
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

void write_out(const Character& character, const Followed& f, const std::string& out) {
    if (out.empty()) return;
    aplomb_corrected_frames frames;
    aplomb_corrected_frames_init(&frames, sizeof frames);
    const std::string layer = f.frames.clip_name + " follow-through";
    frames.clip = f.frames.clip, frames.count = static_cast<int32_t>(f.frames.times.size());
    frames.seconds = f.frames.file_times.data();
    frames.translations = f.poses.translations.data(), frames.rotations = f.poses.rotations.data();
    if (!out.ends_with(".bvh") && !out.ends_with(".BVH")) frames.layer = layer.c_str();
    aplomb_error error{};
    check(aplomb_character_write_frames(character.handle(), &frames, out.c_str(), &error), error);
}

} // namespace

int run_follow(const Arguments& arguments) {
    check_targets(arguments);
    if (arguments.file.json && arguments.moment.csv) throw Failure{"--csv does not go with --json"};
    const Character character(arguments.file);
    const Frames frames = read_frames(character, arguments);
    if (arguments.follow.loop && frames.times.size() < 4)
        throw Failure{"--loop: the shot has " + std::to_string(frames.times.size()) +
                      " frames; a loop has 4 or more"};
    if (arguments.follow.balance && !arguments.follow.keyed.empty())
        throw Failure{"--balance does not go with --keyed: what it balances is the key"};
    std::optional<Frames> keyed;
    if (!arguments.follow.keyed.empty()) keyed = read_keyed(frames, arguments);
    const Followed f = follow(character, frames, keyed ? &*keyed : nullptr, arguments);
    write_page(character, f, arguments);
    write_out(character, f, arguments.balance.out);
    print(arguments.moment.csv  ? csv_of(character, f)
          : arguments.file.json ? json_of(character, f, arguments)
                                : text_of(character, f, arguments));
    return f.balanced && f.balanced->status != APLOMB_OK ? exit_out_of_balance : exit_in_balance;
}

} // namespace aplomb::cli
