"""Places and parts in the words of a builder: the one home of what a place is called, wherever it is shown.

A place has one name, whatever it comes near: what it is, of which bore, on which side. Sides are those of the
engine, the thrust side beside them. Nothing is decided by a name.
"""

from __future__ import annotations

from typing import Final

from geometry.clearance.pairs import Pair, sides_of
from geometry.clearance.place import Place
from geometry.feature import Group
from geometry.kinematics.layout import Layout
from geometry.parts.part import Body

WORDS: Final[dict[str, str]] = {
    "rod_beam": "rod blade",
    "rod_big_end": "rod big end",
    "rod_small_end": "rod small end",
    "rod_cap": "rod cap",
    "rod_bolt": "rod bolt",
    "piston_crown": "piston",
    "piston_skirt": "piston skirt",
    "pin_boss": "pin boss",
    "piston_pin": "piston pin",
    "cheek": "crank cheek",
    "counterweight": "counterweight",
    "crankpin": "crankpin",
    "main_journal": "main journal",
    "cam_lobe": "cam lobe",
    "cam_journal": "cam journal",
    "cam_core": "camshaft",
    "bore_wall": "bore wall",
    "crankcase_wall": "crankcase wall",
    "crankcase_roof": "crankcase roof",
    "pan_rail": "pan rail",
    "main_web": "main web",
    "main_cap": "main cap",
    "main_cap_bolt": "main cap bolt",
    "cam_tunnel": "cam tunnel",
    "head_face": "head face",
    "valve_pocket": "valve pocket",
    "intake_valve": "intake valve",
    "exhaust_valve": "exhaust valve",
    "pan_floor": "pan floor",
    "pan_side": "pan side",
    "windage_tray": "windage tray",
    "measured_block": "measured block",
    "measured_rod": "measured rod",
}
RANK: Final = {group: rank for rank, group in enumerate(Group)}
THRUSTS: Final = ("major", "minor")
_NUMBERED: Final = ("main_web", "main_cap", "main_journal")
"""One for each main bearing: called by its number alone."""


def feature_words(feature: str) -> str:
    """What a feature is, of no bore or side: ``rod bolt``, ``bore wall``."""
    return WORDS.get(feature, feature.replace("_", " "))


def place_words(place: Place) -> str:
    """One place: ``rod bolt head, bore 3, inboard (major thrust side)``, ``pan rail, left``, ``bore wall, bore 2``."""
    return ", ".join(_parts(place))


def short_words(place: Place) -> str:
    """One place without the bore that it moves in and without its side: ``rod bolt head``, ``bore wall, bore 2``."""
    parts = _parts(place)
    return parts[0] if place.of.bore is None else ", ".join(parts)


def short_pair_words(a: Place, b: Place) -> str:
    """Two places without the bore that they share: ``intake valve to bore wall``, ``rod cap to bore wall, bore 2``."""
    shared = f", bore {a.bore}" if a.bore == b.bore else ""
    return " to ".join(short_words(place).removesuffix(shared) for place in (a, b))


def _side_words(sides: tuple[str, str] | tuple[()], thrust: str) -> str:
    """The ``major`` or the ``minor`` of the two sides of a bore."""
    return sides[thrust == "minor"] if sides else f"{thrust} thrust side"


def body_words(body: Body, layout: Layout) -> str:
    """A part as a builder names it: ``rod bolt, bore 3, inboard (major thrust side)``, ``main cap 2``, ``crank``."""
    name, *more = body.name.split()
    what = feature_words(name)
    if body.bore is None:
        return " ".join([what, *more])
    sides = sides_of(layout, body)
    said = [_side_words(sides, one) if one in THRUSTS else one for one in more if one != str(body.bore)]
    return ", ".join([what, f"bore {body.bore}", *said])


def _parts(place: Place) -> list[str]:
    """What it is, then of which bore and on which side."""
    name, detail = feature_words(place.feature), place.place
    bore = f"bore {place.body.bore}" if place.body.bore is not None else ""
    if place.feature == "rod_bolt":
        return [f"{name} {detail}".strip(), bore, _side_words(place.sides, place.body.name.split()[-1])]
    if place.feature == "valve_pocket":
        return [f"{name} {detail}", bore]
    if place.feature == "piston_crown":
        return [f"{name} {detail or 'crown'}", bore]
    if place.feature in ("cheek", "counterweight"):
        return _of_crank(place)
    if place.feature in _NUMBERED:
        number = place.body.main if place.body.main is not None else detail.split()[-1]
        return [f"{name} {number}"]
    if place.feature == "main_cap_bolt":
        bore = f"main {place.body.main}"
    for thrust in THRUSTS:
        detail = detail.replace(f"{thrust} thrust side", _side_words(place.sides, thrust))
    return [part for part in (name, bore, detail) if part]


def _of_crank(place: Place) -> list[str]:
    """A cheek with its throw, or the counterweight on it: ``crank cheek 8, throw 4``, ``.., rear counterweight``."""
    at, throw, *end = place.place.split(", ")
    if place.feature == "cheek":
        return [f"crank {at}", throw]
    return [f"crank {at}, {' '.join([*end, WORDS[place.feature]])}"]


def ordered(pair: Pair) -> tuple[Place, Place]:
    """The two places of a pair, the one that a builder would name first in front: rods, pistons, crank, block."""
    if RANK[pair.b.group] < RANK[pair.a.group]:
        return pair.b, pair.a
    return pair.a, pair.b


def bore_of(place: Place) -> int | None:
    """The bore a place belongs to, also where it is the block's own."""
    return place.bore
