// SPDX-License-Identifier: MIT
#include "io/gltf_track.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>

namespace aplomb::io {
namespace {

Quat as_quat(const Sample& v) {
    return {v[0], v[1], v[2], v[3]};
}

std::size_t nearest_key(const Track& track, double seconds) {
    const auto& times = track.times;
    auto found = std::lower_bound(times.begin(), times.end(), seconds);
    if (found == times.end() || (found != times.begin() && seconds - *(found - 1) <= *found - seconds))
        --found;
    return static_cast<std::size_t>(std::lower_bound(times.begin(), times.end(), *found) - times.begin());
}

void append(Track& track, const Sample& value) {
    track.values.insert(track.values.end(), value.begin(),
                        value.begin() + static_cast<std::ptrdiff_t>(track.width));
}

void append_old_keys(const Track& old, std::size_t begin, std::size_t end, Track& track) {
    const auto times = old.times.begin();
    const auto values = old.values.begin();
    const std::size_t per_key = old.values.size() / old.times.size();
    track.times.insert(track.times.end(), times + static_cast<std::ptrdiff_t>(begin),
                       times + static_cast<std::ptrdiff_t>(end));
    track.values.insert(track.values.end(), values + static_cast<std::ptrdiff_t>(begin * per_key),
                        values + static_cast<std::ptrdiff_t>(end * per_key));
}

/// A time as a file holds it, rounded down: with a later one a reader at this very moment would miss a stepping track's step.
double time_in_file(double seconds) {
    const float time = static_cast<float>(seconds);
    return time > seconds ? std::nextafter(time, -std::numeric_limits<float>::infinity()) : time;
}

/// A key that the old track does not have. With the curve's own value and slope here, the rest of the curve stays as
/// it was.
void append_key_between(const Track& old, double seconds, Track& track) {
    track.times.push_back(time_in_file(seconds));
    const Sample value = sample(old, seconds);
    if (old.interpolation != Interpolation::cubic) return append(track, value);
    const bool inside = seconds > old.times.front() && seconds < old.times.back();
    const Sample tangent = inside ? slope(old, seconds) : Sample{};
    for (const Sample& part : {tangent, value, tangent})
        append(track, part);
}

/// Between the keys of a cubic track a rotation does not have unit length, but at a key it must. The tangents are scaled
/// with it, so that it turns as fast as before.
void to_unit_length(Track& track, std::size_t key) {
    const double* value = &track.values[track.at(key, 1)];
    const Quat q = {value[0], value[1], value[2], value[3]};
    const double length = std::sqrt(dot(q, q));
    for (std::size_t i = track.at(key, 0); i < track.values.size(); ++i)
        track.values[i] /= length;
}

/// Turns a cubic key's tangents with its value, so that the speed through the key stays what it was.
void turn_tangents(Track& track, std::size_t key, const Quat& old_value, const Quat& value) {
    const Quat turn = value * conjugate(normalized(old_value));
    for (const std::size_t part : {std::size_t{0}, std::size_t{2}}) {
        double* tangent = &track.values[track.at(key, part)];
        const Sample turned = as_sample(turn * Quat{tangent[0], tangent[1], tangent[2], tangent[3]});
        std::copy(turned.begin(), turned.end(), tangent);
    }
}

void set_value(Track& track, std::size_t key, Sample value) {
    double* slot = &track.values[track.at(key, 1)];
    if (track.width == 4) {
        const Quat old_value = {slot[0], slot[1], slot[2], slot[3]};
        // Of the two quaternions for one rotation, takes the one nearer to the track's.
        if (dot(as_quat(value), old_value) < 0)
            for (double& number : value)
                number = -number;
        if (track.interpolation == Interpolation::cubic) turn_tangents(track, key, old_value, as_quat(value));
    }
    std::copy(value.begin(), value.begin() + static_cast<std::ptrdiff_t>(track.width), slot);
}

} // namespace

double same_moment(double seconds) {
    return std::max(1e-5, std::fabs(seconds) * 2.5e-7);
}

Track with_keys(const Track& old, const std::vector<TrackKey>& keys) {
    Track track;
    track.interpolation = old.interpolation;
    track.width = old.width;
    track.channel = old.channel;
    std::size_t done = 0; // keys of the old track
    for (const TrackKey& key : keys) {
        const std::size_t nearest = nearest_key(old, key.seconds);
        const bool is_there = std::fabs(old.times[nearest] - key.seconds) <= same_moment(key.seconds);
        const auto later = std::upper_bound(old.times.begin(), old.times.end(), key.seconds);
        const std::size_t next = is_there ? nearest + 1 : static_cast<std::size_t>(later - old.times.begin());
        append_old_keys(old, done, next, track);
        done = next;
        if (!is_there) append_key_between(old, key.seconds, track);
        const std::size_t last = track.times.size() - 1;
        if (!is_there && track.width == 4) to_unit_length(track, last);
        if (key.value) set_value(track, last, *key.value);
    }
    append_old_keys(old, done, old.times.size(), track);
    return track;
}

Interpolation fresh_interpolation(const Clip& clip) {
    bool steps = false;
    for (const auto& [node, tracks] : clip.nodes)
        for (const std::optional<Track>& track : tracks.of) {
            if (!track) continue;
            if (track->interpolation != Interpolation::step) return Interpolation::linear;
            steps = true;
        }
    return steps ? Interpolation::step : Interpolation::linear;
}

Track fresh_track(const Clip& clip, std::size_t width, const std::vector<TrackKey>& keys,
                  const Sample& rest) {
    std::map<double, Sample> values;
    const auto& times = clip.key_times;
    for (const TrackKey& key : keys) {
        const double near = same_moment(key.seconds);
        const auto before = std::lower_bound(times.begin(), times.end(), key.seconds - near);
        const auto after = std::upper_bound(times.begin(), times.end(), key.seconds + near);
        if (before != times.begin()) values.emplace(*(before - 1), rest);
        if (after != times.end()) values.emplace(*after, rest);
    }
    for (const TrackKey& key : keys) {
        // A neighbour of one key may be another key.
        const double near = same_moment(key.seconds);
        values.erase(values.lower_bound(key.seconds - near), values.upper_bound(key.seconds + near));
        values.emplace(key.seconds, key.value.value_or(rest));
    }
    Track track;
    track.interpolation = fresh_interpolation(clip);
    track.width = width;
    for (const auto& [time, value] : values) {
        track.times.push_back(time);
        append(track, value);
    }
    return track;
}

} // namespace aplomb::io
