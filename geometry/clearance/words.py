"""Places in the words of a builder: what on which bore, which side, against what."""

from __future__ import annotations

from typing import Final

from geometry.clearance.pairs import Pair
from geometry.clearance.place import Place
from geometry.feature import Group

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
    "cheek": "crank",
    "counterweight": "counterweight",
    "crankpin": "crankpin",
    "main_journal": "main journal",
    "cam_lobe": "cam lobe",
    "cam_journal": "cam journal",
    "cam_core": "camshaft",
    "bore_wall": "bore bottom",
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


def place_words(place: Place, other: Place | None = None) -> str:
    """One place: ``rod bolt head, bore 3, major side``, ``pan rail, left``, ``bottom of bore 2``.

    Parameters
    ----------
    other : what it comes near; a valve is near the wall of its bore, all others are near its bottom
    """
    return ", ".join(_parts(place, other))


def short_words(place: Place, other: Place | None = None) -> str:
    """One place without bore and side: ``rod bolt head``, ``pan rail``; the bottom of a bore keeps its number."""
    return _parts(place, other)[0]


def _parts(place: Place, other: Place | None) -> list[str]:
    """What it is, then of which bore and on which side."""
    name = WORDS.get(place.feature, place.feature.replace("_", " "))
    if place.feature == "bore_wall":
        above = other is not None and other.group is Group.VALVE
        return [f"{'wall' if above else 'bottom'} of {place.place}"]
    detail = place.place
    bore = place.body.bore
    if place.feature == "rod_bolt":
        side = place.body.name.split()[-1]
        return [f"{name} {detail}".strip(), f"bore {bore}", f"{side} thrust side"]
    if place.feature == "valve_pocket":
        return [f"{name} {detail}", f"bore {bore}"]
    if place.feature == "piston_crown":
        return [f"{name} {detail}" if detail not in ("", "crown") else f"{name} crown", f"bore {bore}"]
    parts = [name, f"bore {bore}" if bore is not None else "", detail]
    if place.feature in ("cheek", "counterweight"):
        parts = [name, detail.replace("cheek", "cheek ").replace("  ", " ")]
    if place.feature in ("main_web", "main_cap", "cam_tunnel") and not detail:
        parts = [place.body.name.replace("_", " ")]
    return [part for part in parts if part]


def ordered(pair: Pair) -> tuple[Place, Place]:
    """The two places of a pair, the one that a builder would name first in front: rods, pistons, crank, block."""
    if RANK[pair.b.group] < RANK[pair.a.group]:
        return pair.b, pair.a
    return pair.a, pair.b


def bore_of(place: Place) -> int | None:
    """The bore a place belongs to, also where it is the block's own."""
    return place.bore
