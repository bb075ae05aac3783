"""Rules of the rings and of the grooves that hold them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Final

from geometry.spec.base import Rule
from geometry.spec.clashes.rule import MOST_CLEARANCE

if TYPE_CHECKING:
    from geometry.spec.engine import Engine
    from geometry.spec.piston import Groove
    from geometry.spec.rings import CompressionRing, OilRing

MOST_GAP: Final = 0.1
"""End gap as a share of the bore: twenty times the usual four to five thousandths."""
DEEPEST_RING: Final = 1.5
"""Wall of a ring as a multiple of its groove's depth."""
LEAST_ROOT: Final = 0.6
"""Root diameter of a groove as a share of the bore."""


def rules(spec: Engine) -> Iterator[Rule]:
    """Grooves, rings and gaps."""
    yield from _pack_rules(spec)
    yield from _ring_rules(spec)


def _pack_rules(spec: Engine) -> Iterator[Rule]:
    """Grooves and the rings in them."""
    piston, bore = spec.piston, spec.block.bore.diameter_mm
    land = bore - piston.land_clearance_mm
    pin_top = piston.compression_height_mm - piston.pin.diameter_mm / 2
    yield ("rings.second", spec.rings.second is None and any(g.ring == "second" for g in piston.grooves),
           "the piston has a second groove without a ring", "a [rings.second] table")  # fmt: skip
    rings = {"top": spec.rings.top, "second": spec.rings.second, "oil": spec.rings.oil}
    for index, groove in enumerate(piston.grooves):
        key, ring = f"piston.grooves[{index}]", rings[groove.ring]
        yield (f"{key}.ring", ring is None,
               f"there is no {groove.ring} ring for this groove",
               f"a [rings.{groove.ring}] table, or no such groove")  # fmt: skip
        yield (f"{key}.root", groove.root_mm >= land,
               "the groove's root lies outside the piston", "a root diameter smaller than the piston's")  # fmt: skip
        yield (f"{key}.root", groove.root_mm < LEAST_ROOT * bore,
               "the groove is deeper than any piston's", "the diameter at the bottom of the groove")  # fmt: skip
        # A pin bore may cross the oil groove (support rails exist for that), never a ring that seals pressure.
        yield (f"{key}.from_crown", groove.ring != "oil" and groove.from_crown_mm + groove.height_mm > pin_top,
               f"the {groove.ring} groove lies as low as the pin", "grooves above the pin")  # fmt: skip
        if ring is not None:
            yield from _fit_rules(key, groove, ring, land)


def _fit_rules(key: str, groove: Groove, ring: CompressionRing | OilRing, land_mm: float) -> Iterator[Rule]:
    yield (f"{key}.height", ring.height_mm >= groove.height_mm,
           f"the {groove.ring} ring is higher than its groove",
           f"a groove higher than rings.{groove.ring}.height")  # fmt: skip
    part = "rail_wall" if groove.ring == "oil" else "wall"
    wall = ring.rail_wall_mm if groove.ring == "oil" else ring.wall_mm  # type: ignore[union-attr]
    depth = (land_mm - groove.root_mm) / 2
    # A ring a little too deep for its groove happens; the ring check says that it stands proud.
    yield (f"rings.{groove.ring}.{part}", 0.0 < DEEPEST_RING * depth < wall,
           f"the {groove.ring} ring is far deeper than its groove",
           f"a {part} less than the groove is deep")  # fmt: skip


def _ring_rules(spec: Engine) -> Iterator[Rule]:
    rings, bore = spec.rings, spec.block.bore.diameter_mm
    for name, ring in (("top", rings.top), ("second", rings.second)):
        if ring is not None:
            yield _gap_rule(f"rings.{name}.gap", ring.gap_mm, bore)
            yield (f"rings.{name}.free_gap", (ring.free_gap_mm or 0.0) >= bore,
                   "the ring would lie open by more than the bore",
                   "the gap of the ring lying on the bench")  # fmt: skip
    if rings.oil is not None:
        yield _gap_rule("rings.oil.rail_gap", rings.oil.rail_gap_mm, bore)
        yield ("rings.oil.rail_height", 2 * rings.oil.rail_height_mm >= rings.oil.height_mm,
               "two rails fill the pack: no room for the expander",
               "rails less than half as high as the pack")  # fmt: skip
    yield ("rings.oversize", rings.oversize_mm > MOST_CLEARANCE * bore,
           "the set is larger than the bore by more than a fiftieth of it",
           'such as "0.005 in" or "0.1 mm"')  # fmt: skip
    measured_in = bore if rings.gap_bore_mm is None else rings.gap_bore_mm
    yield ("rings.gap_bore", abs(measured_in - bore) > 0.05 * bore,
           "the bore in which the gaps were measured is another engine's",
           "a diameter close to block.bore.diameter")  # fmt: skip
    yield ("rings.minimum_separation", not 0 <= rings.minimum_separation_deg <= 180,
           "two gaps are never further apart than half a turn", 'an angle from 0 to 180, such as "45 deg"')  # fmt: skip


def _gap_rule(key: str, gap_mm: float, bore_mm: float) -> Rule:
    what = "the gap is wider than a tenth of the bore"
    return key, gap_mm > MOST_GAP * bore_mm, what, 'the end gap in the bore, such as "18 thou" or "0.45 mm"'
