"""Rules of the main bearings, the thrust bearing and the piston pin's bores, where the file has them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Final

from geometry.spec.base import Rule
from geometry.spec.clashes.rule import MOST_CLEARANCE, rods_per_throw

if TYPE_CHECKING:
    from geometry.spec.bearings import MainBearing, ThrustBearing
    from geometry.spec.engine import Engine

MOST_END_PLAY: Final = 0.1
"""End play of the crank as a share of the main journal's width: ten times what is replaced."""


def rules(spec: Engine) -> Iterator[Rule]:
    """Whatever of it the file has."""
    block = spec.block
    if block.main_bearing is not None:
        yield from _main_rules(spec, block.main_bearing)
    if block.thrust_bearing is not None:
        yield from _thrust_rules(spec, block.thrust_bearing)
    yield from _pin_rules(spec)


def _main_rules(spec: Engine, bearing: MainBearing) -> Iterator[Rule]:
    journal, bore, wall = spec.crank.main, bearing.bore_mm, bearing.wall_mm
    if bore is not None and wall is not None:
        play = bore - 2 * wall - journal.diameter_mm
        yield ("block.main_bearing.wall", play <= 0,
               "main housing bore less two bearing shells leaves no clearance on the journal",
               "block.main_bearing.bore greater than crank.main.diameter + 2 x block.main_bearing.wall")  # fmt: skip
        yield ("block.main_bearing.wall", play > MOST_CLEARANCE * journal.diameter_mm,
               "main housing bore less two bearing shells is far wider than the journal",
               "block.main_bearing.bore a little over crank.main.diameter + 2 x block.main_bearing.wall")  # fmt: skip
    elif bore is not None:
        yield ("block.main_bearing.bore", bore <= journal.diameter_mm,
               "the housing is no larger than the journal that runs in it",
               "a bore greater than crank.main.diameter")  # fmt: skip
    if bearing.width_mm is not None:
        yield ("block.main_bearing.width", bearing.width_mm > journal.width_mm,
               "the main shells are wider than their journal is long", "a width below crank.main.width")  # fmt: skip


def _thrust_rules(spec: Engine, thrust: ThrustBearing) -> Iterator[Rule]:
    mains = sum(len(bank) for bank in spec.engine.numbering.banks().values()) // rods_per_throw(spec) + 1
    yield ("block.thrust_bearing.main", thrust.main > mains,
           "there is no such main", f"a main's number from the front, 1 to {mains}")  # fmt: skip
    if thrust.faces_mm is not None and thrust.width_mm is not None:
        play, most = thrust.faces_mm - thrust.width_mm, MOST_END_PLAY * spec.crank.main.width_mm
        yield ("block.thrust_bearing.width", play <= 0,
               "the thrust bearing does not go between the crank's thrust faces",
               "a width below block.thrust_bearing.faces")  # fmt: skip
        yield ("block.thrust_bearing.width", play > most,
               "the thrust bearing is far narrower than the way between the crank's thrust faces",
               "a width a little below block.thrust_bearing.faces")  # fmt: skip


def _pin_rules(spec: Engine) -> Iterator[Rule]:
    pin = spec.piston.pin.diameter_mm
    for key, bore in (
        ("piston.boss.bore", spec.piston.boss.bore_mm),
        ("rod.small_end.bore", spec.rod.small_end.bore_mm),
    ):
        if bore is not None:
            off = bore - pin
            yield (key, off > MOST_CLEARANCE * pin or -off > MOST_CLEARANCE * pin,
                   "this is not the bore of such a pin", "a bore within a fiftieth of piston.pin.diameter")  # fmt: skip
    clips = spec.piston.clips
    yield ("piston.clips", clips is not None and spec.rod.small_end.pin == "press",
           "a pin that the rod holds has no clips",
           'rod.small_end.pin = "floating", or leave the clips out')  # fmt: skip
