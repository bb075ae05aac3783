"""Rules of the crank."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Final

from geometry.spec.base import Rule

if TYPE_CHECKING:
    from geometry.spec.engine import Engine

LEAST_JOURNAL_MM: Final = 5.0
LARGEST_PIN: Final = 1.6
"""Crankpin as a multiple of the main journal."""
MOST_ALONG: Final = 1.5
"""Length of journals and cheeks as a multiple of the bore."""
MOST_RADIUS: Final = 2.0
"""Radius of cheeks and counterweights as a multiple of the stroke."""
DECK_MM: Final = 15.0
DECK: Final = 0.1
"""How far the crown may stop from the deck: this much or this share of the stroke, whichever is more."""


def rules(spec: Engine) -> Iterator[Rule]:
    """Crank, and what follows from stroke and rod."""
    pin, main = spec.crank.pin.diameter_mm, spec.crank.main.diameter_mm
    yield ("engine.speed", spec.engine.speed_rpm <= 0,
           "an engine that stands still has no piston speed", 'the running speed, such as "5500 rpm"')  # fmt: skip
    yield ("crank.pin.diameter", pin < LEAST_JOURNAL_MM,
           "the crankpin is thinner than any engine's",
           f"at least {LEAST_JOURNAL_MM:g} mm; look at the unit")  # fmt: skip
    yield ("crank.pin.diameter", pin > LARGEST_PIN * main,
           "the crankpin is far thicker than the main journals", "pin and main journals of like size")  # fmt: skip
    yield from _size_rules(spec)
    yield from _reach_rules(spec)


def _size_rules(spec: Engine) -> Iterator[Rule]:
    """Sizes that a slip of the decimal point makes ten times too large."""
    crank, bore = spec.crank, spec.block.bore.diameter_mm
    for key, along in (
        ("crank.pin.width", crank.pin.width_mm),
        ("crank.main.width", crank.main.width_mm),
        ("crank.cheek.thickness", crank.cheek.thickness_mm or 0.0),
    ):
        yield (key, along > MOST_ALONG * bore,
               "this is far longer along the crank than the bore is wide", "its length along the crank")  # fmt: skip
    for key, radius in (
        ("crank.cheek.main_radius", crank.cheek.main_radius_mm),
        ("crank.cheek.pin_radius", crank.cheek.pin_radius_mm),
        ("crank.counterweight.radius", crank.counterweight.radius_mm),
    ):
        yield (key, radius > MOST_RADIUS * crank.stroke_mm,
               "this reaches further out than twice the stroke", "a radius, close to the stroke or less")  # fmt: skip


def _reach_rules(spec: Engine) -> Iterator[Rule]:
    """Rod against stroke, and where the crown stops."""
    stroke, length, pin = spec.crank.stroke_mm, spec.rod.length_mm, spec.piston.pin
    too_short = length <= stroke / 2 + pin.offset_mm + pin.diameter_mm / 2
    too_long = length > 6 * stroke
    usual = "a rod length of 1.3 to 2.5 times the stroke"
    yield ("rod.length", too_short,
           "the rod is shorter than half the stroke: the crank cannot turn over", usual)  # fmt: skip
    yield "rod.length", too_long, "the rod is more than six times the stroke", usual
    above = stroke / 2 + length + spec.piston.compression_height_mm - spec.block.deck_height_mm
    is_far = abs(above) > max(DECK_MM, DECK * stroke)
    yield ("block.deck_height", is_far and not (too_short or too_long),
           f"the crown would stop {abs(above):.1f} mm ({abs(above) / 25.4:.2f} in) "
           f"{'above' if above > 0 else 'below'} the deck",
           "a deck height near half of crank.stroke + rod.length + piston.compression_height")  # fmt: skip
