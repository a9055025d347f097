// SPDX-License-Identifier: MIT
// What every frame of a clip asks for before anything is solved: the keyed motion, how far the balance point in motion
// is from where it belongs, the shift that a body in motion would make towards it, and the ranges to correct.
#pragma once

#include "clip/correct/range.h"
#include "clip/smooth.h"
#include "clip/track.h"
#include "moment/key.h"
#include "support/standing.h"

namespace aplomb {

struct Asked {
    Vec3 centre, acceleration; // keyed, of figure and loads
    Vec3 need, due;            // p* - P(0), and d; world
    double margin = 0, margin_asked = 0;
    double exempt_part = 0;
    double lever = 0; // seconds^2: by how much a keyed acceleration moves the balance point
    double known = 1; // less near an end of a clip that moves there
    int exempt = -1;
    bool bears = false;
    bool at_end = false; // of a moving clip, where accelerations are not known
    bool gives = false;  // a knee gives under a load
    bool fault = false;
};

/// First and last frame.
struct Span {
    int first, last;
};

class Asking {
public:
    Asking(const Figure& figure, const Shot& shot, const aplomb_clip_balance_options& options,
           const aplomb_options& correction)
        : figure_(figure), shot_(shot), options_(options), correction_(correction),
          tasks_(options.run, options.run_user) {}

    void lay_out(Layout& layout);
    /// Takes the stances of a reading, and what it says of the clip's ends.
    void set_up(const aplomb_clip_reading& reading);
    aplomb_status find_motion(aplomb_error* error);
    aplomb_status find_needs(aplomb_error* error);
    /// The ranges to correct; at most half of all frames and one more.
    int find_ranges(Span* ranges) const;

    /// A frame's moment in the keyed motion, with the support's bounds and the rest point as far as the frame is not exempt;
    /// its aim is still that of the moment alone.
    aplomb_status bring(int t, const PoseRoom& room, Key& key, Support& support, Aim& aim, Carriage& carriage,
                        aplomb_error* error) const;
    /// All frames of a range, ready to be solved: their moments, and the aim that the moving body has.
    aplomb_status bring(const Span& span, const aplomb_options& options, Range& range,
                        aplomb_error* error) const;
    /// By how much swinging loads shift a moment's balance point, in its own axes.
    Vec2 swung(int t, const Key& key) const;
    const Asked& operator[](int t) const { return asked_[t]; }
    const BodyPlan& plan() const { return plan_; }
    bool is_ring() const { return options_.loop != 0 && shot_.count >= 3; }
    /// Seconds before a frame and, for `count`, after the last.
    double gap(int t) const;

private:
    aplomb_status make(int t, const Vec3& acceleration, const PoseRoom& room, Key& key,
                       aplomb_error* error) const;
    template<class Mass>
    void add_pressing(const Vec3* places, int first, int last, Mass mass);
    void find_accelerations();
    void find_unknown();
    void find_exempt();
    bool carries(int arm, int t) const;
    void find_hands(const aplomb_carry& carry, const Load& load);
    double from_taken(const aplomb_carry& carry, int t) const;
    void put_hands(int t, Carriage& carriage) const;
    double reach(int t) const;

    const Figure& figure_;
    const Shot& shot_;
    /// Calls visit(task, frame, error) for so many frames; returns the failure of the first frame that fails.
    template<class Visit>
    aplomb_status each(int frames, aplomb_error* error, const Visit& visit) const;

    const aplomb_clip_balance_options& options_;
    const aplomb_options& correction_;
    const Tasks tasks_;
    BodyPlan plan_{};
    PoseRoom room_[Tasks::most] = {}; // one for each task
    Asked* asked_ = nullptr;
    uint8_t* footing_[APLOMB_MAX_LIMBS] = {}; // per frame: 0, or aplomb_footing plus 1
    double* reaching_[APLOMB_MAX_LIMBS] = {}; // per frame, of arms: hands.cpp
    double* riding_ = nullptr;
    int some_foot_ = -1;
    Vec3 up_;                           // of the ground, the same in every frame
    double gravity_ = 0;                // against it, m/s^2
    Vec3* body_ = nullptr;              // centres of mass, without loads
    Vec3* load_[APLOMB_MAX_LOADS] = {}; // by `which`
    double* times_ = nullptr;
    Vec3* centres_ = nullptr;
    Smoother smoother_;
    double* gaps_ = nullptr;
    Swing* swing_ = nullptr;
    double* due_ = nullptr; // 3 per frame
    Filter filter_;
};

} // namespace aplomb
