"""Rules of the bolts of rods, main caps and head: sizes beside the bolt's own, and orders of tightening."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Final

from geometry.spec.base import Rule
from geometry.spec.clashes.rule import rods_per_throw

if TYPE_CHECKING:
    from geometry.spec.bolt import HeadBolt, Tightened
    from geometry.spec.engine import Engine

WIDEST: Final = 4.0
LONGEST: Final = 40.0
DEEPEST: Final = 6.0
"""Washer, grip and engagement as multiples of the bolt's diameter that no bolt comes near."""


def rules(spec: Engine) -> Iterator[Rule]:
    """Every bolt that the file says something of."""
    cap, head = spec.block.main_cap, spec.head.bolt
    yield from _bolt_rules("rod.bolt", spec.rod.bolt, spec.rod.bolt.diameter_mm)
    for key, bolt, diameter_mm in (
        ("block.main_cap.bolt", cap.bolt, cap.bolt_diameter_mm),
        ("head.bolt", head, 0.0 if head is None else head.diameter_mm),
    ):
        yield (f"{key}.pitch", bolt is not None and (bolt.pitch_mm or 0.0) >= diameter_mm / 2,
               "the pitch is half the bolt's diameter or more",
               'the length from thread to thread, such as "1/20 in"')  # fmt: skip
    if cap.bolt is not None:
        yield from _bolt_rules("block.main_cap.bolt", cap.bolt, cap.bolt_diameter_mm)
        mains = sum(len(bank) for bank in spec.engine.numbering.banks().values()) // rods_per_throw(spec) + 1
        yield _order_rule("block.main_cap.bolt.order", cap.bolt.order, mains, "caps")
    if head is not None:
        yield from _bolt_rules("head.bolt", head, head.diameter_mm)
        yield _order_rule("head.bolt.order", head.order, head_bolts(spec, head), "bolts of a head")


def head_bolts(spec: Engine, bolt: HeadBolt) -> int:
    """How many bolts hold one head."""
    if bolt.positions is not None:
        return len(bolt.positions)
    bores = max(len(bank) for bank in spec.engine.numbering.banks().values())
    return 2 * (bores + 1) + (bolt.around - 4) * bores


def _bolt_rules(key: str, bolt: Tightened, diameter_mm: float) -> Iterator[Rule]:
    for place, part in enumerate(bolt.grip):
        yield (f"{key}.grip[{place}].diameter",
               part.diameter_mm is not None and part.diameter_mm > 2.0 * diameter_mm,
               "this length of shank is twice as thick as the bolt", "its own diameter")  # fmt: skip
    yield (f"{key}.grip", sum(part.length_mm or 0.0 for part in bolt.grip) > LONGEST * diameter_mm,
           "the grip is forty times as long as the bolt is thick", "lengths between head and thread")  # fmt: skip
    yield (f"{key}.engaged", bolt.engaged_mm is not None and bolt.engaged_mm > DEEPEST * diameter_mm,
           "the thread is engaged six times as deep as the bolt is thick", "its own depth")  # fmt: skip
    yield (f"{key}.face", bolt.face_mm is not None and bolt.face_mm <= diameter_mm,
           "what bears under the head is no wider than the bolt", "a diameter greater than the bolt's")  # fmt: skip
    yield (f"{key}.face", bolt.face_mm is not None and bolt.face_mm > WIDEST * diameter_mm,
           "what bears under the head is four times as wide as the bolt", "its outside diameter")  # fmt: skip
    yield (f"{key}.hole", bolt.hole_mm is not None and bolt.hole_mm < diameter_mm,
           "the bolt does not go through the hole", "a hole wider than the bolt")  # fmt: skip


def _order_rule(key: str, order: list[int], count: int, what: str) -> Rule:
    missing = [number for number in range(1, count + 1) if number not in order]
    wrong = f"{what.split()[0][:-1]} {missing[0]} is missing" if missing else "a number stands twice"
    strange = next((number for number in order if not 1 <= number <= count), None)
    if strange is not None:
        wrong = f"there is no {what.split()[0][:-1]} {strange}"
    return (key, bool(order) and sorted(order) != list(range(1, count + 1)),
            f"{wrong} in the order", f"every number of the {count} {what} once")  # fmt: skip
