// SPDX-License-Identifier: MIT
#include "stance/rule.h"

namespace aplomb {

bool touches(bool before, double height, double speed) {
    if (before) return height <= touch_rule.off_height && speed <= touch_rule.off_speed;
    return height < touch_rule.on_height && speed < touch_rule.on_speed;
}

aplomb_footing footing_of(bool heel, bool ball) {
    if (heel && ball) return APLOMB_FLAT;
    return heel ? APLOMB_ON_HEEL : APLOMB_ON_BALL;
}

} // namespace aplomb
