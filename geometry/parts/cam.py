"""The camshaft in the block: journals in the main webs, a core, and two lobes for each bore.

Frame: origin on the cam's axis at the front face of the block, axes as the engine's at crank angle zero. At
crank angle theta the cam has turned by ``turn * theta`` about +x, so a nose that has to point along a bore's
bank when its valve is fully open stands at ``bank - turn * theta_open`` in the cam's own frame.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from statistics import fmean

from geometry.built import Built
from geometry.feature import Feature, Fit, Group, seats
from geometry.kinematics.layout import Layout
from geometry.kinematics.valve_lift import GAS_EXCHANGE_DEG, full_after_deg
from geometry.parts.part import Body, Part, PartType
from geometry.parts.shapes import meshing
from geometry.parts.shapes.placing import along_x
from geometry.solids import Cylinder, Lobe, Mesh
from geometry.spec.engine import Engine
from geometry.spec.top import Cam


def bodies(spec: Engine, layout: Layout, built: Built) -> Sequence[Body]:
    """The camshaft, where the engine has one in its block."""
    cam = spec.cam
    if cam is None:
        return []
    features = (*_shaft(spec, cam, layout), *_lobes(spec, cam, layout))
    part = Part("cam", "cast_iron", features, lambda: _mesh(features))
    return [Body("cam", part, "cam")]


def turns_per_crank_turn(cam: Cam, sense: int) -> float:
    """How far the cam turns about +x per degree of crank."""
    return cam.ratio * sense * (1.0 if cam.turns == "with_crank" else -1.0)


def open_at_deg(cam: Cam, fires_at_deg: float) -> dict[str, float]:
    """Crank angle at which each valve of a bore is fully open, from the angle at which the bore fires."""
    between = fires_at_deg + GAS_EXCHANGE_DEG
    centres = {"intake": cam.intake_centre_deg, "exhaust": cam.exhaust_centre_deg}
    return {kind: between + full_after_deg(kind, centre) for kind, centre in centres.items()}


def _shaft(spec: Engine, cam: Cam, layout: Layout) -> Iterator[Feature]:
    for k, x in enumerate(layout.main_x_mm):
        journal = Cylinder(cam.journal_mm / 2, spec.block.web_mm, along_x(x))
        runs_in = seats(Fit.CAM_BEARING, numbers=[k + 1])
        yield Feature("cam_journal", (journal,), f"web {k + 1}", group=Group.CAM, runs_in=runs_in)
    first, last = layout.main_x_mm[0], layout.main_x_mm[-1]
    core = Cylinder(cam.core_mm / 2, last - first, along_x((first + last) / 2))
    every = seats(Fit.CAM_BEARING, numbers=range(1, len(layout.main_x_mm) + 1))
    yield Feature("cam_core", (core,), group=Group.CAM, runs_in=every)


def front_valve(spec: Engine) -> str:
    """Which valve of a bore stands further forward, by the head and else by the pockets; intake if neither says."""
    for places in (spec.head.valves, spec.piston.pockets):
        forward = {
            valve: [p.forward_mm for p in places if p.valve == valve] for valve in ("intake", "exhaust")
        }
        if forward["intake"] and forward["exhaust"]:
            return "intake" if fmean(forward["intake"]) >= fmean(forward["exhaust"]) else "exhaust"
    return "intake"


def _lobes(spec: Engine, cam: Cam, layout: Layout) -> Iterator[Feature]:
    front = front_valve(spec)
    turn = turns_per_crank_turn(cam, layout.sense)
    fires = dict(zip(layout.firing.order, layout.firing.at_deg, strict=True))
    distance = cam.lift_mm + cam.base_mm / 2 - cam.nose_mm
    for site in layout.bores:
        for valve, opens in open_at_deg(cam, fires[site.bore]).items():
            x = site.x_mm + (-0.5 if valve == front else 0.5) * cam.lobe_gap_mm
            pose = along_x(x, about_x_deg=site.bank_deg - turn * opens)
            lobe = Lobe(cam.base_mm / 2, cam.nose_mm, distance, cam.lobe_width_mm, pose)
            yield Feature("cam_lobe", (lobe,), f"{valve}, bore {site.bore}", group=Group.CAM)


def _mesh(features: Sequence[Feature]) -> Mesh:
    solids = [
        meshing.piece_solid(piece, meshing.ROUND_SEGMENTS) for feature in features for piece in feature.pieces
    ]
    return meshing.to_mesh(meshing.union(solids))


PART = PartType("cam", bodies)
