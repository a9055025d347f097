// SPDX-License-Identifier: MIT
// One frame of a range that is corrected: the single pose's problem, with what ties it to its neighbours.
#pragma once

#include <new>

#include "clip/correct/filter.h"
#include "model/write.h"
#include "pose/problem.h"

namespace aplomb {

/// A T that is made once its memory is there and its parts are known; it needs no destructor.
template<class T>
class Made {
public:
    template<class... Given>
    void make(const Given&... given) {
        new (bytes_) T(given...);
    }
    T* operator->() { return std::launder(reinterpret_cast<T*>(bytes_)); }
    T& operator*() { return *operator->(); }
    const T* operator->() const { return std::launder(reinterpret_cast<const T*>(bytes_)); }
    const T& operator*() const { return *operator->(); }

private:
    alignas(T) unsigned char bytes_[sizeof(T)];
};

/// The first moment of figure and loads, about the ground's origin.
inline Vec3 first_moment_of(const Key& s) {
    Vec3 moment = s.body.first_moment - s.ground.origin * s.pressing.mass;
    for (int i = 0; i < s.load_count; ++i)
        moment += s.load[i].centre * s.load[i].mass;
    return moment;
}

/// The number of variables that frames have between them: those of one frame, and that of a level load, which not all carry.
inline constexpr int most_places = max_variables + 1;

struct Moment {
    int number = 0; // in the clip
    bool bears = false;
    double sway = 0; // flow T^2
    PoseRoom room{};
    Key key;
    Support support; // its bounds: of the moving balance point; none where nothing is asked
    Aim aim;         // the aim is that of the moving body
    Carriage carriage;
    Stiffness stiffness;
    Reduction reduction;
    Row* rows = nullptr;
    Wrench* wrench = nullptr; // one per link
    Evaluation at;
    Made<Model> model;
    Made<PoseProblem> problem;

    double weight = 1;                // of its cost
    int8_t place_of[max_variables];   // of each of its variables, among those of all frames
    bool has[most_places] = {};       // whether it has a variable at that place
    double part[most_places] = {};    // its sigma over the largest of all frames, as it counts for motion
    Mat3 shift_axes, turn_axes;       // of the hips' variables, columns in the world
    Vec2 keyed_centre;                // centre of mass on the ground, own axes
    Vec2 swung;                       // what swinging loads do to the balance point, own axes
    Vec2 given;                       // what held limbs that gave way add to `way`
    Vec2 way;                         // of the centre of mass since the key, in axes that all frames share
    Vec2 moved;                       // what that way does to the balance point in motion, own axes
    double* kept = nullptr;           // y of an answer that a further one may not reach
    double* way_gradient = nullptr;   // 2 lines of the frame's variables
    double* point_gradient = nullptr; // of the still balance point, own axes; 2 lines
    double* near_row = nullptr;       // gradients of limits near their bound
    int near_count = 0;
    int near_index[max_near_rows];
};

} // namespace aplomb
