// SPDX-License-Identifier: MIT
#include "worksheet/desk.h"

#include <exception>
#include <map>
#include <new>
#include <string>

#include "worksheet/answer.h"
#include "worksheet/drawing.h"
#include "worksheet/open.h"

using namespace aplomb;
using namespace aplomb::worksheet;

namespace {

/// What is on the desk. One page has one.
struct Desk {
    std::string room, reply, name;
    std::map<std::string, std::string> beside;
    Character character;
    Answer answer;
    std::string sheet; // to which it is the answer
} desk;

int32_t reply_with(std::string text) {
    desk.reply = std::move(text);
    return static_cast<int32_t>(desk.reply.size());
}

int32_t refuse(int32_t status, const char* field, const std::string& message) {
    const Json error = {{"error",
                         {{"status", aplomb_status_text(static_cast<aplomb_status>(status))},
                          {"field", field},
                          {"message", message}}}};
    return -reply_with(error.dump(-1, ' ', Json::Broken::replaced));
}

/// Nothing that goes wrong leaves as an exception.
template<class Work>
int32_t answered(Work work) {
    try {
        return reply_with(work());
    } catch (const Error& error) {
        return refuse(error.detail.status, error.detail.field, error.detail.message);
    } catch (const std::bad_alloc&) {
        return refuse(APLOMB_OUT_OF_MEMORY, "", "Out of memory.");
    } catch (const std::exception& problem) {
        return refuse(APLOMB_BAD_ARGUMENT, "sheet", problem.what());
    }
}

const Character& opened() {
    if (!desk.character.handle) throw wrong("character", "No character is open.");
    return desk.character;
}

} // namespace

void* desk_room(uint32_t size) {
    try {
        desk.room = std::string(); // before it is asked for, not after
        desk.room.resize(size);
        return desk.room.data();
    } catch (const std::bad_alloc&) {
        const std::string file = desk.name.empty() ? "" : "'" + desk.name + "': ";
        refuse(APLOMB_OUT_OF_MEMORY, "bytes", file + "Out of memory.");
        return nullptr;
    }
}

const void* desk_reply() {
    return desk.reply.data();
}

int32_t desk_name() {
    return answered([] {
        desk.name = std::move(desk.room);
        return std::string("{}");
    });
}

int32_t desk_beside() {
    return answered([] {
        desk.beside[desk.name] = std::move(desk.room);
        return std::string("{}");
    });
}

int32_t desk_open() {
    const int32_t size = answered([] {
        Character character = open_character(desk.room, desk.name, desk.beside);
        std::string text = describe(character);
        desk.answer = Answer();
        desk.character = std::move(character);
        return text;
    });
    desk.room = std::string();
    desk.beside.clear();
    return size;
}

int32_t desk_solve(double room, int32_t skin) {
    return answered([&] {
        const Character& character = opened();
        // At rest the same sheet is drawn once more, with its skin.
        if (desk.answer.solved && desk.room == desk.sheet)
            return tell(character, desk.answer, room, skin != 0);
        Answer answer = solve(character, Json::parse(desk.room));
        std::string text = tell(character, answer, room, skin != 0);
        desk.answer = std::move(answer);
        desk.sheet = std::move(desk.room);
        return text;
    });
}

int32_t desk_moments() {
    return answered([] { return tell_moments(opened(), Json::parse(desk.room)); });
}

int32_t desk_clip() {
    return answered([] { return tell_clip(opened(), Json::parse(desk.room)); });
}

int32_t desk_write(int32_t what) {
    return answered([&] {
        if (!desk.answer.solved) throw wrong("sheet", "Nothing is solved yet.");
        return what == 0 ? corrected_file(opened(), desk.answer)
                         : drawn_file(opened(), desk.answer, what == 2);
    });
}
