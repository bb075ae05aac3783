"""The drawing of a big end beside its crank cheeks: chamfers over fillets to scale, the rod pushed against the cheek.

It is a plane section through rod and crankpin axis, as the check reckons it (``geometry.fillet``): laid into the
rod's frame, so that window and still show the same. The middle of the rod is left out between two break lines, so
that both its ends are seen large.
"""

from __future__ import annotations

from dataclasses import dataclass

import manifold3d
import numpy as np

from geometry.arrays import Array
from geometry.assembly import Assembly
from geometry.checks.corners import corners
from geometry.checks.fillets import RIDES, cheek_on_both_sides, side_fit
from geometry.clearance.limits import limit_for
from geometry.kinematics.layout import BoreSite
from geometry.kinematics.poses import transform
from geometry.solids import Mesh
from geometry.units import System, show, show_fine
from viewer.scene.cutting import hatching
from viewer.scene.fillet_sizes import OUTWARD, FilletSizes, Half, sizes_of
from viewer.scene.model import Framing, Item, Label, Strokes
from viewer.verdicts import as_assumed, source_beside

ARC_STEPS = 64
TOWARD_EYE = np.array([0.0, -1.0, 0.0])
"""The eye looks along +y of the rod's frame, from outside at the engine's left where the rod stands upright."""
HATCH_SHARE, ARROW_SHARE = 0.3, 0.10
UP_SHARE = 0.3
"""How far a dimension line stands over what it measures."""
LIFT_MM = 0.02
"""Lines stand this much before the faces, so that they are seen."""


@dataclass(frozen=True, slots=True)
class FilletDrawing:
    """Items, lines and words of the drawing, in the rod's frame."""

    items: tuple[Item, ...] = ()
    strokes: tuple[Strokes, ...] = ()
    labels: tuple[Label, ...] = ()


def fillet_drawing(assembly: Assembly, bore: int, units: System, half: Half | None = None) -> FilletDrawing:
    """Both ends of a big end in section, as put together.

    Parameters
    ----------
    half : which half of the big end; None: the one that stands nearer to its fillet
    """
    site = assembly.layout.site(bore)
    sizes = sizes_of(assembly, site, half)
    items: list[Item] = []
    strokes: list[Strokes] = []
    for end in (sizes.hand, -sizes.hand):
        for name, whole, look, flat in _polygons(assembly, site, sizes, end):
            item, lines = _face(sizes, name, whole, look, flat, end)
            items.append(item)
            strokes += lines
    labels, leaders = _labels(sizes, units)
    return FilletDrawing(tuple(items), (*strokes, *_dimensions(sizes), *leaders), tuple(labels))


def fillet_framing(assembly: Assembly, bore: int, crank_deg: float, half: Half | None = None) -> Framing:
    """From where the drawing is seen, and all that it fills."""
    sizes = sizes_of(assembly, assembly.layout.site(bore), half)
    X_ER = assembly.frame_poses(crank_deg)[f"R{bore}"]
    far = sizes.half + sizes.side + OUTWARD * sizes.reach
    top = sizes.high + (UP_SHARE + 0.3) * sizes.reach
    ends = [sizes.place([(end * far, v)], end)[0] for end in (-1, 1) for v in (sizes.low, top)]
    toward, up = X_ER[:3, :3] @ -TOWARD_EYE, sizes.up * X_ER[:3, 2]
    return Framing(toward, up, transform(X_ER, np.array(ends)), parallel=True, margin=0.11)


def fillet_words(
    assembly: Assembly, bore: int, units: System, half: Half | None = None, assumed: str = ""
) -> tuple[str, ...]:
    """The numbers of the drawing: gap and side clearance, each with its limit, source and verdict.

    Parameters
    ----------
    half : as in ``fillet_drawing``
    assumed : how many values of the engine are assumed, in words; empty where none is
    """
    site = assembly.layout.site(bore)
    sizes, fit, limit = (
        sizes_of(assembly, site, half),
        side_fit(assembly, site),
        limit_for(assembly.spec, "rod_side"),
    )
    room, least = sizes.nearest.fit.clearance_mm, show_fine(limit.least_mm, units)
    edge = as_assumed("rides on the fillet" if room < -1e-9 else "clears the fillet", assumed)
    verdict = "bound" if fit.left_mm <= 0 else "within" if fit.left_mm >= limit.least_mm else "outside"
    left, total = show_fine(fit.left_mm, units), show_fine(fit.total_mm, units)
    source = source_beside(limit.source, limit.least_mm, units)
    said = f"at least {least} ({source}): {as_assumed(verdict, assumed)}"
    return (
        f"{sizes.nearest.edge} pushed against its cheek: its edge {edge}, {_gap_text(room, units)} ({RIDES})",
        f"side clearance left by the fillets {left} of {total}, {said}",
    )


def _gap_text(room_mm: float, units: System) -> str:
    size = show_fine(abs(room_mm), units)
    return f"{size} deep" if room_mm < -1e-9 else f"{size} left"


def _polygons(
    assembly: Assembly, site: BoreSite, sizes: FilletSizes, end: int
) -> list[tuple[str, str, str, Array]]:
    """What is cut at one end of the rod: name, body, look, corners (k, 2); the bite is drawn last, over the others."""
    cap = sizes.up < 0
    rod, shell = ("rod_cap" if cap else "rod"), ("lower_shell" if cap else "upper_shell")
    own = _outline(sizes, end)
    has_cheek = end == sizes.hand or cheek_on_both_sides(assembly.spec, site)
    cheek = end * (sizes.half + (0.0 if end == sizes.hand else sizes.side))
    steel = _journal(sizes, end, cheek if has_cheek else None)
    bush = end * (sizes.half - sizes.inset)
    rim = sizes.housing - sizes.wall
    bearing = np.array([(bush, rim), (bush, sizes.housing), *sizes.broken(end, sizes.housing, rim)])
    found = [
        ("crank", "crank", "cut_crank", steel),
        (f"{rod} {site.bore}", f"{rod} {site.bore}", "cut_steel", own),
        (f"{shell} {site.bore}", f"{shell} {site.bore}", "cut_bearing_metal", bearing),
    ]
    if not has_cheek and sizes.neighbour is not None:
        face = end * (sizes.half + sizes.side)
        out = end * (sizes.half + sizes.side + OUTWARD * sizes.reach)
        other = corners(assembly, assembly.layout.site(sizes.neighbour))
        leg = next(c.chamfer_mm for c in other if c.edge == sizes.nearest.edge and c.hand == -end)
        beside = np.array([
            (face, sizes.housing + leg), (face + end * leg, sizes.housing), (out, sizes.housing), (out, sizes.high),
            (face, sizes.high),
        ])  # fmt: skip
        name = f"{rod} {sizes.neighbour}"
        found.append((name, name, "cut_other_rod", beside))
    bite = _common(own, steel)
    if bite is not None:
        found.append(("bite", f"{rod} {site.bore}", "overlaps", bite))
    return found


def _outline(sizes: FilletSizes, end: int) -> Array:
    """One end of the big end: face, chamfer, housing."""
    face, leg = end * sizes.half, sizes.legs[end]
    return np.array([
        (face - end * leg, sizes.housing), (face, sizes.housing + leg), (face, sizes.high),
        *sizes.broken(end, sizes.high, sizes.housing),
    ])  # fmt: skip


def _journal(sizes: FilletSizes, end: int, cheek: float | None) -> Array:
    """Crankpin, fillet and cheek of one end; without a cheek the pin goes on below the neighbour."""
    out = end * (sizes.half + sizes.side + OUTWARD * sizes.reach)
    below = [(out, sizes.low), *sizes.broken(end, sizes.low, sizes.pin)]
    if cheek is None:
        return np.array([*below, (out, sizes.pin)])
    turn = np.radians(np.linspace(-90.0, 0.0, ARC_STEPS))
    radius = sizes.fillet
    arc = np.column_stack([
        cheek - end * radius + end * radius * np.cos(turn), sizes.pin + radius + radius * np.sin(turn)
    ])  # fmt: skip
    return np.vstack([below, arc, [(cheek, sizes.high), (out, sizes.high)]])


def _section(corners_mm: Array) -> manifold3d.CrossSection:
    x, y = corners_mm[:, 0], corners_mm[:, 1]
    turning = float(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1)))
    return manifold3d.CrossSection([corners_mm if turning > 0 else corners_mm[::-1]])


def _common(one: Array, other: Array) -> Array | None:
    """What two shapes share, corners (k, 2); None where that is nothing that could be seen."""
    both = _section(one) ^ _section(other)
    if both.area() < 1e-6:
        return None
    return np.asarray(max(both.to_polygons(), key=lambda ring: manifold3d.CrossSection([ring]).area()))


def _face(
    sizes: FilletSizes, name: str, whole: str, look: str, flat: Array, end: int
) -> tuple[Item, list[Strokes]]:
    """One flat shape with its outline and its hatching, which slants by what it is."""
    ring = np.asarray(_section(flat).to_polygons()[0])
    triangles = np.asarray(manifold3d.triangulate([ring]), dtype=np.int32)
    if sizes.up < 0:  # seen from the same side though upside down
        triangles = triangles[:, ::-1]
    bite = name == "bite"
    lift = LIFT_MM if bite else 0.0
    points = sizes.place(ring, end) + lift * TOWARD_EYE
    frame = f"R{sizes.bore}"
    mesh = Mesh(points, triangles)
    item = Item(f"{name} section {end}", mesh, frame, look, "section", bore=sizes.bore, cut_of=whole)
    outline = np.stack([points, np.roll(points, -1, axis=0)], axis=1) + 2 * LIFT_MM * TOWARD_EYE
    strokes = [
        Strokes(f"{name} outline {end}", outline, frame, look if bite else "ink", 1.6, bore=sizes.bore)
    ]
    if not bite:
        slant = -1.0 if name.startswith("rod") else 1.0
        spacing = slant * HATCH_SHARE * sizes.reach * (0.5 if "shell" in name else 1.0)
        lines = hatching(mesh, TOWARD_EYE, spacing)
        strokes.append(Strokes(f"{name} hatch {end}", lines, frame, "hatch", 0.6, bore=sizes.bore))
    return item, strokes


def _dimensions(sizes: FilletSizes) -> list[Strokes]:
    """Dimension lines with their arrows: both chamfers, the fillet's radius, the gap, the side clearance."""
    ink: list[Array] = []
    for end in (-1, 1):
        leg = sizes.legs[end]
        if leg > 0.0:
            span = _across(sizes, end, sizes.half - leg, sizes.half, sizes.housing + leg)
            ink += [sizes.place(line, end) for line in span]
    if sizes.side > 0.0:
        span = _across(sizes, -sizes.hand, sizes.half, sizes.half + sizes.side, sizes.high)
        ink += [sizes.place(line, -sizes.hand) for line in span]
    tail, head = _radius_line(sizes)
    ink += [sizes.place(line, sizes.hand) for line in _arrowed(tail, head, sizes, (False, True))]
    gap = sizes.place([sizes.nearest.own, sizes.nearest.arc], sizes.hand)
    frame, lift = f"R{sizes.bore}", 3 * LIFT_MM * TOWARD_EYE
    verdict = "overlaps" if sizes.nearest.fit.clearance_mm < -1e-9 else "clear"
    return [
        Strokes("dimensions", np.vstack([_segments(line) for line in ink]) + lift, frame, "ink", 1.8, bore=sizes.bore),
        Strokes("gap", gap[None] + lift, frame, verdict, 4.5, bore=sizes.bore),
    ]  # fmt: skip


def _segments(points: Array) -> Array:
    return np.stack([points[:-1], points[1:]], axis=1)


def _across(
    sizes: FilletSizes, end: int, near: float, far: float, foot: float
) -> list[list[tuple[float, float]]]:
    """A dimension along the crank between two places, counted outward from the rod's middle, over a height."""
    level = foot + UP_SHARE * sizes.reach
    start, stop = (end * near, level), (end * far, level)
    over = level + 0.12 * sizes.reach
    extension = [[(x, foot), (x, over)] for x in (start[0], stop[0])]
    if far - near > 3 * ARROW_SHARE * sizes.reach:
        return [*extension, *_arrowed(start, stop, sizes, (True, True))]
    # too narrow for arrows between: they point at it from outside
    tail = 4 * ARROW_SHARE * sizes.reach * end
    left, right = (start[0] - tail, level), (stop[0] + tail, level)
    return [
        *extension,
        *_arrowed(left, start, sizes, (False, True)),
        *_arrowed(right, stop, sizes, (False, True)),
    ]


def _arrowed(
    start: tuple[float, float], stop: tuple[float, float], sizes: FilletSizes, heads: tuple[bool, bool]
) -> list[list[tuple[float, float]]]:
    """A line with open arrow heads at its ends."""
    a, b = np.array(start), np.array(stop)
    along = (b - a) / max(float(np.linalg.norm(b - a)), 1e-9)
    aside = np.array([-along[1], along[0]])
    size = ARROW_SHARE * sizes.reach
    lines = [[start, stop]]
    for tip, back, there in ((a, along, heads[0]), (b, -along, heads[1])):
        if there:
            wings = [tip + size * (back + way * 0.35 * aside) for way in (1.0, -1.0)]
            lines.append([_pair(wings[0]), _pair(tip), _pair(wings[1])])
    return lines


def _pair(point: Array) -> tuple[float, float]:
    return float(point[0]), float(point[1])


def _radius_line(sizes: FilletSizes) -> tuple[tuple[float, float], tuple[float, float]]:
    """An arrow out of the crank's steel at the fillet's arc, pointing to the arc's middle: its tail and its head.

    It comes from below, where its words keep off the chamfer's, and steeply enough to keep off the gap.
    """
    turn, long = np.radians(-60.0), sizes.fillet + 0.9 * sizes.reach
    middle = np.array([sizes.hand * (sizes.half - sizes.fillet), sizes.pin + sizes.fillet])
    way = np.array([sizes.hand * np.cos(turn), np.sin(turn)])
    return _pair(middle + long * way), _pair(middle + sizes.fillet * way)


def _labels(sizes: FilletSizes, units: System) -> tuple[list[Label], list[Strokes]]:
    """Names and figures, each where it covers nothing, and thin lines from those that stand away to what they name."""
    frame = f"R{sizes.bore}"
    named = _named(sizes, units)
    labels = [Label(n.text, frame, sizes.place([n.at], n.end)[0], "part", sizes.bore, n.look) for n in named]
    lead = 3 * LIFT_MM * TOWARD_EYE
    strokes = [
        Strokes(f"to {n.text}", sizes.place([n.at, n.of], n.end)[None] + lead, frame, n.look, 1.6, bore=sizes.bore)
        for n in named
        if n.of is not None
    ]  # fmt: skip
    return labels, strokes


@dataclass(frozen=True, slots=True)
class _FilletWords:
    """Words, where they stand, at which end of the rod, in which colour, and the place that they are led to."""

    text: str
    at: tuple[float, float]
    end: int
    look: str = "ink"
    of: tuple[float, float] | None = None


def _named(sizes: FilletSizes, units: System) -> list[_FilletWords]:
    hand, reach, room, half = sizes.hand, sizes.reach, sizes.nearest.fit.clearance_mm, sizes.half
    rides = room < -1e-9
    colour = "overlaps" if rides else "clear"
    said = (
        f"{show_fine(-room, units)} into the fillet" if rides else f"{show_fine(room, units)} to the fillet"
    )
    part, top = "cap" if sizes.up < 0 else "rod", sizes.high - 0.3 * reach
    gap = tuple((a + b) / 2 for a, b in zip(sizes.nearest.own, sizes.nearest.arc, strict=True))
    outside = hand * (half + 0.85 * reach)
    found = [
        _FilletWords(said, (outside, sizes.pin + 0.5 * reach), hand, colour, (gap[0], gap[1])),
        _FilletWords(f"fillet radius {show(sizes.fillet, 'length', units)}", _radius_line(sizes)[0], hand),
        _FilletWords("crank cheek", (outside, top), hand),
        _FilletWords("crankpin", (hand * (half - 0.9 * reach), sizes.low + 0.3 * reach), hand),
        _FilletWords(f"{part} {sizes.bore}", (hand * (half - sizes.cut + 0.55 * reach), top), hand),
        _FilletWords("shell", (hand * (half - sizes.cut + 0.4 * reach), sizes.housing - sizes.wall / 2), hand),
    ]  # fmt: skip
    for end in (-1, 1):
        leg = sizes.legs[end]
        if leg > 0.0:
            at = (end * (half - max(leg / 2, 0.5 * reach)), sizes.housing + leg + (UP_SHARE + 0.28) * reach)
            which = "chamfer" if end == hand else "other chamfer"
            found.append(_FilletWords(f"{which} {show(leg, 'length', units)} x 45°", at, end))
    if sizes.side > 0.0:
        middle = (-hand * (half + sizes.side / 2), sizes.high + (UP_SHARE + 0.28) * reach)
        found.append(_FilletWords(f"side clearance {show_fine(sizes.side, units)}", middle, -hand))
    out = -hand * (half + sizes.side + 0.85 * reach)
    if sizes.neighbour is not None:
        found.append(_FilletWords(f"{part} {sizes.neighbour}", (out, top), -hand))
    else:
        found.append(_FilletWords("crank cheek", (out, top), -hand))
    return found
