// SPDX-License-Identifier: MIT
#include "io/gltf_fit.h"

#include <algorithm>
#include <cmath>

#include "io/gltf_track.h"

namespace aplomb::io {
namespace {

constexpr int rounds = 3;           // a turn between keys is not just the sum of the turns at them
constexpr double free_value = 1e-9; // holds an unknown that no moment tells of
constexpr double free_tangent = 1e-4;
constexpr double held = 1e12;    // holds an unknown that has to stay
constexpr double same = 1e-9;    // of 1 or of a value's size, the larger: closer than a file holds it
constexpr std::size_t reach = 3; // unknowns that a moment ties together follow one another

using Row = std::array<double, reach + 1>;

/// The factors of the unknowns from `first` on at a moment: of each key its value, in a cubic track its tangent as well.
struct Takes {
    std::size_t first = 0, count = 0;
    Row part{};
};

Takes takes_at(const Track& track, double seconds) {
    const std::size_t each = track.interpolation == Interpolation::cubic ? 2 : 1;
    const auto later = std::upper_bound(track.times.begin(), track.times.end(), seconds);
    const auto after = static_cast<std::size_t>(later - track.times.begin());
    if (after == 0 || after == track.times.size() || track.interpolation == Interpolation::step)
        return {each * (after == 0 ? 0 : after - 1), 1, {1}};
    const double from = track.times[after - 1], length = track.times[after] - from,
                 u = (seconds - from) / length;
    if (each == 1) return {after - 1, 2, {1 - u, u}};
    const double u2 = u * u, u3 = u2 * u;
    return {2 * (after - 1),
            4,
            {2 * u3 - 3 * u2 + 1, (u3 - 2 * u2 + u) * length, 3 * u2 - 2 * u3, (u3 - u2) * length}};
}

/// Normal equations in which each unknown has few neighbours, solved by Cholesky's factor.
class NormalEquations {
public:
    explicit NormalEquations(std::size_t size) : m_row(size), m_right(size) {}
    void hold(std::size_t i, double weight) { m_row[i][0] += weight; }
    void add(const Takes& takes, const Vec3& wished) {
        for (std::size_t i = 0; i < takes.count; ++i) {
            for (std::size_t j = 0; j <= i; ++j)
                m_row[takes.first + i][i - j] += takes.part[i] * takes.part[j];
            m_right[takes.first + i] += wished * takes.part[i];
        }
    }
    std::vector<Vec3> solve() {
        const std::size_t n = m_row.size();
        for (std::size_t i = 0; i < n; ++i) {
            for (std::size_t back = std::min(i, reach) + 1; back-- > 0;) {
                const std::size_t j = i - back;
                double sum = m_row[i][back];
                for (std::size_t k = i - std::min(i, reach); k < j; ++k)
                    if (j - k <= reach) sum -= m_row[i][i - k] * m_row[j][j - k];
                m_row[i][back] = back == 0 ? std::sqrt(std::max(sum, 1e-300)) : sum / m_row[j][0];
            }
            for (std::size_t back = 1; back <= std::min(i, reach); ++back)
                m_right[i] -= m_right[i - back] * m_row[i][back];
            m_right[i] = m_right[i] / m_row[i][0];
        }
        for (std::size_t i = n; i-- > 0;) {
            for (std::size_t ahead = 1; ahead <= reach && i + ahead < n; ++ahead)
                m_right[i] -= m_right[i + ahead] * m_row[i + ahead][ahead];
            m_right[i] = m_right[i] / m_row[i][0];
        }
        return m_right;
    }

private:
    std::vector<Row> m_row; // its own, then those before
    std::vector<Vec3> m_right;
};

Quat quat(const double* v) {
    return {v[0], v[1], v[2], v[3]};
}

/// The change from what the track is at a moment to what it has to be.
Vec3 wished(const Track& track, double seconds, const Sample& value) {
    const Sample now = sample(track, seconds);
    if (track.width == 3) return {value[0] - now[0], value[1] - now[1], value[2] - now[2]};
    Quat turn = normalized(quat(value.data()) * conjugate(normalized(quat(now.data()))));
    if (turn.w < 0) turn = {-turn.x, -turn.y, -turn.z, -turn.w};
    return log_rotation(turn);
}

void put(const Quat& q, double* out) {
    out[0] = q.x, out[1] = q.y, out[2] = q.z, out[3] = q.w;
}

/// Changes a key by `change`, and each of its tangents by `rate`.
void move_key(Track& track, std::size_t key, const Vec3& change, const Vec3& rate) {
    double* value = &track.values[track.at(key, 1)];
    const bool cubic = track.interpolation == Interpolation::cubic;
    double* tangents[2] = {cubic ? &track.values[track.at(key, 0)] : nullptr,
                           cubic ? &track.values[track.at(key, 2)] : nullptr};
    if (track.width == 3) {
        for (int a = 0; a < 3; ++a) {
            value[a] += change[a];
            for (double* tangent : tangents)
                if (tangent != nullptr) tangent[a] += rate[a];
        }
        return;
    }
    const Quat turn = exp_rotation(change), now = normalized(turn * quat(value));
    put(now, value);
    const Quat spin = Quat{rate.x / 2, rate.y / 2, rate.z / 2, 0} * now;
    for (double* tangent : tangents) {
        if (tangent == nullptr) continue;
        const Quat turned = turn * quat(tangent);
        put({turned.x + spin.x, turned.y + spin.y, turned.z + spin.z, turned.w + spin.w}, tangent);
    }
}

/// Which keys have to move: those at whose moments, or between whose neighbouring moments, the track has to change.
std::vector<char> keys_to_move(const Track& track, const std::vector<double>& seconds,
                               const std::vector<Sample>& values) {
    std::vector<char> differs;
    for (std::size_t f = 0; f < seconds.size(); ++f) {
        const Sample& v = values[f];
        const double size = std::max(1.0, std::sqrt(v[0] * v[0] + v[1] * v[1] + v[2] * v[2] + v[3] * v[3]));
        differs.push_back(norm(wished(track, seconds[f], v)) > same * size);
    }
    std::vector<char> moves;
    for (const double key : track.times) {
        const double near = same_moment(key);
        const auto from = std::lower_bound(seconds.begin(), seconds.end(), key - near);
        const auto to = std::upper_bound(seconds.begin(), seconds.end(), key + near);
        auto first = from - seconds.begin(), last = to - seconds.begin();
        if (from == to)
            first = std::max<std::ptrdiff_t>(first - 1, 0),
            last = std::min<std::ptrdiff_t>(last + 1, std::ssize(seconds));
        moves.push_back(
            std::any_of(differs.begin() + first, differs.begin() + last, [](char d) { return d != 0; }));
    }
    return moves;
}

} // namespace

Track fitted(Track track, const std::vector<double>& seconds, const std::vector<Sample>& values) {
    const std::size_t keys = track.times.size();
    const std::size_t each = track.interpolation == Interpolation::cubic ? 2 : 1;
    const std::vector<char> moves = keys_to_move(track, seconds, values);
    for (int round = 0; round < rounds; ++round) {
        NormalEquations equations(each * keys);
        for (std::size_t key = 0; key < keys; ++key) {
            equations.hold(each * key, moves[key] != 0 ? free_value : held);
            if (each == 2) equations.hold(2 * key + 1, moves[key] != 0 ? free_tangent : held);
        }
        for (std::size_t f = 0; f < seconds.size(); ++f)
            equations.add(takes_at(track, seconds[f]), wished(track, seconds[f], values[f]));
        const std::vector<Vec3> moved = equations.solve();
        for (std::size_t key = 0; key < keys; ++key)
            if (moves[key] != 0)
                move_key(track, key, moved[each * key], each == 2 ? moved[2 * key + 1] : Vec3{});
    }
    return track;
}

} // namespace aplomb::io
