/* SPDX-License-Identifier: MIT */
#ifndef HASH_H
#define HASH_H

#include <stdint.h>

/* The hash of everything that `count` seeded solves, readings and steps give, bit by bit. */
uint64_t hash_of_solves(uint32_t count);

#endif
