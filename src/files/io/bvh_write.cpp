// SPDX-License-Identifier: MIT
#include "io/bvh_write.h"

#include "io/euler.h"
#include "io/fault.h"

#include <algorithm>
#include <charconv>
#include <cmath>

namespace aplomb::io {
namespace {

using NewValues = std::map<std::size_t, double>; // by token

// Radians by which a turn may miss the axes of a joint with fewer than three channels.
constexpr double channel_tolerance = 1e-6;

void set_translation(const BvhFile& file, std::size_t frame, const BvhJoint& joint, const Vec3& place,
                     NewValues& values) {
    const Vec3 wished = joint.place_holds_offset ? place : place - joint.offset;
    Vec3 left = place - joint.offset; // along an axis without a channel a place must be as in the offset
    for (std::size_t c = 0; c < joint.channels.size(); ++c) {
        if (joint.channels[c].rotation) continue;
        left[joint.channels[c].axis] = 0;
        values[frame * file.channel_count + joint.first_channel + c] = wished[joint.channels[c].axis];
    }
    if (norm(left) > 1e-9 * (1 + norm(joint.offset)))
        refuse("joint '" + joint.name + "' has no position channels for its new place");
}

/// The channels' axes, made up to three different ones.
std::array<int, 3> three_axes(const BvhJoint& joint) {
    std::array<int, 3> axes{};
    std::size_t count = 0;
    for (const BvhChannel& channel : joint.channels) {
        if (!channel.rotation) continue;
        if (count == 3 || std::find(axes.begin(), axes.begin() + count, channel.axis) != axes.begin() + count)
            refuse("joint '" + joint.name + "' turns about one axis twice; such joints are not written");
        axes[count++] = channel.axis;
    }
    for (int axis = 0; axis < 3 && count < 3; ++axis)
        if (std::find(axes.begin(), axes.begin() + count, axis) == axes.begin() + count) axes[count++] = axis;
    return axes;
}

void set_rotation(const BvhFile& file, std::size_t frame, const BvhJoint& joint, const Quat& rotation,
                  NewValues& values) {
    std::array<double, 3> old_angles{};
    std::vector<std::size_t> tokens;
    for (std::size_t c = 0; c < joint.channels.size(); ++c) {
        if (!joint.channels[c].rotation) continue;
        const std::size_t token = frame * file.channel_count + joint.first_channel + c;
        if (tokens.size() < 3) old_angles[tokens.size()] = file.values[token] * degree;
        tokens.push_back(token);
    }
    const std::array<double, 3> angles = euler_angles(rotation, three_axes(joint), old_angles);
    for (std::size_t i = tokens.size(); i < 3; ++i)
        if (std::fabs(angles[i]) > channel_tolerance)
            refuse("joint '" + joint.name + "' has too few rotation channels for its new rotation");
    for (std::size_t i = 0; i < tokens.size(); ++i)
        values[tokens[i]] = angles[i] / degree;
}

/// At least as many decimals as the old number has.
std::string number_text(double value, std::string_view old_text) {
    const std::size_t point = old_text.find('.');
    const std::size_t decimals = point == std::string_view::npos ? 0 : old_text.size() - point - 1;
    char buffer[400];
    const auto result = std::to_chars(buffer, buffer + sizeof buffer, value, std::chars_format::fixed,
                                      static_cast<int>(std::clamp<std::size_t>(decimals, 6, 17)));
    const std::string text(buffer, result.ptr);
    return text.find_first_of("123456789") == std::string::npos && text[0] == '-' ? text.substr(1) : text;
}

} // namespace

Pose bvh_pose(const BvhFile& file, const double* row) {
    Pose pose;
    for (const BvhJoint& joint : file.joints) {
        Vec3 place = joint.offset;
        Quat turn;
        for (std::size_t c = 0; row != nullptr && c < joint.channels.size(); ++c) {
            const auto [rotation, axis] = joint.channels[c];
            const double value = row[joint.first_channel + c];
            if (rotation)
                turn = turn * axis_turn(axis, value * degree);
            else
                place[axis] = joint.place_holds_offset ? value : joint.offset[axis] + value;
        }
        pose.translations.push_back(place);
        pose.rotations.push_back(normalized(turn));
    }
    return pose;
}

std::string bvh_with_rows(const BvhFile& file, const std::map<std::size_t, const CorrectedFrame*>& rows) {
    NewValues values;
    for (const auto& [row, frame] : rows) {
        for (const Change& change : frame->changes) {
            const auto i = static_cast<std::size_t>(change.joint);
            if (change.translation)
                set_translation(file, row, file.joints[i], frame->pose.translations[i], values);
            if (change.rotation) set_rotation(file, row, file.joints[i], frame->pose.rotations[i], values);
        }
    }
    std::string bytes;
    std::size_t copied = 0;
    for (const auto& [index, value] : values) {
        const BvhToken& token = file.tokens[index];
        bytes.append(file.bytes, copied, token.offset - copied);
        bytes += number_text(value, std::string_view(file.bytes).substr(token.offset, token.length));
        copied = token.offset + token.length;
    }
    return bytes.append(file.bytes, copied);
}

} // namespace aplomb::io
