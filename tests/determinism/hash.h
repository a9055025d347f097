/* SPDX-License-Identifier: MIT */
#ifndef HASH_H
#define HASH_H

#include <stdint.h>

/* The hash of everything that `count` seeded solves, readings and steps give, bit by bit. */
uint64_t hash_of_solves(uint32_t count);
/* The hash of what is said: figures described, whatever axis is up and forward, and `count` seeded readings and
 * explanations. 0 where a figure is described with axes that it was not given. */
uint64_t hash_of_words(uint32_t count);
/* The hash of `count` seeded characters whose chains follow and whose buckets swing. */
uint64_t hash_of_motion(uint32_t count);

#endif
