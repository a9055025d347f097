/* SPDX-License-Identifier: MIT
 *
 * The desk: what the worksheet's page asks for, over the public C API. Texts and bytes go in through one place, desk_room;
 * what comes out is JSON (UTF-8) or bytes at desk_reply, until the next call. Each call returns the reply's length; below
 * zero it is the negative length of {"error": {"message", "field", "status"}}, and what was there before stays. */
#ifndef APLOMB_DESK_H
#define APLOMB_DESK_H

#include <stdint.h>

#if defined(__wasm__)
#define DESK_CALL(name) __attribute__((export_name(#name)))
#else
#define DESK_CALL(name)
#endif

#ifdef __cplusplus
extern "C" {
#endif

/** Where `size` bytes of the next call's text go; NULL: there is no memory for them. */
DESK_CALL(desk_room) void* desk_room(uint32_t size);
DESK_CALL(desk_reply) const void* desk_reply(void);

/** Takes the name of the file that the next call brings. */
DESK_CALL(desk_name) int32_t desk_name(void);
/** Takes a file that may lie beside a character: the buffers of a .gltf, a figure description. */
DESK_CALL(desk_beside) int32_t desk_beside(void);
/** Opens a character and forgets what lay beside it. Replies with what it is: figure, limbs, clips, places for a load,
 *  options of a correction. */
DESK_CALL(desk_open) int32_t desk_open(void);

/** Takes a sheet, JSON: clip (-1: the pose without motion), seconds, loads (mass in kg, place; forward, up, left in metres;
 *  hang in metres, or none), limbs (limb, does: "bearing", "held", "free", "flat", "ball", "heel"; share 0 to 1) and options
 *  (by name). What is not said is as the library has it. Replies with the correction: status, numbers and page_parts
 *  (aplomb_page_parts_memory). `room`: for the views of one pose, CSS pixels; 0: words alone. `skin`: 1: drawn with the
 *  file's own skin, where it has one. */
DESK_CALL(desk_solve) int32_t desk_solve(double room, int32_t skin);
/** Takes a sheet. Replies with the moments of all clips that are worth a line, as keyed: clip, seconds, frame, and parts or,
 *  of one that cannot be read, what is wrong. */
DESK_CALL(desk_moments) int32_t desk_moments(void);
/** Takes a sheet. Replies with its clip in motion: notes, and eight moments of it, drawn. */
DESK_CALL(desk_clip) int32_t desk_clip(void);
/** The bytes of a file about the last desk_solve. `what`: 0 the corrected character, 1 the picture, 2 the page. */
DESK_CALL(desk_write) int32_t desk_write(int32_t what);

#ifdef __cplusplus
}
#endif

#endif
