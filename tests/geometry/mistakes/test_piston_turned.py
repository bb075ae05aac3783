"""A piston turned round: top dead centre in closed form, valves against an exact CAD kernel, second turn only."""

import numpy as np
import pytest
from OCP.BRepAlgoAPI import BRepAlgoAPI_Common, BRepAlgoAPI_Cut
from OCP.BRepGProp import BRepGProp
from OCP.BRepPrimAPI import BRepPrimAPI_MakeCylinder
from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt
from OCP.GProp import GProp_GProps
from scipy.optimize import brentq

from geometry.assembly import assemble
from geometry.mistakes.piston_turned import thrust_swap_deg
from geometry.motion import dead_centres, pin_throw_deg, state
from geometry.valve_room import valve_rooms
from tests.geometry.mistakes.shop import made, right, spec

TIGHT = {"valves": [
    {"valve": "intake", "forward": "0.92 in", "inward": "0.50 in", "diameter": "1.86 in", "below_deck": "0.070 in"},
    {"valve": "exhaust", "forward": "-0.95 in", "inward": "0.50 in", "diameter": "1.50 in", "below_deck": "0.060 in"},
]}  # fmt: skip


def hitting(layout="vee90", rotation="clockwise"):
    return assemble(spec(layout, rotation, head=TIGHT))


@pytest.mark.parametrize("rotation", ["clockwise", "counter-clockwise"])
@pytest.mark.parametrize("layout", ["vee90", "inline", "flat"])
def test_top_dead_centre_moves_by_twice_the_lean(layout, rotation):
    # Throw and rod in line, length l + r, pin at d: the direction leans asin(d / (l + r)); the other way round, twice.
    base = right(layout, rotation)
    engine = base.spec
    reach = engine.rod.length_mm + engine.crank.stroke_mm / 2
    closed = 2 * np.degrees(np.arcsin(engine.piston.pin.offset_mm / reach))
    for bore in (1, 2):
        _, study = made("piston_turned", bore, base)
        # An offset to the major side brings top dead centre early, so that turned round it comes late.
        assert study.signature.top_shift_deg == pytest.approx(closed, abs=1e-9)


def crown_solid(assembly, site, turned):
    """The crown as a CAD solid in the bore's plan: a disc with its pockets cut out, flat of the crown at z = 0."""
    engine = assembly.spec
    radius = (engine.block.bore.diameter_mm - engine.piston.land_clearance_mm) / 2
    solid = BRepPrimAPI_MakeCylinder(gp_Ax2(gp_Pnt(0, 0, -30), gp_Dir(0, 0, 1)), radius, 30.0).Shape()
    inward = -1.0 if site.bank == "right" else 1.0
    turn = -1.0 if turned else 1.0
    for pocket in engine.piston.pockets:
        at = gp_Pnt(-turn * pocket.forward_mm, turn * inward * pocket.inward_mm, -pocket.depth_mm)
        cutter = BRepPrimAPI_MakeCylinder(gp_Ax2(at, gp_Dir(0, 0, 1)), pocket.diameter_mm / 2, 60.0).Shape()
        solid = BRepAlgoAPI_Cut(solid, cutter).Shape()
    return solid


def shared_mm3(assembly, site, turned, raised):
    """Volume that crown and valves share with the crown lifted, by the CAD kernel."""
    engine = assembly.spec
    index = assembly.layout.index(site.bore)
    crown = float(dead_centres(assembly.linkage).top_height_mm[index]) + engine.piston.compression_height_mm
    face = engine.block.deck_height_mm + engine.gasket.thickness_mm
    inward = -1.0 if site.bank == "right" else 1.0
    solid, total = crown_solid(assembly, site, turned), []
    for valve in engine.head.valves:
        low = face - valve.below_deck_mm - crown - raised
        at = gp_Ax2(gp_Pnt(-valve.forward_mm, inward * valve.inward_mm, low), gp_Dir(0, 0, 1))
        disc = BRepPrimAPI_MakeCylinder(at, valve.diameter_mm / 2, 40.0).Shape()
        properties = GProp_GProps()
        BRepGProp.VolumeProperties_s(BRepAlgoAPI_Common(solid, disc).Shape(), properties)
        total.append(properties.Mass())
    return sum(total)


@pytest.mark.parametrize("bore", [3, 4])
@pytest.mark.parametrize("turned", [False, True])
def test_room_is_where_the_cad_solids_first_share_volume(bore, turned):
    base = hitting()
    assembly = assemble(base.spec, base.built.with_bore(bore, piston_turned=turned))
    site = assembly.layout.site(bore)
    room = min(r.room_mm for r in valve_rooms(assembly, site))
    assert shared_mm3(assembly, site, turned, room - 0.01) == pytest.approx(0.0, abs=1e-9)
    assert shared_mm3(assembly, site, turned, room + 0.01) > 1e-3
    assert (room < 0) is turned


def test_a_valve_stops_it_once_in_two_turns_between_exhaust_and_intake():
    base = hitting()
    wrong, study = made("piston_turned", 3, base)
    (arc,) = study.signature.tight
    assert study.signature.period_deg == 720.0
    assert study.signature.with_head
    firing = base.layout.firing
    fires = firing.at_deg[firing.order.index(3)]
    overlap = (fires + 360.0) % 720.0
    assert arc.start_deg - 1.0 < overlap < arc.end_deg + 1.0
    # At both ends the crown just touches: the piston stands as far below its top as it would go too far.
    index = wrong.layout.index(3)
    top = dead_centres(wrong.linkage).top_height_mm[index]
    for angle in (arc.start_deg, arc.end_deg):
        height = state(wrong.linkage, angle).pin_height_mm[index]
        assert top - height == pytest.approx(arc.bite_mm, abs=1e-9)


def test_pistons_of_the_other_bank_meet_the_valves_too():
    base = hitting()
    _, study = made("pistons_exchanged", 3, base)
    assert len(study.signature.tight) == 2
    assert set(study.signature.bores) == {3, 4}


@pytest.mark.parametrize("rotation", ["clockwise", "counter-clockwise"])
@pytest.mark.parametrize("bore", [1, 2])
def test_side_thrust_changes_sides_where_the_rod_stands_upright(rotation, bore):
    # Root of the rod's own lean near top dead centre; an offset to the major side brings it before the top.
    base = right("vee90", rotation)
    wrong, _ = made("piston_turned", bore, base)
    for assembly, sign in ((base, -1.0), (wrong, 1.0)):
        index = assembly.layout.index(bore)
        top = float(dead_centres(assembly.linkage).top_deg[index])

        def lean(after, assembly=assembly, index=index, top=top):
            return float(state(assembly.linkage, top + after).rod_deg[index])

        swap = thrust_swap_deg(assembly, bore)
        assert swap == pytest.approx(brentq(lean, -20.0, 20.0), abs=1e-9)
        assert sign * swap > 0.5


def test_throw_angle_at_the_shifted_top():
    # The shifted top is a dead centre of the turned piston: its throw leans the other way by the same angle.
    base = right()
    wrong, _ = made("piston_turned", 1, base)
    index = base.layout.index(1)
    before = pin_throw_deg(base.linkage, dead_centres(base.linkage).top_deg[index])[index]
    after = pin_throw_deg(wrong.linkage, dead_centres(wrong.linkage).top_deg[index])[index]
    wrapped = (before + after + 180.0) % 360.0 - 180.0
    assert wrapped == pytest.approx(0.0, abs=1e-9)
