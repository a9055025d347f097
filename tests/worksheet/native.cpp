// SPDX-License-Identifier: MIT
// The desk in a build for this machine, to be compared with the module: reads calls from standard input, writes their
// replies to standard output. A call: its name, its numbers, how many bytes follow; a reply: its length, its bytes.
#include <cstdio>
#include <cstring>
#include <string>

#include "worksheet/desk.h"

namespace {

bool brought(unsigned size) {
    void* room = desk_room(size);
    return room != nullptr && std::fread(room, 1, size, stdin) == size;
}

int32_t called(const std::string& name, double first, int32_t second) {
    if (name == "desk_name") return desk_name();
    if (name == "desk_beside") return desk_beside();
    if (name == "desk_open") return desk_open();
    if (name == "desk_solve") return desk_solve(first, second);
    if (name == "desk_moments") return desk_moments();
    if (name == "desk_clip") return desk_clip();
    return desk_write(static_cast<int32_t>(first));
}

} // namespace

int main() {
    char name[32];
    double first = 0;
    int second = 0;
    unsigned size = 0;
    while (std::scanf("%31s %lf %d %u", name, &first, &second, &size) == 4 && std::getchar() == '\n') {
        if (std::strcmp(name, "desk_write") != 0 && !brought(size)) return 1;
        const int32_t length = called(name, first, second);
        const unsigned bytes = static_cast<unsigned>(length < 0 ? -length : length);
        std::printf("%d\n", length);
        std::fwrite(desk_reply(), 1, bytes, stdout);
    }
    return 0;
}
