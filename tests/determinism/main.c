/* SPDX-License-Identifier: MIT
 * Prints the hashes of as many solves, of the words on them, and of as many characters that follow, as the argument says. */
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>

#include "hash.h"

int main(int argc, char** argv) {
    const unsigned long count = argc > 1 ? strtoul(argv[1], NULL, 10) : 300;
    printf("%016" PRIx64 " %016" PRIx64 " %016" PRIx64 "\n", hash_of_solves((uint32_t)count),
           hash_of_words((uint32_t)count), hash_of_motion((uint32_t)count));
    return 0;
}
