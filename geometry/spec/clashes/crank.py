"""Rules of the crank."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Final

from geometry.spec.base import Rule
from geometry.spec.clashes.rule import pin_span_mm, rod_step_mm, rods_per_throw

if TYPE_CHECKING:
    from geometry.spec.engine import Engine

LEAST_JOURNAL_MM: Final = 5.0
LEAST_CHEEK_MM: Final = 2.0
CHEEK_MM: Final = 0.05
"""How far the thickness of the cheeks may be from what bore spacing and journals leave for them."""
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
    yield from _along_rules(spec)


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


def _along_rules(spec: Engine) -> Iterator[Rule]:
    """What has to find its place along the crank: cheeks within the bore spacing, two rods on one pin."""
    crank, bore, per_throw = spec.crank, spec.block.bore, rods_per_throw(spec)
    given = crank.cheek.thickness_mm
    slipped = max(crank.pin.width_mm, crank.main.width_mm, given or 0.0) > MOST_ALONG * bore.diameter_mm
    if bore.spacing_mm is not None and not slipped:
        spacing = bore.spacing_mm / (2 if per_throw == 1 and spec.engine.layout != "inline" else 1)
        cheek = (spacing - pin_span_mm(spec, per_throw) - crank.main.width_mm) / 2
        thin = cheek <= LEAST_CHEEK_MM
        yield ("crank.pin.width", thin,
               f"crankpin and main journal leave {cheek:.2f} mm for each crank cheek within the bore spacing",
               "narrower journals or a wider block.bore.spacing")  # fmt: skip
        other = given is not None and abs(given - cheek) > CHEEK_MM
        yield ("crank.cheek.thickness", other and not thin,
               f"bore spacing and journal widths leave {cheek:.2f} mm for each cheek, not {given or 0.0:.2f} mm",
               "leave the thickness out, or mend spacing and widths")  # fmt: skip
    if per_throw == 2 and bore.stagger_mm is not None:
        step, rods = rod_step_mm(spec), 1 if crank.split_deg else 2
        room = crank.pin.width_mm - rods * spec.rod.big_end.width_mm
        yield ("block.bore.stagger", 0.0 < room < abs(bore.stagger_mm - step),
               f"rods on one pin stand {step:.2f} mm apart, the bores {bore.stagger_mm:.2f} mm",
               f"a stagger within {room:.2f} mm of {step:.2f} mm, or leave it out")  # fmt: skip
