"""Pushing a piston in from the deck: whether the rod's open end may meet the crankpin, and whether it goes through.

Seen along the crank, in the frame of the bore. The rod hangs from the piston pin, its cap off. While rings and
compressor hide what happens below, nobody guides it: it may lean as far as the bore lets it. So a crank position
is safe when the open end clears the crankpin at every height of the piston from above the deck down to crown
flush with the deck, at every lean. From there on the rod is led onto the pin by hand, from below.

Rods run between the cheeks, so only the crankpin's circle counts. Distances are of plane figures: legs and
bolts as rectangles, the half ring as such.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from geometry.arrays import Array, Mask
from geometry.assembly import Assembly
from geometry.checks.passage import Passage, passage
from geometry.kinematics.layout import BoreSite
from geometry.kinematics.slider_crank import dead_centres
from geometry.parts.shapes.rod_shape import seat_radius_mm
from geometry.spec.engine import Engine

HEIGHTS, LEANS, ZOOMS = 41, 33, 4
"""Points of the search over height and lean, and how often it closes in on the worst."""
STEP_DEG = 3.0
STRIKE_STEPS = 40
UNSAFE_SHARE = 0.6
"""Where the crankpin of the mistake stands, between top dead centre and the first safe angle after it: high enough to
be struck on its flank, and still an angle at which a crank is left standing."""


@dataclass(frozen=True, slots=True, eq=False)
class OpenEnd:
    """The rod's end without its cap, in the plane across the crank, origin at the big-end centre.

    Attributes
    ----------
    boxes_mm : (k, 4) rectangles (y0, y1, z0, z1): legs to either side, and bolts that stay in the rod
    inner_mm, outer_mm : radii of the half ring over the pin, the shell in it
    """

    boxes_mm: Array
    inner_mm: float
    outer_mm: float


@dataclass(frozen=True, slots=True)
class PushIn:
    """Crank positions for pushing one piston in.

    Attributes
    ----------
    safe_deg : stretches (start, end) of engine crank degrees, end may pass 360; empty: none is safe
    safe_after_top_deg : the same after the bore's own top dead centre
    unsafe_after_top_deg : where the mistake leaves the crankpin, whole degrees after the bore's top dead centre; 0
        where every angle is safe
    throw_deg : the throw there, from the bore's axis towards -y
    at_bottom_mm, at_unsafe_mm : clearance of crankpin and open end with the throw at the bottom, and there
    landing_mm : room on either side when legs or bolts pass over the crankpin
    passage : how the open end goes through the bore
    """

    safe_deg: tuple[tuple[float, float], ...]
    safe_after_top_deg: tuple[tuple[float, float], ...]
    unsafe_after_top_deg: float
    throw_deg: float
    at_bottom_mm: float
    at_unsafe_mm: float
    landing_mm: float
    passage: Passage


def open_end(spec: Engine) -> OpenEnd:
    """The figure that is pushed past the crankpin."""
    rod, bolt = spec.rod, spec.rod.bolt
    inner = rod.big_end.bore_mm / 2 - rod.bearing.wall_mm
    reach = bolt.spacing_mm / 2 + seat_radius_mm(bolt)
    boxes = [(inner, reach, 0.0, bolt.shoulder_mm)]
    if bolt.kind == "bolt_and_nut":
        below, middle = bolt.length_mm - bolt.shoulder_mm, bolt.spacing_mm / 2
        boxes.append((middle - bolt.diameter_mm / 2, middle + bolt.diameter_mm / 2, -below, 0.0))
    both = boxes + [(-y1, -y0, z0, z1) for y0, y1, z0, z1 in boxes]
    return OpenEnd(np.array(both), inner, rod.big_end.outside_mm / 2)


def distance_to_end_mm(end: OpenEnd, y_mm: Array, z_mm: Array) -> Array:
    """Distance of points (...) of the rod's plane from its open end; 0 inside."""
    out = np.full(np.shape(y_mm), np.inf)
    for y0, y1, z0, z1 in end.boxes_mm:
        dy = np.maximum(np.maximum(y0 - y_mm, y_mm - y1), 0.0)
        dz = np.maximum(np.maximum(z0 - z_mm, z_mm - z1), 0.0)
        out = np.minimum(out, np.hypot(dy, dz))
    radius = np.hypot(y_mm, z_mm)
    to_ring = np.maximum(np.maximum(end.inner_mm - radius, radius - end.outer_mm), 0.0)
    # below the joint the nearest point of the half ring lies on its two flat ends, which the legs cover
    return np.asarray(np.minimum(out, np.where(z_mm >= 0.0, to_ring, np.inf)))


def greatest_lean_rad(spec: Engine, pin_height_mm: Array) -> Array:
    """How far the rod may lean at each height of the piston pin before bore or bore edge holds it."""
    bore, rod = spec.block.bore, spec.rod
    bottom = spec.block.deck_height_mm - bore.length_mm
    room = bore.diameter_mm / 2 - spec.piston.pin.offset_mm
    shoulder = pin_height_mm - rod.length_mm + rod.bolt.shoulder_mm
    blade = np.arctan(
        np.maximum(room - rod.beam.width_big_mm / 2, 0.0) / np.maximum(pin_height_mm - bottom, 1.0)
    )
    wide = rod.bolt.spacing_mm / 2 + seat_radius_mm(rod.bolt)
    inside = np.arctan(max(room - wide, 0.0) / rod.length_mm)
    return np.asarray(np.where(shoulder > bottom, inside, blade))


def clearance_mm(spec: Engine, offset_mm: float, phi_deg: Array) -> Array:
    """Least clearance of crankpin and open end over all heights and leans, (m,) for throw angles (m,).

    Below zero the crankpin is struck. The search is a grid over height and lean that closes in on its worst point.
    """
    end, rod = open_end(spec), spec.rod
    throw, radius = spec.crank.stroke_mm / 2, spec.crank.pin.diameter_mm / 2
    phi = np.radians(np.asarray(phi_deg, dtype=float))[:, None, None]
    pin_y, pin_z = -throw * np.sin(phi), throw * np.cos(phi)
    flush = spec.block.deck_height_mm - spec.piston.compression_height_mm
    low, high = np.full(phi.shape, flush), np.full(phi.shape, flush + 2 * throw + rod.big_end.outside_mm)
    left, right = np.full(phi.shape, -1.0), np.full(phi.shape, 1.0)
    best = np.full(phi.shape[0], np.inf)
    for _ in range(ZOOMS):
        height = low + (high - low) * np.linspace(0.0, 1.0, HEIGHTS)[None, :, None]
        share = left + (right - left) * np.linspace(0.0, 1.0, LEANS)[None, None, :]
        lean = share * greatest_lean_rad(spec, height)
        dy, dz = pin_y - offset_mm, pin_z - height
        y = np.cos(lean) * dy + np.sin(lean) * dz
        z = np.cos(lean) * dz - np.sin(lean) * dy + rod.length_mm
        gap = distance_to_end_mm(end, y, z) - radius
        flat = gap.reshape(len(gap), -1)
        worst = flat.argmin(axis=1)
        best = np.minimum(best, flat.min(axis=1))
        rows, columns = np.unravel_index(worst, (HEIGHTS, LEANS))
        index = np.arange(len(gap))
        h0, s0 = height[index, rows, 0][:, None, None], share[index, 0, columns][:, None, None]
        dh, ds = 2 * (high - low) / (HEIGHTS - 1), 2 * (right - left) / (LEANS - 1)
        low, high = np.maximum(h0 - dh, flush), h0 + dh
        left, right = np.maximum(s0 - ds, -1.0), np.minimum(s0 + ds, 1.0)
    return best


@dataclass(frozen=True, slots=True, eq=False)
class _Asked:
    """One engine and pin offset; asked again, such as for another bore, it is the same question."""

    spec: Engine
    offset_mm: float

    def __hash__(self) -> int:
        return hash((id(self.spec), self.offset_mm))

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Asked) and other.spec is self.spec and other.offset_mm == self.offset_mm


@lru_cache(maxsize=8)
def _in_plane(asked: _Asked) -> tuple[tuple[float, float], ...]:
    """Stretches of throw angle that are clear."""
    phi = np.arange(0.0, 360.0, STEP_DEG)
    clear = clearance_mm(asked.spec, asked.offset_mm, phi) > 0.0
    return tuple(_ranges(asked.spec, asked.offset_mm, phi, clear))


def push_in(assembly: Assembly, site: BoreSite) -> PushIn:
    """Safe crank positions for pushing this piston in."""
    spec = assembly.design(site.bore)
    ranges = _in_plane(_Asked(spec, site.offset_mm))
    sense = assembly.layout.sense
    shift = site.bank_deg - site.pin_deg

    def crank(start: float, end: float) -> tuple[float, float]:
        first, last = (start, end) if sense > 0 else (-end, -start)
        begin = float((first + sense * shift) % 360.0)
        return begin, begin + last - first

    top = float(dead_centres(assembly.linkage).top_deg[assembly.layout.index(site.bore)])

    def after_top(start: float, end: float) -> tuple[float, float]:
        begin = float((crank(start, end)[0] - top) % 360.0)
        return begin, begin + end - start

    safe = tuple(after_top(*pair) for pair in ranges)
    unsafe = _unsafe_after_top_deg(safe)
    throw = (sense * (unsafe + top) - shift) % 360.0
    clear = clearance_mm(spec, site.offset_mm, np.array([180.0, throw]))
    return PushIn(
        tuple(crank(*pair) for pair in ranges), safe, unsafe, throw, float(clear[0]), float(clear[1]),
        landing_mm(spec), passage(assembly, site),
    )  # fmt: skip


def _unsafe_after_top_deg(safe_after_top_deg: tuple[tuple[float, float], ...]) -> float:
    """Where the mistake leaves the crankpin."""
    if not safe_after_top_deg:
        return 90.0
    start, end = safe_after_top_deg[0]
    return 0.0 if end - start >= 360.0 else float(round(UNSAFE_SHARE * start))


@dataclass(frozen=True, slots=True)
class Strike:
    """The open end on its way down, where it first meets the crankpin at the lean that meets it soonest.

    Attributes
    ----------
    pin_height_mm, lean_rad : of the piston pin above the crank axis, and of the rod, positive from +y towards +z
    at_mm : the place on the crankpin (y, z), in the bore's frame
    """

    pin_height_mm: float
    lean_rad: float
    at_mm: tuple[float, float]


def first_strike(spec: Engine, offset_mm: float, throw_deg: float) -> Strike | None:
    """Lower the piston until something touches; None where it goes down to the deck without."""
    flush = spec.block.deck_height_mm - spec.piston.compression_height_mm
    start = flush + spec.crank.stroke_mm + spec.rod.big_end.outside_mm
    step, shares = (start - flush) / STRIKE_STEPS, np.linspace(-1.0, 1.0, 2 * LEANS - 1)
    for _ in range(ZOOMS):
        heights = np.maximum(start - step * np.arange(STRIKE_STEPS + 1), flush)
        leans = shares * greatest_lean_rad(spec, heights)[:, None]
        gap, at = _gaps_mm(spec, offset_mm, throw_deg, heights[:, None], leans)
        met = gap.min(axis=1) <= 0.0
        if not met.any():
            return None
        row = int(met.argmax())
        column = int(gap[row].argmin())
        start, step = float(heights[max(row - 1, 0)]), step / STRIKE_STEPS
    y, z = at[row, column]
    return Strike(float(heights[row]), float(leans[row, column]), (float(y), float(z)))


def _gaps_mm(
    spec: Engine, offset_mm: float, throw_deg: float, height_mm: Array, lean_rad: Array
) -> tuple[Array, Array]:
    """Clearance (n, m) of crankpin and open end, and (n, m, 2) where on the crankpin it is least."""
    end, radius = open_end(spec), spec.crank.pin.diameter_mm / 2
    phi, throw = np.radians(throw_deg), spec.crank.stroke_mm / 2
    pin = np.array([-throw * np.sin(phi), throw * np.cos(phi)])
    cosine, sine = np.cos(lean_rad), np.sin(lean_rad)
    dy, dz = pin[0] - offset_mm, pin[1] - height_mm
    y, z = cosine * dy + sine * dz, cosine * dz - sine * dy + spec.rod.length_mm
    gap = distance_to_end_mm(end, y, z)
    small = 1e-4  # the gap grows away from the end: its slope points from the nearest place to the crankpin's middle
    slope_y = distance_to_end_mm(end, y + small, z) - distance_to_end_mm(end, y - small, z)
    slope_z = distance_to_end_mm(end, y, z + small) - distance_to_end_mm(end, y, z - small)
    size = np.maximum(np.hypot(slope_y, slope_z), 1e-12)
    toward_y, toward_z = -slope_y / size, -slope_z / size
    at = np.stack([cosine * toward_y - sine * toward_z, sine * toward_y + cosine * toward_z], axis=-1)
    return gap - radius, pin + radius * at


def _ranges(spec: Engine, offset_mm: float, phi: Array, safe: Mask) -> list[tuple[float, float]]:
    """Stretches of throw angle that are clear, their ends by bisection."""
    if safe.all():
        return [(0.0, 360.0)]
    edges = np.nonzero(safe != np.roll(safe, -1))[0]
    low, high = phi[edges], phi[edges] + STEP_DEG
    opening = ~safe[edges]
    for _ in range(10):
        middle = (low + high) / 2
        same = (clearance_mm(spec, offset_mm, middle) > 0.0) == ~opening
        low, high = np.where(same, middle, low), np.where(same, high, middle)
    ends = (low + high) / 2
    starts, stops = ends[opening], ends[~opening]
    return [(float(a), float(a + np.min((stops - a) % 360.0))) for a in starts]


def landing_mm(spec: Engine) -> float:
    """Room between the crankpin and what passes beside it when the rod is led onto it."""
    bolt, radius = spec.rod.bolt, spec.crank.pin.diameter_mm / 2
    legs = spec.rod.big_end.bore_mm / 2 - spec.rod.bearing.wall_mm - radius
    if bolt.kind == "cap_screw":
        return legs
    return (bolt.spacing_mm - bolt.diameter_mm) / 2 - radius
