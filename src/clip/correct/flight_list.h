// SPDX-License-Identifier: MIT
// Which frames of a clip fly: as they are given, or as it reads. They are counted by places, for a loop from where no flight
// lies over its seam.
#pragma once

#include "clip/correct/rounds.h"
#include "clip/moments.h"
#include "clip/track.h"

namespace aplomb {

/// In places.
struct Flight {
    int first, last;
    bool given;
    double gravity; // that the keys implied
};

class FlightList {
public:
    FlightList(const Shot& shot, const Figure& figure, const aplomb_clip_balance_options& options)
        : shot_(shot), figure_(figure), options_(options) {}

    void lay_out(Layout& layout);
    /// Refuses given flights in which something stands.
    aplomb_status refuse_contacts(const aplomb_clip_reading& reading, aplomb_error* error) const;
    /// Of the keyed clip. `track` goes from frames to places.
    aplomb_status find(const aplomb_clip_reading& reading, Track& track, aplomb_error* error);
    void turn(Track& track) const;

    int count() const { return count_; }
    const Flight& operator[](int k) const { return flights_[k]; }
    const Rounds& rounds() const { return rounds_; }
    /// With the times of places.
    const Shot& places() const { return places_; }
    /// From a frame to its place.
    Vec3 travel(int place) const { return rounds_.is_next(place) ? travel_ : Vec3{}; }
    /// What falls is the body with its loads, which are the same throughout.
    bool with_loads() const { return with_loads_; }

private:
    bool flies(const aplomb_clip_frame* frames, int frame) const;
    aplomb_status begin_rounds(const aplomb_clip_frame* frames, aplomb_error* error);
    void take_free_fall(const aplomb_clip_frame* frames, const Track& track, const aplomb_flight& found);
    bool find_over_seam(const aplomb_clip_frame* frames, const Track& track, aplomb_flight& flight) const;
    void take(const Track& track, int first, int last, bool given);
    bool has_steady_loads(int first, int last) const;

    const Shot& shot_;
    const Figure& figure_;
    const aplomb_clip_balance_options& options_;
    Rounds rounds_;
    Shot places_;
    Vec3 travel_; // in a round
    bool with_loads_ = true;
    int count_ = 0;
    Flight* flights_ = nullptr;
};

/// Checks the ranges by themselves; whether something stands in them is known once the clip is read.
aplomb_status check_flights(const aplomb_clip_balance_options& options, const aplomb_clip& clip,
                            aplomb_error* error);

} // namespace aplomb
