// SPDX-License-Identifier: MIT
// The spline by which the recorded gait's model lets a knee roll.
#pragma once

#include <cstddef>
#include <utility>
#include <vector>

namespace recorded {

/// A cubic spline whose ends continue the cubic through the four outermost points: G. Forsythe, M. Malcolm and
/// C. Moler, Computer Methods for Mathematical Computations, 1977, chapter 4.
class Spline {
public:
    Spline() = default;
    Spline(std::vector<double> x, std::vector<double> y) : m_x(std::move(x)), m_y(std::move(y)) {
        const std::size_t n = m_x.size();
        std::vector<double> diagonal(n);
        m_d.resize(n), m_c.resize(n);
        m_d[0] = m_x[1] - m_x[0], m_c[1] = (m_y[1] - m_y[0]) / m_d[0];
        for (std::size_t i = 1; i + 1 < n; ++i) {
            m_d[i] = m_x[i + 1] - m_x[i], diagonal[i] = 2 * (m_d[i - 1] + m_d[i]);
            m_c[i + 1] = (m_y[i + 1] - m_y[i]) / m_d[i], m_c[i] = m_c[i + 1] - m_c[i];
        }
        diagonal[0] = -m_d[0], diagonal[n - 1] = -m_d[n - 2];
        m_c[0] =
            (m_c[2] / (m_x[3] - m_x[1]) - m_c[1] / (m_x[2] - m_x[0])) * m_d[0] * m_d[0] / (m_x[3] - m_x[0]);
        m_c[n - 1] = -(m_c[n - 2] / (m_x[n - 1] - m_x[n - 3]) - m_c[n - 3] / (m_x[n - 2] - m_x[n - 4])) *
                     m_d[n - 2] * m_d[n - 2] / (m_x[n - 1] - m_x[n - 4]);
        for (std::size_t i = 1; i < n; ++i) {
            const double t = m_d[i - 1] / diagonal[i - 1];
            diagonal[i] -= t * m_d[i - 1], m_c[i] -= t * m_c[i - 1];
        }
        m_c[n - 1] /= diagonal[n - 1];
        for (std::size_t i = n - 1; i-- > 0;)
            m_c[i] = (m_c[i] - m_d[i] * m_c[i + 1]) / diagonal[i];
    }
    double operator()(double x) const {
        std::size_t i = 0;
        while (i + 2 < m_x.size() && x > m_x[i + 1])
            ++i;
        const double h = m_d[i], t = x - m_x[i],
                     slope = (m_y[i + 1] - m_y[i]) / h - h * (m_c[i + 1] + 2 * m_c[i]);
        return m_y[i] + t * (slope + t * (3 * m_c[i] + t * (m_c[i + 1] - m_c[i]) / h));
    }

private:
    std::vector<double> m_x, m_y, m_c, m_d;
};

} // namespace recorded
