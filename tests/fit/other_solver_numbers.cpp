// SPDX-License-Identifier: MIT
// By hand: how far the answers' costs are above NLopt's. Arguments: drawings [50], manners [10], the first seed [1].
#include <cstdio>
#include <cstdlib>

#include "fit/drawing_other_solver.h"
#include "fit/manner_other_solver.h"

int main(int count, char** words) {
    const auto word = [&](int k, int usual) { return count > k ? std::atoi(words[k]) : usual; };
    const int drawings = word(1, 50), manners = word(2, 10), first = word(3, 1);
    int answers = 0;
    double most = 0;
    for (int k = 0; k < drawings; ++k) {
        const auto seed = static_cast<unsigned>(first + k);
        const made::drawing::Task task = made::noisy_task(k * 360.0 / drawings * aplomb::degree, seed);
        for (const double above : made::above_other_solver(task))
            ++answers, most = std::max(most, above);
    }
    std::printf("%d drawings from seed %d, %d answers: at most %.5f %% above NLopt's\n", drawings, first,
                answers, 100 * most);
    most = 0;
    for (int k = 0; k < manners; ++k)
        most = std::max(most, studio::above_other_solver(static_cast<uint64_t>(first + k), 6));
    std::printf("%d manners from seed %d: at most %.5f %% above NLopt's\n", manners, first, 100 * most);
}
