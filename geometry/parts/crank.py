"""The crankshaft: journals with their fillets, cheeks, counterweights, nose and flange.

Frame: C. Throws stand as they do at crank angle zero; x is the engine's own. The true solid and the clearance
pieces agree exactly, but for the fillets: there the pieces hold up to 0.035 of the fillet radius more.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, Final

import numpy as np

from geometry.arrays import Array
from geometry.built import Built
from geometry.errors import GeometryError
from geometry.feature import Feature, Fit, Group, Seat, Unsaid, seats
from geometry.kinematics.layout import CheekSite, Layout
from geometry.parts.part import Body, Part, PartType
from geometry.parts.shapes import meshing
from geometry.parts.shapes.placing import along_x
from geometry.solids import Cylinder, Lobe, Mesh, Revolved, rectangle
from geometry.spec.crank import Crank, Journal
from geometry.spec.engine import Engine

if TYPE_CHECKING:
    from manifold3d import Manifold

FILLET_PIECES: Final = 3
NOSE_LONG: Final = 0.8
NOSE_RADIUS: Final = 0.6
FLANGE_RADIUS: Final = 1.3
FLANGE_THICK: Final = 0.3
REAR_GAP_MM: Final = 3.0
"""The ends of the shaft are not in the engine file. Nose and flange are in proportion to the main journal, only
for the eye; both are round, so they leave the balance alone."""
ENDS: Final = Unsaid("nose and flange of the crank")


def bodies(spec: Engine, layout: Layout, built: Built) -> Sequence[Body]:
    """The one crankshaft."""
    return [Body("crank", _part(spec, layout), "C")]


def _part(spec: Engine, layout: Layout) -> Part:
    _check(spec.crank)
    features = (
        *_main_features(spec, layout),
        *_pin_features(spec, layout),
        *_cheek_features(spec, layout),
        *_end_features(spec.crank, layout),
    )
    material = spec.crank.material
    return Part("crank", material, features, lambda: _mesh(spec, layout, features))


def _check(crank: Crank) -> None:
    """Refuse fillets that run out over the edge of their cheek."""
    ledges = (("pin", crank.pin, crank.cheek.pin_radius_mm), ("main", crank.main, crank.cheek.main_radius_mm))
    for key, journal, edge_mm in ledges:
        room = edge_mm - journal.diameter_mm / 2
        if journal.fillet_mm > room:
            raise GeometryError(
                "fillet",
                f"crank.{key}.fillet",
                f"a fillet of {journal.fillet_mm:.2f} mm runs out over the edge of the cheek, {room:.2f} mm away",
                f"a smaller fillet, or a larger crank.cheek.{key}_radius",
            )


def _main_features(spec: Engine, layout: Layout) -> Iterator[Feature]:
    last = len(layout.main_x_mm) - 1
    for k, x in enumerate(layout.main_x_mm):
        pieces = _journal(spec.crank.main, along_x(x), front_fillet=k > 0, rear_fillet=k < last)
        runs_in = seats(Fit.MAIN_BEARING, numbers=[k + 1])
        yield Feature("main_journal", pieces, f"main {k + 1}", group=Group.CRANK, runs_in=runs_in)


def pin_spans(spec: Engine, layout: Layout) -> list[tuple[str, float, float, bool, bool]]:
    """Every crankpin from front to rear: place, angle about +x, middle along x, fillet in front, behind.

    Split pins are two half pins with the thin web between them, and keep a fillet at their own cheek only.
    """
    found = []
    width, web = spec.crank.pin.width_mm, spec.crank.split_web_mm
    for throw, x in enumerate(layout.throw_x_mm):
        here = [pin for pin in layout.pins if pin.throw == throw]
        if len(here) == 1:
            found.append((f"throw {throw + 1}", here[0].pin_deg, x, True, True))
            continue
        step = (width + web) / 2
        front, rear = sorted(here, key=lambda pin: pin.x_mm)
        found.append((f"throw {throw + 1} front", front.pin_deg, x - step, True, False))
        found.append((f"throw {throw + 1} rear", rear.pin_deg, x + step, False, True))
    return found


def _pin_features(spec: Engine, layout: Layout) -> Iterator[Feature]:
    for place, angle, x, front, rear in pin_spans(spec, layout):
        pieces = _journal(spec.crank.pin, _on_throw(spec.crank, x, angle), front, rear)
        here = [site for site in layout.bores if abs(site.x_mm - x) < spec.crank.pin.width_mm / 2]
        # the other half of a split pin lies behind the web between them
        beside = {other.bore for other in layout.bores for site in here if other.throw == site.throw}
        seat_of = seats(Fit.CRANKPIN, numbers=[site.bore for site in here]) | seats(
            Fit.CHEEKS, numbers=beside
        )
        yield Feature("crankpin", pieces, place, group=Group.CRANK, seat_of=seat_of)


def _on_throw(crank: Crank, x_mm: float, pin_deg: float) -> Array:
    """Pose along the crank on the axis of a crankpin."""
    angle, throw = np.radians(pin_deg), crank.stroke_mm / 2
    return along_x(x_mm, -throw * float(np.sin(angle)), throw * float(np.cos(angle)), pin_deg)


def _fillet(journal: Journal, segments: int) -> Array:
    """Corners (segments + 1, 2) of a fillet: radius, and distance from the cheek; from the cheek outward."""
    radius, fillet = journal.diameter_mm / 2, journal.fillet_mm
    return meshing.arc((radius + fillet, fillet), fillet, 270.0, 180.0, segments)


def _journal(
    journal: Journal, X_CJ: Array, front_fillet: bool, rear_fillet: bool
) -> tuple[Cylinder | Revolved, ...]:
    """The journal as a cylinder, each fillet as slices under its chords."""
    pieces: list[Cylinder | Revolved] = [Cylinder(journal.diameter_mm / 2, journal.width_mm, X_CJ)]
    corners = _fillet(journal, FILLET_PIECES)
    for wanted, direction in ((front_fillet, 1.0), (rear_fillet, -1.0)):
        if not wanted or journal.fillet_mm == 0.0:
            continue
        for (r0, z0), (r1, z1) in pairwise(corners):
            ends = direction * (np.array([z0, z1]) - journal.width_mm / 2)
            profile = np.array([[0.0, ends[0]], [r0, ends[0]], [r1, ends[1]], [0.0, ends[1]]])
            pieces.append(Revolved(profile, X_AP=X_CJ))
    return tuple(pieces)


def _cheek_features(spec: Engine, layout: Layout) -> Iterator[Feature]:
    crank, thrust = spec.crank, spec.block.thrust_bearing
    for k, site in enumerate(layout.cheeks):
        main = site.throw + (1 if site.side == "front" else 2)  # that it runs beside, from the front
        takes = "thrust " if thrust is not None and thrust.main == main else ""
        place = f"{takes}cheek {k + 1}, throw {site.throw + 1}"
        seat_of = _between_cheeks(layout, site.throw)
        yield Feature("cheek", (_cheek(crank, site),), place, group=Group.CRANK, seat_of=seat_of)
        if site.counterweight:
            weight = (_counterweight(crank, site),)
            end = {0: ", front", len(layout.cheeks) - 1: ", rear"}.get(k, "")
            yield Feature("counterweight", weight, place + end, group=Group.CRANK, seat_of=seat_of)
    for throw, x in enumerate(layout.throw_x_mm):
        here = [pin.pin_deg for pin in layout.pins if pin.throw == throw]
        if len(here) == 2:
            web = (_web(crank, x, here[0], here[1]),)
            place = f"web between pins, throw {throw + 1}"
            yield Feature("cheek", web, place, group=Group.CRANK, seat_of=_between_cheeks(layout, throw))


def _between_cheeks(layout: Layout, throw: int) -> frozenset[Seat]:
    """The rods of a throw run between its cheeks."""
    return seats(Fit.CHEEKS, numbers=[site.bore for site in layout.bores if site.throw == throw])


def _cheek(crank: Crank, site: CheekSite) -> Lobe:
    return Lobe(
        crank.cheek.main_radius_mm,
        crank.cheek.pin_radius_mm,
        crank.stroke_mm / 2,
        site.thickness_mm,
        along_x(site.x_mm, about_x_deg=site.pin_deg),
    )


def _counterweight(crank: Crank, site: CheekSite) -> Revolved:
    """A sector about the crank axis, opposite the throw: the piece's own +y points to the throw."""
    half, radius = crank.counterweight.spread_deg / 2, crank.counterweight.radius_mm
    z = site.thickness_mm / 2
    pose = along_x(site.x_mm, about_x_deg=site.pin_deg)
    return Revolved(rectangle(0.0, radius, -z, z), 270.0 - half, 270.0 + half, pose)


def _web(crank: Crank, x_mm: float, first_deg: float, second_deg: float) -> Lobe:
    """The thin web between split pins, as round as the cheeks about both."""
    a, b = (_on_throw(crank, x_mm, angle)[:3, 3] for angle in (first_deg, second_deg))
    way = b - a
    towards = float(np.degrees(np.arctan2(-way[1], way[2])))
    radius = crank.cheek.pin_radius_mm
    distance = float(np.linalg.norm(way))
    return Lobe(radius, radius, distance, crank.split_web_mm, along_x(x_mm, a[1], a[2], towards))


def _end_features(crank: Crank, layout: Layout) -> Iterator[Feature]:
    """Nose in front of the first main journal; neck and flange behind the last."""
    radius, half = crank.main.diameter_mm / 2, crank.main.width_mm / 2
    front, rear = layout.main_x_mm[0] - half, layout.main_x_mm[-1] + half
    nose = _between(-2 * NOSE_LONG * radius, front, NOSE_RADIUS * radius)
    yield Feature("crank_nose", (nose,), "front end", group=Group.CRANK, unsaid=ENDS)
    face = max(layout.length_mm, rear) + REAR_GAP_MM
    flange = _between(face, face + FLANGE_THICK * radius, FLANGE_RADIUS * radius)
    neck = _between(rear, face, radius)
    yield Feature("crank_flange", (neck, flange), "rear end", group=Group.CRANK, unsaid=ENDS)


def _between(low_mm: float, high_mm: float, radius_mm: float) -> Cylinder:
    return Cylinder(radius_mm, high_mm - low_mm, along_x((low_mm + high_mm) / 2))


def _mesh(spec: Engine, layout: Layout, features: tuple[Feature, ...]) -> Mesh:
    crank = spec.crank
    solids = [_plate(crank, site) for site in layout.cheeks]
    reach = layout.cheeks[0].thickness_mm / 2
    last = len(layout.main_x_mm) - 1
    for k, x in enumerate(layout.main_x_mm):
        solids.append(_turned_journal(crank.main, along_x(x), k > 0, k < last, reach))
    for _, angle, x, front, rear in pin_spans(spec, layout):
        solids.append(_turned_journal(crank.pin, _on_throw(crank, x, angle), front, rear, reach))
    others = ("crank_nose", "crank_flange")
    for feature in features:
        if feature.name in others or feature.place.startswith("web"):
            solids += [meshing.piece_solid(piece) for piece in feature.pieces]
    return meshing.to_mesh(meshing.union(solids))


def _plate(crank: Crank, site: CheekSite) -> Manifold:
    """A cheek and its counterweight in one outline, so that their common faces are one."""
    cheek = _cheek(crank, site)
    outlines = [meshing.lobe_outline(cheek, meshing.BORE_SEGMENTS)]
    if site.counterweight:
        weight = _counterweight(crank, site)
        segments = max(8, round(meshing.BORE_SEGMENTS * crank.counterweight.spread_deg / 360.0))
        rim = meshing.arc(
            (0.0, 0.0), crank.counterweight.radius_mm, weight.start_deg, weight.end_deg, segments
        )
        outlines.append(np.vstack([[0.0, 0.0], rim]))
    half = site.thickness_mm / 2
    return meshing.transform(meshing.plate(outlines, -half, half), cheek.X_AP)


def _turned_journal(
    journal: Journal, X_CJ: Array, front_fillet: bool, rear_fillet: bool, reach_mm: float
) -> Manifold:
    """Journal and fillets turned in one, reaching into the cheeks so that nothing merely touches."""
    half, radius = journal.width_mm / 2, journal.diameter_mm / 2
    corners = _fillet(journal, meshing.FILLET_SEGMENTS)
    rows: list[Array] = []
    for wanted, direction in ((front_fillet, -1.0), (rear_fillet, 1.0)):
        end = direction * half
        if wanted and journal.fillet_mm > 0.0:
            shoulder = np.column_stack([corners[:, 0], end - direction * corners[:, 1]])
            side = np.vstack([[shoulder[0, 0], end + direction * reach_mm], shoulder])
        else:
            side = np.array([[radius, end]])
        rows.append(side if direction < 0 else side[::-1])
    outline = np.vstack(rows)
    ends = np.array([[0.0, outline[-1, 1]], [0.0, outline[0, 1]]])
    turned = meshing.revolve(np.vstack([outline, ends]), segments=meshing.BORE_SEGMENTS)
    return meshing.transform(turned, X_CJ)


PART = PartType("crank", bodies)
