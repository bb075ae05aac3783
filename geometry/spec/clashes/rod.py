"""Rules of the rod, its bearing and its bolts."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Final

from geometry.spec.base import Rule
from geometry.spec.clashes.rule import MOST_CLEARANCE, rods_per_throw

if TYPE_CHECKING:
    from geometry.spec.engine import Engine

MOST_HEAD: Final = 3.0
"""Height and width of head or nut as a multiple of the bolt's diameter."""


def rules(spec: Engine) -> Iterator[Rule]:
    """Rod with all that is fixed to it."""
    yield from _bearing_rules(spec)
    yield from _end_rules(spec)
    yield from _bolt_rules(spec)


def _bearing_rules(spec: Engine) -> Iterator[Rule]:
    rod, crank = spec.rod, spec.crank
    beside = 1 if crank.split_deg else rods_per_throw(spec)
    yield ("rod.big_end.width", beside * rod.big_end.width_mm >= crank.pin.width_mm,
           "the rods are wider than their crankpin: no side clearance",
           "a width that leaves side clearance within crank.pin.width")  # fmt: skip
    play = rod.big_end.bore_mm - 2 * rod.bearing.wall_mm - crank.pin.diameter_mm
    yield ("rod.bearing.wall", play <= 0,
           "big-end bore less two bearing shells leaves no clearance on the crankpin",
           "rod.big_end.bore greater than crank.pin.diameter + 2 x rod.bearing.wall")  # fmt: skip
    yield ("rod.bearing.wall", play > MOST_CLEARANCE * crank.pin.diameter_mm,
           "big-end bore less two bearing shells is far wider than the crankpin",
           "rod.big_end.bore a little greater than crank.pin.diameter + 2 x rod.bearing.wall")  # fmt: skip
    yield ("rod.bearing.width", rod.bearing.width_mm > rod.big_end.width_mm,
           "the bearing shells are wider than the big end", "a width of at most rod.big_end.width")  # fmt: skip


def _end_rules(spec: Engine) -> Iterator[Rule]:
    rod, beam = spec.rod, spec.rod.beam
    yield ("rod.small_end.outside", rod.small_end.outside_mm <= spec.piston.pin.diameter_mm,
           "the small end is no larger than the pin it carries",
           "an outside diameter above piston.pin.diameter")  # fmt: skip
    yield ("rod.chamfer.other", rod.chamfer.cheek_mm + rod.chamfer.other_mm >= rod.big_end.width_mm,
           "the two chamfers meet", "chamfers that leave a bore between them within rod.big_end.width")  # fmt: skip
    yield ("rod.cap.rib_width", rod.cap.rib_width_mm > rod.big_end.outside_mm,
           "the rib is wider than the big end", "a width of at most rod.big_end.outside")  # fmt: skip
    yield ("rod.beam.thickness", beam.thickness_mm > 1.5 * rod.big_end.width_mm,
           "the blade is far thicker than the big end is wide", "its thickness along the crank")  # fmt: skip
    flat, across = beam.thickness_mm, min(beam.width_big_mm, beam.width_small_mm)
    web, flanges = (flat, across) if beam.section == "I" else (across, flat)
    yield ("rod.beam.web", beam.web_mm > web,
           "the web is thicker than the whole blade", "a web thinner than the blade")  # fmt: skip
    yield ("rod.beam.flange", 2 * beam.flange_mm > flanges,
           "the two flanges are thicker than the whole blade", "flanges that leave a web between them")  # fmt: skip


def _bolt_rules(spec: Engine) -> Iterator[Rule]:
    rod, bolt = spec.rod, spec.rod.bolt
    yield ("rod.bolt.head_diameter", bolt.head_diameter_mm <= bolt.diameter_mm,
           "the head is no wider than the shank", "the width across the corners of the head")  # fmt: skip
    if bolt.nut_diameter_mm is not None:
        yield ("rod.bolt.nut_diameter", bolt.nut_diameter_mm <= bolt.diameter_mm,
               "the nut is no wider than the bolt", "the width across the corners of the nut")  # fmt: skip
    heights = {"head": bolt.head_height_mm, "nut": bolt.nut_height_mm or 0.0}
    for name, height in heights.items():
        yield (f"rod.bolt.{name}_height", height > MOST_HEAD * bolt.diameter_mm,
               f"the {name} is more than three times as high as the bolt is thick",
               f"the height of the {name}")  # fmt: skip
    widths = {"head": bolt.head_diameter_mm, "nut": bolt.nut_diameter_mm or 0.0}
    for name, width in widths.items():
        yield (f"rod.bolt.{name}_diameter", width > MOST_HEAD * bolt.diameter_mm,
               f"the {name} is more than three times as wide as the bolt", "the width across its corners")  # fmt: skip
    yield ("rod.bolt.shoulder", bolt.shoulder_mm > rod.big_end.outside_mm,
           "the shoulder lies far above the big end", "from the joint line up to the top of the shoulder")  # fmt: skip
    yield ("rod.bolt.pitch", (bolt.pitch_mm or 0.0) >= bolt.diameter_mm / 2,
           "the pitch is half the bolt's diameter or more",
           'the length from thread to thread, such as "1/24 in"')  # fmt: skip
    yield ("rod.bolt.spacing", bolt.spacing_mm > 2 * rod.big_end.outside_mm,
           "the bolts stand far outside the big end", "the distance between the axes of the two bolts")  # fmt: skip
    yield ("rod.bolt.seat", bolt.seat_mm > rod.cap.height_mm,
           "the bolt's seat lies below the bottom of the cap", "a seat within rod.cap.height")  # fmt: skip
    yield ("rod.bolt.length", bolt.length_mm >= rod.length_mm,
           "the bolt is as long as the rod", "the length under the head")  # fmt: skip
    yield ("rod.cap.height", rod.cap.height_mm > rod.big_end.outside_mm,
           "the cap reaches further down than the big end is wide",
           "from the bore's centre to the cap's bottom")  # fmt: skip
