// SPDX-License-Identifier: MIT
// aplomb inspect: what a figure is made of and where its numbers come from.
#include <cmath>
#include <string_view>
#include <utility>

#include "cli/commands.h"
#include "cli/failure.h"
#include "cli/json.h"
#include "cli/numbers.h"
#include "cli/origin.h"
#include "cli/results.h"
#include "cli/stance.h"
#include "cli/text.h"

namespace aplomb::cli {
namespace {

std::string limit_text(double radians) {
    return std::isinf(radians) ? "free" : fixed_number(radians * 180 / 3.14159265358979323846, 0);
}

/// "-20..45", in degrees.
std::string limits_text(const double* pair) {
    if (std::isinf(pair[0]) && std::isinf(pair[1])) return "free";
    return limit_text(pair[0]) + ".." + limit_text(pair[1]);
}

std::string role_text(const aplomb_joint_info& joint) {
    const std::string role = aplomb_role_text(static_cast<aplomb_role>(joint.role));
    const bool sided = joint.side == APLOMB_SIDE_LEFT || joint.side == APLOMB_SIDE_RIGHT;
    return sided ? std::string(aplomb_side_text(static_cast<aplomb_side>(joint.side))) + " " + role : role;
}

bool has_limits(const aplomb_joint_info& joint) {
    switch (joint.role) {
    case APLOMB_ROLE_ROOT:
    case APLOMB_ROLE_HIPS:
    case APLOMB_ROLE_TAIL:
    case APLOMB_ROLE_PROP:
    case APLOMB_ROLE_HELPER:
        return joint.limit_origin == APLOMB_ORIGIN_GIVEN;
    default:
        return true;
    }
}

std::string joints_text(const Character& character) {
    Table table({false, false, true, false, true, true, true, false});
    table.add({"joint", "role", "kg", "mass", "bend", "twist", "lean", "limits"});
    const int32_t count = aplomb_figure_joint_count(character.figure());
    std::vector<size_t> depth(static_cast<size_t>(count));
    for (int32_t j = 0; j < count; ++j) {
        const aplomb_joint_info info = character.joint(j);
        const size_t i = static_cast<size_t>(j);
        depth[i] = info.parent < 0 ? 0 : depth[static_cast<size_t>(info.parent)] + 1;
        std::vector<std::string> row = {std::string(depth[i], ' ') + character.joint_name(j), role_text(info),
                                        fixed_number(info.mass, 2),
                                        info.mass > 0 ? origin_text(info.mass_origin) : ""};
        if (has_limits(info))
            row.insert(row.end(), {limits_text(info.limits), limits_text(info.limits + 2),
                                   limits_text(info.limits + 4), origin_text(info.limit_origin)});
        table.add(row);
    }
    return table.text();
}

std::string trunk_text(const Character& character) {
    Table table({false, true, true, true});
    for (int32_t j = 0; j < aplomb_figure_joint_count(character.figure()); ++j) {
        const aplomb_joint_info joint = character.joint(j);
        const double* share = joint.spine_share;
        if (share[0] + share[1] + share[2] <= 0) continue;
        if (table.empty()) table.add({"joint", "bend", "twist", "lean"});
        table.add({character.joint_name(j), per_cent(share[0]), per_cent(share[1]), per_cent(share[2])});
    }
    return table.text();
}

std::string limbs_text(const Character& character, double unit) {
    Table table({false, false, true, false, false});
    for (int32_t i = 0; i < character.limb_count(); ++i) {
        const aplomb_limb_info limb = character.limb(i);
        std::vector<std::string> row = {limb_word(character, i),
                                        character.joint_name(limb.upper) + ", " +
                                            character.joint_name(limb.lower) + ", " +
                                            character.joint_name(limb.end),
                                        centimetres(limb.length * unit)};
        if (limb.sole_length > 0)
            row.insert(row.end(), {"sole " + fixed_number(100 * limb.sole_length * unit, 1) + " x " +
                                       centimetres(limb.sole_breadth * unit),
                                   limb.sole_origin == APLOMB_ORIGIN_SHAPE ? "from the mesh"
                                                                           : origin_text(limb.sole_origin)});
        table.add(row);
    }
    return table.text();
}

std::string clips_text(const Character& character) {
    Table table({true, false, true, true});
    for (const std::string& name : character.clip_names()) {
        const int32_t clip = aplomb_character_find_clip(character.handle(), name.c_str());
        const std::vector<double> times = character.key_times(clip);
        const double length = times.empty() ? 0 : times.back() - times.front();
        table.add({std::to_string(clip), printable(name),
                   std::to_string(times.size()) + (times.size() == 1 ? " frame" : " frames"),
                   fixed_number(length, 2) + " s"});
    }
    return table.text();
}

std::string remarks_text(const Character& character) {
    std::string text;
    for (const std::string& remark : character.remarks())
        text += "  " + with_options(remark) + "\n";
    return text;
}

const char* axis_text(int32_t axis) {
    static constexpr const char* names[] = {"-Z", "-Y", "-X", "", "X", "Y", "Z"};
    return names[axis + 3];
}

/// Up, facing, unit and the pose that was measured, each with where it came from and why.
std::string understood_text(const Character& character) {
    const aplomb_character_info info = character.understood();
    Table table({false, false, false, false});
    const auto add = [&](const char* what, const std::string& value, int32_t source, const char* why) {
        table.add(
            {what, value, aplomb_character_source_text(static_cast<aplomb_source>(source)), printable(why)});
    };
    add("up", axis_text(info.up_axis), info.up_source, info.up_why);
    add("facing", axis_text(info.forward_axis), info.forward_source, info.forward_why);
    add("unit", short_number(info.metres_per_unit, 6) + " m", info.unit_source, info.unit_why);
    add("measured in", info.stand_clip < 0 ? "rest" : "motion", info.stand_source, info.stand_why);
    return table.text();
}

std::string section(const std::string& title, const std::string& body) {
    return body.empty() ? "" : "\n" + title + "\n" + body;
}

std::string text_of(const Character& character) {
    const aplomb_figure_info info = character.info();
    const double unit = info.metres_per_unit;
    std::string text = character.stands() ? "" : "This figure cannot stand: see the remarks.\n";
    text += printable(character.path()) + ": " + std::to_string(info.joint_count) + " joints, " +
            fixed_number(info.stature * unit, 2) + " m tall, legs " +
            fixed_number(info.leg_length * unit, 2) + " m, " + kilograms(info.total_mass) + "\n";
    text += "Masses: " + printable(info.mass_source) + "\n";
    text += section("How the file was understood", understood_text(character));
    text += section("Joints (limits in degrees from upright with hanging arms)", joints_text(character));
    text += section("Parts of the trunk's movement", trunk_text(character));
    text += section("Limbs", limbs_text(character, unit));
    text += section("Clips (without --clip, read and balance take the first frame of the first)",
                    clips_text(character));
    return text + section("Remarks", remarks_text(character));
}

} // namespace

int run_inspect(const Arguments& arguments) {
    check_targets(arguments);
    const Character character(arguments.file);
    if (!arguments.write.empty()) {
        aplomb_error error{};
        check(aplomb_character_write_description(character.handle(), arguments.write.c_str(), &error), error);
    }
    if (arguments.file.json) {
        print(json_of_figure(character));
    } else {
        print(text_of(character) + (arguments.write.empty() ? "" : "\nWrote " + arguments.write + "\n"));
    }
    return character.stands() ? exit_in_balance : exit_out_of_balance;
}

} // namespace aplomb::cli
