// SPDX-License-Identifier: MIT
// The body model of the recorded gait. Joints as the OpenSim documentation defines a CustomJoint: turns about three
// axes of the parent's frame, one in the other, then a shift. X forward, Y up, Z right; metres.
#pragma once

#include "gait_files.h"
#include "spline.h"

#include <array>

namespace recorded {

/// A place and attitude in the world.
struct Frame {
    Vec3 position{0, 0, 0};
    Quat turn{0, 0, 0, 1};
    Vec3 operator*(const Vec3& p) const { return position + rotate(turn, p); }
    Frame operator*(const Frame& f) const { return {*this * f.position, turn * f.turn}; }
};

/// One segment and the joint at its start.
struct Segment {
    std::string name;
    int32_t parent = -1;
    double mass = 0;
    Vec3 centre{0, 0, 0};
    std::vector<double> inertia;
    Vec3 offset{0, 0, 0}; // of the joint, in the parent's frame
    struct Axis {
        std::string coordinate; // "" : constant
        Vec3 axis{0, 0, 0};
        double scale = 1;
        std::vector<double> linear; // slope and start; else
        Spline spline;
    };
    std::array<Axis, 6> axes; // three turns, three shifts
};

class Model {
public:
    std::vector<Segment> segments;

    Model() {
        std::ifstream stream(made::reference / "gait/subject01_simbody.osim");
        std::stringstream all;
        all << stream.rdbuf();
        m_text = all.str();
        for (const auto& [name, body] : named(m_text, "Body")) {
            Segment s;
            s.name = name, s.mass = numbers(element(body, "mass"))[0];
            const std::vector<double> centre = numbers(element(body, "mass_center"));
            s.centre = vector(centre.data()), s.inertia = numbers(element(body, "inertia"));
            segments.push_back(s);
        }
        for (const auto& [name, joint] : named(m_text, "CustomJoint"))
            add_joint(joint);
    }
    int32_t find(const std::string& name) const {
        for (std::size_t i = 0; i < segments.size(); ++i)
            if (segments[i].name == name) return static_cast<int32_t>(i);
        return -1;
    }
    /// The place of a marker on its segment.
    Vec3 marker(const std::string& name) const {
        for (const auto& [found, text] : named(m_text, "Marker"))
            if (found == name) return vector(numbers(element(text, "location")).data());
        ADD_FAILURE() << name;
        return {};
    }
    /// Where every segment is, from joint angles in radians.
    template<class Coordinate>
    std::vector<Frame> place(const Coordinate& coordinate) const {
        std::vector<Frame> frames(segments.size());
        for (std::size_t i = 0; i < segments.size(); ++i) {
            const Segment& s = segments[i];
            Frame joint{s.offset, {0, 0, 0, 1}};
            for (std::size_t k = 0; k < 6; ++k) {
                const Segment::Axis& a = s.axes[k];
                if (a.coordinate.empty()) continue;
                const double q = coordinate(a.coordinate),
                             value = a.linear.empty() ? a.scale * a.spline(q) : a.linear[0] * q + a.linear[1];
                if (k < 3)
                    joint.turn = joint.turn * aplomb::exp_rotation(a.axis * value);
                else
                    joint.position = joint.position + a.axis * value;
            }
            frames[i] = s.parent < 0 ? joint : frames[static_cast<std::size_t>(s.parent)] * joint;
        }
        return frames;
    }

private:
    std::string m_text;

    int32_t of_socket(const std::string& joint, const std::string& socket) const {
        const std::string frame = element(joint, socket);
        return find(frame.substr(0, frame.rfind("_offset")));
    }
    void add_joint(const std::string& joint) {
        const int32_t child = of_socket(joint, "socket_child_frame");
        ASSERT_GE(child, 0);
        Segment& s = segments[static_cast<std::size_t>(child)];
        s.parent = of_socket(joint, "socket_parent_frame");
        ASSERT_LT(s.parent, child);
        s.offset = vector(numbers(element(joint, "translation")).data()); // the first is the parent's side
        std::size_t k = 0;
        for (const auto& [name, text] : named(joint, "TransformAxis")) {
            Segment::Axis& a = s.axes[k++];
            const std::string coordinate = element(text, "coordinates");
            std::istringstream(coordinate) >> a.coordinate;
            const std::vector<double> axis = numbers(element(text, "axis"));
            a.axis = vector(axis.data());
            a.linear = numbers(element(text, "coefficients"));
            if (a.coordinate.empty() || !a.linear.empty()) continue;
            a.scale = numbers(element(text, "scale"))[0];
            a.spline = Spline(numbers(element(text, "x")), numbers(element(text, "y")));
        }
        ASSERT_EQ(k, 6u);
    }
};

} // namespace recorded
