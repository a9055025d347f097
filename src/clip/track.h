// SPDX-License-Identifier: MIT
// What a clip's frames are before anything is made of them: where the soles are, where the masses are. Metres, in the
// host's axes.
#pragma once

#include "aplomb/clip.h"
#include "base/block.h"
#include "base/vec.h"
#include "capi/handles.h"

namespace aplomb {

inline constexpr int max_parts = 2 * APLOMB_MAX_LIMBS;
enum PartOfSole { heel_part = 0, ball_part = 1 };

/// A clip that was checked, with what every later step asks of it.
struct Shot {
    aplomb_clip given{};
    const aplomb_figure* figure = nullptr;
    int count = 0;
    double unit = 1;                // metres per unit
    double leg = 0, walk_speed = 0; // metres; sqrt(g leg), metres per second
    double body_mass = 0;
    Vec3 up, gravity; // the ground's unit normal; m/s^2
    Vec3 ground_velocity;
    double* times = nullptr;

    /// Fills all but the times, for which there is no memory yet.
    void begin(const aplomb_figure& whose, const aplomb_clip& clip);
    void fill_times();
    const void* translations(int frame) const;
    const void* rotations(int frame) const;
    /// Sizes in bytes, for arrays that are laid out as the clip's are.
    size_t number_size() const { return given.floats ? sizeof(float) : sizeof(double); }
    size_t translations_stride() const { return stride(given.translations_stride, 3); }
    size_t rotations_stride() const { return stride(given.rotations_stride, 4); }

    /// Writes one frame into arrays that are laid out as the clip's are.
    void put_out(int frame, const void* places, const void* turns, void* translations, void* rotations) const;

private:
    size_t stride(size_t wished, size_t numbers) const;
};

/// One part of a sole in every frame.
struct PartTrack {
    bool exists = false;
    Vec3* place = nullptr;    // the middle of its points
    double* height = nullptr; // of the lowest of them
};

struct Track {
    PartTrack part[max_parts];           // 2 limb + PartOfSole
    double* give[APLOMB_MAX_LIMBS] = {}; // by how much a limb is shorter than straight
    Vec3* centre = nullptr;              // the body's own
    Vec3* momentum = nullptr; // angular, about that centre, from a frame to the next: one less than frames

    void lay_out(Layout& layout, const aplomb_figure& figure, size_t frames);
};

/// Masses, soles and memory to go through frames on one thread.
class Tracker {
public:
    void lay_out(Layout& layout, const aplomb_figure& figure);
    void set_up(const aplomb_figure& figure, double unit);
    /// Frames `first` to `last`, both included.
    aplomb_status run(const Shot& shot, int first, int last, Track& track, aplomb_error* error);

private:
    struct Mass {
        int joint = 0;
        double mass = 0;
        Vec3 local;
        Mat3 inertia;
    };
    struct Placed {
        Vec3 centre;
        Mat3 turn;
    };
    aplomb_status place(const Shot& shot, int frame, aplomb_error* error);

    int joints_ = 0, masses_ = 0;
    double unit_ = 1, total_ = 0;
    Mass* mass_ = nullptr;
    Placed* now_ = nullptr;
    Placed* before_ = nullptr;
    double* translations_ = nullptr;
    double* rotations_ = nullptr;
    double* worlds_ = nullptr;
    bool touches_[APLOMB_MAX_LIMBS][max_sole_points] =
        {}; // which points of a sole tell whether their part touches the ground
    Vec3 centre_;
};

/// The turn in a joint's matrix, 16 numbers column by column.
Mat3 turn_of(const double* matrix);

/// A limb with a sole; -1: there is none.
int some_foot(const Figure& figure);

/// Puts the frame's number in front of the error of a call on it.
aplomb_status at_frame(aplomb_status status, int frame, aplomb_error* error);

} // namespace aplomb
