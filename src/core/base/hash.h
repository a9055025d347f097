// SPDX-License-Identifier: MIT
// FNV-1a (G. Fowler, L. Noll, P. Vo) over numbers: the same on every machine.
#pragma once

#include <bit>
#include <cstdint>

namespace aplomb {

/// `Sum`: uint32_t or uint64_t.
template<class Sum>
class Hash {
public:
    void take(double value) { take_bytes(std::bit_cast<uint64_t>(value), 8); }
    void take_whole(int32_t value) { take_bytes(static_cast<uint32_t>(value), 4); }
    Sum sum() const { return sum_; }

private:
    static constexpr bool is_long = sizeof(Sum) == 8;
    static constexpr Sum prime = is_long ? static_cast<Sum>(UINT64_C(0x100000001b3)) : 16777619u;

    void take_bytes(uint64_t bits, int count) {
        for (int i = 0; i < count; ++i, bits >>= 8)
            sum_ = (sum_ ^ static_cast<Sum>(bits & 0xff)) * prime;
    }

    Sum sum_ = is_long ? static_cast<Sum>(UINT64_C(0xcbf29ce484222325)) : 2166136261u;
};

} // namespace aplomb
