"""What a view shows of the parts: which are there, how solid they are, where they are cut and how far apart."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from geometry.arrays import Array
from geometry.assembly import Assembly
from geometry.kinematics.layout import BoreSite
from geometry.kinematics.poses import translation
from geometry.parts.part import Body
from viewer.scene.groups import ENCLOSING, group_of
from viewer.scene.model import CutPlane, ViewOptions
from viewer.scene.views import NamedView

FADED, FAINT = 0.13, 0.05
INSIDE_MM = 0.3
"""The crank is cut this far inside the rod's face, so that the cheek beside it goes."""

RINGS_APART: dict[str, float] = {
    # height above the crown in ring spacings, by the ring
    "top": 5.0,
    "second": 4.0,
    "upper_rail": 3.0,
    "expander": 2.0,
    "lower_rail": 1.0,
}


RING_OF: dict[str, str] = {
    "top_ring": "top", "second_ring": "second", "upper_rail": "upper_rail", "expander": "expander",
    "lower_rail": "lower_rail",
}  # fmt: skip
"""Which ring a kind of part is, one of ``geometry.rings.schemes.ROLES``."""


@dataclass(frozen=True, slots=True, eq=False)
class Arranged:
    """How the bodies of an assembly are to be drawn."""

    options: ViewOptions
    view: NamedView
    cuts: tuple[CutPlane, ...]


def arrange(assembly: Assembly, options: ViewOptions, view: NamedView) -> Arranged:
    """Add to the options what the view brings with it."""
    cuts = list(options.cuts)
    if view.name == "bore" and view.bore is not None:
        cuts += _section_at(assembly, assembly.layout.site(view.bore))
    elif options.block == "cut" and not options.cuts:
        cuts.append(bank_cut(assembly, view, options.bore))
    if view.name == "rings":
        options = replace(options, bore=view.bore, spread_bore=view.bore, spread=1.0)
    return Arranged(options, view, tuple(cuts))


def bank_cut(assembly: Assembly, view: NamedView, bore: int | None = None) -> CutPlane:
    """The plane that opens the block towards the eye.

    Along the crank it goes across the nearest bore, else through the bores of one bank (the middle of an inline).
    """
    sites = assembly.layout.bores
    if view.name in ("front", "rear"):
        end = sites[0] if view.name == "front" else sites[-1]
        away = np.array([-1.0 if view.name == "front" else 1.0, 0.0, 0.0])
        return CutPlane(np.array([end.x_mm, 0.0, 0.0]), away, ENCLOSING)
    toward_right = view.name == "right"
    site = assembly.layout.site(bore) if bore is not None else None
    if site is None:
        wanted = "right" if toward_right else "left"
        site = next((s for s in sites if s.bank == wanted), sites[0])
    bank = np.radians(site.bank_deg)
    across = np.array([0.0, np.cos(bank), np.sin(bank)])
    outward = -across if site.bank == "left" or (site.bank == "line" and not toward_right) else across
    return CutPlane(np.zeros(3), outward, ENCLOSING)


def _section_at(assembly: Assembly, site: BoreSite) -> list[CutPlane]:
    """Planes square to the crank: block and cam through the bore's axis, crank at the front of the big end."""
    front = np.array([-1.0, 0.0, 0.0])
    at_bore = np.array([site.x_mm, 0.0, 0.0])
    at_rod = at_bore - [assembly.spec.rod.big_end.width_mm / 2 - INSIDE_MM, 0.0, 0.0]
    return [
        CutPlane(at_bore, front, ENCLOSING | {"main caps"}),
        CutPlane(at_rod, front, frozenset({"crank"}), "C"),
        CutPlane(at_bore, front, frozenset({"cam"}), "cam"),
    ]


def opacity_of(body: Body, arranged: Arranged, assembly: Assembly) -> float:
    """How solid a body is drawn: 0 hidden, 1 solid."""
    options, view, group = arranged.options, arranged.view, group_of(body.part.kind)
    if view.name == "chamfer":  # drawn as a plane section by itself
        return 0.0
    if body.name in options.highlight or body.name in options.lit:
        return 1.0
    if group in options.hidden or body.name in options.hidden or _floats(group, options):
        return 0.0
    if view.name == "rings":
        return 1.0 if body.bore == view.bore and group in ("rings", "pistons") else 0.0
    if options.bore is not None and body.bore not in (None, options.bore):
        return 0.0
    if options.lit and not (group in ENCLOSING and options.block != "glass"):
        return FAINT if group in ENCLOSING else FADED
    if group in options.faded or body.name in options.faded:
        return FADED
    if view.name == "bore":
        return _beside(body, group, view, assembly)
    if group in ENCLOSING:
        if options.spread and group in ("head", "gasket"):
            return 0.0
        return {"glass": options.block_opacity, "solid": 1.0, "cut": 1.0, "hidden": 0.0}[options.block]
    return 1.0


def _floats(group: str, options: ViewOptions) -> bool:
    """Whether a gasket would hang in the air: neither block nor head is shown."""
    away = options.block == "hidden" or "block" in options.hidden
    return group == "gasket" and away and "head" in options.hidden


def _beside(body: Body, group: str, view: NamedView, assembly: Assembly) -> float:
    """Looking along the crank at one bore: what stands before the section goes, other bores fade."""
    if body.bore in (None, view.bore):
        return 1.0 if group in ENCLOSING or body.bore == view.bore or group in ("crank", "cam") else 0.6
    site, other = assembly.layout.site(view.bore or 0), assembly.layout.site(body.bore or 0)
    if other.bore == site.partner:
        return FADED
    return 0.0 if other.x_mm < site.x_mm else FADED


def ring_word(body: Body) -> str | None:
    """Which ring of its piston a body is, one of ``geometry.rings.schemes.ROLES``; None for what is no ring."""
    return RING_OF.get(body.part.kind)


def apart(body: Body, arranged: Arranged, assembly: Assembly) -> Array | None:
    """Pose by which a body is moved away from its place, in its frame; None where it stays."""
    options = arranged.options
    bore = options.spread_bore if options.spread_bore is not None else options.bore
    if not options.spread or bore is None or body.bore != bore:
        return None
    height = _spread_height(body, group_of(body.part.kind), arranged.view.name == "rings", assembly)
    return translation([0.0, 0.0, options.spread * height]) if height else None


def _spread_height(body: Body, group: str, rings_only: bool, assembly: Assembly) -> float:
    piston, rod = assembly.spec.piston, assembly.spec.rod
    piston_up = 0.0 if rings_only else 1.5 * (piston.skirt.bottom_mm + rod.small_end.outside_mm / 2)
    step = assembly.spec.block.bore.diameter_mm * (0.42 if rings_only else 0.16)
    lead = 0.25 * step if rings_only else 0.6 * step
    if group == "rings":
        ring = ring_word(body) or "lower_rail"
        if assembly.built.bore(body.bore or 0).rings_exchanged:  # each stands over the groove that it lies in
            ring = {"top": "second", "second": "top"}.get(ring, ring)
        groove = ring if ring in ("top", "second") else "oil"
        place = next((g for g in piston.grooves if g.ring == groove), piston.grooves[-1])
        rank = RINGS_APART[ring]
        return piston_up + place.from_crown_mm + lead + (rank - 0.5) * step
    if group == "pistons":
        return piston_up
    if group == "pins":
        return 0.5 * piston_up
    below = {"rod bolts": -1.6, "rod_cap": -0.8}
    key = group if group in below else body.part.kind
    return below.get(key, 0.0) * rod.big_end.bore_mm
