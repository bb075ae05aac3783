"""The verdict beside a number of a study: what the number itself calls for, by the trade."""

import numpy as np
import pytest
from scipy.optimize import brentq

from geometry.assembly import assemble
from geometry.checks.inertia import cap_load
from tests.geometry.mistakes.shop import made, mistake, right, row, spec

INCH = 25.4


@pytest.mark.parametrize(
    "lift_in, severity", [(0.0010, "look"), (0.0019, "look"), (0.0021, "stop"), (0.0120, "stop")]
)
def test_a_shell_off_its_seat_binds_where_it_takes_all_the_oil_clearance(lift_in, severity):
    # Tern: 0.0020 in on the diameter; what the lift leaves of it must let a film of oil through.
    base = right()
    wrong = assemble(base.spec, base.built.with_bore(3, shell_proud_mm=lift_in * INCH))
    study = mistake("shell_tang_out").study(base, wrong, 3, "in")
    found = row(study, "oil clearance")
    assert found["wrong"].value == pytest.approx((0.0020 - lift_in) * INCH, abs=1e-9)
    assert found["severity"] == severity


@pytest.mark.parametrize("journal_in, verdict", [(2.5, "tight"), (3.0, "a step in it")])
def test_what_a_step_leaves_is_held_against_the_least_of_the_trade(journal_in, verdict):
    # A bearing maker's note: 0.0010 in per inch of journal by rule, at least 0.00075 in per inch less 0.0005 in; the
    # cap of another bearing takes 0.03 mm of it.
    base = assemble(spec(crank={"main": {"diameter": f"{journal_in} in"}}, block={"main_bearing": None}))
    _, study = made("main_caps_exchanged", 2, base)
    found = row(study, "clearance left")
    assert found["wrong"].value == pytest.approx(0.0010 * journal_in * INCH - 0.03, abs=1e-9)
    assert found["limit"].value == pytest.approx((0.00075 * journal_in - 0.0005) * INCH, abs=1e-9)
    assert "a bearing maker's note" in found["limit_source"]
    assert (found["verdict"], found["severity"]) == (verdict, "look")


@pytest.mark.parametrize("key", ["cap_exchanged", "shell_tang_out"])
def test_an_oil_clearance_is_held_against_the_builders_own_least(key):
    plain = right().spec
    own_least = plain.limits.model_copy(update={"rod_oil_mm": 0.0018 * INCH})
    _, study = made(key, 3, assemble(plain.model_copy(update={"limits": own_least})))
    found = row(study, "clearance left" if key == "cap_exchanged" else "oil clearance")
    assert found["limit"].value == pytest.approx(0.0018 * INCH, abs=1e-9)
    assert "your engine file" in found["limit_source"]


def by_pythagoras(engine, leg):
    """How far a rod must stay off its cheek: the chamfer's corners within the arc of the fillet, mm."""
    radius, pin = engine.crank.pin.fillet_mm, engine.crank.pin.diameter_mm
    gap = (engine.rod.big_end.bore_mm - pin) / 2

    def inside(side):
        return (
            max(np.hypot(radius - side, radius - gap - leg), np.hypot(radius - side - leg, radius - gap))
            - radius
        )

    return brentq(inside, 0.0, radius)


@pytest.mark.parametrize("key, rods", [("rod_turned", 1), ("rods_exchanged", 2)])
@pytest.mark.parametrize("spare_in", [-0.002, 0.002, 0.020])
def test_a_rod_turned_binds_only_where_the_fillets_take_all_the_side_clearance(key, rods, spare_in):
    # The pin is as wide as its rods, what the turned ones lose to the fillets, and the spare.
    plain = right().spec
    lost = rods * by_pythagoras(plain, plain.rod.chamfer.other_mm)
    width = 2 * plain.rod.big_end.width_mm + lost + spare_in * INCH
    _, study = made(key, 3, assemble(spec(crank={"pin": {"width": f"{width:.6f} mm"}})))
    bound = spare_in <= 0
    found = row(study, "side clearance left")
    assert found["wrong"].value == pytest.approx(spare_in * INCH, abs=1e-5)
    assert (study.signature.bound, study.signature.heavy) == (bound, not bound)
    assert found["verdict"] == ("bound" if bound else "rides on the fillet")
    assert ("No side clearance is left" in study.does) == bound
    assert study.signature.side_play_mm == pytest.approx(
        dict.fromkeys((3, 4), max(spare_in, 0) * INCH), abs=1e-5
    )


def test_a_piston_pushed_down_with_its_crankpin_up_strikes_it():
    # With the crown at the deck the crankpin at top dead centre stands where the big end has to go.
    _, study = made("rod_pushed_down", 3)
    for start in ("crank for pushing in", "open end to crankpin"):
        found = row(study, start)
        assert (found["verdict"], found["severity"]) == ("strikes", "stop")


def test_a_bolt_too_long_stands_out_by_one_stock_length_from_none():
    # A quarter of an inch from one length to the next (3/8 in thread); none at all with the bolt of the design.
    _, study = made("bolt_too_long", 3)
    found = study.rows[0]
    assert found["what"] in ("head off its seat", "thread farther out of the nut")
    assert (found["right"].value, found["wrong"].value, found["limit"].value) == (
        0.0,
        pytest.approx(6.35),
        0.0,
    )
    assert (found["verdict"], found["severity"]) == ("stands out", "stop")


def test_rings_in_each_others_grooves_are_judged_by_their_side_clearance():
    # Ring of one height in the groove of the other: plain subtraction, held between the limits of the row.
    base = right()
    grooves, rings = base.spec.piston.grooves, base.spec.rings
    _, study = made("rings_exchanged", 3, base)
    rows = [r for r in study.rows if "side clearance in its groove" in r["what"]]
    expected = (grooves[1].height_mm - rings.top.height_mm, grooves[0].height_mm - rings.second.height_mm)
    assert [r["wrong"].value for r in rows] == pytest.approx(expected, abs=1e-9)
    for found in rows:
        assert (found["severity"] == "note") == (found["verdict"] == "within")
        if found["wrong"].value < found["limit"].value - 1e-9:
            assert found["severity"] == "stop"


def test_an_untightened_cap_says_what_the_joint_would_hold_tight():
    # The joint opens where the pull, growing with the square of the speed, has used up the preload (Shigley).
    base = right()
    _, study = made("cap_nuts_loose", 3, base)
    found = row(study, "joint opens at")
    load = cap_load(base, base.layout.site(3))
    preload = row(study, "preload of one bolt")["right"].value
    turns = np.sqrt(2 * preload / ((1 - load.share) * load.load_per_speed2_n)) * 60 / (2 * np.pi)
    assert found["right"].value == pytest.approx(turns, rel=1e-6)
    shown = round(turns, -3)  # two figures of five: no torque and no stretch tells it nearer
    assert f"Tight, the joint holds to about {shown:.0f} rpm" in study.does
    assert (found["wrong"].value, found["severity"]) == (0.0, "stop")


def test_a_gap_is_filed_until_the_next_blade_there_is_goes_in():
    # A set in mm goes by 0.05 from blade to blade; the least gap lies between two, and the thicker is the safe one.
    _, study = made("gap_too_tight", 3)
    found = row(study, "gap of the top ring, cold")
    least = found["limit"].value
    assert found["wrong"].value < least
    assert found["severity"] == "stop"
    blade = next(step * 0.05 for step in range(1, 40) if step * 0.05 >= least)
    assert blade - least > 0.005
    assert f"File both ends alike until a blade of {blade:.2f} mm goes in" in study.remedy
