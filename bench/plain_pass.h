// SPDX-License-Identifier: MIT
// What a solve is measured by: one plain pass over a figure. Forward kinematics, the centre of mass, and its
// Jacobian with three columns per joint, for angular velocity in the joint's own frame. A subtree turns as
// one about its joint, so a column is (axis x subtree's first moment about the joint) / total mass.
#pragma once

#include <Eigen/Dense>
#include <vector>

#include "aplomb/aplomb.h"

namespace bench {

class PlainPass {
public:
    /// The figure's units must be metres.
    explicit PlainPass(const aplomb_figure* figure) {
        const int32_t count = aplomb_figure_joint_count(figure);
        for (int32_t j = 0; j < count; ++j) {
            aplomb_joint_info info;
            aplomb_joint_info_init(&info, sizeof info);
            aplomb_figure_joint(figure, j, &info, nullptr);
            Joint joint;
            joint.parent = info.parent;
            joint.first_moment = info.mass * Eigen::Map<const Eigen::Vector3d>(info.centre);
            joint.mass = joint.subtree_mass = info.mass;
            joints_.push_back(joint);
        }
        for (size_t j = joints_.size() - 1; j > 0; --j)
            parent_of(joints_[j]).subtree_mass += joints_[j].subtree_mass;
        moment_.resize(joints_.size());
        jacobian_.resize(joints_.size());
        world_.resize(joints_.size());
    }

    void run(const double* translations, const double* rotations) {
        place(translations, rotations);
        const double scale = 1.0 / joints_[0].subtree_mass;
        for (size_t j = joints_.size(); j-- > 0;) {
            const Joint& joint = joints_[j];
            if (j > 0) moment_[static_cast<size_t>(joint.parent)] += moment_[j];
            const Eigen::Vector3d lever = scale * (moment_[j] - joint.subtree_mass * world_[j].position);
            for (int k = 0; k < 3; ++k)
                jacobian_[j].col(k) = world_[j].rotation.col(k).cross(lever);
        }
        centre_ = scale * moment_[0];
    }

    const Eigen::Vector3d& centre() const { return centre_; }
    const std::vector<Eigen::Matrix3d>& jacobian() const { return jacobian_; }

private:
    struct Joint {
        int32_t parent;
        double mass, subtree_mass;
        Eigen::Vector3d first_moment; // of its segment, own frame
    };
    struct World {
        Eigen::Matrix3d rotation;
        Eigen::Vector3d position;
    };

    Joint& parent_of(const Joint& joint) { return joints_[static_cast<size_t>(joint.parent)]; }

    void place(const double* translations, const double* rotations) {
        for (size_t j = 0; j < joints_.size(); ++j) {
            const Eigen::Map<const Eigen::Vector3d> translation(translations + 3 * j);
            const Eigen::Matrix3d turn =
                Eigen::Map<const Eigen::Quaterniond>(rotations + 4 * j).toRotationMatrix();
            World& world = world_[j];
            if (j == 0) {
                world.rotation = turn;
                world.position = translation;
            } else {
                const World& parent = world_[static_cast<size_t>(joints_[j].parent)];
                world.rotation.noalias() = parent.rotation * turn;
                world.position = parent.position + parent.rotation * translation;
            }
            moment_[j] = joints_[j].mass * world.position + world.rotation * joints_[j].first_moment;
        }
    }

    std::vector<Joint> joints_;
    std::vector<World> world_;
    std::vector<Eigen::Vector3d> moment_; // of the subtree, about the world's origin
    std::vector<Eigen::Matrix3d> jacobian_;
    Eigen::Vector3d centre_;
};

} // namespace bench
