// SPDX-License-Identifier: MIT
// What of a pose is compared with an animator's: places and turns, in standard deviations of the defaults.
#pragma once

#include <array>
#include <vector>

#include "aplomb/fit.h"
#include "base/rotation.h"

namespace aplomb::fit {

struct Turned {
    Vec3 place;
    Quat turn;
};

class Measure {
public:
    explicit Measure(const aplomb_figure* figure);

    /// Where the compared joints are in a pose.
    using Shape = std::vector<Turned>;
    aplomb_status shape(const double* translations, const double* rotations, Shape& shape,
                        aplomb_error* error = nullptr) const;

    /// Axes (left, up, forward) as the hips of a pose face.
    using Axes = std::array<Vec3, 3>;
    Axes axes(const Shape& keyed) const;

    /// How many numbers are compared, and of which part each is.
    const std::vector<int>& parts() const { return parts_; }
    /// `answer` less `wanted`, parts().size() numbers.
    void difference(const Shape& answer, const Shape& wanted, const Axes& axes, double* values) const;

private:
    /// A span bent in the middle: places in the shape.
    struct Limb {
        int upper, lower, end, girdle;
        bool arm;
    };
    int keep(int32_t joint);
    void add(int part, int count);

    const aplomb_figure* figure_;
    aplomb_figure_info info_;
    std::vector<int32_t> joints_; // those that a shape has
    std::vector<Limb> limbs_;
    std::vector<int> parts_;
    int hips_ = -1, chest_ = -1, head_ = -1;
    Quat upright_; // of the hips in the neutral
    mutable std::vector<double> matrices_;
    double place_unit_, turn_unit_, knee_unit_, arm_unit_;
};

/// The default of an option.
double usual_of(const char* name);
/// Its place in the table.
int32_t option_index(const char* name);

} // namespace aplomb::fit
