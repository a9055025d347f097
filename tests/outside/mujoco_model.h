// SPDX-License-Identifier: MIT
// A figure as a MuJoCo model: a free joint at the root, a ball joint everywhere else, segments as inertial
// frames.
#pragma once

#include <mujoco/mujoco.h>

#include <fstream>
#include <iomanip>
#include <memory>
#include <sstream>
#include <stdexcept>
#include <string>
#include <vector>

#include "figures.h"

namespace outside {

/// MuJoCo wants every moving body to have mass; this much is lost in the rounding of a figure's.
inline constexpr double no_mass = 1e-14;

inline std::string body_name(int32_t joint) {
    return "joint_" + std::to_string(joint);
}

inline aplomb_joint_info joint_info(const aplomb_figure* figure, int32_t joint) {
    aplomb_joint_info info;
    aplomb_joint_info_init(&info, sizeof info);
    if (aplomb_figure_joint(figure, joint, &info, nullptr)) throw std::runtime_error("no such joint");
    return info;
}

/// The model's text. Rest rotations must be the identity, as the lay figure's are.
class ModelText {
public:
    ModelText(const aplomb_figure* figure, const lay::LayFigure& shape) : figure_(figure), shape_(shape) {
        out_ << std::setprecision(17)
             << "<mujoco><compiler inertiafromgeom=\"false\" balanceinertia=\"true\"/><worldbody>";
        add_body(0);
        out_ << "</worldbody></mujoco>";
    }
    std::string text() const { return out_.str(); }

private:
    void add_numbers(const char* attribute, const double* values, int count) {
        out_ << ' ' << attribute << "=\"";
        for (int i = 0; i < count; ++i)
            out_ << (i ? " " : "") << values[i];
        out_ << '"';
    }
    void add_body(int32_t joint) {
        out_ << "<body name=\"" << body_name(joint) << '"';
        add_numbers("pos", &shape_.translations[3 * static_cast<size_t>(joint)], 3);
        out_ << '>' << (joint == 0 ? "<freejoint/>" : "<joint type=\"ball\"/>");
        add_segment(joint_info(figure_, joint));
        for (int32_t child = joint + 1; child < shape_.count(); ++child) {
            if (shape_.parents[static_cast<size_t>(child)] == joint) add_body(child);
        }
        out_ << "</body>";
    }
    void add_segment(const aplomb_joint_info& info) {
        out_ << "<inertial";
        add_numbers("pos", info.centre, 3);
        if (info.mass > 0) {
            add_numbers("mass", &info.mass, 1);
            add_numbers("fullinertia", info.inertia, 6); // xx yy zz xy xz yz, as ours
        } else {
            const double least[3] = {no_mass, no_mass, no_mass};
            add_numbers("mass", least, 1);
            add_numbers("diaginertia", least, 3);
        }
        out_ << "/>";
    }

    const aplomb_figure* figure_;
    const lay::LayFigure& shape_;
    std::ostringstream out_;
};

struct DeleteModel {
    void operator()(mjModel* model) const { mj_deleteModel(model); }
};
struct DeleteData {
    void operator()(mjData* data) const { mj_deleteData(data); }
};

/// The model with its state; joints keep our numbers.
class MujocoFigure {
public:
    MujocoFigure(const aplomb_figure* figure, const lay::LayFigure& shape, const std::string& path) {
        std::ofstream(path) << ModelText(figure, shape).text();
        char error[1000] = "";
        model_.reset(mj_loadXML(path.c_str(), nullptr, error, sizeof error));
        if (!model_) throw std::runtime_error(error);
        data_.reset(mj_makeData(model_.get()));
        for (int32_t j = 0; j < shape.count(); ++j)
            body_.push_back(mj_name2id(model_.get(), mjOBJ_BODY, body_name(j).c_str()));
    }

    /// Sets the root's translation and every joint's rotation (x, y, z, w), and places everything.
    void pose(const double* translations, const double* rotations) {
        coordinates(translations, rotations, data_->qpos);
        mj_kinematics(model_.get(), data_.get());
        mj_comPos(model_.get(), data_.get());
        jacobian_.resize(3 * static_cast<size_t>(model_->nv));
        mj_jacSubtreeCom(model_.get(), data_.get(), jacobian_.data(), body_[0]);
    }
    /// At a pose between two others that are so many seconds apart: the centre's velocity, and the angular momentum about
    /// it.
    struct Poses {
        const double *translations, *rotations;
    };
    void move(const Poses& before, const Poses& now, const Poses& after, double seconds, double* velocity,
              double* momentum) {
        std::vector<double> from(static_cast<size_t>(model_->nq)), to(from.size());
        coordinates(before.translations, before.rotations, from.data());
        coordinates(after.translations, after.rotations, to.data());
        mj_differentiatePos(model_.get(), data_->qvel, seconds, from.data(), to.data());
        pose(now.translations, now.rotations);
        mj_comVel(model_.get(), data_.get());
        mj_subtreeVel(model_.get(), data_.get());
        for (int i = 0; i < 3; ++i) {
            velocity[i] = data_->subtree_linvel[3 * body_[0] + i];
            momentum[i] = data_->subtree_angmom[3 * body_[0] + i];
        }
    }
    double total_mass() const { return mj_getTotalmass(model_.get()); }
    const double* centre() const { return data_->subtree_com + 3 * body_[0]; }
    /// Principal moments of a segment; all alike where ours break A + B >= C.
    const double* moments(int32_t joint) const { return model_->body_inertia + 3 * at(joint); }
    /// World rotation of a joint, row-major.
    const double* rotation(int32_t joint) const { return data_->xmat + 9 * at(joint); }
    /// How the centre of mass follows a joint: 3x3, row-major, per angular velocity in the joint's own frame;
    /// or, `linear`, per velocity of the root.
    void centre_rate(int32_t joint, bool linear, double* out) const {
        const int first = model_->body_dofadr[at(joint)] + (joint == 0 && !linear ? 3 : 0);
        for (int row = 0; row < 3; ++row)
            for (int k = 0; k < 3; ++k)
                out[3 * row + k] = jacobian_[static_cast<size_t>(row * model_->nv + first + k)];
    }

private:
    void coordinates(const double* translations, const double* rotations, double* qpos) const {
        for (int i = 0; i < 3; ++i)
            qpos[i] = translations[i];
        for (size_t j = 0; j < body_.size(); ++j) {
            const double* q = rotations + 4 * j;
            double* out = qpos + model_->jnt_qposadr[model_->body_jntadr[body_[j]]] + (j == 0 ? 3 : 0);
            out[0] = q[3], out[1] = q[0], out[2] = q[1], out[3] = q[2];
        }
    }
    int at(int32_t joint) const { return body_[static_cast<size_t>(joint)]; }

    std::unique_ptr<mjModel, DeleteModel> model_;
    std::unique_ptr<mjData, DeleteData> data_;
    std::vector<int> body_; // per joint
    std::vector<double> jacobian_;
};

} // namespace outside
