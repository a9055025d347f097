/* SPDX-License-Identifier: MIT
 * A consumer of clip.h: reads the first clip of a character file. Argument: the character. */
#include <aplomb/clip.h>
#include <aplomb/files.h>
#include <stdio.h>
#include <stdlib.h>

int main(int count, char** words) {
    if (count != 2) return 2;
    aplomb_error error;
    aplomb_character* character = NULL;
    if (aplomb_character_open(words[1], NULL, &character, &error))
        return fprintf(stderr, "%s\n", error.message), 2;
    const aplomb_figure* figure = aplomb_character_figure(character);
    const size_t joints = (size_t)aplomb_figure_joint_count(figure);
    const int32_t frames = aplomb_character_key_times(character, 0, NULL, 0);
    double* times = malloc((size_t)frames * (1 + 7 * joints) * sizeof(double));
    double* translations = times + frames;
    double* rotations = translations + 3 * joints * (size_t)frames;
    aplomb_character_key_times(character, 0, times, frames);
    for (int32_t f = 0; f < frames; ++f)
        if (aplomb_character_pose(character, 0, times[f], translations + 3 * joints * (size_t)f,
                                  rotations + 4 * joints * (size_t)f, &error))
            return fprintf(stderr, "%s\n", error.message), 2;

    aplomb_clip clip;
    aplomb_clip_init(&clip, sizeof clip);
    clip.frame_count = frames;
    clip.times = times;
    clip.translations = translations;
    clip.rotations = rotations;
    aplomb_clip_reading* reading = NULL;
    if (aplomb_clip_read(figure, &clip, NULL, NULL, &reading, &error))
        return fprintf(stderr, "%s\n", error.message), 1;
    int32_t read = 0, stands = 0;
    aplomb_clip_frames(reading, &read);
    aplomb_clip_stances(reading, &stands);
    aplomb_clip_reading_destroy(reading);
    free(times);
    aplomb_character_close(character);
    return read == frames && stands > 0 ? 0 : 1;
}
