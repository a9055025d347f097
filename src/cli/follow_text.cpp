// SPDX-License-Identifier: MIT
#include "cli/follow_text.h"

#include <algorithm>

#include "cli/clip_text.h"
#include "cli/numbers.h"
#include "cli/results.h"
#include "cli/text.h"
#include "json/json.h"

namespace aplomb::cli {
namespace {

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

} // namespace

std::string follow_text_of(const Character& character, const Followed& f, const Arguments& arguments) {
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

std::string follow_csv_of(const Character& character, const Followed& f) {
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

std::string follow_json_of(const Character& character, const Followed& f, const Arguments& arguments) {
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

} // namespace aplomb::cli
