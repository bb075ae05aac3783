"""The block seen along the crank: banks, the inside of the crankcase, its walls and its webs as plane regions.

Sections lie in the (y, z) plane of the engine frame E; a bank's own plane is (x, y) of its frame, which is E
turned about +x by the bank's angle. The inside of a bay is outlined counter-clockwise in *runs*: up the right
wall from the pan rail to the barrels, across the top between the banks of a vee or flat engine, and down the
left wall. Between the runs lie the bores. Where a section as written passes through the strip that a bank's
bores take up, it opens there.

What the engine file does not say (water jacket, deck plate, skins) is only for the eye and stands here as named
constants, usual in the trade, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Final, Literal

import numpy as np
from manifold3d import CrossSection, JoinType

from geometry.arrays import Array
from geometry.kinematics.layout import Layout
from geometry.kinematics.poses import rot_x_deg
from geometry.parts.shapes.convex import region
from geometry.solids import rectangle
from geometry.spec.engine import BankName, Engine

Side = Literal["right", "top", "left"]

JACKET_MM: Final = 9.0
SKIN_MM: Final = 5.0
DECK_PLATE_MM: Final = 10.0
ROOF_PLATE_MM: Final = 7.0
BARREL_MM: Final = 6.0
"""How far the barrels stand out of the crankcase roof, unless a notch needs more."""
RELIEF_MM: Final = 12.0
SADDLE_MM: Final = 10.0
"""Least metal left over a main bearing where the webs are hollowed out below a bore."""
CAM_ROOM_MM: Final = 2.0
OVERLAP_MM: Final = 0.1
"""How far neighbours run into each other, so that no two faces of the block's solids meet exactly."""
INNER_SHARE: Final = 0.97
"""How near the banks of a narrow vee come to the middle plane."""
SAME_MM: Final = 1e-5
"""Points nearer than this are one; lengths along the crank are rounded to a tenth of it, so that ends agree."""
INTO_BANK_MM: Final = 1.0
"""How far a wall of the crankcase runs into the bank that it ends at."""
SLOT_MM: Final = 3.0
"""Room beside the main bore in the end walls, open below so that the crank can be laid in."""


@dataclass(frozen=True, eq=False)
class Bank:
    """One bank of bores. Along is towards the deck, across is +y of the bore frame.

    Attributes
    ----------
    low_mm, roof_mm, deck_mm : bottom of the bores, underside of the bank, deck; from the crank axis
    radii_mm : of the bores, one by one; radius_mm : of those that have no size of their own
    half_mm : outside radius of the barrels
    relief_mm : how far below the bores the webs are hollowed out, for skirts and for the hone to run through
    before_mm, beyond_mm : how far the bank reaches to -y and +y of its frame
    length_mm : from its front end at x = 0 to its rear end
    """

    name: BankName
    bank_deg: float
    bores: tuple[int, ...]
    bores_x_mm: tuple[float, ...]
    radii_mm: tuple[float, ...]
    radius_mm: float
    half_mm: float
    relief_mm: float
    low_mm: float
    roof_mm: float
    deck_mm: float
    before_mm: float
    beyond_mm: float
    length_mm: float

    def at_bore(self, x_mm: float) -> Bank:
        """The bank as if all its bores were as wide as the one at ``x_mm``."""
        radius = self.radii_mm[self.bores_x_mm.index(x_mm)]
        return self if radius == self.radius_mm else replace(self, radius_mm=radius)

    @cached_property
    def X_EB(self) -> Array:
        """Pose (4, 4) of the bank's frame in the engine; its origin at x = 0 on the crank axis."""
        return rot_x_deg(self.bank_deg)

    def point(self, across_mm: float, along_mm: float) -> Array:
        """(y, z) in the engine of a point of the bank's section."""
        return np.asarray(self._axes @ np.array([across_mm, along_mm]))

    def own(self, y_mm: float, z_mm: float) -> tuple[float, float]:
        """(across, along) of a point (y, z) of the engine."""
        across, along = np.array([y_mm, z_mm]) @ self._axes
        return float(across), float(along)

    @cached_property
    def _axes(self) -> Array:
        return np.asarray(self.X_EB[1:3, 1:3])

    @property
    def edge_mm(self) -> float:
        """Where walls meet the barrels: a little inside their outer face."""
        return self.radius_mm + 0.9 * (self.half_mm - self.radius_mm)

    @property
    def web_edge_mm(self) -> float:
        """Where webs end beside the bores: inside the outer face of the barrels too, but in a plane of their own."""
        return self.radius_mm + 0.8 * (self.half_mm - self.radius_mm)

    @property
    def beside_barrels(self) -> CrossSection:
        """Section of all that lies no lower than the bottom of the bores, however far to either side."""
        return self._region(-1e4, 1e4, self.low_mm, 1e4)

    def strip(self, half_mm: float, low_mm: float) -> CrossSection:
        """Section of the strip of the bores, so wide to either side, from a height up to the deck."""
        return self._region(-half_mm, half_mm, low_mm, self.deck_mm)

    def _region(self, *sides_mm: float) -> CrossSection:
        """Section of a rectangle of the bank's own plane."""
        return region(np.array([self.point(*corner) for corner in rectangle(*sides_mm)]))


@dataclass(frozen=True, slots=True, eq=False)
class Run:
    """A stretch of the inside of a bay, counter-clockwise; ``walled`` says which of its edges have a wall."""

    side: Side
    points_mm: Array
    walled: tuple[bool, ...]


@dataclass(frozen=True, eq=False)
class BlockSection:
    """Sections of one block."""

    spec: Engine
    layout: Layout
    banks: tuple[Bank, ...]

    @property
    def main_bore_mm(self) -> float:
        """Radius of the main bearing bores: journal and a shell as thick as the rods' (main shells are not drawn)."""
        return self.spec.crank.main.diameter_mm / 2 + self.spec.rod.bearing.wall_mm

    def bay_ends_mm(self, bay: int) -> tuple[float, float]:
        """Where the walls of a bay (from 0) begin and end; the outer bays reach to the ends of the block."""
        mains = self.layout.main_x_mm
        first, last = bay == 0, bay == len(mains) - 2
        ends = (0.0 if first else mains[bay], self.layout.length_mm if last else mains[bay + 1])
        return round(ends[0], 6), round(ends[1], 6)

    def web_ends_mm(self, web: int) -> tuple[float, float]:
        """Where a main web (from 0) begins and ends; the outer ones reach to the ends of the block."""
        mains, half = self.layout.main_x_mm, self.spec.block.web_mm / 2
        first, last = web == 0, web == len(mains) - 1
        ends = (0.0 if first else mains[web] - half, self.layout.length_mm if last else mains[web] + half)
        return round(ends[0], 6), round(ends[1], 6)

    def runs(self, bay: int) -> list[Run]:
        """Outline of the inside of one bay (from 0)."""
        case = self.spec.block.crankcase
        own = case.bays.get(str(bay + 1))
        right = np.array(own if own is not None else case.section, dtype=float)
        left = np.array(own or case.section_left or case.section, dtype=float)
        outer_right, walls_right, above_right = _open_at_bank(right, self._bank(1), 1)
        outer_left, walls_left, above_left = _open_at_bank(left * [-1.0, 1.0], self._bank(-1), -1)
        runs = [
            Run("right", outer_right, _first(walls_right, outer_right)),
            Run("left", outer_left[::-1], _first(walls_left, outer_left)[::-1]),
        ]
        if len(self.banks) == 2:
            top = np.vstack([above_right, above_left[::-1]])
            open_valley = self.spec.cam is not None and len(top) == 2
            if open_valley:
                top = np.vstack([top[:1], *self._valley_mm, top[1:]])
            if top[0, 0] > top[-1, 0]:
                runs.insert(1, Run("top", top, (not open_valley,) * (len(top) - 1)))
        return runs

    def inside(self, bay: int) -> CrossSection:
        """Region inside one bay, from the pan rail to the roof, barrels and webs not yet taken away."""
        return region(np.vstack([run.points_mm for run in self.runs(bay)]))

    def _inside_walls(self, bay: int) -> CrossSection:
        """The same, reaching a little into the walls and the roof."""
        return self.inside(bay).offset(OVERLAP_MM, JoinType.Miter)

    def walls(self, bay: int, side: Side) -> list[CrossSection]:
        """Sections of the crankcase walls behind one side of a bay, one for each edge, clear of all bores."""
        found = []
        for run in self.runs(bay):
            if run.side == side:
                found += [region(quad) for quad in _thickened(run, self.spec.block.crankcase.wall_mm)]
        above = self._band(self.spec.block.pan_rail.height_mm, 1e4)
        return [self._clear_of_bores(wall ^ above, web=False) for wall in found]

    def web(self, web: int) -> CrossSection:
        """Section of a main web (from 0), main bore and cam tunnel not yet taken away."""
        bays = {max(web - 1, 0), min(web, len(self.layout.main_x_mm) - 2)}
        whole = CrossSection()
        for bay in sorted(bays):
            whole += self._inside_walls(bay)
        return self._clear_of_bores(whole, web=True) ^ self._band(self.spec.block.web_bottom_mm, 1e4)

    def end_wall(self, web: int) -> CrossSection:
        """Section of the wall that closes the case below the first or last main web, a slot left for the crank."""
        block = self.spec.block
        bay = min(web, len(self.layout.main_x_mm) - 2)
        below = self._inside_walls(bay) ^ self._band(block.pan_rail.height_mm, block.web_bottom_mm)
        slot = self.main_bore_mm + SLOT_MM
        return self._clear_of_bores(below, web=True) - region(rectangle(-slot, slot, -1e4, 1e4))

    def _clear_of_bores(self, shape: CrossSection, *, web: bool) -> CrossSection:
        """Walls keep out of the bores; webs end at the barrels and leave the hollows below them free too."""
        for bank in self.banks:
            if web:
                shape -= bank.strip(bank.web_edge_mm, bank.low_mm - bank.relief_mm)
            else:
                shape -= bank.strip((3 * bank.radius_mm + bank.half_mm) / 4, bank.low_mm)
        return shape.simplify(SAME_MM)

    @staticmethod
    def _band(low_mm: float, high_mm: float) -> CrossSection:
        return region(rectangle(-1e4, 1e4, low_mm, high_mm))

    def _bank(self, side: int) -> Bank:
        """The bank on the right (+1) or left (-1); an inline engine has one for both."""
        wanted: BankName = "right" if side > 0 else "left"
        return next((bank for bank in self.banks if bank.name == wanted), self.banks[0])

    @property
    def _valley_mm(self) -> tuple[Array, Array]:
        """Right and left end (1, 2) of the webs' upper edge in an open valley: the cam bosses stand up from it."""
        cam = self.spec.cam
        assert cam is not None
        top = cam.up_mm + cam.journal_mm / 2 + cam.tunnel_wall_mm / 2
        return tuple(np.array([[_at_height(self._bank(side), side, top), top]]) for side in (1, -1))  # type: ignore[return-value]


def block_section(spec: Engine, layout: Layout) -> BlockSection:
    """Sections of the block of an engine."""
    names: list[BankName] = [
        name for name in ("line", "left", "right") if any(s.bank == name for s in layout.bores)
    ]
    return BlockSection(spec, layout, tuple(_bank(spec, layout, name) for name in names))


def _bank(spec: Engine, layout: Layout, name: BankName) -> Bank:
    sites = [site for site in layout.bores if site.bank == name]
    bore, deck = spec.block.bore, spec.block.deck_height_mm
    radius = bore.diameter_mm / 2
    room = bore.wall_mm if bore.spacing_mm is None else min(bore.wall_mm, bore.spacing_mm - bore.diameter_mm)
    low = deck - bore.length_mm
    notch = bore.notch.height_mm + 2.0 if bore.notch else 0.0
    half = radius + room
    x = [site.x_mm for site in sites]
    bank_deg = sites[0].bank_deg
    roof = low + min(max(BARREL_MM, notch), bore.length_mm / 3)
    before, beyond = (_reach(spec, bank_deg, sign, half, roof) for sign in (-1, 1))
    return Bank(
        name=name,
        bank_deg=bank_deg,
        bores=tuple(site.bore for site in sites),
        bores_x_mm=tuple(x),
        radii_mm=tuple(spec.of_bore(site.bore).block.bore.diameter_mm / 2 for site in sites),
        radius_mm=radius,
        half_mm=half,
        relief_mm=_relief(spec, low),
        low_mm=low,
        roof_mm=roof,
        deck_mm=deck,
        before_mm=before,
        beyond_mm=beyond,
        length_mm=round(layout.length_mm, 6),
    )


def _relief(spec: Engine, low_mm: float) -> float:
    """Depth of the hollows below the bores: as usual, but never into the main bearings."""
    main = spec.crank.main.diameter_mm / 2 + spec.rod.bearing.wall_mm
    return max(0.0, min(RELIEF_MM, low_mm - main - SADDLE_MM))


def _reach(spec: Engine, bank_deg: float, sign: int, half_mm: float, roof_mm: float) -> float:
    """How far a bank reaches to one side: barrels, jacket and skin, or less.

    Less where a cam in the block needs room, and where the other bank of a vee begins.
    """
    reach = half_mm + JACKET_MM + SKIN_MM
    if spec.engine.layout == "vee" and sign * bank_deg > 0:
        reach = min(reach, INNER_SHARE * roof_mm * float(np.tan(np.radians(abs(bank_deg)))))
    cam = spec.cam
    if cam is not None:
        across, along = np.array([cam.across_mm, cam.up_mm]) @ rot_x_deg(bank_deg)[1:3, 1:3]
        if across * sign > 0 and along > 0:
            lobe = max(cam.base_mm / 2 + cam.lift_mm, cam.journal_mm / 2, cam.core_mm / 2)
            reach = min(reach, float(across) * sign - lobe - CAM_ROOM_MM)
    return max(reach, half_mm)


def _at_height(bank: Bank, side: int, z_mm: float) -> float:
    """Where across, y, the inner face of a bank's barrels, towards the valley, stands at a height."""
    low, high = bank.point(-side * bank.half_mm, bank.roof_mm), bank.point(-side * bank.half_mm, bank.deck_mm)
    share = (z_mm - low[1]) / (high[1] - low[1]) if high[1] != low[1] else 0.0
    return float(low[0] + np.clip(share, 0.0, 1.0) * (high[0] - low[0]))


def _open_at_bank(chain: Array, bank: Bank, side: int) -> tuple[Array, int, Array]:
    """Part a written wall (k, 2), walking up, at a bank: what lies outside its barrels and what lies above.

    ``side`` is +1 where the bank's lower, outer side is +y of its frame (right), -1 on the left. The first part
    ends at the barrels, the second begins there; in an inline engine the second means nothing. A wall that goes
    up beside the bank, to make room for a cam, is closed against the bank's side and comes down along it.

    Returns
    -------
    outside : (m, 2) corners; walls : edges of it, from the first, that have a wall of their own; above : (n, 2)
    """
    edge, roof = bank.edge_mm, bank.roof_mm
    reach = bank.beyond_mm if side > 0 else bank.before_mm
    own = np.array([bank.own(*point) for point in chain]) * [side, 1.0]
    taken = ((own[:, 1] > 0) & (own[:, 0] < edge)) | ((own[:, 1] > roof) & (own[:, 0] < reach))
    stop = int(np.argmax(taken)) if taken.any() else len(chain)
    outside = [*own[:stop]] if stop else [own[0]]
    if 0 < stop < len(chain):
        outside.append(_entry(own[stop - 1], own[stop], edge, reach, roof))
    if outside[-1][1] > roof + 1e-9:
        outside.append(np.array([reach, outside[-1][1]]))
        walls = len(outside) - 1
        outside += [np.array([reach, roof]), np.array([edge, roof])]
    else:
        outside.append(np.array([edge, roof]))
        walls = len(outside) - 1
    above = [[-edge, roof], *(corner for corner in own[stop:] if corner[0] <= -edge)]
    return _in_engine(outside, bank, side), walls, _in_engine(above, bank, side)


def _in_engine(own: Sequence[Sequence[float] | Array], bank: Bank, side: int) -> Array:
    return np.array([bank.point(side * across, along) for across, along in own])


def _entry(start: Array, end: Array, edge_mm: float, reach_mm: float, roof_mm: float) -> Array:
    """Where a wall first meets barrels or bank on its way from a corner outside to one inside."""
    way = end - start
    meets = [1.0]
    for axis, at in ((0, edge_mm), (0, reach_mm), (1, roof_mm)):
        if way[axis] != 0.0:
            share = (at - start[axis]) / way[axis]
            a, b = start + share * way
            under = a <= edge_mm + 1e-9 and b <= roof_mm + 1e-9
            beside = a <= reach_mm + 1e-9 and b >= roof_mm - 1e-9
            if 0.0 <= share < 1.0 and (under or beside):
                meets.append(share)
    return np.asarray(start + min(meets) * way)


def _first(count: int, points: Array) -> tuple[bool, ...]:
    return tuple(edge < count for edge in range(len(points) - 1))


def _thickened(run: Run, wall_mm: float) -> list[Array]:
    """A wall on the right-hand side of a run: one convex quadrilateral (4, 2) for each walled edge.

    At corners where the case is convex the outer edges are mitred; at the others they overlap.
    """
    points = run.points_mm
    along = np.diff(points, axis=0)
    length = np.hypot(along[:, 0], along[:, 1])
    keep = length > 1e-6
    walled = np.array(run.walled)[keep]
    starts, ends, along = points[:-1][keep], points[1:][keep], along[keep] / length[keep, None]
    normal = np.column_stack([along[:, 1], -along[:, 0]])
    quads = []
    edges = [int(edge) for edge in np.flatnonzero(walled)]
    for i in edges:
        start, end = starts[i], ends[i]
        if i == edges[-1] and run.side != "left":
            end = end + INTO_BANK_MM * along[i]
        if i == edges[0] and run.side != "right":
            start = start - INTO_BANK_MM * along[i]
        tips = [_tip(normal, i, i - 1), _tip(normal, i, i + 1)]
        quads.append(np.array([start, start + wall_mm * tips[0], end + wall_mm * tips[1], end]))
    return quads


def _tip(normal: Array, here: int, other: int) -> Array:
    """Outer corner of a wall of unit thickness beside its neighbour, mitred only where the case is convex."""
    if not 0 <= other < len(normal):
        return np.asarray(normal[here])
    first, second = (normal[here], normal[other]) if other > here else (normal[other], normal[here])
    turn = first[0] * second[1] - first[1] * second[0]
    cosine = float(first @ second)
    if turn <= 0.0 or cosine < -0.5:
        return np.asarray(normal[here])
    return np.asarray((first + second) / (1.0 + cosine))
