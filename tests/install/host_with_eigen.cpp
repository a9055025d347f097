// SPDX-License-Identifier: MIT
// A host that is built for AVX2 with fused operations and uses Eigen itself, linked to the static library: each must
// keep its own code. Prints what use.cpp prints.
#include <Eigen/Dense>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <vector>

#define main use_main
#include "use.cpp"
#undef main

namespace {

bool hosts_own_work_is_right() {
    const Eigen::MatrixXd a = Eigen::MatrixXd::Identity(24, 24) * 3 + Eigen::MatrixXd::Constant(24, 24, 0.25);
    const Eigen::VectorXd b = Eigen::VectorXd::LinSpaced(24, -1, 1);
    const Eigen::VectorXd x = a.ldlt().solve(b);
    std::vector<double> sorted(x.data(), x.data() + x.size());
    std::sort(sorted.begin(), sorted.end());
    return (a * x - b).norm() < 1e-12 && std::abs(sorted.front() - x.minCoeff()) < 1e-15;
}

} // namespace

int main() {
    return hosts_own_work_is_right() ? use_main() : 2;
}
