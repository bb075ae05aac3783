"""Side clearance left by the fillets: plane geometry by Pythagoras, root search, and both rods of a pin."""

import numpy as np
import pytest
from scipy.optimize import brentq

from geometry.assembly import assemble
from geometry.checks.fillets import CHECK, turning_tells
from tests.geometry.mistakes.shop import right, spec


def stand_off(engine, leg, shell):
    """Least gap to the cheek at which every corner of one edge lies within the fillet's arc."""
    radius, pin = engine.crank.pin.fillet_mm, engine.crank.pin.diameter_mm
    gap = (engine.rod.big_end.bore_mm - pin) / 2 - (engine.rod.bearing.wall_mm if shell else 0.0)

    def outside(side):
        corners = ((side, gap + leg), (side + leg, gap))
        return max(np.hypot(radius - min(x, radius), radius - min(y, radius)) for x, y in corners) - radius

    return brentq(outside, 0.0, radius) if outside(0.0) > 0.0 else 0.0


def lost(engine, leg):
    inset = (engine.rod.big_end.width_mm - engine.rod.bearing.width_mm) / 2
    return max(stand_off(engine, leg, False), stand_off(engine, 0.0, True) - inset, 0.0)


@pytest.mark.parametrize("leg_in", [0.020, 0.045])
def test_both_rods_of_a_pin_take_from_its_side_clearance(leg_in):
    engine = spec(rod={"chamfer": {"cheek": f"{leg_in} in", "other": f"{leg_in} in"}})
    section = CHECK.run(assemble(engine), "in")
    total = engine.crank.pin.width_mm - 2 * engine.rod.big_end.width_mm
    left = total - 2 * lost(engine, leg_in * 25.4)
    assert [row["side_clearance_left_mm"].value for row in section.rows] == pytest.approx(
        [left] * 8, abs=1e-6
    )
    assert {row["verdict"] for row in section.rows} == {"bound" if left <= 0 else "rides on the fillet"}
    words = "past bound" if left <= 0 else "side clearance is left on this pin"
    assert all(words in finding.text for finding in section.findings)


def test_one_turned_rod_tightens_both_bores_of_its_pin_and_is_told_at_its_own():
    base = right()
    site = base.layout.site(3)
    wrong = assemble(base.spec, base.built.with_bore(3, rod_turned=True))
    rows = {row["bore"]: row for row in CHECK.run(wrong, "in").rows}
    total = base.spec.crank.pin.width_mm - 2 * base.spec.rod.big_end.width_mm
    left = total - lost(base.spec, base.spec.rod.chamfer.other_mm)
    for bore in (3, site.partner):
        assert rows[bore]["side_clearance_left_mm"].value == pytest.approx(left, abs=1e-6)
    assert rows[site.partner]["severity"] == "stop"
    assert [(f.id, f.bore) for f in CHECK.run(wrong, "in").findings] == [("fillet_ride", 3)]
    assert rows[1]["side_clearance_left_mm"].value == pytest.approx(total)


def test_a_rod_between_two_cheeks_loses_at_both():
    engine = spec("inline", rod={"chamfer": {"cheek": "0.045 in", "other": "0.060 in"}})
    section = CHECK.run(assemble(engine), "in")
    total = engine.crank.pin.width_mm - engine.rod.big_end.width_mm
    left = total - lost(engine, 0.045 * 25.4) - lost(engine, 0.060 * 25.4)
    assert section.rows[0]["side_clearance_left_mm"].value == pytest.approx(left, abs=1e-6)


@pytest.mark.parametrize(
    "layout, other_in, tells",
    [
        ("vee90", 0.010, True),  # two rods on a pin: the small chamfer belongs between them
        ("vee90", 0.125, False),  # as large as the other: either way round meets the fillet alike
        ("inline", 0.010, False),  # a cheek at both sides: one of them meets the small chamfer anyhow
    ],
)
def test_a_rod_turned_round_tells_only_where_its_chamfers_differ_and_one_cheek_is_near(
    layout, other_in, tells
):
    engine = spec(layout, rod={"chamfer": {"cheek": "0.125 in", "other": f"{other_in} in"}})
    base = assemble(engine)
    site = base.layout.bores[0]
    assert turning_tells(base.spec, site) is tells
    turned = assemble(base.spec, base.built.with_bore(site.bore, rod_turned=True))
    before, after = (CHECK.run(one, "in").rows[0]["rod_edge_to_fillet_mm"].value for one in (base, turned))
    assert (abs(after - before) > 1e-9) is tells


# Two rods of 0.930 in and a pin 0.11 mm wider, as service data of a V8 ask for at the least.
@pytest.mark.parametrize("wider_mm, said", [(0.109, "tight"), (0.111, "clear")])
def test_side_clearance_is_held_to_its_least(wider_mm, said):
    engine = spec(
        crank={"pin": {"width": f"{2 * 0.930 * 25.4 + wider_mm:.4f} mm", "fillet": "1 mm"}},
        rod={"big_end": {"width": "0.930 in"}, "bearing": {"width": "0.84 in"}},
    )
    section = CHECK.run(assemble(engine), "mm")
    assert {row["verdict"] for row in section.rows} == {said}
    assert [row["side_clearance_mm"].value for row in section.rows] == pytest.approx([wider_mm] * 8, abs=1e-6)
    assert [(f.id, f.severity) for f in section.findings] == (
        [] if said == "clear" else [("rod_side", "stop")] * 8
    )
