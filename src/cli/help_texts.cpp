// SPDX-License-Identifier: MIT
#include "cli/help_texts.h"

namespace aplomb::cli {

const char* const syntax_text = R"(
LOAD is one word, its parts set apart by commas:
  MASS        20kg, or 30% of the body's mass
  PLACE       left-hand, right-hand, hands (midway between the palms), back
              (the chest joint), or the name of a joint
  WAY=METRES  left, right, up, down, forward, behind: from there to the load's
              middle, as the hips face. hang=0.35: it hangs from there instead,
              its middle so far below
  size=AxBxC  metres across, high and deep [a third of the leg's length]
  level=PART  of the chest's turn that an arm gives back under it
  frames=FIRST..LAST, pick-up=SECONDS, put-down=SECONDS
              with --frames: in which it is carried [all], and how long its
              weight takes to come over and to go [by its mass]. One of the same
              mass that starts on the frame after is the same, handed over

PULL is one word, too:
  FORCE       150N, steady, as a rope or a wind has it
  PLACE       as for a load; hands take half each
  WAY[=PART]  left, right, up, down, forward, behind: where it pulls to, as the
              hips face; of several the parts are added, as in forward,up=0.2

STANCE is PART=WORD, or several with commas between:
  PART        left-foot, right-foot, left-hand, right-hand, fore-left,
              fore-right, or the name of the joint at the limb's end
  WORD        bearing, held (keeps its place while its joints allow), free; or, for
              a foot that bears, flat, ball, heel
  WORD:FIRST..LAST
              with --frames: in these frames, as left-foot=flat:12..40. A limb
              that is spoken of stands in the given ranges alone
  PART        seat, left-knee, right-knee, left-elbow, right-elbow, or the name of
              any other joint: what is under it
  WORD        bearing: where its skin is lowest, or as thick as a body's part is; or
              so many METRES below its joint, as left-knee=0.06. A seat or a knee
              that bears keeps the hips where they are
)";

const char* const keep_text = R"(
--keep may be given several times. hips: no shift of the hips; turn: no turn of
the hips; spine; neck: the head rides along with the chest instead of being
kept level; or the name of a joint of spine, neck, head or shoulder girdle.
)";

const char* const read_exit_text = R"(
Exit status: 0 in balance, 1 out of balance, 2 wrong use or a file that cannot
be used.)";

const char* const balance_exit_text = R"(
Exit status: 0 brought into balance, 1 balance is out of reach or the solver
stopped before it was sure, 2 wrong use or a file that cannot be used.)";

const char* const inspect_text = R"(
Examples:
  What the beekeeper's figure is made of:
    aplomb inspect beekeeper.bvh
  The same as a file that can be edited and is found again beside the character:
    aplomb inspect beekeeper.bvh --mass 82 --write beekeeper.bvh.figure.json

Exit status: 0, 1 for a figure that cannot stand, 2 for wrong use or a file
that cannot be used.)";

const char* const read_text = R"(
Examples:
  Does the beekeeper stand with a full honey box at the belly?
    aplomb read beekeeper.bvh --frame 0 --load 22kg,hands
  What does the pose with the bucket of syrup read as?
    aplomb read beekeeper.bvh --frame 1 --load 12kg,right-hand,hang=0.35
  A shot: what stands, what falls, what the honey box reads as, on a page:
    aplomb read beekeeper_shots.glb --clip carry --frames all \
        --load 22kg,hands,frames=66..208 --page carry.html
  A hive on a back frame, drawn:
    aplomb read beekeeper.bvh --load 25kg,back,behind=0.25 --picture hive.svg
  Wind from the left; and a stool under the seat that bears, too:
    aplomb read beekeeper.bvh --pull 80N,back,right
    aplomb read beekeeper.bvh --stance seat=bearing --picture stool.svg
  The same on a page, with what the hive could weigh:
    aplomb read beekeeper.bvh --load 25kg,back,behind=0.25 --page hive.html
)";

const char* const balance_text = R"(
Examples:
  A full honey box at the belly, before and after in one picture:
    aplomb balance beekeeper.bvh --frame 0 --load 22kg,hands \
        --out box.bvh --picture box.svg
  A bucket of syrup that weighs a fifth of its carrier, hips as keyed:
    aplomb balance beekeeper.bvh --frame 1 \
        --load 20%,right-hand,hang=0.35 --keep hips --out bucket.bvh
  A hive on a back frame while the left foot is over a log:
    aplomb balance beekeeper.bvh --frame 2 --load 25kg,back,behind=0.25 \
        --out hive.bvh --picture hive.svg --page hive.html
  The bucket again, with seven tenths of the weight on the left foot:
    aplomb balance beekeeper.bvh --frame 1 --load 12kg,right-hand,hang=0.35 \
        --share left-foot=70%
  A cart that both hands draw, and a rope that pulls the right one back:
    aplomb balance beekeeper.bvh --pull 120N,hands,behind,down=0.2 --page cart.html
    aplomb balance beekeeper.bvh --pull 150N,right-hand,behind --page rope.html
  A whole shot, written once, with the control values of every frame as a table:
    aplomb balance beekeeper_shots.glb --clip carry --frames all \
        --load 22kg,hands,frames=66..208 --out carried.glb --csv > carried.csv
  The same as a blocking pass, each key alone:
    aplomb balance beekeeper_shots.glb --clip carry --frames all --blocking \
        --load 22kg,hands,frames=66..208 --page blocked.html
)";

const char* const fit_text = R"(
PAIRS is a JSON file:
  { "aplomb_pairs": 1,
    "keyed": { "file": "keys.glb" }, "by_hand": { "file": "corrected.glb" },
    "pairs": [ { "clip": "honey box", "load": "22kg,hands" },
               { "keyed": { "clip": "lift", "frame": 3 },
                 "by_hand": { "clip": "lift by hand", "frame": 3 },
                 "load": ["5kg,left-hand", "5kg,right-hand"] } ] }
file, clip, frame and time of the keyed pose and of the one by hand: in "keyed" and
"by_hand" of a pair, else in the pair, else in those of the list, else in the list.
load, pull, stance, hold, share and gravity: as 'aplomb balance' takes them, of a
pair, else of the list. Files are named from the list's folder; all of them hold
the same figure. Pairs count from 0.

Examples:
  What eight corrected poses tell, and the next shot in that manner:
    aplomb fit pairs.json --out manner.json
    aplomb balance shot.glb --manner manner.json --load 22kg,hands --out done.glb

Exit status: 0, 1 where the pairs tell nothing, 2 for wrong use or a file that
cannot be used.)";

const char* const follow_text = R"(
CHAIN is one word, its parts set apart by commas:
  WHICH          tail, arm, neck, strap, antenna, ear, hair, belly: those that the
                 figure has; or JOINT..JOINT: the joints on the way out from the
                 first to the last
  kind=KIND      one of these words; its numbers hold where none are given
  stiffness=S    held out level it would sag by 1/S radians: tail 4, loose 2
  damping=PART   of critical: tail 35%
  limit=DEGREES  that a joint turns from its key
  own=PART       how much of the keyed motion drives it; 0: what --keyed differs
                 by alone [0 for chains with keys of their own, else 100%]
  rigid          driven as if it were stiff: for arms that are keyed stiff

LOAD is one word, as 'aplomb read --help' says. hang=METRES in one hand: it swings,
and that arm stays quiet. frames=FIRST..LAST: it arrives and leaves, and knees and
hips give; drop=METRES: it falls so far into the arms, which give first.

Examples:
  A fox's tail, loose, as tracks of its own in a further clip of the file:
    aplomb follow fox.glb --unit 0.01 --clip Walk --loop \
        --chain tail,stiffness=2,own=100%,rigid --out swings.glb --page swings.html
  A bucket of syrup on a walk, drawn:
    aplomb follow walk.bvh --load 12kg,right-hand,hang=0.35 --page bucket.html
  The same, over the feet, with the pull that the bucket really has:
    aplomb follow walk.bvh --load 12kg,right-hand,hang=0.35 --balance --out walks.bvh
  A box that falls 0.3 m into the arms in frame 24 and stays:
    aplomb follow standing.bvh --load 15kg,hands,frames=24..95,drop=0.3 --page box.html
  What a correction does to head and arms, as curves:
    aplomb follow corrected.bvh --keyed beekeeper.bvh --csv

Exit status: 0, 2 for wrong use or a file that cannot be used.)";

const char* const dots_text = R"(
Dots:
  crown, chin, neck, and left and right shoulder, elbow, wrist, hip, knee, ankle, toe: 6 or more of them, in pixels of
  the drawing, y down; left and right are the figure's own. A CSV has a line NAME,X,Y for each. A JSON has
    {"image": "lift.png", "build": "adult", "dots": {"crown": [412, 96], "left knee": [398, 640], ...}}
  and beside them, where they are known: build adult, child or toddler; stature in metres; mass in kg; size of the picture
  [width, height]; noise, how far a dot may be off, of the stature [0.01]; keep, how many answers at most [8]; camera: tilt
  (degrees that it looks down), angle (of view from top to bottom, degrees; without it parallel) and height in metres.
  A picture has no depth: both ways of each limb are tried, and what the answers leave open is said.

Examples:
  aplomb dots lift.json --image lift.png --picture over.svg
  aplomb dots lift.csv --load 15kg,hands --page lift.html --figure lift.bvh

Exit status: 0 in balance as drawn, 1 not, 2 wrong use.)";

const char* const timing_text = R"(
THING and what it needs:
  fall      --height. sqrt(2 height / gravity): free fall from rest
  bounce    --height --restitution [--count]. Each landing gives back this part of
            the speed, so its square of the height (Newton's law of restitution)
  pendulum  --length [--angle] [--frames]. 2 pi sqrt(length / gravity) / M(1,
            cos(angle / 2)), M the arithmetic-geometric mean (NIST Digital Library
            of Mathematical Functions, 19.8). --frames of a step: says when steps
            would feed the swing
  step      --leg --frames --other. frames sqrt(other / leg): equal Froude numbers
            (R. McN. Alexander and A. Jayes, J. Zool. 201, 1983)
  settle    --frequency --damping [--part]. The last time that a damped swing is so
            far out, of where it was let go from (by its last crossing)

Examples:
  A bucket that falls from a table, at 24 frames a second:
    aplomb timing fall --height 0.75
  A giant of 3.1 m legs walks as a man does in 24 frames a step:
    aplomb timing step --leg 0.9 --frames 24 --other 3.1

Exit status: 0, 2 for wrong use.)";

} // namespace aplomb::cli
