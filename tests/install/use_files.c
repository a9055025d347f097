/* SPDX-License-Identifier: MIT
 * A consumer of files.h: balances the first frame of a character file, writes it and a picture.
 * Arguments: character, the file to write, the picture to write. */
#include <aplomb/files.h>
#include <stdio.h>
#include <stdlib.h>

int main(int count, char** words) {
    if (count != 4) return 2;
    aplomb_error error;
    aplomb_character* character = NULL;
    if (aplomb_character_open(words[1], NULL, &character, &error))
        return fprintf(stderr, "%s\n", error.message), 2;
    const aplomb_figure* figure = aplomb_character_figure(character);
    const size_t joints = (size_t)aplomb_figure_joint_count(figure);
    double* translations = malloc(7 * joints * sizeof(double));
    double* rotations = translations + 3 * joints;
    aplomb_solver* solver = NULL;
    if (aplomb_solver_create(figure, NULL, &solver, &error) ||
        aplomb_character_pose(character, 0, 0, translations, rotations, &error))
        return fprintf(stderr, "%s\n", error.message), 2;

    aplomb_load box =
        aplomb_load_make(22, aplomb_figure_find_role(figure, APLOMB_ROLE_HAND, APLOMB_SIDE_LEFT));
    box.holder[1] = aplomb_figure_find_role(figure, APLOMB_ROLE_HAND, APLOMB_SIDE_RIGHT);
    aplomb_situation situation;
    aplomb_situation_init(&situation, sizeof situation);
    situation.translations = translations;
    situation.rotations = rotations;
    situation.loads = &box;
    situation.load_count = 1;
    aplomb_reading reading;
    aplomb_reading_init(&reading, sizeof reading);
    aplomb_status status = aplomb_balance(solver, &situation, NULL, translations, rotations, NULL, &error);
    if (status || aplomb_read(solver, &situation, NULL, &reading, &error) ||
        aplomb_character_write(character, 0, 0, translations, rotations, words[2], &error))
        return fprintf(stderr, "%s: %s\n", aplomb_status_text(status), error.message), 1;

    aplomb_picture picture;
    aplomb_picture_init(&picture, sizeof picture);
    picture.figure = figure;
    picture.situation = &situation;
    picture.before.translations = translations;
    picture.before.rotations = rotations;
    picture.before.reading = &reading;
    if (aplomb_picture_write(&picture, words[3], &error)) return fprintf(stderr, "%s\n", error.message), 1;
    aplomb_solver_destroy(solver);
    aplomb_character_close(character);
    free(translations);
    return reading.in_balance ? 0 : 1;
}
