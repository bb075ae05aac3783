"""A piston turned round: top dead centre in closed form; valves as `check` has them, in their own turn only."""

import numpy as np
import pytest
from scipy.optimize import brentq

from geometry.assembly import assemble
from geometry.clearance.full_turn import full_turn
from geometry.clearance.limits import limit_for
from geometry.kinematics.slider_crank import dead_centres, pin_throw_deg, state
from geometry.mistakes.pistons.piston_turned import thrust_swap_deg
from tests.geometry.mistakes.shop import made, right, row, spec

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


def test_a_valve_stops_it_once_in_two_turns_between_exhaust_and_intake():
    base = hitting()
    wrong, study = made("piston_turned", 3, base)
    (arc,) = study.signature.tight
    assert study.signature.period_deg == 720.0
    assert study.signature.with_head
    firing = base.layout.firing
    fires = firing.at_deg[firing.order.index(3)]
    overlap = (fires + 360.0) % 720.0
    # the intake valve is met after the overlap, the exhaust valve before it
    assert arc.start_deg < overlap < arc.end_deg
    # At both ends the crown just touches a valve: moving frames and the crown's flat, nothing of the search.
    for angle in (arc.start_deg, arc.end_deg):
        frames = wrong.frame_poses(angle)
        bank = np.radians(wrong.layout.site(3).bank_deg)
        along = np.array([0.0, -np.sin(bank), np.cos(bank)])
        flat = frames["P3"][:3, 3] @ along + wrong.spec.piston.compression_height_mm
        low = min(wrong.pose(f"{kind}_valve 3", angle)[:3, 3] @ along for kind in ("intake", "exhaust"))
        assert low - flat == pytest.approx(0.0, abs=0.02)


def test_what_is_right_is_what_check_prints():
    base = right()
    _, study = made("piston_turned", 3, base)
    turn = full_turn(base)
    for kind in ("intake", "exhaust"):
        (near,) = [
            n.approach for n in turn.near
            if n.pair.limit == f"piston_to_{kind}_valve" and n.pair.a.body.name == "piston 3"
        ]  # fmt: skip
        assert row(study, f"{kind} valve")["right"].value == pytest.approx(near.min_mm, abs=1e-4)
        assert (
            row(study, f"{kind} valve")["limit"].value
            == limit_for(base.spec, f"piston_to_{kind}_valve").least_mm
        )


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
