// SPDX-License-Identifier: MIT
#include "oracle/clip_problem.h"

namespace clip_oracle {
namespace {

constexpr double tau = 0.15; // seconds, design section 6.2

Eigen::Matrix3d columns(const aplomb::Vec3& a, const aplomb::Vec3& b, const aplomb::Vec3& c) {
    Eigen::Matrix3d m;
    m << own::plain(a), own::plain(b), own::plain(c);
    return m;
}

/// Of the keyed pose; the model with nothing moved has arms where a load puts them. `still`: loads hang plumb.
Eigen::Vector3d keyed_centre(const aplomb::Figure& figure, const aplomb::Key& s, bool still) {
    Eigen::Vector3d sum = Eigen::Vector3d::Zero();
    double mass = 0;
    const auto add = [&](const Eigen::Vector3d& at, double m) { sum += at * m, mass += m; };
    for (int32_t j = 0; j < figure.joint_count; ++j) {
        const auto& world = s.body.world[j];
        add(own::plain(world.position) + own::plain(world.rotation) * own::plain(figure.joints[j].centre),
            figure.joints[j].mass);
    }
    for (int k = 0; k < s.load_count; ++k) {
        const Eigen::Vector3d hang = own::plain(s.load[k].hang),
                              plumb = own::plain(s.ground.gravity).normalized() * hang.norm();
        add(own::plain(s.load[k].centre) + (still ? plumb - hang : Eigen::Vector3d::Zero().eval()),
            s.load[k].mass);
    }
    return sum / mass;
}

} // namespace

ClipProblem::ClipProblem(Solved& solved)
    : times_(solved.times()), ring_(solved.options().loop != 0), unit_(0.01 * solved.figure().leg_length) {
    const size_t n = times_.size();
    gap_ = (times_.back() - times_.front()) / static_cast<double>(n - 1);
    frames_.resize(n);
    double all = 0;
    for (int t = 0; t < count(); ++t) {
        aplomb::Moment& m = solved.range[t];
        Frame& f = frames_[static_cast<size_t>(t)];
        const aplomb::Ground& g = m.key.ground;
        f.model = std::make_unique<own::JetModel>(solved.figure(), m.key, m.reduction, m.carriage,
                                                  own::plain(g.gravity - g.felt), own::Vector::Zero());
        f.problem = std::make_unique<own::JetProblem>(*f.model, solved.correction(), solved.figure(), m.key,
                                                      m.reduction, m.carriage, m.aim);
        f.size = m.reduction.variable_count;
        if (f.size > most || f.size != solved.range[0].reduction.variable_count)
            throw std::runtime_error("frames with other variables");
        for (int i = 0; i < m.reduction.limb_count; ++i) {
            const aplomb::FixedLimb& limb = m.reduction.limb[i];
            const double keyed = (own::plain(limb.span.end) - own::plain(limb.span.start)).norm();
            straight = straight || (!limb.holds_load && keyed > limb.span.most);
        }
        m.problem->evaluate(m.at);
        for (int i = 0; i < f.size; ++i) {
            f.sigma.push_back(m.reduction.sigma[i]);
            f.lowest.push_back(m.problem->lowest()[i]), f.highest.push_back(m.problem->highest()[i]);
        }
        for (int i = 0; i < m.problem->row_count(); ++i) {
            if (m.problem->row(i).kind != aplomb::RowKind::edge && m.at.row[i] < 1e5)
                f.rows.push_back(m.problem->row(i));
        }
        f.shift_axes = columns(g.fore, g.left, g.normal);
        f.turn_axes = own::plain(m.key.body.hips_from_neutral);
        f.to_own = (f.shift_axes.transpose() * frames_.front().shift_axes).topLeftCorner<2, 2>();
        for (int i = 0; i < m.support.bounds.count; ++i) {
            const aplomb::Vec2& normal = m.support.bounds.normal[i];
            f.edges.push_back({{normal.fore, normal.left}, m.support.bounds.bound[i]});
        }
        // T^2 = h / |n.(g - a)|; the ground feels n.(g - a).
        const double felt = -aplomb::dot(g.felt, g.normal), rest = -aplomb::dot(g.gravity, g.normal);
        f.keyed_centre = keyed_centre(solved.figure(), m.key, false);
        const double height =
            (keyed_centre(solved.figure(), m.key, true) - own::plain(g.origin)).dot(own::plain(g.normal));
        pressing_.push_back(felt / rest);
        known_.push_back(solved.asking[t].known);
        blocks_ = m.reduction.block_count;
        square_.push_back(solved.options().flow * height / rest);
        f.sway = solved.options().flow * height / felt;
        f.weight = is_end(t) ? gap_ / 2 + rest_of(t) : gap_;
        all += f.weight;
        first_.push_back(size_);
        size_ += f.size;
    }
    mean_ = all / count();
    for (Frame& f : frames_)
        f.weight /= mean_;
    find_targets(solved);
    find_motion();
}

Second ClipProblem::second(int t) const {
    const int n = count();
    if (is_end(t)) return {};
    const double w = 1 / (gap_ * gap_);
    return {{(t + n - 1) % n, t, (t + 1) % n}, {w, -2 * w, w}, 3};
}

/// The seconds that the rest beyond an open end is felt: a body that comes to rest there does so as exp(-t/T), sampled.
double ClipProblem::rest_of(int t) const {
    return std::sqrt((*this)[t].sway + gap_ * gap_ / 4);
}

Second ClipProblem::swing(int t) const {
    if (!is_end(t)) return second(t);
    const double w = 1 / (gap_ * (gap_ / 2 + rest_of(t)));
    return {{t, t == 0 ? 1 : t - 1, 0}, {-w, w, 0}, 2};
}

/// Near the ends of a moving clip what is not known is the mean of what frames within 7 T need, the nearer the more.
void ClipProblem::even_out(std::vector<Eigen::VectorXd>& needs) const {
    const std::vector<Eigen::VectorXd> own = needs;
    const int last = count() - 1;
    for (const int end : {0, last}) {
        const auto at = [&](int k) { return static_cast<size_t>(end == 0 ? k : last - k); };
        const double within = 7 * std::sqrt(square_[at(0)]);
        Eigen::VectorXd sum = Eigen::VectorXd::Zero(own.front().size());
        double all = 0;
        for (int k = 0; k <= last && k * gap_ < within; ++k) {
            const double weight = known_[at(k)] * (within - k * gap_);
            sum += weight * needs[at(k)], all += weight;
        }
        for (int k = 0; k <= last && known_[at(k)] < 1 && all > 0; ++k)
            needs[at(k)] = known_[at(k)] * needs[at(k)] + (1 - known_[at(k)]) / all * sum;
    }
}

/// (w - flow (part T)^2 D^2) d = w r; beyond an open end d nears the need there by a part of mu.
void ClipProblem::filter(std::vector<Eigen::VectorXd>& needs, double of_time) const {
    const int n = count();
    if (square_.front() == 0) return;
    even_out(needs);
    Eigen::MatrixXd a = Eigen::MatrixXd::Zero(n, n), need(n, needs.front().size());
    for (int t = 0; t < n; ++t) {
        const size_t k = static_cast<size_t>(t);
        const double per = of_time * of_time * square_[k] / (gap_ * gap_), beta = per / pressing_[k],
                     mu = 1 + 1 / (2 * beta) - std::sqrt(1 / beta + 1 / (4 * beta * beta));
        a(t, t) += pressing_[k] + 2 * per;
        need.row(t) = pressing_[k] * needs[k].transpose();
        for (const int other : {t - 1, t + 1}) {
            if (ring_ || (other >= 0 && other < n)) {
                a(t, (other + n) % n) -= per;
                continue;
            }
            // d beyond = r + mu (d - r)
            a(t, t) -= per * mu;
            need.row(t) += per * (1 - mu) * needs[k].transpose();
        }
    }
    const Eigen::MatrixXd d = a.partialPivLu().solve(need);
    for (int t = 0; t < n; ++t)
        needs[static_cast<size_t>(t)] = d.row(t).transpose();
}

void ClipProblem::find_targets(Solved& solved) {
    std::vector<Eigen::VectorXd> need, middle, ways; // ways home, and phi
    for (int t = 0; t < count(); ++t) {
        Frame& f = frames_[static_cast<size_t>(t)];
        need.push_back(own::plain(solved.asking[t].need));
        const std::vector<double> own = f.problem->middle();
        Eigen::VectorXd world = Eigen::Map<const Eigen::VectorXd>(own.data(), f.size);
        world.head<3>() = (f.shift_axes * world.head<3>()).eval();
        world.segment<3>(3) = (f.turn_axes * world.segment<3>(3)).eval();
        middle.push_back(world);
        const aplomb::Aim& aim = solved.range[t].aim;
        Eigen::VectorXd way(10);
        int at = 0;
        for (const aplomb::Vec2& from : {aim.own_point, solved.range[t].key.balance_point, aim.q}) {
            const aplomb::Vec2 v = aim.home - from;
            way.segment<3>(3 * at++) = f.shift_axes.col(0) * v.fore + f.shift_axes.col(1) * v.left;
        }
        way[9] = aim.phi;
        ways.push_back(way);
    }
    filter(need, 1);
    filter(ways, 1);
    // Within the trunk twice, in .45 of the time.
    std::vector<Eigen::VectorXd> within = middle;
    filter(middle, 1);
    for (int round = 0; round < 2; ++round)
        filter(within, .45);
    for (size_t t = 0; t < middle.size(); ++t) {
        const Eigen::Index trunk = 3 + 3 * solved.range[static_cast<int>(t)].reduction.block_count;
        middle[t].segment(3, trunk) = within[t].segment(3, trunk);
        const Eigen::Vector3d own = ways[t].segment<3>(0), more = ways[t].segment<3>(3) - own;
        const double part =
            more.squaredNorm() > 0 ? std::clamp(-own.dot(more) / more.squaredNorm(), 0., 1.) : 0;
        middle[t].head<3>() += ways[t][9] * (own + part * more - ways[t].segment<3>(6));
    }
    for (int t = 0; t < count(); ++t) {
        Frame& f = frames_[static_cast<size_t>(t)];
        aplomb::Moment& m = solved.range[t];
        const Eigen::VectorXd& due = need[static_cast<size_t>(t)];
        f.aim = {m.key.balance_point.fore + f.shift_axes.col(0).dot(due),
                 m.key.balance_point.left + f.shift_axes.col(1).dot(due)};
        off_aim = std::max(off_aim, norm(f.aim - m.aim.rest_point));
        Eigen::VectorXd& own = middle[static_cast<size_t>(t)];
        own.head<3>() = (f.shift_axes.transpose() * own.head<3>()).eval();
        own.segment<3>(3) = (f.turn_axes.transpose() * own.segment<3>(3)).eval();
        f.middle.assign(own.data(), own.data() + own.size());
        for (int i = 0; i < f.size; ++i) {
            const double theirs = m.problem->middle()[i] * f.sigma[static_cast<size_t>(i)];
            if (f.sigma[static_cast<size_t>(i)] > 0)
                off_middle = std::max(off_middle, std::fabs(own[i] - theirs));
        }
    }
}

/// tau^2 sqrt(cell) D^2 x / sigma: hips' shift and turn in the world, weighed along the frame's axes. The trunk's
/// bends count 3.8 times, to a side 1.6 times, the hips' height twice.
void ClipProblem::find_motion() {
    const int n = frames_.front().size;
    std::vector<double> scale(static_cast<size_t>(n), 0.0);
    for (const Frame& f : frames_) {
        for (size_t i = 0; i < scale.size(); ++i)
            scale[i] = std::max(scale[i], f.sigma[i]);
    }
    std::vector<Eigen::Triplet<double>> entries;
    int row = 0;
    for (int t = 0; t < count(); ++t) {
        const Second d = second(t);
        if (d.count == 0) continue;
        const double part = std::sqrt(gap_ / mean_) * tau * tau;
        for (int k = 0; k < d.count; ++k) {
            const Frame& f = (*this)[d.frame[k]];
            Eigen::MatrixXd m = Eigen::MatrixXd::Identity(n, n);
            m.topLeftCorner<3, 3>() = (*this)[t].shift_axes.transpose() * f.shift_axes;
            m.block<3, 3>(3, 3) = (*this)[t].turn_axes.transpose() * f.turn_axes;
            for (int i = 0; i < n; ++i) {
                if (!(scale[static_cast<size_t>(i)] > 0)) continue;
                const bool turns = i >= 3 && i < 6 + 3 * blocks_;
                const double times = i == 2 ? 2 : !turns ? 1 : i % 3 == 0 ? 3.8 : i % 3 == 2 ? 1.6 : 1;
                for (int j = 0; j < n; ++j) {
                    const double v = times * part * d.weight[k] * m(i, j) * f.sigma[static_cast<size_t>(j)] /
                                     scale[static_cast<size_t>(i)];
                    if (v != 0) entries.emplace_back(row + i, first(d.frame[k]) + j, v);
                }
            }
        }
        row += n;
    }
    motion_.resize(row, size_);
    motion_.setFromTriplets(entries.begin(), entries.end());
}

Plane ClipProblem::moved(int t, const std::vector<Plane>& ways) const {
    const Second d = swing(t);
    Plane sum = Plane::Zero();
    for (int k = 0; k < d.count; ++k)
        sum += d.weight[k] * ways[static_cast<size_t>(d.frame[k])];
    return -(*this)[t].sway * ((*this)[t].to_own * sum);
}

double ClipProblem::short_of(int t, const Plane& point, const std::vector<Plane>& ways) const {
    const Plane in_motion = point + moved(t, ways);
    double worst = 0;
    for (const auto& [normal, bound] : (*this)[t].edges)
        worst = std::max(worst, normal.dot(in_motion) - bound);
    return worst;
}

ClipProblem::Value ClipProblem::value(const std::vector<double>& y) const {
    Value v;
    std::vector<Plane> points, ways;
    for (int t = 0; t < count(); ++t) {
        const Frame& f = (*this)[t];
        const double* own = y.data() + first(t);
        const At<double> a = at<double>(t, own);
        for (const double r : a.residual)
            v.cost += f.weight * r * r / 2;
        for (const double r : a.row)
            v.violation = std::max(v.violation, -r);
        for (int i = 0; i < f.size; ++i) {
            const size_t k = static_cast<size_t>(i);
            if (f.sigma[k] > 0)
                v.violation = std::max({v.violation, f.lowest[k] - own[i], own[i] - f.highest[k]});
        }
        points.push_back(a.point), ways.push_back(a.way);
    }
    for (int t = 0; t < count(); ++t) {
        const double slack = short_of(t, points[static_cast<size_t>(t)], ways);
        v.slack = std::max(v.slack, slack);
        v.cost += (*this)[t].weight * price * slack / unit_;
    }
    v.cost += (motion_ * Eigen::Map<const Eigen::VectorXd>(y.data(), size_)).squaredNorm() / 2;
    return v;
}

} // namespace clip_oracle
