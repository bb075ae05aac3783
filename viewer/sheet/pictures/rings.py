"""The edge of a piston cut open, its rings the right way up: marks, bevels and steps, taper, the oil ring's pack."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from geometry.arrays import Array
from geometry.rings.section import oil_pack, outline
from geometry.rings.types import INSIDE_FEATURES, WayUp, way_up
from geometry.spec.engine import Engine
from geometry.spec.rings import CompressionRing
from viewer.paper.clock.grooves import EXAGGERATE
from viewer.paper.clock.section import Ground, ground_of
from viewer.paper.page import INK
from viewer.sheet.content import VectorPicture
from viewer.sheet.pictures.drawn import DARK, NUMBER_PT, OTHER, PART, PaperDrawing, Xy, blank, box
from viewer.sheet.wording import say

_HIGH: Final = {"top": 10.0, "second": 10.0, "oil": 17.0}
"""Height of each groove on paper, mm; the lands between are shortened."""
_LAND, _OVER, _UNDER, _WALL = 8.5, 9.0, 4.0, 8.0
"""On paper, mm: land below a groove, over the first and under the last; thickness of the bore's wall."""
_DEEP: Final = 25.0
"""Most that a groove goes in on paper, mm: its words stand behind it."""


@dataclass(frozen=True, slots=True)
class _Band:
    """One groove on paper: the scale, the place of its lower flank, and the ground."""

    ring: str
    ground: Ground
    scale: float
    low: float
    wall_x: float

    @property
    def top(self) -> float:
        """The place of its upper flank."""
        return self.low + self.scale * self.ground.high

    def at(self, points: Array) -> Array:
        """Points (n, 2) of radial and axial mm on paper."""
        return np.asarray(points, dtype=float) * self.scale + [self.wall_x, self.low]


def draw_rings(spec: Engine, wide_mm: float) -> VectorPicture:
    """Grooves from the crown down, each enlarged, the bore's wall at the right."""
    names = [groove.ring for groove in spec.piston.grooves if getattr(spec.rings, groove.ring) is not None]
    order = [name for name in ("top", "second", "oil") if name in names]
    high = _OVER + sum(_HIGH[name] + _LAND for name in order) - _LAND + _UNDER
    drawn = blank(wide_mm, high)
    wall_x, low, bands = wide_mm - _WALL, high - _OVER, []
    for name in order:
        ground = ground_of(spec, name)
        low -= _HIGH[name]
        scale = min(_HIGH[name] / ground.high, _DEEP / abs(ground.root))
        bands.append(_Band(name, ground, scale, low, wall_x))
        low -= _LAND
    _ground(drawn, bands, high)
    for band in bands:
        ring = getattr(spec.rings, band.ring)
        if band.ring == "oil":
            _oil(drawn, band, (ring.height_mm, ring.rail_height_mm, ring.rail_wall_mm))
        else:
            _compression(drawn, band, ring)
    drawn.arrow((5.0, high - _OVER + 1.0), (5.0, high - 0.4))
    drawn.words(say("bore", "crown"), (7.5, high - 4.0), ha="left", bold=True)
    ways = [f"{name}: {_way(getattr(spec.rings, name)).how}" for name in order if name != "oil"]
    return drawn.done(say("bore", "rings said", ways=" ".join(ways)))


def _way(ring: CompressionRing) -> WayUp:
    return way_up(ring.face, ring.inside, ring.mark)


def _ground(drawn: PaperDrawing, bands: list[_Band], high: float) -> None:
    """The piston's edge with its grooves, and the wall."""
    edge: list[list[float]] = [[0.0, high - 0.3]]
    above = high - 0.3
    for band in bands:
        land, root = (float(band.wall_x + band.scale * x) for x in (band.ground.land, band.ground.root))
        top, below = band.top, band.low - _LAND / 2 if band is not bands[-1] else 0.0
        edge += [[land, above], [land, top], [root, top], [root, band.low], [land, band.low], [land, below]]
        above = below
    edge += [[0.0, 0.0]]
    drawn.face(np.array(edge), PART, hatch="\\\\", line_pt=0.0, level=1.0)
    drawn.line(np.array(edge[:-1]), line_pt=1.3)
    wall = box(bands[0].wall_x, drawn.wide_mm, 0.0, high - 0.3)
    drawn.face(wall, OTHER, hatch="//", line_pt=0.0, level=1.0)
    drawn.line(wall[[0, 3]], line_pt=1.3)
    drawn.words(say("bore", "bore wall"), (drawn.wide_mm - _WALL / 2, high / 2), rotation=90)


def _compression(drawn: PaperDrawing, band: _Band, ring: CompressionRing) -> None:
    way = _way(ring)
    shape = outline(ring.face, ring.inside, ring.height_mm, ring.wall_mm, exaggerate=EXAGGERATE)
    drawn.face(band.at(shape), DARK, line_pt=1.5, level=6.0)
    inner = float(band.at(shape)[:, 0].min())
    name_at = (2.0, band.low + 0.72 * _HIGH[band.ring])
    drawn.words(say("bore", f"{band.ring} ring"), name_at, NUMBER_PT, bold=True, ha="left")
    told = [say("bore", f"mark {ring.mark}")] if ring.mark != "none" else []
    inside = INSIDE_FEATURES[ring.inside].up
    told += [say("bore", ring.inside)] if inside else []
    told += [say("bore", "taper")] if ring.face.startswith("taper") else []
    told += [say("bore", "hook")] if ring.face in ("napier", "taper_napier", "scraper") else []
    if way.side_up == "either":
        told = [say("bore", "either way up")]
    drawn.words("\n".join(told), (2.0, band.low + 0.3 * _HIGH[band.ring] - 1.9 * (len(told) - 1)), ha="left")
    if ring.mark != "none":
        spot = band.at(np.array([[-0.3 * ring.wall_mm, ring.height_mm]]))[0]
        _mark(drawn, (float(spot[0]), float(spot[1])), inner)


def _mark(drawn: PaperDrawing, spot: Xy, inner: float) -> None:
    """The maker's mark on the upper side, with an arrow that says up."""
    del inner
    drawn.disc((spot[0], spot[1] + 0.1), 0.95, INK, level=9.0)
    drawn.arrow((spot[0], spot[1] + 1.2), (spot[0], spot[1] + 6.2), line_pt=1.8, size=11.0, level=9.0)


def _oil(drawn: PaperDrawing, band: _Band, sizes: tuple[float, float, float]) -> None:
    pack = oil_pack(*sizes)
    for piece, fill in ((pack.expander, OTHER), (pack.lower_rail, DARK), (pack.upper_rail, DARK)):
        drawn.face(band.at(piece), fill, line_pt=1.3, level=6.0)
    drawn.words(
        say("bore", "oil ring"), (2.0, band.low + 0.86 * _HIGH["oil"]), NUMBER_PT, bold=True, ha="left"
    )
    pieces = (pack.upper_rail, pack.expander, pack.lower_rail)
    for name, piece, level in zip(
        ("upper rail", "expander", "lower rail"), pieces, (0.60, 0.36, 0.12), strict=True
    ):
        on = band.at(piece)
        to = (float(on[:, 0].min()) + 0.2 * float(np.ptp(on[:, 0])), float(on[:, 1].mean()))
        at = (2.0, band.low + level * _HIGH["oil"])
        drawn.line(np.array([(at[0] + 16.0, at[1]), to]), INK, 0.7, level=9.0)
        drawn.axis.plot(*to, marker="o", ms=2.4, color=INK, zorder=9.2)
        drawn.words(say("bore", name), at, ha="left")
