"""Figures of the trade for fits and fasteners, each in one place with where it comes from.

They are defaults: a part maker's figure always goes first.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from geometry.bolting.thread import is_inch_thread
from geometry.rings.hot import EXPANSION, Expansion
from geometry.rings.source import Source
from geometry.spec.engine import Engine
from geometry.spec.rod import RodBolt
from geometry.units import INCH_MM

BEARING_PER_MM: Final = (0.00075, 0.0010)
BEARING_SPREAD_MM: Final = 0.0005 * INCH_MM
BEARING_SOURCE: Final = Source(
    "0.00075 to 0.0010 in per inch of journal, 0.0005 in either way for tight and loose builds "
    "(a bearing maker's note)",
    "published",
)
WALL_LEAST_MM: Final = {"cast_aluminium": 0.0010 * INCH_MM, "forged_aluminium": 0.0025 * INCH_MM}
WALL_MOST_MM: Final = 0.007 * INCH_MM
WALL_SOURCE: Final = Source(
    "trade figures as quoted on a mailing list, weak, the loosest that of high-expansion forgings; the piston maker's "
    "sheet wins",
    "secondary",
)
ROD_SIDE_PAIR_MM: Final = (0.11, 0.51)
ROD_SIDE_PAIR_SOURCE: Final = Source("two rods on a pin, total: service data of a V8, 2006", "published")
ROD_SIDE_SINGLE_MM: Final = (0.10, 0.30)
ROD_SIDE_SINGLE_SOURCE: Final = Source(
    "one rod on a pin: service data of a four-cylinder engine, 2008; replaced above 0.40 mm", "published"
)
END_PLAY_MM: Final = (0.07, 0.23)
END_PLAY_SOURCE: Final = Source(
    "service data of a four-cylinder engine, 2008; replaced above 0.30 mm", "published"
)
CRUSH_MM: Final = 0.10
CRUSH_SOURCE: Final = Source(
    "shells stand out a little to be crushed home, from memory; more means a wrong seat", "memory"
)
PISTON_EXPANSION: Final = {
    "cast_aluminium": Expansion(
        20.5e-6, Source("AlSi12CuMgNi, 19.5 to 20.5e-6 per K to 100 degC (a piston foundry's data sheet)", "published")
    ),
    "forged_aluminium": Expansion(
        22.3e-6,
        Source("2618, 22.3e-6 per K, the most of wrought alloys; 4032: 19.4 (quoted from a handbook)", "secondary"),
    ),
    "cast_iron": EXPANSION["cast_iron"],
}  # fmt: skip
"""Mean linear expansion of pistons by what they are made of."""
WARM_C: Final = 80.0
"""Piston and wall alike where nobody says how warm they run: an engine warmed through and standing. Illustrative."""
WARM_SOURCE: Final = Source(
    f"piston and wall warmed through to {WARM_C:g} degC, illustrative, no source; under load the piston is warmer",
    "illustrative",
)
SEATED_MM: Final = 0.05
"""Feeler blade that goes in nowhere under a seated bolt head. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class FitRange:
    """Least and most of a fit, mm, and who says so; None where there is no such limit."""

    least_mm: float | None
    most_mm: float | None
    source: Source


def oil_clearance(journal_mm: float) -> FitRange:
    """What a plain bearing should have, on the diameter, for a journal of this diameter.

    >>> fit = oil_clearance(50.8)  # 2 in: 0.0010 to 0.0025 in
    >>> round(fit.least_mm, 4), round(fit.most_mm, 4)
    (0.0254, 0.0635)
    """
    low, high = (per_mm * journal_mm for per_mm in BEARING_PER_MM)
    return FitRange(max(0.0, low - BEARING_SPREAD_MM), high + BEARING_SPREAD_MM, BEARING_SOURCE)


def end_play() -> FitRange:
    """End play that the crank should have."""
    return FitRange(*END_PLAY_MM, END_PLAY_SOURCE)


def shell_crush() -> FitRange:
    """How far each end of a shell should stand proud of its half of the housing."""
    return FitRange(None, CRUSH_MM, CRUSH_SOURCE)


def piston_to_wall(material: str) -> FitRange | None:
    """What a piston should have to the wall, on the diameter; None where nothing in print says.

    Parameters
    ----------
    material : as in the engine file, ``cast_aluminium`` or ``forged_aluminium``
    """
    least = WALL_LEAST_MM.get(material)
    return None if least is None else FitRange(least, WALL_MOST_MM, WALL_SOURCE)


def rods_share_pins(spec: Engine) -> bool:
    """Whether two rods run side by side on one journal; on split pins each has its own."""
    per_throw = spec.crank.rods_per_throw or (2 if spec.engine.layout == "vee" else 1)
    return per_throw == 2 and not spec.crank.split_deg


def rod_side(spec: Engine) -> FitRange:
    """Side clearance of the rod, or of the two rods, on one crankpin, all told."""
    if rods_share_pins(spec):
        return FitRange(*ROD_SIDE_PAIR_MM, ROD_SIDE_PAIR_SOURCE)
    return FitRange(*ROD_SIDE_SINGLE_MM, ROD_SIDE_SINGLE_SOURCE)


def bolt_step_mm(bolt: RodBolt) -> float:
    """From one stock length of bolt to the next: a quarter of an inch, or 5 mm. From memory, no source."""
    return 0.25 * INCH_MM if is_inch_thread(bolt.diameter_mm, bolt.pitch_mm) else 5.0
