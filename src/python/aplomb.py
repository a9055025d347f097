# SPDX-License-Identifier: MIT
"""Posed figures that carry weight: the aplomb library, from Python.

Given a keyed pose, the loads that it carries and the feet that stand, ``Solver.balance`` finds the smallest change of
hip shift and spine lean, inside the joint limits, that brings the common centre of mass back over the middle of the
feet. ``Solver.read`` says how a pose stands and what it reads as, and changes nothing.

    import aplomb
    figure = aplomb.Figure(parents, translations, names=names, total_mass=75)
    solver = aplomb.Solver(figure)
    keyed = figure.rest_pose()
    bucket = aplomb.Load(15, figure.find_role(aplomb.Role.HAND, aplomb.Side.RIGHT), hang=0.35)
    made = solver.balance(aplomb.Situation(keyed, [bucket]))
    if made.status == aplomb.Status.OK:
        use(made.pose.translations, made.pose.rotations)

This file is all there is: copy it anywhere, or put its folder on the path. It needs Python 3.8, nothing else, and the
shared library libaplomb.so.0.1; see ``load`` for where that is looked for.

Units and axes are those of aplomb.h: lengths in the host's own unit, right-handed axes unless a Figure is told
left_handed=1, kg, radians, newton;
quaternions x, y, z, w; a pose is 3 numbers of translation and 4 of rotation per joint, relative to the parent.

Numbers go in as any sequence (flat, or one row per joint) or as any buffer of doubles. Building arrays costs more than
a solve: keep a ``Pose`` and write into it, or pass a contiguous numpy array of float64, which is used where it
lies. ``numpy.frombuffer(pose.rotations).reshape(-1, 4)`` is the same memory as an array.

Failure raises ``Error``. A pose that was written but should be looked at first is not a failure: see ``Status``.

Threads: a Figure may be shared; a Solver is one thread's. Other Python threads run during a solve.
"""

import ctypes
import difflib
import enum
import glob
import itertools
import json
import operator
import os
from ctypes import POINTER, Structure, byref, c_char, c_char_p, c_double, c_int32, c_size_t, c_uint8, c_uint32, c_void_p

__all__ = ["load", "build_info", "Error", "Status", "Role", "Side", "Axis", "MassTable", "Origin", "Source",
           "LimbKind", "Hold", "FootSuggestion", "Footing", "Ride", "Free", "View", "Pose", "Figure", "Solver", "Correction", "Situation", "Load",
           "Contact", "Pull", "Options", "Reading", "Result", "Skin", "explain", "Character", "CharacterInfo", "Mesh",
           "AddedKey", "OwnKeys", "Camera", "DrawnPose", "Picture", "Cell", "Sheet", "write_sheets", "sheets_to_bytes",
           "Doubt", "Front", "JointInfo", "Knee", "LimbInfo", "FigureInfo", "OptionInfo", "option_table", "ContactReading",
           "LoadReading", "Cue", "HoldBack", "GaveWay", "Controls", "Pace", "StepState",
           "StanceRange", "Carry", "ClipFrame", "FallRange", "Flight", "FootStep", "ClipNote", "DrawnMoment", "ClipReading",
           "read_clip", "find_ground_velocity", "ExemptRange", "FlightRange", "BalancedFrame", "BalancedRange", "Arc",
           "BalancedClip", "balance_clip",
           "GivenFrame", "GivenClip", "give_clip",
           "ChainKind", "Chain", "find_chains", "Follow", "Follower", "Hanging", "HangingState", "HangingResult",
           "hanging_remark", "GiveKind", "Give", "Bounce", "fall_time", "bounce_time", "pendulum_time", "step_time",
           "settle_time", "write_motion",
           "MannerPart", "MannerNumber", "MannerPair", "MannerInfo", "Manner", "learn_manner", "read_manner", "write_manner",
           "Dot", "Build", "DrawingAnswer", "Drawing", "fit_drawing"]

# ---- Numbers of the C API ----------------------------------------------------------------------------------------


class Status(enum.IntEnum):
    """0: in balance. Above 0: a pose was written, but read the result first. Below 0: nothing was written; such a
    status is raised as Error and never returned."""
    OK = 0
    OUT_OF_REACH = 1
    NOT_CONVERGED = 2
    SETTLING = 3
    BAD_ARGUMENT = -1
    BAD_FIGURE = -2
    BAD_POSE = -3
    NO_SUPPORT = -4
    OUT_OF_MEMORY = -5
    WRONG_VERSION = -6
    BAD_FILE = -7
    CANNOT_OPEN = -8
    CANCELLED = -9


class Role(enum.IntEnum):
    """What a joint is for."""
    FROM_NAME = 0
    ROOT = 1
    HIPS = 2
    SPINE = 3
    NECK = 4
    HEAD = 5
    GIRDLE = 6
    UPPER_ARM = 7
    LOWER_ARM = 8
    HAND = 9
    THIGH = 10
    SHANK = 11
    FOOT = 12
    TOE = 13
    TAIL = 14
    PROP = 15
    HELPER = 16


class Side(enum.IntEnum):
    FROM_NAME = 0
    LEFT = 1
    RIGHT = 2
    MIDDLE = 3


class Axis(enum.IntEnum):
    X = 1
    Y = 2
    Z = 3
    MINUS_X = -1
    MINUS_Y = -2
    MINUS_Z = -3


class MassTable(enum.IntEnum):
    """Published body-segment tables."""
    DE_LEVA_MALE = 0
    DE_LEVA_FEMALE = 1
    DEMPSTER = 2
    CHILD = 3
    SKIN = 4


class Origin(enum.IntEnum):
    """Where a number came from."""
    GIVEN = 0
    PUBLISHED = 1
    FROM_MEMORY = 2
    SHAPE = 3


class Source(enum.IntEnum):
    """Where what is understood of a character file comes from."""
    STANDARD = 0
    GIVEN = 1
    SHAPE = 2
    MOTION = 3
    ASSUMED = 4


class Doubt(enum.IntEnum):
    """What a remark puts in doubt."""
    NONE = 0
    STANDING = 1
    SIZE = 2
    MASS = 3
    LIMB = 4


class LimbKind(enum.IntEnum):
    LEG = 0
    ARM = 1
    FORE_LEG = 2


class Hold(enum.IntEnum):
    """What a limb's end does: rides along; keeps its place and carries nothing; keeps its place and carries weight."""
    FREE = 0
    HELD = 1
    BEARING = 2


class Footing(enum.IntEnum):
    """Which part of a sole touches."""
    FLAT = 0
    ON_BALL = 1
    ON_HEEL = 2


class Front(enum.IntEnum):
    """How a load in front is answered: hips ahead under it; hips back, a straight trunk; as if it were lowered."""
    ARCH = 0
    STRAIGHT = 1
    SIT_BACK = 2


class Ride(enum.IntEnum):
    """What a fixed end keeps its place to: what bears to the ground and what is held to its place; its keyed place;
    its limb's start."""
    USUAL = 0
    PLACE = 1
    HIP = 2


class Free(enum.IntFlag):
    """What a correction may move."""
    HIPS_SIDE = 1
    HIPS_HEIGHT = 2
    HIPS_FORE = 4
    HIPS_TURN = 8
    SPINE = 16
    SWIVEL = 32
    DEFAULT = 31


class View(enum.IntEnum):
    FRONT = 0
    SIDE = 1
    TOP = 2


class ChainKind(enum.IntEnum):
    """What swings behind the body."""
    TAIL = 0
    ARM = 1
    NECK = 2
    STRAP = 3
    ANTENNA = 4
    EAR = 5
    HAIR = 6
    BELLY = 7


class GiveKind(enum.IntEnum):
    """What yields under a load or a landing."""
    ARMS = 0
    LEGS = 1
    LANDING = 2


class MannerPart(enum.IntEnum):
    HIPS = 0
    PELVIS = 1
    SPINE = 2
    HEAD = 3
    KNEES = 4
    GIRDLES = 5
    ARMS = 6


class Dot(enum.IntEnum):
    """What a dot on a drawing marks; left and right are the figure's own."""
    CROWN = 0
    CHIN = 1
    NECK = 2
    LEFT_SHOULDER = 3
    RIGHT_SHOULDER = 4
    LEFT_ELBOW = 5
    RIGHT_ELBOW = 6
    LEFT_WRIST = 7
    RIGHT_WRIST = 8
    LEFT_HIP = 9
    RIGHT_HIP = 10
    LEFT_KNEE = 11
    RIGHT_KNEE = 12
    LEFT_ANKLE = 13
    RIGHT_ANKLE = 14
    LEFT_TOE = 15
    RIGHT_TOE = 16


class Build(enum.IntEnum):
    """Proportions that the figure under a drawing starts from."""
    ADULT = 0
    CHILD = 1
    TODDLER = 2


class Error(Exception):
    """What was wrong. `status` is a negative Status, `field` the argument or member, `index` which element of it or
    -1, `message` one sentence that names field, index and value."""

    def __init__(self, status, field, index, message):
        super().__init__(message)
        self.status, self.field, self.index, self.message = status, field, index, message


# ---- Arrays -------------------------------------------------------------------------------------------------------

_Doubles = POINTER(c_double)
_Integers = POINTER(c_int32)


def _miscounted(name, count, needed):
    return Error(Status.BAD_ARGUMENT, name, -1, "%s has %d entries; %d are needed." % (name, count, needed))


def _wrong(name, value, must_be):
    plain = value is None or isinstance(value, (str, int, float, list, tuple))
    shown = repr(value) if plain else "a " + type(value).__name__
    return Error(Status.BAD_ARGUMENT, name, -1, "%s is %s; it must be %s." % (name, shown, must_be))


def _offered(wished, names):
    """The names that are near, or where none is, all."""
    near = difflib.get_close_matches(wished, names, 3, 0.5)
    shown = ", ".join("'%s'" % name for name in near or names)
    return "; %s: %s" % ("near" if near else "there is", shown) if shown else ""


def _flat(values):
    for value in values:
        if hasattr(value, "__len__"):
            yield from value
        else:
            yield value


def _buffer(values, kind, writable):
    """`values` where they lie, if they are a buffer of this kind of number; else None."""
    try:
        view = memoryview(values)
    except TypeError:
        return None
    if not view.c_contiguous or view.format.lstrip("@=<") != kind._type_ or view.itemsize != ctypes.sizeof(kind):
        return None
    whole = kind * (view.nbytes // view.itemsize)
    if not view.readonly:
        return whole.from_buffer(view)
    return None if writable else whole.from_buffer_copy(view)


def _array(values, kind, name, count=None, writable=False):
    """A ctypes array of `values`: the same memory where that can be, else a copy. `count`: how many it must have."""
    array = _buffer(values, kind, writable)
    if array is None and writable:
        raise Error(Status.BAD_ARGUMENT, name, -1, name + " must be a writable, contiguous buffer of doubles.")
    if array is None:
        convert = float if kind is c_double else int
        try:
            flat = [convert(value) for value in _flat(values)]
        except (TypeError, ValueError) as fault:
            raise Error(Status.BAD_ARGUMENT, name, -1, "%s is not a sequence of numbers: %s." % (name, fault))
        array = (kind * len(flat))(*flat)
    if count is not None and len(array) != count:
        raise _miscounted(name, len(array), count)
    return array


def _text(text):
    return None if text is None else text.encode("utf-8")


def _texts(texts):
    return None if texts is None else (c_char_p * len(texts))(*[_text(text) for text in texts])


def _path(path):
    return os.fsdecode(path).encode("utf-8", "surrogateescape")


class Pose:
    """A pose of `joint_count` joints: `translations`, 3 doubles per joint, and `rotations`, 4 per joint (x, y, z, w),
    both relative to the parent. New ones are identity. Keep one and write into it: nothing is copied on the way to the
    library. Both are flat ctypes arrays: index, slice and assign them, or look at them through numpy.frombuffer."""

    def __init__(self, joint_count):
        self.translations = (c_double * (3 * joint_count))()
        self.rotations = (c_double * (4 * joint_count))()
        self.rotations[3::4] = [1.0] * joint_count

    @property
    def joint_count(self):
        return len(self.translations) // 3

    def copy(self):
        other = Pose(self.joint_count)
        ctypes.memmove(other.translations, self.translations, ctypes.sizeof(self.translations))
        ctypes.memmove(other.rotations, self.rotations, ctypes.sizeof(self.rotations))
        return other

    @staticmethod
    def over(translations, rotations, writable=True):
        """A pose over memory of the caller's, such as two numpy arrays of float64. With writable=False other
        sequences will do; they are copied."""
        pose = Pose.__new__(Pose)
        pose.translations = _array(translations, c_double, "translations", None, writable)
        if len(pose.translations) % 3:
            raise Error(Status.BAD_ARGUMENT, "translations", -1, "translations must have 3 numbers per joint.")
        pose.rotations = _array(rotations, c_double, "rotations", 4 * pose.joint_count, writable)
        return pose

    @staticmethod
    def _of(pose, writable=False):
        return pose if isinstance(pose, Pose) else Pose.over(pose[0], pose[1], writable)


# ---- Structs of the C API ---------------------------------------------------------------------------------------
# Members have the names, the order and the meaning that they have in aplomb.h and files.h. Constructors take the
# values that are usually given, by the same names.


def _assign(target, values):
    names = {name for name, *_ in target._fields_}
    for name, value in values.items():
        if name not in names:
            raise TypeError("%s has no member '%s'%s" % (getattr(target, "_public", type(target).__name__), name,
                                                         _offered(name, sorted(names - {"struct_size"}))))
        setattr(target, name, value)


def _made(cls, *values, **named):
    """A struct as its _init function sets it up."""
    made = cls(*values, **named)
    getattr(_library(), cls._c_name + "_init")(byref(made), ctypes.sizeof(made))
    return made


class _ErrorStruct(Structure):
    _c_name = "aplomb_error"
    _fields_ = [("status", c_int32), ("index", c_int32), ("field", c_char * 56), ("message", c_char * 448)]


class _Patch(Structure):
    _c_name = "aplomb_patch"
    _fields_ = [("joint", c_int32), ("point_count", c_int32), ("points", _Doubles)]


class Skin(Structure):
    """A figure's closed skin in its rest pose. `positions`: 3 per vertex, world, host units. `joints` and `weights`: 4
    per vertex; joint -1: none. `triangles`: 3 vertices each, counter-clockwise seen from outside."""
    _c_name = "aplomb_skin"
    _fields_ = [("vertex_count", c_int32), ("triangle_count", c_int32), ("positions", _Doubles), ("joints", _Integers),
                ("weights", _Doubles), ("triangles", _Integers)]

    def __init__(self, positions, joints, weights, triangles):
        super().__init__()
        positions = _array(positions, c_double, "positions")
        triangles = _array(triangles, c_int32, "triangles")
        self.vertex_count, self.triangle_count = len(positions) // 3, len(triangles) // 3
        self.positions, self.triangles = positions, triangles
        self.joints = _array(joints, c_int32, "joints", 4 * self.vertex_count)
        self.weights = _array(weights, c_double, "weights", 4 * self.vertex_count)


class _FigureDesc(Structure):
    _c_name, _public = "aplomb_figure_desc", "Figure"
    _fields_ = [("struct_size", c_uint32), ("joint_count", c_int32), ("parents", _Integers), ("translations", _Doubles),
                ("rotations", _Doubles), ("names", POINTER(c_char_p)), ("roles", _Integers), ("sides", _Integers),
                ("tips", _Doubles), ("metres_per_unit", c_double), ("up_axis", c_int32), ("forward_axis", c_int32),
                ("mass_table", c_int32), ("total_mass", c_double), ("masses", _Doubles), ("centres", _Doubles),
                ("inertias", _Doubles), ("limits", _Doubles), ("soles", POINTER(_Patch)), ("sole_count", c_int32),
                ("skin", POINTER(Skin)), ("left_handed", c_int32)]


class JointInfo(Structure):
    """One joint of a figure: parent, role, side, name, mass (kg) and its centre, limits (radians), origins."""
    _c_name = "aplomb_joint_info"
    _fields_ = [("struct_size", c_uint32), ("parent", c_int32), ("role", c_int32), ("side", c_int32),
                ("name", c_char_p), ("mass", c_double), ("centre", c_double * 3), ("inertia", c_double * 6),
                ("limits", c_double * 6), ("mass_origin", c_int32), ("limit_origin", c_int32),
                ("spine_share", c_double * 3)]


class LimbInfo(Structure):
    """One limb: kind, side, its joints, length, sole and palm."""
    _c_name = "aplomb_limb_info"
    _fields_ = [("struct_size", c_uint32), ("kind", c_int32), ("side", c_int32), ("upper", c_int32),
                ("lower", c_int32), ("end", c_int32), ("toe", c_int32), ("length", c_double),
                ("sole_length", c_double), ("sole_breadth", c_double), ("sole_origin", c_int32),
                ("palm", c_double * 3), ("sole_point_count", c_int32), ("sole_joint", c_int32 * 16),
                ("sole_points", (c_double * 3) * 16)]


class FigureInfo(Structure):
    """A figure as a whole: mass (kg), stature and leg length (host units), unit and axes."""
    _c_name = "aplomb_figure_info"
    _fields_ = [("struct_size", c_uint32), ("joint_count", c_int32), ("limb_count", c_int32), ("total_mass", c_double),
                ("stature", c_double), ("leg_length", c_double), ("metres_per_unit", c_double), ("up_axis", c_int32),
                ("forward_axis", c_int32), ("hips", c_int32), ("chest", c_int32), ("head", c_int32),
                ("remark_count", c_int32), ("mass_source", c_char_p), ("left_handed", c_int32)]


class Contact(Structure):
    """What a limb's end does, `Contact(limb, Hold.BEARING)`, or a patch of points of another joint that bears,
    `Contact(joint=knee, points=[...])` (3 per point, the joint's own frame, host units, 1 to 16 points). `bearing`: 0
    to 1, how much of it counts while it is set down or lifted. `share`: wished part of the weight, 0 to 1."""
    _c_name = "aplomb_contact"
    _fields_ = [("limb", c_int32), ("joint", c_int32), ("hold", c_int32), ("footing", c_int32), ("ride", c_int32),
                ("point_count", c_int32), ("points", _Doubles), ("bearing", c_double), ("share", c_double),
                ("friction", c_double), ("normal", c_double * 3), ("reserved", c_double * 4)]

    def __init__(self, limb=-1, hold=Hold.BEARING, points=None, **members):
        super().__init__()
        usual = _library().aplomb_contact_make(limb, hold)
        ctypes.memmove(byref(self), byref(usual), ctypes.sizeof(self))
        if points is not None:
            points = _array(points, c_double, "points")
            self.points, self.point_count = points, len(points) // 3
        _assign(self, members)


def _holders(holder):
    """One joint or two, as two numbers; -1: none."""
    try:
        joints = [operator.index(joint) for joint in (holder if hasattr(holder, "__iter__") else [holder])]
    except TypeError:
        joints = []
    if len(joints) not in (1, 2):
        raise _wrong("holder", holder, "a joint number, or two: see Figure.find_joint and Figure.find_role")
    return (joints + [-1])[:2]


class Load(Structure):
    """A carried mass, kg. `holder`: the joint that carries it, or two joints (it is midway between them); a hand counts
    at its palm. `offset`: from there to its centre in the keyed pose: left, up, forward as the hips face, host units.
    `hang`: it hangs from there, its centre so far below, host units. `level`: 0 to 1, part of the chest's
    turn that an arm gives back under it. `half_size`: from its centre to its sides: left, up, forward; 0: unknown."""
    _c_name = "aplomb_load"
    _fields_ = [("mass", c_double), ("holder", c_int32 * 2), ("offset", c_double * 3), ("hanging", c_int32),
                ("hang", c_double), ("level", c_double), ("half_size", c_double * 3)]

    def __init__(self, mass, holder, hang=None, **members):
        super().__init__()
        holders = _holders(holder)
        usual = _library().aplomb_load_make(mass, holders[0])
        ctypes.memmove(byref(self), byref(usual), ctypes.sizeof(self))
        self.holder[1] = holders[1]
        if hang is not None:
            self.hanging, self.hang = 1, hang
        if "offset" in members:
            members["offset"] = tuple(members["offset"])
        if "half_size" in members:
            members["half_size"] = tuple(members["half_size"])
        _assign(self, members)


class Pull(Structure):
    """An outside pull: `force`, newton, world axes, at `point` of `joint`'s own frame, host units."""
    _c_name = "aplomb_pull"
    _fields_ = [("joint", c_int32), ("point", c_double * 3), ("force", c_double * 3)]

    def __init__(self, joint, force, point=(0, 0, 0)):
        super().__init__(joint, tuple(point), tuple(force))


class Situation(Structure):
    """One moment: the keyed pose, what it carries and what carries it.

    `pose`: a Pose, or a pair of translations and rotations. Memory that is a buffer of doubles is used where it
    lies: write a new pose into it and solve again. `loads`, `contacts`, `pulls`: sequences; contacts None: the
    stance that the pose shows. `gravity`: 3 numbers, m/s2, world axes; None: 9.80665 against up. `ground_normal`: 3
    numbers; None: up. `com_acceleration` and `angular_momentum_rate`: 3 numbers each, of a pose in motion, host units/s2
    and kg m2/s2, world axes; None: a still pose. `floats` stays 0: poses are doubles here."""
    _c_name = "aplomb_situation"
    _fields_ = [("struct_size", c_uint32), ("translations", _Doubles), ("rotations", _Doubles),
                ("contacts", POINTER(Contact)), ("contact_count", c_int32), ("loads", POINTER(Load)),
                ("load_count", c_int32), ("pulls", POINTER(Pull)), ("pull_count", c_int32), ("gravity", c_double * 3),
                ("ground_normal", c_double * 3), ("floats", c_int32), ("com_acceleration", c_double * 3),
                ("angular_momentum_rate", c_double * 3)]

    def __init__(self, pose, loads=(), contacts=None, pulls=(), gravity=None, ground_normal=None,
                 com_acceleration=None, angular_momentum_rate=None):
        super().__init__()
        _library().aplomb_situation_init(byref(self), ctypes.sizeof(self))
        self.pose = Pose._of(pose)
        self.translations, self.rotations = self.pose.translations, self.pose.rotations
        self.kept = (tuple(loads), None if contacts is None else tuple(contacts), tuple(pulls))
        self.load_count, self.pull_count = len(self.kept[0]), len(self.kept[2])
        self.loads = (Load * self.load_count)(*self.kept[0])
        self.pulls = (Pull * self.pull_count)(*self.kept[2])
        if contacts is not None:
            self.contact_count = len(self.kept[1])
            self.contacts = (Contact * self.contact_count)(*self.kept[1])
        if gravity is not None:
            self.gravity = tuple(gravity)
        if ground_normal is not None:
            self.ground_normal = tuple(ground_normal)
        if com_acceleration is not None:
            self.com_acceleration = tuple(com_acceleration)
        if angular_momentum_rate is not None:
            self.angular_momentum_rate = tuple(angular_momentum_rate)


class Options(Structure):
    """What a correction may move, how stiff everything is and what is asked for: `Options(amount=0.5, margin=0.1)`.
    Members and defaults are those of aplomb_options; lengths are fractions of the leg's or the sole's, angles radians.
    `locked`: one number per joint; not 0: this joint of spine, neck, head or girdle stays as keyed."""
    _c_name = "aplomb_options"
    _fields_ = [("struct_size", c_uint32), ("free", c_uint32), ("locked", POINTER(c_uint8))] + [
        (name, c_double) for name in (
            "amount", "rest", "margin", "hips_side", "hips_fore", "hips_height", "hips_turn", "trunk_fore",
            "trunk_side", "trunk_twist", "neck", "knee_bend", "knee_straighten", "swivel", "aim", "max_trunk",
            "max_hips")] + [("exact", c_int32), ("thorough", c_int32), ("max_iterations", c_int32), ("amount_hips", c_double),
                 ("amount_spine", c_double), ("heft", c_double), ("give", c_double), ("hip_drop", c_double),
                 ("free_arm", c_double), ("front", c_int32), ("max_evaluations", c_int32)]

    def __init__(self, locked=None, **members):
        super().__init__()
        _library().aplomb_options_init(byref(self), ctypes.sizeof(self))
        self.locked_count = 0 if locked is None else len(locked)
        if locked is not None:
            self.locked = _array(locked, c_uint8, "locked")
        _assign(self, members)


class OptionInfo(Structure):
    """One number of Options: `name`, `unit` and `meaning` (texts), `usual`, `lowest`, `highest`; `whole`: 1 for a whole
    number."""
    _c_name = "aplomb_option_info"
    _fields_ = [("struct_size", c_uint32), ("whole", c_int32), ("name", c_char_p), ("unit", c_char_p),
                ("meaning", c_char_p), ("usual", c_double), ("lowest", c_double), ("highest", c_double)]


class ContactReading(Structure):
    """How one contact carries: `share` of the weight, its exact range, where along the sole, and where it is."""
    _c_name = "aplomb_contact_reading"
    _fields_ = [("limb", c_int32), ("joint", c_int32), ("share", c_double), ("share_min", c_double),
                ("share_max", c_double), ("place", c_double), ("centre", c_double * 3)]


class LoadReading(Structure):
    """What a load's mass could be, going by the pose alone; kg."""
    _c_name = "aplomb_load_reading"
    _fields_ = [("stands_min", c_double), ("stands_max", c_double), ("rests_min", c_double), ("rests_max", c_double),
                ("natural", c_double), ("countered", c_double), ("tells", c_int32), ("reserved", c_int32)]


class Cue(Structure):
    """A plain observation, with the number that bears it out."""
    _c_name = "aplomb_cue"
    _fields_ = [("value", c_double), ("text", c_char * 120)]


_MAX_CONTACTS, _MAX_LOADS, _MAX_EDGES, _MAX_CUES, _MAX_HOLD_BACKS, _MAX_KNEES = 16, 8, 32, 8, 12, 4


class Reading(Structure):
    """Everything that can be said of a pose without changing it; lengths in host units, world axes. Arrays have
    room for more than is there: use `edge_count`, `contact_count`, `load_count`, `cue_count`, or the lists that the
    methods give."""
    _c_name = "aplomb_reading"
    _fields_ = [("struct_size", c_uint32), ("in_balance", c_int32), ("pressing", c_int32), ("edge_count", c_int32),
                ("body_mass", c_double), ("total_mass", c_double), ("body_centre", c_double * 3),
                ("centre", c_double * 3), ("balance_point", c_double * 3), ("area", (c_double * 3) * _MAX_EDGES),
                ("margin", c_double), ("margin_asked", c_double), ("edge", (c_double * 3) * 2),
                ("tip_direction", c_double * 3), ("tip_angle", c_double), ("tip_energy", c_double),
                ("friction_needed", c_double), ("zone", (c_double * 3) * _MAX_EDGES), ("zone_count", c_int32),
                ("contact_count", c_int32), ("load_count", c_int32), ("cue_count", c_int32), ("home", c_double * 3),
                ("rest_point", c_double * 3), ("trunk_fore", c_double), ("trunk_side", c_double),
                ("line_of_action", (c_double * 3) * 5), ("contacts", ContactReading * _MAX_CONTACTS),
                ("loads", LoadReading * _MAX_LOADS), ("load_centre", (c_double * 3) * _MAX_LOADS),
                ("cues", Cue * _MAX_CUES), ("knees", c_double), ("pelvis_side", c_double),
                ("shoulders_side", c_double), ("knees_mass", c_double)]

    def corners(self):
        """The corners of the support area, (x, y, z) each, counter-clockwise seen from above."""
        return [tuple(corner) for corner in self.area[:self.edge_count]]

    def sentences(self):
        """The cues, one sentence each."""
        return [cue.text.decode("utf-8") for cue in self.cues[:self.cue_count]]


class HoldBack(Structure):
    """A limit that holds a correction."""
    _c_name = "aplomb_hold_back"
    _fields_ = [("name", c_char * 72), ("multiplier", c_double)]


class GaveWay(Structure):
    """A held limb that gave way: how far its end is from its keyed place (metres) and attitude (radians)."""
    _c_name = "aplomb_gave_way"
    _fields_ = [("limb", c_int32), ("reserved", c_int32), ("place", c_double), ("attitude", c_double)]


class Controls(Structure):
    """A correction as a rig with its own legs would set it; anatomical axes (left, up, forward)."""
    _c_name = "aplomb_controls"
    _fields_ = [("hips_shift", c_double * 3), ("hips_turn", c_double * 3), ("chest", c_double * 3),
                ("neck", c_double * 3)]


class Knee(Structure):
    """A knee that bears, before and after a correction; radians from straight."""
    _c_name = "aplomb_knee"
    _fields_ = [("limb", c_int32), ("reserved", c_int32), ("keyed", c_double), ("bend", c_double)]


class Result(Structure):
    """What a correction did, with its proof. Members are those of aplomb_result."""
    _c_name = "aplomb_result"
    _fields_ = [("struct_size", c_uint32), ("changed", c_int32), ("iterations", c_int32), ("starts", c_int32),
                ("capped", c_int32), ("hold_back_count", c_int32), ("objective", c_double),
                ("other_objective", c_double), ("slack", c_double), ("violation", c_double),
                ("stationarity", c_double), ("complementarity", c_double), ("home", c_double * 3),
                ("rest_point", c_double * 3), ("margin_before", c_double), ("margin_after", c_double),
                ("margin_asked", c_double), ("moved", c_double * 3), ("moved_by", (c_double * 3) * 5),
                ("controls", Controls), ("hold_backs", HoldBack * _MAX_HOLD_BACKS), ("trust", c_double),
                ("status", c_int32), ("gave_way_count", c_int32), ("gave_way", GaveWay * _MAX_CONTACTS),
                ("lag", c_double), ("knee_count", c_int32), ("reserved", c_int32), ("knees", Knee * _MAX_KNEES),
                ("drawn_in", c_double), ("lowered", c_double), ("shoulders", c_double * 2),
                ("evaluations", c_int32), ("cut_short", c_int32)]

    def limits(self):
        """The names of the limits that hold the correction, such as "the left knee, straight"."""
        return [held.name.decode("utf-8") for held in self.hold_backs[:self.hold_back_count]]

    def holds_that_gave_way(self):
        """A GaveWay for every held limb that did not keep its place and attitude."""
        return list(self.gave_way[:self.gave_way_count])


class FootSuggestion(Structure):
    """Where one foot would change the body least, of Solver.suggest_foot; members are those of
    aplomb_foot_suggestion. `found` 0: nothing would be gained."""
    _c_name = "aplomb_foot_suggestion"
    _fields_ = [("struct_size", c_uint32), ("found", c_int32), ("limb", c_int32), ("outline_count", c_int32),
                ("way", c_double * 3), ("ahead", c_double), ("out", c_double), ("drop", c_double),
                ("lean_before", c_double), ("lean_after", c_double), ("hips_before", c_double),
                ("hips_after", c_double), ("outline", (c_double * 3) * _MAX_EDGES), ("text", c_char * 160)]

    def corners(self):
        """The corners of the sole's outline, (x, y, z) each, counter-clockwise seen from above."""
        return [tuple(corner) for corner in self.outline[:self.outline_count]]


class _CharacterOptions(Structure):
    _c_name, _public = "aplomb_character_options", "Character"
    _fields_ = [("struct_size", c_uint32), ("description", c_char_p), ("skin", c_char_p),
                ("metres_per_unit", c_double), ("stature", c_double), ("up_axis", c_int32), ("forward_axis", c_int32),
                ("mass_table", c_int32), ("total_mass", c_double), ("stand_clip", c_char_p),
                ("stand_seconds", c_double)]


_FindFile = ctypes.CFUNCTYPE(c_int32, c_void_p, c_char_p, POINTER(c_void_p), POINTER(c_size_t))
_TakeFile = ctypes.CFUNCTYPE(c_int32, c_void_p, c_void_p, c_size_t)


class _MemoryFile(Structure):
    _c_name = "aplomb_memory_file"
    _fields_ = [("bytes", c_char_p), ("size", c_size_t), ("name", c_char_p), ("find", _FindFile), ("user", c_void_p)]


class _CorrectedFrames(Structure):
    _c_name = "aplomb_corrected_frames"
    _fields_ = [("struct_size", c_uint32), ("clip", c_int32), ("count", c_int32), ("reserved", c_int32),
                ("seconds", _Doubles), ("keys", _Integers), ("translations", _Doubles), ("rotations", _Doubles),
                ("layer", c_char_p)]


class CharacterInfo(Structure):
    """How a character file was understood: each choice with its source (Source) and the reason, a text."""
    _c_name = "aplomb_character_info"
    _fields_ = [("struct_size", c_uint32), ("up_axis", c_int32), ("forward_axis", c_int32), ("up_source", c_int32),
                ("forward_source", c_int32), ("unit_source", c_int32), ("stand_source", c_int32),
                ("stand_clip", c_int32), ("remark_count", c_int32), ("stand_seconds", c_double),
                ("metres_per_unit", c_double), ("up_why", c_char_p), ("forward_why", c_char_p),
                ("unit_why", c_char_p), ("stand_why", c_char_p)]


class Mesh(Structure):
    """The triangles that a character's skin moves."""
    _c_name = "aplomb_mesh"
    _fields_ = [("vertex_count", c_int32), ("triangle_count", c_int32), ("triangles", _Integers)]


class Camera(Structure):
    """A camera looks along its own -Z, +Y up. `vertical_angle`: radians; 0: parallel projection of this `height`."""
    _c_name = "aplomb_camera"
    _fields_ = [("position", c_double * 3), ("rotation", c_double * 4), ("vertical_angle", c_double),
                ("height", c_double), ("aspect", c_double)]


class DrawnPose(Structure):
    """A pose as it is drawn. `reading`: of this pose. `skin`: Character.skin of it, or None: drawn as a lay figure."""
    _c_name = "aplomb_drawn_pose"
    _fields_ = [("translations", _Doubles), ("rotations", _Doubles), ("reading", POINTER(Reading)),
                ("caption", c_char_p), ("skin", _Doubles)]

    def __init__(self, pose, reading, caption=None, skin=None):
        super().__init__()
        pose = Pose._of(pose)
        self.translations, self.rotations = pose.translations, pose.rotations
        self.reading, self.caption = ctypes.pointer(reading), _text(caption)
        if skin is not None:
            self.skin = _array(skin, c_double, "skin")


class Picture(Structure):
    """A drawing of one DrawnPose, or of two side by side. `text`: the explanation. `lines`: also pelvis line, shoulder
    line and line of action. `camera` and `result` are for pages."""
    _c_name = "aplomb_picture"
    _fields_ = [("struct_size", c_uint32), ("figure", c_void_p), ("situation", POINTER(Situation)),
                ("before", DrawnPose), ("after", DrawnPose), ("title", c_char_p), ("text", c_char_p),
                ("lines", c_int32), ("mesh", POINTER(Mesh)), ("camera", POINTER(Camera)), ("result", POINTER(Result)),
                ("foot", POINTER(FootSuggestion))]

    def __init__(self, figure, situation, before, after=None, title=None, text=None, lines=False, mesh=None,
                 camera=None, result=None, foot=None):
        super().__init__()
        _library().aplomb_picture_init(byref(self), ctypes.sizeof(self))
        self.kept = (figure, situation, before, after, mesh, camera, result, foot)
        self.figure, self.situation, self.before = figure._handle, ctypes.pointer(situation), before
        if after is not None:
            self.after = after
        self.title, self.text, self.lines = _text(title), _text(text), int(lines)
        for name, value in (("mesh", mesh), ("camera", camera), ("result", result), ("foot", foot)):
            if value is not None:
                setattr(self, name, ctypes.pointer(value))

    def write(self, path):
        """Writes an SVG."""
        _call("aplomb_picture_write", byref(self), _path(path))

    def write_page(self, path):
        """Writes a page: one HTML file that needs nothing else."""
        _call("aplomb_page_write", byref(self), _path(path))

    def to_bytes(self):
        """The bytes of the SVG."""
        return _taken("aplomb_picture_write_memory", byref(self))

    def page_to_bytes(self):
        """The bytes of the page."""
        return _taken("aplomb_page_write_memory", byref(self))

    def page_parts(self, room=0):
        """What the page shows, piece by piece, as a dictionary: see files.h. `room`: for the views, CSS pixels; 0: words."""
        return json.loads(_taken("aplomb_page_parts_memory", byref(self), c_double(room)))


class Cell(Structure):
    """One pose of a sheet. `picture` None: the cell stays empty. `marks`: plumb line, support area and the like too."""
    _c_name = "aplomb_cell"
    _fields_ = [("picture", POINTER(Picture)), ("view", c_int32), ("marks", c_int32), ("caption", c_char_p)]

    def __init__(self, picture=None, view=View.FRONT, marks=False, caption=None):
        super().__init__()
        if picture is not None:
            self.picture = ctypes.pointer(picture)
        self.view, self.marks, self.caption = view, int(marks), _text(caption)


class Sheet(Structure):
    """Poses side by side: `cells` row by row, `columns` in a row (1 to 12), all at one scale."""
    _c_name = "aplomb_sheet"
    _fields_ = [("title", c_char_p), ("text", c_char_p), ("columns", c_int32), ("cell_count", c_int32),
                ("cells", POINTER(Cell)), ("row_names", POINTER(c_char_p)), ("column_names", POINTER(c_char_p))]

    def __init__(self, title, cells, columns, text=None, row_names=None, column_names=None):
        super().__init__()
        rows = -(-len(cells) // columns) if columns > 0 else 0
        for names, count, name in ((row_names, rows, "row_names"), (column_names, columns, "column_names")):
            if names is not None and len(names) != count:
                raise _miscounted(name, len(names), count)
        self.kept = tuple(cells)
        self.title, self.text, self.columns, self.cell_count = _text(title), _text(text), columns, len(cells)
        self.cells = (Cell * len(cells))(*cells)
        if row_names is not None:
            self.row_names = _texts(row_names)
        if column_names is not None:
            self.column_names = _texts(column_names)


class _Motion(Structure):
    _c_name = "aplomb_motion"
    _fields_ = [("struct_size", c_uint32), ("picture_count", c_int32), ("pictures", POINTER(Picture)),
                ("frames_per_second", c_double), ("view", c_int32), ("first_number", c_int32), ("title", c_char_p),
                ("text", c_char_p)]


class Pace(Structure):
    """How fast a correction may change from step to step: `Pace(hips=0.3)`. Members and defaults are those of
    aplomb_pace: hips in leg lengths a second, turns in radians a second, teleport in leg lengths."""
    _c_name = "aplomb_pace"
    _fields_ = [("struct_size", c_uint32), ("hips", c_double), ("turns", c_double), ("teleport", c_double)]

    def __init__(self, **members):
        super().__init__()
        _library().aplomb_pace_init(byref(self), ctypes.sizeof(self))
        _assign(self, members)


class _Frame(Structure):
    _c_name = "aplomb_frame"
    _fields_ = [("struct_size", c_uint32), ("ahead_contact_count", c_int32), ("seconds", c_double),
                ("velocity", c_double * 3), ("ahead_translations", c_void_p), ("ahead_rotations", c_void_p),
                ("ahead_seconds", c_double), ("ahead_contacts", POINTER(Contact)), ("tensions", POINTER(c_double))]


class StepState(Structure):
    """All that Solver.step remembers of one character: a new one starts anew. `bytes(state)` may be saved and
    StepState.from_buffer_copy(saved) goes on, on any solver of the figure."""
    _c_name = "aplomb_step_state"
    _fields_ = [("version", c_uint32), ("figure", c_uint32), ("numbers", c_double * 511)]


_MAX_LIMBS, _MAX_CLIP_NOTES = 12, 3
_Progress = ctypes.CFUNCTYPE(c_int32, c_double, c_void_p)


class StanceRange(Structure):
    """Frames `first` to `last` in which a limb stands on one part of its sole; `slip` is written by a reading."""
    _c_name = "aplomb_stance_range"
    _fields_ = [("limb", c_int32), ("first", c_int32), ("last", c_int32), ("footing", c_int32), ("slip", c_double)]


class AddedKey(Structure):
    """A key that a standing leg needed beyond the animator's own, at `frame` of the list."""
    _c_name = "aplomb_added_key"
    _fields_ = [("limb", c_int32), ("frame", c_int32), ("seconds", c_double)]


class OwnKeys(Structure):
    """How a clip came out on its own keys. `keys`: the AddedKeys, by limb and frame; `drift`: the furthest that a point
    of a standing foot is off, in the file's unit."""
    _c_name = "aplomb_own_keys"
    _fields_ = [("struct_size", c_uint32), ("capacity", c_int32), ("added", POINTER(AddedKey)),
                ("translations", _Doubles), ("rotations", _Doubles), ("added_count", c_int32), ("reserved", c_int32),
                ("drift", c_double)]


class Carry(Structure):
    """A Load that is carried from frame `first` to `last`. The same `which` means the same thing in other hands.
    `pick_up`, `put_down`: seconds of its ramps; None: by its mass."""
    _c_name = "aplomb_carry"
    _fields_ = [("load", Load), ("which", c_int32), ("first", c_int32), ("last", c_int32), ("reserved", c_int32),
                ("pick_up", c_double), ("put_down", c_double)]

    def __init__(self, load, first, last, which=0, pick_up=None, put_down=None):
        ramps = [float("nan") if ramp is None else ramp for ramp in (pick_up, put_down)]
        super().__init__(load, which, first, last, 0, *ramps)


class _Clip(Structure):
    _c_name = "aplomb_clip"
    _fields_ = [("struct_size", c_uint32), ("frame_count", c_int32), ("frame_time", c_double), ("times", _Doubles),
                ("translations", _Doubles), ("rotations", _Doubles), ("translations_stride", c_size_t),
                ("rotations_stride", c_size_t), ("floats", c_int32), ("stance_count", c_int32),
                ("stances", POINTER(StanceRange)), ("carries", POINTER(Carry)), ("carry_count", c_int32),
                ("first_number", c_int32), ("gravity", c_double * 3), ("ground_normal", c_double * 3),
                ("ground_velocity", c_double * 3)]


class _ClipOptions(Structure):
    _c_name = "aplomb_clip_options"
    _fields_ = [("struct_size", c_uint32), ("blocking", c_int32), ("reading", POINTER(Options)),
                ("progress", _Progress), ("progress_user", c_void_p), ("run", c_void_p), ("run_user", c_void_p)]


class ClipFrame(Structure):
    """One frame of a clip that was read; members as in aplomb_clip_frame. NaN where there is no contact."""
    _c_name = "aplomb_clip_frame"
    _fields_ = [("time", c_double), ("contact_count", c_int32), ("in_balance", c_int32), ("flight", c_int32),
                ("near_end", c_int32), ("centre", c_double * 3), ("velocity", c_double * 3),
                ("acceleration", c_double * 3), ("still_point", c_double * 3), ("still_margin", c_double),
                ("point", c_double * 3), ("margin", c_double), ("margin_asked", c_double),
                ("extrapolated", c_double * 3), ("extrapolated_margin", c_double), ("trunk_fore", c_double),
                ("trunk_side", c_double), ("share", c_double * _MAX_LIMBS), ("give", c_double * _MAX_LIMBS),
                ("reads_as", c_double * _MAX_LOADS)]


class ExemptRange(Structure):
    """Frames that are left out on purpose: `part` of what is asked (1: all), eased over `ease` seconds at both ends."""
    _c_name = "aplomb_exempt_range"
    _fields_ = [("first", c_int32), ("last", c_int32), ("part", c_double), ("ease", c_double), ("reason", c_char_p)]

    def __init__(self, first, last, reason, part=1.0, ease=0.15):
        super().__init__(first, last, part, ease, _text(reason))


class _ClipTension(Structure):
    _c_name = "aplomb_clip_tension"
    _fields_ = [("carry", c_int32), ("reserved", c_int32), ("forces", _Doubles)]


class FlightRange(Structure):
    """Frames in which the body is to fall freely."""
    _c_name = "aplomb_flight_range"
    _fields_ = [("first", c_int32), ("last", c_int32)]


class _ClipBalanceOptions(Structure):
    _c_name = "aplomb_clip_balance_options"
    _fields_ = [("struct_size", c_uint32), ("loop", c_int32), ("correction", POINTER(Options)), ("flow", c_double),
                ("key_acceleration", c_double), ("amounts", _Doubles), ("exempt", POINTER(ExemptRange)),
                ("exempt_count", c_int32), ("whole", c_int32), ("progress", _Progress), ("progress_user", c_void_p),
                ("tensions", POINTER(_ClipTension)), ("tension_count", c_int32), ("reserved", c_int32), ("run", c_void_p),
                ("run_user", c_void_p), ("flights", c_int32), ("flight_range_count", c_int32),
                ("flight_ranges", POINTER(FlightRange)), ("blocking", c_int32), ("held", c_int32)]


class _ClipGiveOptions(Structure):
    _c_name = "aplomb_clip_give_options"
    _fields_ = [("struct_size", c_uint32), ("landings", c_int32), ("held", c_int32), ("reserved", c_int32),
                ("falls", _Doubles)]


class GivenFrame(Structure):
    """What a frame gave, host units downwards: `hips`, and `arms` beyond that."""
    _c_name = "aplomb_clip_given"
    _fields_ = [("hips", c_double), ("arms", c_double)]


class BalancedFrame(Structure):
    """One frame of a clip that was balanced; members as in aplomb_clip_balanced."""
    _c_name = "aplomb_clip_balanced"
    _fields_ = [("time", c_double), ("range", c_int32), ("status", c_int32), ("fault", c_int32), ("exempt", c_int32),
                ("exempt_part", c_double), ("margin_before", c_double), ("margin_after", c_double),
                ("margin_asked", c_double), ("slack", c_double), ("due", c_double * 3), ("way", c_double * 3),
                ("controls", Controls)]


class BalancedRange(Structure):
    """Frames that were corrected together, with the solver's proof."""
    _c_name = "aplomb_clip_range"
    _fields_ = [("first", c_int32), ("last", c_int32), ("steps", c_int32), ("converged", c_int32), ("cost", c_double),
                ("stationarity", c_double), ("violation", c_double), ("complementarity", c_double)]


class Arc(Structure):
    """A flight that was made to fall freely; members as in aplomb_arc."""
    _c_name = "aplomb_arc"
    _fields_ = [("first", c_int32), ("last", c_int32), ("given", c_int32), ("reserved", c_int32),
                ("gravity", c_double), ("moved", c_double), ("slack", c_double), ("take_off", c_double * 3),
                ("landing", c_double * 3), ("seconds", c_double), ("fitting_seconds", c_double),
                ("text", c_char * 240)]


class FallRange(Structure):
    """Frames out of balance, and the worst of them."""
    _c_name = "aplomb_fall_range"
    _fields_ = [("first", c_int32), ("last", c_int32), ("worst", c_int32), ("reserved", c_int32),
                ("margin", c_double), ("short_of", c_double)]


class Flight(Structure):
    """Frames without contact, and the gravity (m/s2) that they imply."""
    _c_name = "aplomb_flight"
    _fields_ = [("first", c_int32), ("last", c_int32), ("free_fall", c_int32), ("reserved", c_int32),
                ("gravity", c_double), ("scale", c_double), ("deviation", c_double)]


class FootStep(Structure):
    """A foot set down `seconds` after the one before, and the leg's length that usually walks so."""
    _c_name = "aplomb_foot_step"
    _fields_ = [("limb", c_int32), ("frame", c_int32), ("seconds", c_double), ("implied_leg", c_double)]


class ClipNote(Structure):
    """One thing to look at, with its frame and number."""
    _c_name = "aplomb_clip_note"
    _fields_ = [("frame", c_int32), ("reserved", c_int32), ("value", c_double), ("text", c_char * 240)]


class DrawnMoment(Structure):
    """A frame of a clip, drawn: the `before` of a Picture."""
    _c_name = "aplomb_drawn_moment"
    _fields_ = [("frame", c_int32), ("reserved", c_int32), ("picture", POINTER(Picture))]

    def __init__(self, frame, picture):
        super().__init__()
        self.frame, self.picture = frame, ctypes.pointer(picture)


class _ShotPage(Structure):
    _c_name = "aplomb_shot_page"
    _fields_ = [("struct_size", c_uint32), ("frame_count", c_int32), ("title", c_char_p), ("figure", c_void_p),
                ("clip", POINTER(_Clip)), ("frames", POINTER(ClipFrame)), ("stances", POINTER(StanceRange)),
                ("falls", POINTER(FallRange)), ("flights", POINTER(Flight)), ("steps", POINTER(FootStep)),
                ("notes", POINTER(ClipNote)), ("stance_count", c_int32), ("fall_count", c_int32),
                ("flight_count", c_int32), ("step_count", c_int32), ("note_count", c_int32), ("worst_count", c_int32),
                ("strip_count", c_int32), ("arc_count", c_int32), ("worst", POINTER(DrawnMoment)),
                ("strip", POINTER(DrawnMoment)), ("after", c_void_p), ("balanced", POINTER(BalancedFrame)),
                ("arcs", POINTER(Arc))]


_MAX_CHAINS, _MAX_CHAIN_JOINTS = 32, 24


class Chain(Structure):
    """Joints `first` out to `last` that swing together: `Chain(ChainKind.TAIL, 22, 26, stiffness=2)`. Members and
    defaults are those of aplomb_chain."""
    _c_name = "aplomb_chain"
    _fields_ = [("first", c_int32), ("last", c_int32), ("kind", c_int32), ("on", c_int32), ("rigid", c_int32),
                ("reserved", c_int32), ("stiffness", c_double), ("damping", c_double), ("limit", c_double),
                ("own_motion", c_double)]

    def __init__(self, kind, first, last, **members):
        super().__init__()
        made = _library().aplomb_chain_make(int(kind), first, last)
        ctypes.memmove(byref(self), byref(made), ctypes.sizeof(self))
        _assign(self, members)


class _FollowDesc(Structure):
    _c_name = "aplomb_follow_desc"
    _fields_ = [("struct_size", c_uint32), ("chain_count", c_int32), ("chains", POINTER(Chain)), ("gravity", c_double),
                ("frame_time", c_double)]


class _FollowFrame(Structure):
    _c_name = "aplomb_follow_frame"
    _fields_ = [("struct_size", c_uint32), ("floats", c_int32), ("seconds", c_double), ("translations", _Doubles),
                ("rotations", _Doubles), ("keyed_translations", _Doubles), ("keyed_rotations", _Doubles),
                ("place", c_double * 3), ("turn", c_double * 4)]


class _FollowShot(Structure):
    _c_name = "aplomb_follow_shot"
    _fields_ = [("struct_size", c_uint32), ("frame_count", c_int32), ("closed", c_int32), ("reserved", c_int32),
                ("frame_time", c_double), ("times", _Doubles), ("translations", _Doubles), ("rotations", _Doubles),
                ("keyed_translations", _Doubles), ("keyed_rotations", _Doubles)]


class _Hanging(Structure):
    _c_name = "aplomb_hanging"
    _fields_ = [("struct_size", c_uint32), ("reserved", c_int32), ("length", c_double), ("mass", c_double),
                ("damping", c_double), ("gravity", c_double * 3), ("give", c_double), ("stop", c_double * 3)]


class HangingState(Structure):
    """All that a Hanging load remembers; `bytes(state)` may be saved and HangingState.from_buffer_copy(saved) put
    back."""
    _c_name = "aplomb_hanging_state"
    _fields_ = [("running", c_int32), ("slack", c_int32), ("away", c_double * 3), ("spin", c_double * 3),
                ("hand", c_double * 3), ("seconds", c_double), ("velocity", c_double * 3),
                ("end_velocity", c_double * 3), ("given", c_double * 3), ("given_velocity", c_double * 3)]


class HangingResult(Structure):
    """Where a hanging load is (m), how it pulls at its hand (N), its angle from plumb, whether the string is slack and
    whether it came taut in this frame."""
    _c_name = "aplomb_hanging_result"
    _fields_ = [("place", c_double * 3), ("tension", c_double * 3), ("angle", c_double), ("slack", c_int32),
                ("caught", c_int32)]


class _Give(Structure):
    _c_name = "aplomb_give"
    _fields_ = [("rate", c_double), ("damping", c_double)]


class Bounce(Structure):
    """`landing`: seconds to the landing that starts it; `height` that it reaches; `air`: seconds to the next one."""
    _c_name = "aplomb_bounce"
    _fields_ = [("landing", c_double), ("height", c_double), ("air", c_double)]


_MANNER_PARTS = len(MannerPart)


class _Pair(Structure):
    _c_name = "aplomb_pair"
    _fields_ = [("situation", POINTER(Situation)), ("translations", c_void_p), ("rotations", c_void_p)]


class _MannerOptions(Structure):
    _c_name = "aplomb_manner_options"
    _fields_ = [("struct_size", c_uint32), ("reserved", c_int32), ("options", POINTER(Options)),
                ("progress", _Progress), ("progress_user", c_void_p)]


class MannerNumber(Structure):
    """One number that was looked for: `option`, its index in option_table(); whether the pairs told it; `factor`, one
    standard error, from value / factor to value * factor."""
    _c_name = "aplomb_manner_number"
    _fields_ = [("option", c_int32), ("told", c_int32), ("bounded", c_int32), ("reserved", c_int32),
                ("value", c_double), ("usual", c_double), ("factor", c_double)]


class MannerPair(Structure):
    """How a pair fits; members as in aplomb_manner_pair."""
    _c_name = "aplomb_manner_pair"
    _fields_ = [("fits", c_int32), ("worst", c_int32), ("weight", c_double), ("error", c_double),
                ("usual_error", c_double), ("left_out_error", c_double)]


class MannerInfo(Structure):
    """A manner as a whole; members as in aplomb_manner_info."""
    _c_name = "aplomb_manner_info"
    _fields_ = [("struct_size", c_uint32), ("number_count", c_int32), ("told_count", c_int32), ("pair_count", c_int32),
                ("misfit_count", c_int32), ("solves", c_int32), ("error", c_double), ("usual_error", c_double),
                ("left_out_error", c_double), ("noise", c_double * _MANNER_PARTS)]


class _Dots(Structure):
    _c_name = "aplomb_dots"
    _fields_ = [("struct_size", c_uint32), ("build", c_int32), ("places", (c_double * 2) * 17), ("width", c_double),
                ("height", c_double), ("stature", c_double), ("mass", c_double), ("noise", c_double),
                ("spread", c_double), ("tilt", c_double), ("angle", c_double), ("camera_height", c_double),
                ("keep", c_int32), ("reserved", c_int32)]


class DrawingAnswer(Structure):
    """One answer of a Drawing; members as in aplomb_drawing_answer. Lengths in metres."""
    _c_name = "aplomb_drawing_answer"
    _fields_ = [("struct_size", c_uint32), ("joint_count", c_int32), ("figure", c_void_p),
                ("translations", POINTER(c_double)), ("rotations", POINTER(c_double)), ("cost", c_double),
                ("misfit", c_double), ("worst_misfit", c_double), ("worst_dot", c_int32), ("limits_met", c_int32),
                ("scale", c_double), ("tilt", c_double), ("facing", c_double), ("chance", c_double),
                ("lengths", c_double * 9), ("tips", (c_double * 3) * 5), ("contacts", POINTER(Contact)),
                ("contact_count", c_int32), ("reserved", c_int32)]


_DRAWING_VARIANTS = 64


class _DrawingVariant(Structure):
    _c_name = "aplomb_drawing_variant"
    _fields_ = [("answer", c_int32), ("contact_count", c_int32), ("translations", POINTER(c_double)),
                ("rotations", POINTER(c_double)), ("contacts", POINTER(Contact))]


STRUCTURES = (_Dots, DrawingAnswer, _DrawingVariant, _Pair, _MannerOptions, MannerNumber, MannerPair, MannerInfo,
              ExemptRange, _ClipTension, _ClipGiveOptions, GivenFrame, FlightRange, _ClipBalanceOptions, BalancedFrame,
              BalancedRange, Arc,
              DrawnMoment, _ShotPage, Chain, _FollowDesc, _FollowFrame, _FollowShot, _Hanging, HangingState, HangingResult, _Give, Bounce,
              StanceRange, Carry, _Clip, _ClipOptions, ClipFrame, FallRange, Flight, FootStep, ClipNote,
              _ErrorStruct, _Patch, Skin, _FigureDesc, JointInfo, LimbInfo, FigureInfo, Contact, Load, Pull, Situation,
              Options, OptionInfo, ContactReading, LoadReading, Cue, Reading, HoldBack, GaveWay, Controls, Knee, Result, _CharacterOptions,
              _MemoryFile, _CorrectedFrames, AddedKey, OwnKeys, CharacterInfo, Mesh,
              Camera, DrawnPose, Picture, Cell, Sheet, _Motion, Pace, _Frame, StepState, FootSuggestion)

# ---- Functions of the C API ---------------------------------------------------------------------------------------

_Handle = c_void_p
_Out = POINTER(c_void_p)
_Error = POINTER(_ErrorStruct)
_POSE = [_Doubles, _Doubles]
_SOLVE = [_Handle, POINTER(Situation), POINTER(Options)]
_MATRICES = [c_void_p, c_int32, c_size_t, c_int32]

# name: what it gives back, what it takes
PROTOTYPES = {
    "aplomb_version": (c_uint32, []),
    "aplomb_build_info": (c_char_p, []),
    "aplomb_status_text": (c_char_p, [c_int32]),
    "aplomb_role_text": (c_char_p, [c_int32]),
    "aplomb_side_text": (c_char_p, [c_int32]),
    "aplomb_figure_create": (c_int32, [POINTER(_FigureDesc), c_void_p, _Out, _Error]),
    "aplomb_figure_destroy": (None, [_Handle]),
    "aplomb_figure_joint_count": (c_int32, [_Handle]),
    "aplomb_figure_find_joint": (c_int32, [_Handle, c_char_p]),
    "aplomb_figure_find_role": (c_int32, [_Handle, c_int32, c_int32]),
    "aplomb_figure_joint": (c_int32, [_Handle, c_int32, POINTER(JointInfo), _Error]),
    "aplomb_figure_limb_count": (c_int32, [_Handle]),
    "aplomb_figure_limb": (c_int32, [_Handle, c_int32, POINTER(LimbInfo), _Error]),
    "aplomb_figure_describe": (c_int32, [_Handle, POINTER(FigureInfo), _Error]),
    "aplomb_figure_remark": (c_char_p, [_Handle, c_int32]),
    "aplomb_figure_doubt": (c_char_p, [_Handle, c_int32, POINTER(c_int32)]),
    "aplomb_figure_rest_pose": (c_int32, [_Handle] + _POSE),
    "aplomb_figure_neutral_pose": (c_int32, [_Handle] + _POSE),
    "aplomb_gather": (c_int32, [c_void_p, c_int32, c_size_t, c_int32, c_int32, _Doubles, _Error]),
    "aplomb_scatter": (c_int32, [_Doubles, c_int32, c_int32, c_void_p, c_int32, c_size_t, _Error]),
    "aplomb_pose_from_matrices": (c_int32, [_Handle] + _MATRICES + _POSE + [_Error]),
    "aplomb_pose_to_matrices": (c_int32, [_Handle] + _POSE + _MATRICES + [_Error]),
    "aplomb_contact_make": (Contact, [c_int32, c_int32]),
    "aplomb_load_make": (Load, [c_double, c_int32]),
    "aplomb_load_at": (c_int32, [_Handle, c_double, c_char_p, POINTER(Load), _Error]),
    "aplomb_stance_default": (c_int32, [_Handle] + _POSE + [POINTER(Contact), _Error]),
    "aplomb_solver_create": (c_int32, [_Handle, c_void_p, _Out, _Error]),
    "aplomb_solver_destroy": (None, [_Handle]),
    "aplomb_solver_size": (c_size_t, [_Handle]),
    "aplomb_read": (c_int32, _SOLVE + [POINTER(Reading), _Error]),
    "aplomb_read_corrected": (c_int32, _SOLVE + _POSE + [POINTER(Result), POINTER(Reading), _Error]),
    "aplomb_option_count": (c_int32, []),
    "aplomb_option_describe": (c_int32, [c_int32, POINTER(OptionInfo), _Error]),
    "aplomb_option_value": (c_double, [POINTER(Options), c_int32]),
    "aplomb_option_set": (c_int32, [POINTER(Options), c_int32, c_double, _Error]),
    "aplomb_balance": (c_int32, _SOLVE + _POSE + [POINTER(Result), _Error]),
    "aplomb_foot_suggestion_init": (None, [POINTER(FootSuggestion), c_size_t]),
    "aplomb_suggest_foot": (c_int32, _SOLVE + _POSE + [POINTER(FootSuggestion), _Error]),
    "aplomb_step": (c_int32, [_Handle, POINTER(StepState)] + _SOLVE[1:] + [POINTER(Pace), POINTER(_Frame)] + _POSE +
                    [POINTER(Result), _Error]),
    "aplomb_solver_create_in": (c_int32, [_Handle, c_void_p, c_size_t, _Out, _Error]),
    "aplomb_solver_take": (c_int32, [_Handle, _Handle, _Error]),
    "aplomb_balance_many": (c_int32, [c_void_p, c_int32, c_void_p, c_void_p, _Error]),
    "aplomb_run_on_threads": (None, [c_void_p, c_void_p, c_int32, c_void_p]),
    "aplomb_explain": (c_int32, [_Handle, POINTER(Result), c_void_p, c_size_t]),
    "aplomb_character_open": (c_int32, [c_char_p, POINTER(_CharacterOptions), _Out, _Error]),
    "aplomb_character_open_memory": (c_int32, [POINTER(_MemoryFile), POINTER(_CharacterOptions), _Out, _Error]),
    "aplomb_character_close": (None, [_Handle]),
    "aplomb_character_figure": (c_void_p, [_Handle]),
    "aplomb_character_source_text": (c_char_p, [c_int32]),
    "aplomb_character_info_init": (None, [POINTER(CharacterInfo), c_size_t]),
    "aplomb_character_describe": (c_int32, [_Handle, POINTER(CharacterInfo), _Error]),
    "aplomb_character_remark": (c_char_p, [_Handle, c_int32]),
    "aplomb_character_clip_count": (c_int32, [_Handle]),
    "aplomb_character_clip_name": (c_char_p, [_Handle, c_int32]),
    "aplomb_character_find_clip": (c_int32, [_Handle, c_char_p]),
    "aplomb_character_key_times": (c_int32, [_Handle, c_int32, _Doubles, c_int32]),
    "aplomb_character_stances": (c_int32, [_Handle, c_int32, POINTER(StanceRange), c_int32]),
    "aplomb_character_pose": (c_int32, [_Handle, c_int32, c_double] + _POSE + [_Error]),
    "aplomb_character_write": (c_int32, [_Handle, c_int32, c_double] + _POSE + [c_char_p, _Error]),
    "aplomb_character_write_frames": (c_int32, [_Handle, POINTER(_CorrectedFrames), c_char_p, _Error]),
    "aplomb_own_keys_init": (None, [POINTER(OwnKeys), c_size_t]),
    "aplomb_character_write_own_keys": (c_int32, [_Handle, POINTER(_CorrectedFrames), POINTER(StanceRange), c_int32,
                                                  c_char_p, POINTER(OwnKeys), _Error]),
    "aplomb_character_write_frames_memory": (c_int32, [_Handle, POINTER(_CorrectedFrames), _TakeFile, c_void_p,
                                                       _Error]),
    "aplomb_character_write_description": (c_int32, [_Handle, c_char_p, _Error]),
    "aplomb_character_write_description_memory": (c_int32, [_Handle, _TakeFile, c_void_p, _Error]),
    "aplomb_character_mesh": (c_int32, [_Handle, POINTER(Mesh), _Error]),
    "aplomb_character_skin": (c_int32, [_Handle] + _POSE + [_Doubles, _Error]),
    "aplomb_character_camera_count": (c_int32, [_Handle]),
    "aplomb_character_camera": (c_int32, [_Handle, c_int32, c_int32, c_double, POINTER(Camera), _Error]),
    "aplomb_picture_write": (c_int32, [POINTER(Picture), c_char_p, _Error]),
    "aplomb_picture_write_memory": (c_int32, [POINTER(Picture), _TakeFile, c_void_p, _Error]),
    "aplomb_page_write": (c_int32, [POINTER(Picture), c_char_p, _Error]),
    "aplomb_page_write_memory": (c_int32, [POINTER(Picture), _TakeFile, c_void_p, _Error]),
    "aplomb_page_parts_memory": (c_int32, [POINTER(Picture), c_double, _TakeFile, c_void_p, _Error]),
    "aplomb_sheets_write": (c_int32, [POINTER(Sheet), c_int32, c_char_p, _Error]),
    "aplomb_sheets_write_memory": (c_int32, [POINTER(Sheet), c_int32, _TakeFile, c_void_p, _Error]),
    "aplomb_motion_write": (c_int32, [POINTER(_Motion), c_char_p, _Error]),
    "aplomb_motion_write_memory": (c_int32, [POINTER(_Motion), _TakeFile, c_void_p, _Error]),
}
_NUMBERS = [c_double, c_double, _Doubles, _Error]
PROTOTYPES.update({
    "aplomb_chain_text": (c_char_p, [c_int32]),
    "aplomb_chain_make": (Chain, [c_int32, c_int32, c_int32]),
    "aplomb_figure_chains": (c_int32, [_Handle, POINTER(Chain), c_int32]),
    "aplomb_follow_create": (c_int32, [_Handle, POINTER(_FollowDesc), c_void_p, _Out, _Error]),
    "aplomb_follow_destroy": (None, [_Handle]),
    "aplomb_follow_frequency": (c_double, [_Handle, c_int32]),
    "aplomb_follow_settling_time": (c_double, [_Handle]),
    "aplomb_follow_state_size": (c_int32, [_Handle]),
    "aplomb_follow_reset": (c_int32, [_Handle, _Doubles, _Error]),
    "aplomb_follow_teleport": (c_int32, [_Handle, _Doubles, _Error]),
    "aplomb_follow_at_rest": (c_int32, [_Handle, _Doubles]),
    "aplomb_follow_step": (c_int32, [_Handle, _Doubles, POINTER(_FollowFrame), _Doubles, _Error]),
    "aplomb_follow_frames": (c_int32, [_Handle, _Doubles, POINTER(_FollowShot), _Doubles, _Error]),
    "aplomb_hanging_step": (c_int32, [POINTER(_Hanging), POINTER(HangingState), c_double, _Doubles,
                                      POINTER(HangingResult), _Error]),
    "aplomb_hanging_remark": (c_int32, [c_double, c_double, c_double, c_void_p, c_size_t]),
    "aplomb_give_make": (c_int32, [c_int32, c_double, c_double, c_double, POINTER(_Give), _Error]),
    "aplomb_give_step": (c_int32, [POINTER(_Give), c_double, c_double, _Doubles, _Doubles, _Error]),
    "aplomb_give_rest": (c_int32, [_Handle, POINTER(Situation), _Doubles, _Error]),
    "aplomb_give_pose": (c_int32, [_Handle, POINTER(Situation), c_double, c_double, _Doubles, _Doubles, _Error]),
    "aplomb_fall_time": (c_int32, _NUMBERS),
    "aplomb_bounce_time": (c_int32, [c_double, c_double, c_double, c_int32, POINTER(Bounce), _Error]),
    "aplomb_pendulum_time": (c_int32, [c_double] + _NUMBERS),
    "aplomb_step_time": (c_int32, [c_double] + _NUMBERS),
    "aplomb_settle_time": (c_int32, [c_double] + _NUMBERS),
})
PROTOTYPES.update({
    "aplomb_clip_read": (c_int32, [_Handle, POINTER(_Clip), POINTER(_ClipOptions), c_void_p, _Out, _Error]),
    "aplomb_clip_reading_destroy": (None, [_Handle]),
    "aplomb_clip_find_ground_velocity": (c_int32, [_Handle, POINTER(_Clip), c_void_p, POINTER(c_double), _Error]),
    "aplomb_shot_page_write": (c_int32, [POINTER(_ShotPage), c_char_p, _Error]),
    "aplomb_shot_page_write_memory": (c_int32, [POINTER(_ShotPage), _TakeFile, c_void_p, _Error]),
})
PROTOTYPES.update({
    "aplomb_clip_balance": (c_int32, [_Handle, POINTER(_Clip), POINTER(_ClipBalanceOptions), c_void_p, _Doubles,
                                      _Doubles, _Out, _Error]),
    "aplomb_clip_give": (c_int32, [_Handle, POINTER(_Clip), POINTER(_ClipGiveOptions), c_void_p, _Doubles, _Doubles,
                                   POINTER(GivenFrame), _Error]),
    "aplomb_clip_balance_result_destroy": (None, [_Handle]),
    "aplomb_clip_balanced_frames": (POINTER(BalancedFrame), [_Handle, POINTER(c_int32)]),
    "aplomb_clip_ranges": (POINTER(BalancedRange), [_Handle, POINTER(c_int32)]),
    "aplomb_clip_arcs": (POINTER(Arc), [_Handle, POINTER(c_int32)]),
})
_CLIP_LISTS = {"frames": ClipFrame, "stances": StanceRange, "falls": FallRange, "flights": Flight, "steps": FootStep,
               "notes": ClipNote}
PROTOTYPES.update({"aplomb_clip_" + name: (POINTER(cls), [_Handle, POINTER(c_int32)])
                   for name, cls in _CLIP_LISTS.items()})
PROTOTYPES.update({
    "aplomb_manner_part_text": (c_char_p, [c_int32]),
    "aplomb_manner_learn": (c_int32, [_Handle, POINTER(_Pair), c_int32, POINTER(_MannerOptions), _Out, _Error]),
    "aplomb_manner_destroy": (None, [_Handle]),
    "aplomb_manner_describe": (c_int32, [_Handle, POINTER(MannerInfo), _Error]),
    "aplomb_manner_numbers": (POINTER(MannerNumber), [_Handle, POINTER(c_int32)]),
    "aplomb_manner_pairs": (POINTER(MannerPair), [_Handle, POINTER(c_int32)]),
    "aplomb_manner_apply": (c_int32, [_Handle, POINTER(Options), _Error]),
    "aplomb_manner_explain": (c_int32, [_Handle, c_void_p, c_size_t]),
    "aplomb_manner_read": (c_int32, [c_char_p, POINTER(Options), _Error]),
    "aplomb_manner_write": (c_int32, [c_char_p, POINTER(Options), c_char_p, _Error]),
})
PROTOTYPES.update({cls._c_name + "_init": (None, [POINTER(cls), c_size_t])
                   for cls in STRUCTURES if cls._fields_[0][0] == "struct_size"})
PROTOTYPES.update({
    "aplomb_dot_text": (c_char_p, [c_int32]),
    "aplomb_dot_find": (c_int32, [c_char_p]),
    "aplomb_drawing_fit": (c_int32, [POINTER(_Dots), _Out, _Error]),
    "aplomb_drawing_destroy": (None, [_Handle]),
    "aplomb_drawing_answer_count": (c_int32, [_Handle]),
    "aplomb_drawing_answer_at": (c_int32, [_Handle, c_int32, POINTER(DrawingAnswer), _Error]),
    "aplomb_drawing_project": (c_int32, [_Handle, c_int32, _Doubles, _Doubles, _Error]),
    "aplomb_drawing_variant_at": (c_int32, [_Handle, c_int32, POINTER(_DrawingVariant), _Error]),
    "aplomb_drawing_difference": (c_char_p, [_Handle, c_int32]),
})
CLIP_PREFIXES = ("aplomb_clip_",)
FIT_PREFIXES = ("aplomb_manner_", "aplomb_dot", "aplomb_drawing_")
FILE_PREFIXES = ("aplomb_manner_read", "aplomb_manner_write", "aplomb_own_keys_",
                 "aplomb_character_", "aplomb_corrected_frames_", "aplomb_picture_", "aplomb_page_", "aplomb_sheets_",
                 "aplomb_shot_page_", "aplomb_motion_")

# ---- The library --------------------------------------------------------------------------------------------------

_VERSION = (0, 1)  # while the first number is 0, another second number may be another C API
_NAME = "libaplomb.so.%d.%d" % _VERSION
_FILES_NAME = "libaplomb_files.so.%d.%d" % _VERSION
_CLIP_NAME = "libaplomb_clip.so.%d.%d" % _VERSION
_FIT_NAME = "libaplomb_fit.so.%d.%d" % _VERSION


class _Library:
    """All shared libraries; a function is bound when it is first used, so one that is missing hurts nobody else."""

    def __init__(self, path):
        try:
            self._core = ctypes.CDLL(path)
        except OSError as fault:
            raise Error(Status.CANNOT_OPEN, "path", -1, "%s cannot be loaded: %s." % (path, fault))
        self._folder = os.path.dirname(path)
        version = self.aplomb_version()
        if (version // 10000, version // 100 % 100) != _VERSION:
            raise Error(Status.WRONG_VERSION, "path", -1, "%s is version %d.%d.%d; this module is for %d.%d." % (
                (path, version // 10000, version // 100 % 100, version % 100) + _VERSION))

    def _beside(self, name, what):
        path = os.path.join(self._folder, name)
        try:
            return ctypes.CDLL(path)
        except OSError as fault:
            raise Error(Status.CANNOT_OPEN, "path", -1, "%s need %s: %s." % (what, path, fault))

    def __getattr__(self, name):
        if name == "_opened":
            self._opened = self._beside(_FILES_NAME, "Characters in files and pictures")
            return self._opened
        if name == "_clips":
            self._clips = self._beside(_CLIP_NAME, "Clips")
            return self._clips
        if name == "_fits":
            self._fits = self._beside(_FIT_NAME, "Fits")
            return self._fits
        if name not in PROTOTYPES:
            raise AttributeError(name)
        try:
            function = getattr(self._opened if name.startswith(FILE_PREFIXES) else
                               self._clips if name.startswith(CLIP_PREFIXES) else
                               self._fits if name.startswith(FIT_PREFIXES) else self._core, name)
        except AttributeError:
            raise Error(Status.WRONG_VERSION, "path", -1, "The library that was loaded has no %s." % name)
        function.restype, function.argtypes = PROTOTYPES[name]
        setattr(self, name, function)
        return function


_loaded = None


def _found():
    """The library that is used where the caller names none; a bare name leaves the search to the system."""
    named = os.environ.get("APLOMB_LIBRARY")
    if named:
        return named
    here = os.path.dirname(os.path.abspath(__file__))
    prefix = os.path.join(here, "..", "..", "..")  # from share/aplomb/python
    for folder in (here, os.path.join(prefix, "lib*"), os.path.join(prefix, "lib", "*")):
        for path in sorted(glob.glob(os.path.join(folder, _NAME))):
            return path
    return _NAME


def load(path=None):
    """Loads the shared library `path`, a file or the folder that has it. Without a path, and if this is not called at
    all: what the environment variable APLOMB_LIBRARY names, else beside this file, else in the lib folders of the
    prefix that this file is installed in, else wherever the system finds it. libaplomb_files,
    libaplomb_clip and libaplomb_fit are looked for beside it, when they are first needed. Call it before anything else is used. Raises Error: no such library, or another
    version."""
    global _loaded
    place = _found() if path is None else os.fspath(path)
    if os.path.isdir(place):
        place = os.path.join(place, _NAME)
    _loaded = _Library(os.path.abspath(place) if os.path.exists(place) else place)


def _library():
    if _loaded is None:
        load()
    return _loaded


def build_info():
    """One line on the library in use: version, compiler."""
    return _library().aplomb_build_info().decode("utf-8")


def _call(name, *arguments):
    """Calls a function that ends in an aplomb_error; gives its status, or raises."""
    error = _ErrorStruct()
    status = getattr(_library(), name)(*arguments, byref(error))
    if status < 0:
        raise Error(Status(status), error.field.decode("utf-8"), error.index,
                    error.message.decode("utf-8", "replace"))
    return status


def option_table():
    """All numbers of Options as OptionInfo, in the library's order."""
    table = []
    for index in range(_library().aplomb_option_count()):
        table.append(_made(OptionInfo))
        _call("aplomb_option_describe", index, byref(table[-1]))
    return table


# ---- Figure -------------------------------------------------------------------------------------------------------


class Figure:
    """An articulated character; never changes once it is built.

    `parents`: one per joint, -1 for joint 0 alone, a parent before its children. `translations`: 3 per joint, the rest
    pose. `rotations`: 4 per joint; None: all identity. `names`, `roles`, `sides`: one per joint; None: found. `tips`: 3
    per joint, where a last joint's segment ends; NaN: not known. `masses` (kg), `centres` (3), `inertias` (6), `limits`
    (6, radians, NaN: published): per joint; None: from the tables. `soles`: pairs of a joint and its points. `skin`: a
    Skin. Further members by name: metres_per_unit, up_axis, forward_axis, left_handed, mass_table, total_mass (kg).

    Raises Error with BAD_FIGURE where no hips and no limb that reaches the ground can be found."""

    def __init__(self, parents, translations, rotations=None, names=None, roles=None, sides=None, tips=None,
                 masses=None, centres=None, inertias=None, limits=None, soles=(), skin=None, **members):
        desc = _made(_FigureDesc)
        desc.parents = parents = _array(parents, c_int32, "parents")
        desc.joint_count = joints = len(parents)
        for name, values, kind, width in (
                ("translations", translations, c_double, 3), ("rotations", rotations, c_double, 4),
                ("roles", roles, c_int32, 1), ("sides", sides, c_int32, 1), ("tips", tips, c_double, 3),
                ("masses", masses, c_double, 1), ("centres", centres, c_double, 3),
                ("inertias", inertias, c_double, 6), ("limits", limits, c_double, 6)):
            if values is not None:
                setattr(desc, name, _array(values, kind, name, width * joints))
        if names is not None:
            if len(names) != joints:
                raise _miscounted("names", len(names), joints)
            desc.names = _texts(names)
        patches = (_Patch * len(soles))()
        points = [_array(sole[1], c_double, "soles") for sole in soles]
        for patch, sole, numbers in zip(patches, soles, points):
            patch.joint, patch.point_count, patch.points = sole[0], len(numbers) // 3, numbers
        desc.soles, desc.sole_count = patches, len(soles)
        if skin is not None:
            desc.skin = ctypes.pointer(skin)
        _assign(desc, members)
        handle = c_void_p()
        _call("aplomb_figure_create", byref(desc), None, byref(handle))
        self._adopt(handle, None)

    def _adopt(self, handle, owner):
        self._handle, self._owner = handle, owner
        self._destroy = _library().aplomb_figure_destroy if owner is None else None
        self.joint_count = _library().aplomb_figure_joint_count(handle)

    def __del__(self):
        if getattr(self, "_destroy", None):
            self._destroy(self._handle)

    def find_joint(self, name):
        """The joint of this name, or -1."""
        return _library().aplomb_figure_find_joint(self._handle, _text(name))

    def find_role(self, role, side=Side.FROM_NAME):
        """The first joint of this role and side (FROM_NAME: any side), or -1."""
        return _library().aplomb_figure_find_role(self._handle, role, side)

    def name(self, joint):
        """The joint's name; "" where none was given."""
        return self.joint(joint).name.decode("utf-8")

    def joint(self, joint):
        """A JointInfo; its name is in UTF-8."""
        info = _made(JointInfo)
        _call("aplomb_figure_joint", self._handle, joint, byref(info))
        info.figure = self  # its name is the figure's
        return info

    def limbs(self):
        """A LimbInfo for every limb; a Contact names a limb by its place in this list."""
        infos = []
        for limb in range(_library().aplomb_figure_limb_count(self._handle)):
            infos.append(_made(LimbInfo))
            _call("aplomb_figure_limb", self._handle, limb, byref(infos[-1]))
        return infos

    def info(self):
        """A FigureInfo: mass, stature, leg length, unit and axes."""
        info = _made(FigureInfo)
        _call("aplomb_figure_describe", self._handle, byref(info))
        info.figure = self
        return info

    def remarks(self):
        """What was not found, found twice or taken from memory, one sentence each."""
        count = self.info().remark_count
        return [_library().aplomb_figure_remark(self._handle, index).decode("utf-8") for index in range(count)]

    def doubts(self):
        """Of the remarks those that make the figure itself doubtful, as with a wrong unit: (Doubt, sentence) each."""
        found = []
        kind = c_int32()
        for index in itertools.count():
            text = _library().aplomb_figure_doubt(self._handle, index, byref(kind))
            if text is None:
                return found
            found.append((Doubt(kind.value), text.decode("utf-8")))

    def load(self, mass, place, **members):
        """A Load at a place by its word: "hands" (both, midway between the palms), "left-hand", "right-hand", "back"
        (the chest) or the name of a joint. Members as of Load: `figure.load(20, "hands", offset=(0, 0, 0.1))`."""
        if not isinstance(place, str):
            raise _wrong("place", place, "a word: hands, left-hand, right-hand, back or the name of a joint")
        found = Load.__new__(Load)
        try:
            _call("aplomb_load_at", self._handle, mass, _text(place), byref(found))
        except Error as fault:
            words = ["hands", "left-hand", "right-hand", "back"]
            if place in words:
                raise
            names = words + [self.name(joint) for joint in range(self.joint_count)]
            raise Error(fault.status, fault.field, fault.index, "There is no joint '%s'%s." % (
                place, _offered(place, names))) from None
        return Load(mass, [joint for joint in found.holder if joint >= 0], **members)

    def rest_pose(self):
        """The pose of the description."""
        return self._pose("aplomb_figure_rest_pose")

    def neutral_pose(self):
        """The anatomical neutral: upright, legs straight down, arms hanging."""
        return self._pose("aplomb_figure_neutral_pose")

    def _pose(self, name):
        pose = Pose(self.joint_count)
        getattr(_library(), name)(self._handle, pose.translations, pose.rotations)
        return pose

    def stance(self, pose):
        """The stance that a pose shows, one Contact per limb: low feet bear, lifted feet are held, hands are free."""
        pose = self._checked(pose)
        contacts = (Contact * _MAX_CONTACTS)()
        count = _call("aplomb_stance_default", self._handle, pose.translations, pose.rotations, contacts)
        return list(contacts[:count])

    def _checked(self, pose, writable=False):
        """The library cannot know how long an array is."""
        pose = Pose._of(pose, writable)
        _array(pose.translations, c_double, "translations", 3 * self.joint_count)
        _array(pose.rotations, c_double, "rotations", 4 * self.joint_count)
        return pose


# ---- Reading and balancing ----------------------------------------------------------------------------------------


def explain(figure, result):
    """A correction in the animator's words, with line breaks."""
    size = _library().aplomb_explain(figure._handle, byref(result), None, 0) + 1
    text = ctypes.create_string_buffer(max(size, 1))
    _library().aplomb_explain(figure._handle, byref(result), text, len(text))
    return text.value.decode("utf-8")


class Correction:
    """What Solver.balance gives: `status` (OK: in balance; above: read `result` first), `pose`, `result`."""

    def __init__(self, figure, status, pose, result):
        self.figure, self.status, self.pose, self.result = figure, status, pose, result

    def explain(self):
        """In the animator's words, with line breaks."""
        return explain(self.figure, self.result)


class Solver:
    """Working memory for one figure and one thread."""

    def __init__(self, figure):
        if not isinstance(figure, Figure):
            raise _wrong("figure", figure, "a Figure")
        self.figure = figure
        self._handle = c_void_p()
        self._destroy = _library().aplomb_solver_destroy
        _call("aplomb_solver_create", figure._handle, None, byref(self._handle))

    def __del__(self):
        if getattr(self, "_destroy", None):
            self._destroy(self._handle)

    def _asked(self, situation, options):
        if not isinstance(situation, Situation):
            raise _wrong("situation", situation, "a Situation: Situation(pose, loads)")
        self.figure._checked(situation.pose)
        if options is None:
            return byref(situation), None
        if options.locked_count not in (0, self.figure.joint_count):
            raise _miscounted("locked", options.locked_count, self.figure.joint_count)
        return byref(situation), byref(options)

    def balance(self, situation, options=None, out=None):
        """The smallest change that brings the situation's pose into balance: a Correction. `out`: a Pose that takes
        it, or a pair of writable buffers of doubles, 3 and 4 per joint; it may be the situation's own pose; None: a
        new Pose. Raises Error; then nothing was written."""
        pose = Pose(self.figure.joint_count) if out is None else self.figure._checked(out, True)
        result = _made(Result)
        status = _call("aplomb_balance", self._handle, *self._asked(situation, options), pose.translations,
                       pose.rotations, byref(result))
        return Correction(self.figure, Status(status), pose, result)

    def suggest_foot(self, situation, options=None):
        """Where moving one foot would change the body least: a FootSuggestion and the keyed Pose with that foot moved
        (not balanced; the keyed pose itself where `found` is 0). Nothing is applied."""
        pose = Pose(self.figure.joint_count)
        suggestion = _made(FootSuggestion)
        _call("aplomb_suggest_foot", self._handle, *self._asked(situation, options), pose.translations,
              pose.rotations, byref(suggestion))
        return suggestion, pose

    def step(self, state, situation, seconds, velocity=(0, 0, 0), ahead=None, ahead_seconds=0.3, ahead_contacts=None,
             options=None, pace=None, tensions=None, out=None):
        """As balance, frame after frame of a character whose StepState is `state`. `seconds`: since the last call;
        `velocity`: of the character against the ground as far as its poses do not show it, host units per s; `ahead`: a
        Pose that comes in `ahead_seconds`, with `ahead_contacts` or those that it shows; `pace`: a Pace; None: the
        default; `tensions`: for each load of the situation three newtons with which what hangs pulls its hand; None: in
        plumb."""
        if not isinstance(state, StepState):
            raise _wrong("state", state, "a StepState: StepState() for a new character")
        pose = Pose(self.figure.joint_count) if out is None else self.figure._checked(out, True)
        result, frame = _made(Result), _made(_Frame)
        frame.seconds, frame.velocity = seconds, (c_double * 3)(*velocity)
        if ahead is not None:
            self.figure._checked(ahead)
            frame.ahead_translations = ctypes.cast(ahead.translations, c_void_p)
            frame.ahead_rotations = ctypes.cast(ahead.rotations, c_void_p)
            frame.ahead_seconds = ahead_seconds
        if ahead_contacts is not None:
            kept = (Contact * len(ahead_contacts))(*ahead_contacts)
            frame.ahead_contacts, frame.ahead_contact_count = kept, len(ahead_contacts)
        if tensions is not None:
            numbers = [float(number) for tension in tensions for number in tension]
            if len(numbers) != 3 * len(situation.loads):
                raise _wrong("tensions", tensions, "three numbers for each of the situation's loads")
            frame.tensions = (c_double * len(numbers))(*numbers)
        status = _call("aplomb_step", self._handle, byref(state), *self._asked(situation, options),
                       None if pace is None else byref(pace), byref(frame), pose.translations, pose.rotations,
                       byref(result))
        return Correction(self.figure, Status(status), pose, result)

    def give_rest(self, situation):
        """How far the hips come to rest below the pose under what it carries, host units."""
        hips = c_double()
        _call("aplomb_give_rest", self._handle, self._asked(situation, None)[0], byref(hips))
        return hips.value

    def give(self, situation, hips, arms=0.0, out=None):
        """The Pose with its hips lowered by `hips`, host units, and what both hands carry by `arms` beyond that; soles
        stay. `out`: as for balance."""
        pose = Pose(self.figure.joint_count) if out is None else self.figure._checked(out, True)
        _call("aplomb_give_pose", self._handle, self._asked(situation, None)[0], hips, arms, pose.translations,
              pose.rotations)
        return pose

    def read(self, situation, options=None):
        """How the situation's pose stands and what it reads as: a Reading."""
        reading = _made(Reading)
        _call("aplomb_read", self._handle, *self._asked(situation, options), byref(reading))
        return reading

    def read_corrected(self, situation, correction, options=None):
        """The Reading of a correction of this situation, against the rest point that it aimed at."""
        reading = _made(Reading)
        pose = self.figure._checked(correction.pose)
        _call("aplomb_read_corrected", self._handle, *self._asked(situation, options), pose.translations,
              pose.rotations, byref(correction.result), byref(reading))
        return reading


# ---- Characters in files, and sheets ------------------------------------------------------------------------------


def _taken(function, *arguments):
    """What a function writes to memory."""
    written = []

    def take(_, data, size):
        written.append(ctypes.string_at(data, size))
        return 1

    _call(function, *arguments, _TakeFile(take), None)
    return written[0]


class Character:
    """A character in a file, glTF 2.0 or BVH: its figure, its clips. Needs libaplomb_files. Options by name:
    description (path), skin (name or number), metres_per_unit, stature (metres), up_axis, forward_axis, mass_table,
    total_mass (kg), stand (clip and seconds of a frame that stands, or "none": the rest pose).

    A clip is a number from 0, a name, or None: the file's pose without motion. Seconds count from the clip's start."""

    def __init__(self, path, description=None, skin=None, stand=None, **options):
        self._open("aplomb_character_open", _path(path), description, skin, stand, options)

    @staticmethod
    def from_bytes(data, name=None, find=None, description=None, skin=None, stand=None, **options):
        """A character from the bytes of its file. `find(name)` gives the bytes of a file that it names, a buffer of a
        .gltf or a figure description, or None; a dict's get will do. With a name, "<name>.figure.json" is asked for.
        Other options as for a path."""
        data, kept = bytes(data), []

        def found(_, wanted, where, size):
            part = find(wanted.decode("utf-8"))
            if part is None:
                return 0
            kept.append(bytes(part))
            where[0] = ctypes.cast(c_char_p(kept[-1]), c_void_p)
            size[0] = len(kept[-1])
            return 1

        file = _MemoryFile(data, len(data), _text(name), _FindFile() if find is None else _FindFile(found))
        character = Character.__new__(Character)
        character._open("aplomb_character_open_memory", byref(file), description, skin, stand, options)
        return character

    def _open(self, function, source, description, skin, stand, options):
        given = _made(_CharacterOptions)
        if stand is not None:
            clip, seconds = (stand, 0.0) if isinstance(stand, str) else stand
            given.stand_clip = _text(str(clip))
            given.stand_seconds = seconds
        given.description = None if description is None else _path(description)
        given.skin = None if skin is None else _text(str(skin))
        _assign(given, options)
        self._handle = c_void_p()
        self._close = _library().aplomb_character_close
        _call(function, source, byref(given), byref(self._handle))

    def __del__(self):
        if getattr(self, "_close", None):
            self._close(self._handle)

    @property
    def figure(self):
        """Its Figure; poses of it are in the file's unit and axes."""
        figure = Figure.__new__(Figure)
        figure._adopt(c_void_p(_library().aplomb_character_figure(self._handle)), self)
        return figure

    def understood(self):
        """CharacterInfo: up, facing, unit and the pose that was measured, each with its source and why."""
        info = _made(CharacterInfo)
        _call("aplomb_character_describe", self._handle, byref(info))
        info.character = self  # its texts are the character's
        return info

    def remarks(self):
        """What of the file was left out or does not agree with itself."""
        count = self.understood().remark_count
        return [_library().aplomb_character_remark(self._handle, index).decode("utf-8") for index in range(count)]

    def clips(self):
        """The names of the clips."""
        count = _library().aplomb_character_clip_count(self._handle)
        return [_library().aplomb_character_clip_name(self._handle, clip).decode("utf-8") for clip in range(count)]

    def _clip(self, clip):
        if clip is None:
            return -1
        if isinstance(clip, int):
            return clip
        found = _library().aplomb_character_find_clip(self._handle, _text(clip))
        if found < 0:
            raise Error(Status.BAD_ARGUMENT, "clip", -1, "There is no clip '%s'%s." % (
                clip, _offered(clip, self.clips())))
        return found

    def key_times(self, clip=0):
        """The moments at which the clip has keys (BVH: its frames), seconds, ascending."""
        clip = self._clip(clip)
        count = _library().aplomb_character_key_times(self._handle, clip, None, 0)
        seconds = (c_double * max(count, 0))()
        _library().aplomb_character_key_times(self._handle, clip, seconds, len(seconds))
        return list(seconds)

    def stances(self, clip=0):
        """The stances over time that the figure description gives for a clip: StanceRanges by its key times."""
        clip = self._clip(clip)
        ranges = (StanceRange * _library().aplomb_character_stances(self._handle, clip, None, 0))()
        _library().aplomb_character_stances(self._handle, clip, ranges, len(ranges))
        return ranges

    def pose(self, clip=None, seconds=0.0, out=None):
        """The pose at a moment of a clip; before its start and past its end: the first and the last. `out`: as for
        Solver.balance."""
        figure = self.figure
        pose = Pose(figure.joint_count) if out is None else figure._checked(out, True)
        _call("aplomb_character_pose", self._handle, self._clip(clip), seconds, pose.translations, pose.rotations)
        return pose

    def write(self, path, pose, clip=None, seconds=0.0):
        """Writes the file again with this pose at that moment. All else in it stays; an existing file is replaced
        whole or left alone."""
        pose = self.figure._checked(pose)
        _call("aplomb_character_write", self._handle, self._clip(clip), seconds, pose.translations, pose.rotations,
              _path(path))

    def _frames(self, translations, rotations, clip, seconds, keys, layer=None):
        joints = self.figure.joint_count
        frames = _made(_CorrectedFrames)
        frames.layer = _text(layer)
        frames.clip = self._clip(clip)
        for name, values, kind in (("seconds", seconds, c_double), ("keys", keys, c_int32)):
            if values is not None:
                array = _array(values, kind, name)
                frames.count = len(array)
                setattr(frames, name, array)
        if seconds is None and keys is None:
            frames.count = 1 if frames.clip < 0 else 0
        for name, values, width in (("translations", translations, 3), ("rotations", rotations, 4)):
            setattr(frames, name, _array(values, c_double, name, width * joints * frames.count))
        return frames

    def write_frames(self, path, translations, rotations, clip=0, seconds=None, keys=None, layer=None):
        """Writes the file again with many poses of a clip at once: `seconds`, or `keys`, numbers of key_times, say when
        they are. `translations`: 3 numbers per joint, pose after pose, and `rotations`: 4, such as numpy arrays of
        shape (frames, joints, 3) and (frames, joints, 4). Each changed track is written once. `layer`: glTF; the clip
        stays, and these tracks alone go into a further clip of this name."""
        frames = self._frames(translations, rotations, clip, seconds, keys, layer)
        _call("aplomb_character_write_frames", self._handle, byref(frames), _path(path))

    def write_own_keys(self, path, translations, rotations, seconds, planted, clip=0):
        """write_frames on the keys that the tracks have, by least squares of all frames (glTF): none is removed or moved
        in time; a track with one or none takes those of the clip. `seconds` grow; `planted`: StanceRanges in them, in
        which feet may be off by no more than 1e-3 of the leg, else their legs get keys more. Returns OwnKeys."""
        frames = self._frames(translations, rotations, clip, seconds, None)
        planted = (StanceRange * len(planted))(*planted)
        told = _made(OwnKeys)
        added = (AddedKey * max(1, frames.count * len(self.figure.limbs())))()
        told.added, told.capacity = added, len(added)
        _call("aplomb_character_write_own_keys", self._handle, byref(frames), planted, len(planted), _path(path),
              byref(told))
        told.keys = list(added[:told.added_count])
        return told

    def frames_to_bytes(self, translations, rotations, clip=0, seconds=None, keys=None):
        """The bytes that write_frames would write."""
        frames = self._frames(translations, rotations, clip, seconds, keys)
        return _taken("aplomb_character_write_frames_memory", self._handle, byref(frames))

    def write_description(self, path):
        """Writes the figure description (JSON) that would give this figure again."""
        _call("aplomb_character_write_description", self._handle, _path(path))

    def description_to_bytes(self):
        """The bytes that write_description would write."""
        return _taken("aplomb_character_write_description_memory", self._handle)

    def mesh(self):
        """The Mesh that the skin moves (glTF). Raises Error with BAD_FILE where the file has none."""
        mesh = Mesh()
        _call("aplomb_character_mesh", self._handle, byref(mesh))
        mesh.character = self  # its triangles are the character's
        return mesh

    def skin(self, pose, out=None):
        """Where the mesh's vertices are in a pose: 3 doubles per vertex, world. `out`: a writable buffer that takes
        them."""
        count = 3 * self.mesh().vertex_count
        positions = (c_double * count)() if out is None else _array(out, c_double, "out", count, True)
        pose = self.figure._checked(pose)
        _call("aplomb_character_skin", self._handle, pose.translations, pose.rotations, positions)
        return positions

    def camera_count(self):
        return _library().aplomb_character_camera_count(self._handle)

    def camera(self, camera=0, clip=None, seconds=0.0):
        """A Camera at a moment of a clip."""
        found = Camera()
        _call("aplomb_character_camera", self._handle, camera, self._clip(clip), seconds, byref(found))
        return found


def write_sheets(sheets, path):
    """Writes an HTML file of Sheets; each starts a new printed page."""
    _call("aplomb_sheets_write", (Sheet * len(sheets))(*sheets), len(sheets), _path(path))


def sheets_to_bytes(sheets):
    """The bytes that write_sheets would write."""
    return _taken("aplomb_sheets_write_memory", (Sheet * len(sheets))(*sheets), len(sheets))


def write_motion(pictures, frames_per_second, path, view=View.FRONT, first_number=0, title=None, text=None):
    """One self-contained HTML file: the Pictures as a moving picture, with a button that plays it, and eight moments."""
    motion = _made(_Motion)
    motion.pictures, motion.picture_count = (Picture * max(1, len(pictures)))(*pictures), len(pictures)
    motion.frames_per_second, motion.view, motion.first_number = frames_per_second, int(view), first_number
    motion.title, motion.text = _text(title), _text(text)
    _call("aplomb_motion_write", byref(motion), _path(path))


# ---- Clips --------------------------------------------------------------------------------------------------------


def _listed(function, cls, handle):
    """An array that an object of the library owns, copied."""
    count = c_int32()
    items = getattr(_library(), function)(handle, byref(count))
    copied = (cls * count.value)()
    if count.value:
        ctypes.memmove(copied, items, ctypes.sizeof(copied))
    return copied


class ClipReading:
    """What a shot is like: `frames` (ClipFrame), `stances` (StanceRange), `falls` (FallRange), `flights` (Flight),
    `steps` (FootStep), `notes` (ClipNote, the worst first; at most three)."""

    def __init__(self, handle, figure, clip):
        self._figure, self._clip = figure, clip
        for name, cls in _CLIP_LISTS.items():
            setattr(self, name, _listed("aplomb_clip_" + name, cls, handle))

    def sentences(self):
        """The notes, one sentence or two each."""
        return [note.text.decode("utf-8") for note in self.notes]

    def _page(self, title, worst, strip):
        page = _made(_ShotPage)
        page.title, page.figure, page.clip = _text(title), self._figure._handle, ctypes.pointer(self._clip)
        page.frame_count = len(self.frames)
        for name in _CLIP_LISTS:
            setattr(page, name, getattr(self, name))
            if name != "frames":
                setattr(page, name[:-1] + "_count", len(getattr(self, name)))
        for name, moments in (("worst", worst), ("strip", strip)):
            setattr(page, name, (DrawnMoment * len(moments))(*moments))
            setattr(page, name + "_count", len(moments))
        return page

    def write_page(self, path, title=None, worst=(), strip=()):
        """Writes an HTML page. `worst` (at most 4) and `strip` (at most 12): DrawnMoments. Needs libaplomb_files."""
        _call("aplomb_shot_page_write", byref(self._page(title, worst, strip)), _path(path))

    def page_to_bytes(self, title=None, worst=(), strip=()):
        """The bytes that write_page would write."""
        return _taken("aplomb_shot_page_write_memory", byref(self._page(title, worst, strip)))


def _clip_of(figure, times, translations, rotations, stances=None, carries=(), gravity=None, ground_normal=None,
             ground_velocity=None):
    clip = _made(_Clip)
    times = _array(times, c_double, "times")
    clip.times, clip.frame_count = times, len(times)
    clip.translations = _array(translations, c_double, "translations", 3 * figure.joint_count * len(times))
    clip.rotations = _array(rotations, c_double, "rotations", 4 * figure.joint_count * len(times))
    if stances is not None:
        # Of no ranges, too, the array must be there: it says that nothing bears.
        clip.stances, clip.stance_count = (StanceRange * max(1, len(stances)))(*stances), len(stances)
    clip.carries, clip.carry_count = (Carry * len(carries))(*carries), len(carries)
    for name, vector in (("gravity", gravity), ("ground_normal", ground_normal), ("ground_velocity", ground_velocity)):
        if vector is not None:
            setattr(clip, name, tuple(vector))
    return clip


def _progress_of(progress):
    return _Progress(lambda part, _: int(bool(progress(part))))


def find_ground_velocity(figure, times, translations, rotations):
    """The velocity of the ground on which low soles stand the stillest, 3 numbers: of a walk on the spot its belt's."""
    clip, found = _clip_of(figure, times, translations, rotations), (c_double * 3)()
    _call("aplomb_clip_find_ground_velocity", figure._handle, byref(clip), None, found)
    return tuple(found)


def read_clip(figure, times, translations, rotations, stances=None, carries=(), gravity=None, ground_normal=None,
              ground_velocity=None, options=None, progress=None, blocking=False):
    """A ClipReading. `times`: seconds of each frame. `translations`, `rotations`: 3 and 4 doubles per joint, one frame
    after another. `stances`: a sequence of StanceRange, such as an earlier reading's, changed; None: found. `carries`: a
    sequence of Carry. `ground_velocity`: of a belt, 3 numbers. `progress`: called with the part that is done, 0 to 1; if
    it gives back something true, the work ends with Error, CANCELLED. `blocking`: each frame is a key of its own, read as
    if still."""
    clip = _clip_of(figure, times, translations, rotations, stances, carries, gravity, ground_normal, ground_velocity)
    how = _made(_ClipOptions)
    how.blocking = int(bool(blocking))
    if options is not None:
        how.reading = ctypes.pointer(options)
    if progress is not None:
        how.progress = _progress_of(progress)
    handle = c_void_p()
    _call("aplomb_clip_read", figure._handle, byref(clip), byref(how), None, byref(handle))
    try:
        return ClipReading(handle, figure, clip)
    finally:
        _library().aplomb_clip_reading_destroy(handle)


# ---- Follow-through -----------------------------------------------------------------------------------------------

_GRAVITY = 9.80665


def find_chains(figure):
    """The Chains of a figure: tail, neck and head, arms, and helpers whose names say what they are."""
    count = _library().aplomb_figure_chains(figure._handle, None, 0)
    chains = (Chain * count)()
    _library().aplomb_figure_chains(figure._handle, chains, count)
    return list(chains)


class Follow:
    """Chains made ready to step, for any number of characters and threads. `chains`: a sequence of Chain; None: those
    that find_chains finds. `frame_time`: of steps that shall be quickest."""

    def __init__(self, figure, chains=None, gravity=_GRAVITY, frame_time=0.0):
        self._handle = None
        self.figure = figure
        self.chains = find_chains(figure) if chains is None else list(chains)
        desc = _made(_FollowDesc)
        desc.chains, desc.chain_count = (Chain * max(1, len(self.chains)))(*self.chains), len(self.chains)
        desc.gravity, desc.frame_time = gravity, frame_time
        handle = c_void_p()
        _call("aplomb_follow_create", figure._handle, byref(desc), None, byref(handle))
        self._handle = handle

    def __del__(self):
        if self._handle:
            _library().aplomb_follow_destroy(self._handle)

    def frequency(self, chain):
        """Hz of a chain's slowest swing; 0 for no such chain."""
        return _library().aplomb_follow_frequency(self._handle, chain)

    @property
    def settling_time(self):
        """Seconds after which a swing of 5 degrees of the slowest chain is under half a degree."""
        return _library().aplomb_follow_settling_time(self._handle)

    def character(self):
        """A new Follower."""
        return Follower(self)

    def frames(self, times, translations, rotations, keyed=None, closed=False):
        """All rotations of a shot, one frame after another, its chains turned. `times`: seconds of each frame.
        `translations`, `rotations`: 3 and 4 doubles per joint and frame. `keyed`: the same two before a correction.
        `closed`: the shot is a loop and swings on across its ends."""
        shot = _made(_FollowShot)
        times = _array(times, c_double, "times")
        shot.times, shot.frame_count, shot.closed = times, len(times), int(bool(closed))
        count = self.figure.joint_count * len(times)
        shot.translations = _array(translations, c_double, "translations", 3 * count)
        shot.rotations = _array(rotations, c_double, "rotations", 4 * count)
        if keyed is not None:
            shot.keyed_translations = _array(keyed[0], c_double, "keyed_translations", 3 * count)
            shot.keyed_rotations = _array(keyed[1], c_double, "keyed_rotations", 4 * count)
        state = (c_double * _library().aplomb_follow_state_size(self._handle))()
        written = (c_double * (4 * count))()
        _call("aplomb_follow_frames", self._handle, state, byref(shot), written)
        return written


class Follower:
    """One character's swing. `state` is a writable array of doubles: `bytes(state)` may be saved, and
    `state[:] = array` puts it back."""

    def __init__(self, follow):
        self._follow = follow
        self.state = (c_double * _library().aplomb_follow_state_size(follow._handle))()
        self.reset()

    def reset(self):
        """At rest; the next step comes back as keyed."""
        _call("aplomb_follow_reset", self._follow._handle, self.state)

    def teleport(self):
        """The character is somewhere else at the next step; the jump does not drive it."""
        _call("aplomb_follow_teleport", self._follow._handle, self.state)

    @property
    def at_rest(self):
        """True: nothing swings, and poses come back bit for bit."""
        return bool(_library().aplomb_follow_at_rest(self._follow._handle, self.state))

    def step(self, pose, seconds, keyed=None, place=(0, 0, 0), turn=(0, 0, 0, 1)):
        """The pose with its chains turned, `seconds` after the last step. `keyed`: the pose before a correction.
        `place` and `turn`: of the character where the pose does not hold them."""
        pose, frame = Pose._of(pose), _made(_FollowFrame)
        joints = self._follow.figure.joint_count
        frame.seconds, frame.place, frame.turn = seconds, tuple(place), tuple(turn)
        frame.translations = _array(pose.translations, c_double, "translations", 3 * joints)
        frame.rotations = _array(pose.rotations, c_double, "rotations", 4 * joints)
        if keyed is not None:
            keyed = Pose._of(keyed)
            frame.keyed_translations = _array(keyed.translations, c_double, "keyed_translations", 3 * joints)
            frame.keyed_rotations = _array(keyed.rotations, c_double, "keyed_rotations", 4 * joints)
        made = Pose(joints)
        ctypes.memmove(made.translations, pose.translations, ctypes.sizeof(made.translations))
        _call("aplomb_follow_step", self._follow._handle, self.state, byref(frame), made.rotations)
        return made


class Hanging:
    """A load on a string, from frame to frame. Lengths in metres. Members and defaults are those of aplomb_hanging:
    `Hanging(0.5, 12, damping=0.1, stop=(0.1, 0, 0))`."""

    def __init__(self, length, mass, **members):
        self._hanging = _made(_Hanging)
        _assign(self._hanging, dict(members, length=length, mass=mass))
        self.state = HangingState()

    def step(self, seconds, hand):
        """A HangingResult, `seconds` later with the hand at `hand`."""
        result = HangingResult()
        _call("aplomb_hanging_step", byref(self._hanging), byref(self.state), seconds, (c_double * 3)(*hand),
              byref(result))
        return result


def hanging_remark(length, step_seconds, gravity=_GRAVITY):
    """What is to be said of a load on a string of this length and a walk with this time per step; or ""."""
    text = ctypes.create_string_buffer(240)
    if _library().aplomb_hanging_remark(length, gravity, step_seconds, text, ctypes.sizeof(text)) < 0:
        raise _wrong("length, gravity and step_seconds", (length, gravity, step_seconds), "above 0")
    return text.value.decode("utf-8")


class Give:
    """What yields and comes back: `place` and `velocity`, moved on by step."""

    def __init__(self, kind, length, load_over_body=0.0, gravity=_GRAVITY):
        self._give = _Give()
        _call("aplomb_give_make", int(kind), length, gravity, load_over_body, byref(self._give))
        self.place, self.velocity = 0.0, 0.0

    @property
    def rate(self):
        """Radians per second."""
        return self._give.rate

    @property
    def damping(self):
        """As a part of critical."""
        return self._give.damping

    def step(self, seconds, rest=0.0):
        """The place, `seconds` later on its way to `rest`."""
        place, velocity = c_double(self.place), c_double(self.velocity)
        _call("aplomb_give_step", byref(self._give), rest, seconds, byref(place), byref(velocity))
        self.place, self.velocity = place.value, velocity.value
        return self.place


def _seconds(name, *numbers):
    seconds = c_double()
    _call(name, *numbers, byref(seconds))
    return seconds.value


def fall_time(height, gravity=_GRAVITY):
    """Seconds of a fall from rest."""
    return _seconds("aplomb_fall_time", height, gravity)


def bounce_time(height, restitution, index, gravity=_GRAVITY):
    """Bounce `index`, from 0, of something dropped from `height`."""
    bounce = Bounce()
    _call("aplomb_bounce_time", height, restitution, gravity, index, byref(bounce))
    return bounce


def pendulum_time(length, angle=0.0, gravity=_GRAVITY):
    """Seconds there and back, from `angle` radians to either side."""
    return _seconds("aplomb_pendulum_time", length, angle, gravity)


def step_time(leg, seconds, other):
    """Seconds of the same step on legs of length `other` (equal Froude numbers)."""
    return _seconds("aplomb_step_time", leg, seconds, other)


def settle_time(frequency, damping, part):
    """Seconds until what swings stays within `part` of where it was let go from."""
    return _seconds("aplomb_settle_time", frequency, damping, part)


class BalancedClip:
    """A shot that carries its weight: `translations` and `rotations` of all frames, `frames` (BalancedFrame), `ranges`
    (BalancedRange), `arcs` (Arc), and `status`: OK, OUT_OF_REACH or NOT_CONVERGED."""

    def __init__(self, status, translations, rotations, handle):
        self.status, self.translations, self.rotations = Status(status), translations, rotations
        self.frames = _listed("aplomb_clip_balanced_frames", BalancedFrame, handle)
        self.ranges = _listed("aplomb_clip_ranges", BalancedRange, handle)
        self.arcs = _listed("aplomb_clip_arcs", Arc, handle)


def balance_clip(figure, times, translations, rotations, stances=None, carries=(), gravity=None, ground_normal=None,
                 ground_velocity=None, loop=False, options=None, flow=1.0, key_acceleration=1.0, amounts=None, exempt=(),
                 whole=False, progress=None, tensions=None, flights=False, blocking=False,
                 held=False):
    """A BalancedClip; the shot as for read_clip, which is not changed. `loop`: its first frame follows its last one.
    `amounts`: one per frame, 0 to 2. `exempt`: a sequence of ExemptRange. `whole`: all frames are one range.
    `tensions`: by the index of a carry that hangs, 3 numbers per frame: newton with which it pulls its hand.
    `flights`: True: what reads as a free fall is made one; or a sequence of FlightRange: these are. `blocking`: each frame
    is a key that is balanced alone. `held`: poses that are held for some frames, as on twos, stay held."""
    clip = _clip_of(figure, times, translations, rotations, stances, carries, gravity, ground_normal, ground_velocity)
    how = _made(_ClipBalanceOptions)
    how.blocking, how.held = int(bool(blocking)), int(bool(held))
    how.loop, how.whole, how.flow, how.key_acceleration = int(bool(loop)), int(bool(whole)), flow, key_acceleration
    if options is not None:
        how.correction = ctypes.pointer(options)
    if amounts is not None:
        how.amounts = _array(amounts, c_double, "amounts", clip.frame_count)
    how.exempt, how.exempt_count = (ExemptRange * len(exempt))(*exempt), len(exempt)
    if progress is not None:
        how.progress = _progress_of(progress)
    if tensions:
        pulls = [_ClipTension(carry, 0, _array(forces, c_double, "tensions", 3 * clip.frame_count))
                 for carry, forces in tensions.items()]
        how.tensions, how.tension_count = (_ClipTension * len(pulls))(*pulls), len(pulls)
    if flights:
        ranges = [] if flights is True else list(flights)
        how.flights, how.flight_range_count = 1, len(ranges)
        how.flight_ranges = (FlightRange * len(ranges))(*ranges)
    made = [(c_double * (width * figure.joint_count * clip.frame_count))() for width in (3, 4)]
    handle = c_void_p()
    status = _call("aplomb_clip_balance", figure._handle, byref(clip), byref(how), None, made[0], made[1], byref(handle))
    try:
        return BalancedClip(status, made[0], made[1], handle)
    finally:
        _library().aplomb_clip_balance_result_destroy(handle)


# ---- A studio's manner --------------------------------------------------------------------------------------------


class Manner:
    """What pairs tell of a studio's manner: `options`, those that it started from with what was told; `info`, a
    MannerInfo; `numbers`, MannerNumbers; `pairs`, MannerPairs; `text`, in words."""

    def __init__(self, handle, options):
        self.info = _made(MannerInfo)
        _call("aplomb_manner_describe", handle, byref(self.info))
        self.numbers = _listed("aplomb_manner_numbers", MannerNumber, handle)
        self.pairs = _listed("aplomb_manner_pairs", MannerPair, handle)
        self.options = options
        _call("aplomb_manner_apply", handle, byref(options))
        length = _library().aplomb_manner_explain(handle, None, 0)
        text = ctypes.create_string_buffer(length + 1)
        _library().aplomb_manner_explain(handle, text, length + 1)
        self.text = text.value.decode("utf-8")

    def write(self, path):
        """Writes the manner for `aplomb balance --manner` and read_manner."""
        write_manner(self.options, path, self.text)


def learn_manner(figure, pairs, options=None, progress=None):
    """A Manner from pairs: each a Situation, of the keyed pose, and the Pose that an animator made of it. `options`:
    where the numbers start and stay. `progress`: as in read_clip."""
    pairs = list(pairs)
    listed = (_Pair * max(1, len(pairs)))()
    for pair, (situation, pose) in zip(listed, pairs):
        pair.situation = ctypes.pointer(situation)
        pair.translations, pair.rotations = ctypes.addressof(pose.translations), ctypes.addressof(pose.rotations)
    start = Options()
    if options is not None:
        ctypes.memmove(byref(start), byref(options), ctypes.sizeof(start))
        start._locked_by = options  # whose array it points to
    how = _made(_MannerOptions)
    how.options = ctypes.pointer(start)
    if progress is not None:
        how.progress = _progress_of(progress)
    handle = c_void_p()
    _call("aplomb_manner_learn", figure._handle, listed, len(pairs), byref(how), byref(handle))
    try:
        return Manner(handle, start)
    finally:
        _library().aplomb_manner_destroy(handle)


def read_manner(path, options=None):
    """Options in a studio's manner: those given, or the defaults, with what the file sets."""
    options = Options() if options is None else options
    _call("aplomb_manner_read", _path(path), byref(options))
    return options


def write_manner(options, path, note=None):
    """Writes what of Options differs from the defaults; `note`: a text for people."""
    _call("aplomb_manner_write", _path(path), byref(options), _text(note))


# ---- A figure under a drawing -------------------------------------------------------------------------------------


class Drawing:
    """Answers of a figure under the dots of a drawing: `answers`, DrawingAnswers, the likeliest first; `differences`,
    sentences on what they do not agree in."""

    def __init__(self, handle):
        self._handle = handle
        self._destroy = _library().aplomb_drawing_destroy
        self.answers = []
        for index in range(_library().aplomb_drawing_answer_count(handle)):
            answer = _made(DrawingAnswer)
            _call("aplomb_drawing_answer_at", handle, index, byref(answer))
            self.answers.append(answer)
        self.differences = []
        while True:
            text = _library().aplomb_drawing_difference(handle, len(self.differences))
            if text is None:
                break
            self.differences.append(text.decode("utf-8"))

    def __del__(self):
        if getattr(self, "_destroy", None):
            self._destroy(self._handle)

    def figure(self, index=0):
        """The Figure of an answer, in its fitted lengths."""
        figure = Figure.__new__(Figure)
        figure._adopt(self.answers[index].figure, self)
        return figure

    def pose(self, index=0):
        """The Pose of an answer."""
        answer = self.answers[index]
        pose = Pose(answer.joint_count)
        pose.translations[:] = answer.translations[:3 * answer.joint_count]
        pose.rotations[:] = answer.rotations[:4 * answer.joint_count]
        return pose

    def variants(self):
        """Other poses, drawn by how likely the dots make them: (index of the answer whose figure it is of, Pose)."""
        made = []
        for index in range(_DRAWING_VARIANTS):
            variant = _DrawingVariant()
            _call("aplomb_drawing_variant_at", self._handle, index, byref(variant))
            count = self.answers[variant.answer].joint_count
            pose = Pose(count)
            pose.translations[:] = variant.translations[:3 * count]
            pose.rotations[:] = variant.rotations[:4 * count]
            made.append((variant.answer, pose))
        return made

    def project(self, point, index=0):
        """Where a place of an answer's world is on the picture, (x, y) in pixels."""
        pixels = (c_double * 2)()
        _call("aplomb_drawing_project", self._handle, index, (c_double * 3)(*point), pixels)
        return pixels[0], pixels[1]


def fit_drawing(dots, **members):
    """Lays a figure under dots: {"left knee": (x, y), Dot.CROWN: (x, y), ...}, pixels, y down. Members of aplomb_dots by
    name: build, stature, mass, noise, spread, tilt, angle, camera_height, width, height, keep. Gives a Drawing."""
    given = _made(_Dots)
    _assign(given, members)
    for name, place in dots.items():
        dot = int(name) if isinstance(name, int) else _library().aplomb_dot_find(_text(name))
        if not 0 <= dot < len(given.places):
            raise _wrong("dots", name, "the name of a dot, such as 'left knee'")
        given.places[dot][:] = place
    handle = c_void_p()
    _call("aplomb_drawing_fit", byref(given), byref(handle))
    return Drawing(handle)
class GivenClip:
    """A shot that gives: `translations` and `rotations` of all frames, and `frames` (GivenFrame)."""

    def __init__(self, translations, rotations, frames):
        self.translations, self.rotations, self.frames = translations, rotations, frames


def give_clip(figure, times, translations, rotations, stances=None, carries=(), gravity=None, ground_normal=None,
              ground_velocity=None, landings=False, held=False, falls=None):
    """A GivenClip: arms, hips and knees give where weight arrives or leaves; the shot as for read_clip, which is not
    changed. `landings`: a body that lands gives what its keys lack. `held`: the poses hold already what the knees give for
    good. `falls`: one per carry, how far it falls before it is caught, host units."""
    clip = _clip_of(figure, times, translations, rotations, stances, carries, gravity, ground_normal, ground_velocity)
    how = _made(_ClipGiveOptions)
    how.landings, how.held = int(bool(landings)), int(bool(held))
    if falls is not None:
        how.falls = _array(falls, c_double, "falls", clip.carry_count)
    made = [(c_double * (width * figure.joint_count * clip.frame_count))() for width in (3, 4)]
    frames = (GivenFrame * clip.frame_count)()
    _call("aplomb_clip_give", figure._handle, byref(clip), byref(how), None, made[0], made[1], frames)
    return GivenClip(made[0], made[1], list(frames))
