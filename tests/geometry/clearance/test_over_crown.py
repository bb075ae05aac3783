"""Piston against valves through the whole cycle: own formulas at every hundredth of a degree, a CAD kernel at the
nearest place, and what happens as they meet."""

import numpy as np
import pytest
from OCP.BRepAlgoAPI import BRepAlgoAPI_Common, BRepAlgoAPI_Cut
from OCP.BRepExtrema import BRepExtrema_DistShapeShape
from OCP.BRepGProp import BRepGProp
from OCP.BRepPrimAPI import BRepPrimAPI_MakeCylinder
from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt
from OCP.GProp import GProp_GProps

from geometry.assembly import assemble
from geometry.built import Built
from geometry.clearance.pairs import over_crowns, places
from geometry.clearance.valve_rooms import valve_rooms
from geometry.collision.certify import certify
from geometry.spec.engine import Engine
from tests.geometry.fleet import NAMES, raw

CRANK = np.arange(0.0, 720.0, 0.01)


def engine(name="tern", rotation=None, first=None, **general):
    """A demo engine, turning the other way or with keys of its first valve changed."""
    data = raw(name)
    head = data["head"]
    if first:
        head = {**head, "valves": [{**head["valves"][0], **first}, *head["valves"][1:]]}
    if rotation:
        general |= {"rotation": rotation, "firing_order": None}
    return Engine.model_validate({**data, "head": head, "engine": {**data["engine"], **general}})


def lift(spec, valve, after_overlap_deg):
    """By hand: a flat follower on two circles, or the same curve through full lift and the card's duration."""
    centre = valve.centre_deg if spec.cam is None else getattr(spec.cam, f"{valve.valve}_centre_deg")
    psi = np.radians(after_overlap_deg - (centre if valve.valve == "intake" else -centre)) / 2
    if spec.cam is not None:
        apart = spec.cam.lift_mm + spec.cam.base_mm / 2 - spec.cam.nose_mm
        return spec.cam.rocker * np.maximum(
            0.0, apart * np.cos(psi) + spec.cam.nose_mm - spec.cam.base_mm / 2
        )
    at, side = valve.duration_at_mm or 0.0, np.cos(np.radians(valve.duration_deg / 4))
    shut = (valve.lift_mm * side - at) / (valve.lift_mm - at)
    return np.maximum(0.0, valve.lift_mm * (np.cos(psi) - shut) / (1 - shut))


def by_hand(assembly, site, valve, crank_deg, turned=False):
    """Heights over the crank axis (valve's lower face, flat of the crown) at crank angles, by own formulas."""
    spec, layout = assembly.spec, assembly.layout
    firing = layout.firing
    overlap = firing.at_deg[firing.order.index(site.bore)] + 360.0
    opened = lift(spec, valve, (crank_deg - overlap + 360.0) % 720.0 - 360.0)
    face = spec.block.deck_height_mm + spec.gasket.thickness_mm
    low = face - valve.below_deck_mm + lift(spec, valve, 0.0) - opened
    throw, rod = spec.crank.stroke_mm / 2, spec.rod.length_mm
    index = layout.index(site.bore)
    phi = np.radians(layout.linkage.pin_deg[index] - site.bank_deg + layout.sense * crank_deg)
    d = -site.offset_mm if turned else site.offset_mm
    pin = throw * np.cos(phi) + np.sqrt(rod**2 - (d + throw * np.sin(phi)) ** 2)
    return low, pin + spec.piston.compression_height_mm


@pytest.mark.parametrize(
    ("name", "rotation"),
    [(name, None) for name in NAMES] + [(name, "counter-clockwise") for name in ("tern", "curlew", "knot")],
)
def test_the_least_gap_is_that_of_every_hundredth_of_a_degree(name, rotation):
    assembly = assemble(engine(name, rotation))
    for site in assembly.layout.bores[:2]:
        for room in valve_rooms(assembly, site):
            valve = assembly.spec.head.valves[room.number - 1]
            pockets = [p.depth_mm for p in assembly.spec.piston.pockets if p.valve == valve.valve]
            low, flat = by_hand(assembly, site, valve, CRANK)
            gap = low - flat + (pockets[0] if pockets else 0.0)
            assert room.room_mm == pytest.approx(gap.min(), abs=2e-4)
            assert room.approach.floor_mm <= gap.min() + 1e-6
            assert room.approach.within_mm <= 0.01
            apart = (room.approach.crank_deg - CRANK[gap.argmin()] + 360.0) % 720.0 - 360.0
            assert abs(apart) < 0.5
            # the intake valve after top dead centre, the exhaust valve before it, some ten degrees off
            firing = assembly.layout.firing
            overlap = firing.at_deg[firing.order.index(site.bore)] + 360.0
            after = (room.approach.crank_deg - overlap + 360.0) % 720.0 - 360.0
            assert 4.0 < (after if valve.valve == "intake" else -after) < 16.0


def cylinder(radius, x, y, low, high):
    at = gp_Ax2(gp_Pnt(float(x), float(y), float(low)), gp_Dir(0, 0, 1))
    return BRepPrimAPI_MakeCylinder(at, float(radius), float(high - low)).Shape()


def crown_solid(assembly, site, turned, flat):
    """The crown as a CAD solid in the bore's plan: a disc with its pockets cut out."""
    spec = assembly.spec
    solid = cylinder((spec.block.bore.diameter_mm - spec.piston.land_clearance_mm) / 2, 0, 0, flat - 15, flat)
    inward, turn = (-1.0 if site.bank == "right" else 1.0), (-1.0 if turned else 1.0)
    for p in spec.piston.pockets:
        x, y = -turn * p.forward_mm, turn * inward * p.inward_mm
        pocket = cylinder(p.diameter_mm / 2, x, y, flat - p.depth_mm, flat + 5)
        solid = BRepAlgoAPI_Cut(solid, pocket).Shape()
    return solid


def shared_mm3(a, b):
    properties = GProp_GProps()
    BRepGProp.VolumeProperties_s(BRepAlgoAPI_Common(a, b).Shape(), properties)
    return properties.Mass()


@pytest.mark.parametrize("bore", [3, 4])
@pytest.mark.parametrize("turned", [False, True])
def test_the_cad_solids_first_share_volume_where_the_gap_along_the_bore_is_used_up(bore, turned):
    spec = engine(first={"below_deck": "0.070 in"})
    assembly = assemble(spec, Built().with_bore(bore, piston_turned=turned))
    site = assembly.layout.site(bore)
    inward = -1.0 if site.bank == "right" else 1.0
    rooms = valve_rooms(assembly, site)
    for room in rooms:
        valve = spec.head.valves[room.number - 1]
        low, flat = by_hand(assembly, site, valve, np.array(room.approach.crank_deg), turned)
        crown = crown_solid(assembly, site, turned, float(flat))
        for more, shares in ((-0.01, False), (0.01, True)):
            down = float(low) - room.room_mm - more
            disc = cylinder(
                valve.diameter_mm / 2, -valve.forward_mm, inward * valve.inward_mm, down, down + 40
            )
            assert (shared_mm3(crown, disc) > 1e-3) is shares
    assert (min(room.room_mm for room in rooms) < 0) is turned


def edge_pair(spec, bore=1, turned=False):
    assembly = assemble(spec, Built().with_bore(bore, piston_turned=turned))
    mine = [b for b in assembly.bodies if b.bore == bore and b.part.kind in ("piston", "valve")]
    pairs = [p for p in over_crowns(assembly, places(assembly, mine)) if p.a.feature == "valve_pocket"]
    return assembly, next((p for p in pairs if p.b.feature == "intake_valve"), None)


@pytest.mark.parametrize("forward", ["0.92 in", "0.89 in", "0.96 in"])
@pytest.mark.parametrize("below", ["-0.010 in", "0.040 in"])
def test_the_edge_is_as_far_from_its_pocket_as_in_a_cad_kernel(forward, below):
    # Valve above the rim and below it, in the middle of its pocket and aside.
    spec = engine(first={"forward": forward, "below_deck": below})
    assembly, pair = edge_pair(spec)
    found = certify(pair.a, pair.b, pair.period_deg)
    site, valve = assembly.layout.site(1), spec.head.valves[0]
    low, flat = (float(z) for z in by_hand(assembly, site, valve, np.array(found.crank_deg)))
    pocket = spec.piston.pockets[0]
    at = (-pocket.forward_mm, pocket.inward_mm)
    solid = cylinder((spec.block.bore.diameter_mm - spec.piston.land_clearance_mm) / 2, 0, 0, flat - 15, flat)
    # only the wall: the pocket goes right through, and the other pocket counts
    solid = BRepAlgoAPI_Cut(solid, cylinder(pocket.diameter_mm / 2, *at, flat - 20, flat + 5)).Shape()
    other = spec.piston.pockets[1]
    hole = cylinder(
        other.diameter_mm / 2, -other.forward_mm, other.inward_mm, flat - other.depth_mm, flat + 5
    )
    solid = BRepAlgoAPI_Cut(solid, hole).Shape()
    disc = cylinder(valve.diameter_mm / 2, -valve.forward_mm, valve.inward_mm, low, low + 2.5)
    assert found.min_mm == pytest.approx(BRepExtrema_DistShapeShape(disc, solid).Value(), abs=0.011)


def test_the_gap_along_the_bore_runs_evenly_through_contact():
    # A valve that stands lower by so much comes nearer by as much: before, at and after they meet, and deep in.
    base = valve_rooms(assemble(engine()), assemble(engine()).layout.site(1))[0].room_mm
    for more in (2.7, base - 1e-3, base + 1e-3, 4.0, 7.6):
        spec = engine(first={"below_deck": f"{0.254 + more} mm"})
        assembly = assemble(spec)
        found = valve_rooms(assembly, assembly.layout.site(1))[0].room_mm
        assert found == pytest.approx(base - more, abs=0.011)


def test_the_edge_runs_evenly_through_contact():
    # Forward of its pocket's middle by so much, the edge is nearer to the wall by as much; it dips below the rim.
    radial = (2.00 - 1.86) / 2 * 25.4
    for aside in (radial - 0.5, radial - 0.02, radial + 0.02, radial + 0.3):
        spec = engine(first={"forward": f"{0.92 * 25.4 - aside} mm", "below_deck": "0.080 in"})
        _, pair = edge_pair(spec)
        found = certify(pair.a, pair.b, pair.period_deg)
        assert found.min_mm == pytest.approx(radial - aside, abs=0.011)


def test_without_a_pocket_under_it_a_valve_has_no_wall():
    assert edge_pair(engine("knot"))[1] is None
