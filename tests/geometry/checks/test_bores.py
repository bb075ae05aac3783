"""Dead centres, deck and piston to head of every bore: the offset slider-crank and the machinist's sum by hand."""

import math

import pytest

from geometry.assembly import assemble
from geometry.checks.bores import CHECK, dome_height_mm
from geometry.spec.engine import Engine
from tests.geometry.fleet import assembly, raw

INCH = 25.4
# Tern: half the stroke, rod, pin offset, pin to crown, deck height, gasket, all in inches.
THROW, ROD, OFFSET, CROWN, DECK, GASKET = 1.675, 5.850, 0.040, 1.450, 8.985, 0.040
TOP, BOTTOM = math.sqrt((ROD + THROW) ** 2 - OFFSET**2), math.sqrt((ROD - THROW) ** 2 - OFFSET**2)


def tern(gasket=GASKET, crown=CROWN, dome=None):
    written = raw("tern")
    piston = {**written["piston"], "compression_height": f"{crown} in"}
    if dome:
        piston["crown"] = {**piston["crown"], "shape": "dome", "diameter": "80 mm", "volume": dome}
    seal = {**written["gasket"], "thickness": f"{gasket} in"}
    return assemble(Engine.model_validate({**written, "piston": piston, "gasket": seal}))


def test_every_bore_has_its_row_by_hand():
    rows = CHECK.run(assembly("tern"), "in").rows
    assert [(row["bore"], row["bank"]) for row in rows] == [
        (bore, "left" if bore % 2 else "right") for bore in range(1, 9)
    ]
    # An even vee-eight fires every 90 degrees in the order of its file; a top comes once a turn.
    order = [1, 8, 4, 3, 6, 5, 7, 2]
    # The throw points along the rod at the top and against it at the bottom: sines of the lean there.
    late = math.degrees(math.asin(OFFSET / (ROD - THROW)) - math.asin(OFFSET / (ROD + THROW)))
    for row in rows:
        top, bottom = row["top_dead_centre_deg"].value, row["bottom_dead_centre_deg"].value
        assert top == pytest.approx(90.0 * order.index(row["bore"]) % 360.0, abs=1e-6)
        assert (bottom - top) % 360.0 == pytest.approx(row["down_stroke_deg"].value, abs=1e-6)
        assert abs(row["down_stroke_deg"].value - 180.0) == pytest.approx(late, abs=1e-6)
        assert row["stroke_mm"].value == pytest.approx((TOP - BOTTOM) * INCH, abs=1e-6)
        assert row["deck_clearance_mm"].value == pytest.approx((DECK - TOP - CROWN) * INCH, abs=1e-6)
        assert row["piston_to_head_mm"].value == pytest.approx((DECK - TOP - CROWN + GASKET) * INCH, abs=1e-6)


def test_peak_speed_and_acceleration_by_fine_steps():
    row = CHECK.run(assembly("tern"), "in").rows[0]
    omega = 5000 * 2 * math.pi / 60
    step = 1e-4

    def speed(turn):
        def height(angle):
            return THROW * math.cos(angle) + math.sqrt(ROD**2 - (THROW * math.sin(angle) - OFFSET) ** 2)

        return abs(height(turn + step) - height(turn - step)) / (2 * step) * omega * INCH / 1000

    fastest = max(speed(math.radians(k / 10)) for k in range(3600))
    assert row["peak_piston_speed_m_s"].value == pytest.approx(fastest, rel=1e-5)
    # r omega^2 (1 + r / l) at the top: Taylor, The Internal-Combustion Engine; an offset adds next to nothing.
    sharpest = THROW * INCH / 1000 * omega**2 * (1 + THROW / ROD)
    assert row["peak_piston_acceleration_m_s2"] == pytest.approx(sharpest, rel=1e-3)


@pytest.mark.parametrize(
    "gasket, crown, said",
    [
        # With 0.0101 in of deck: 0.035 in is the least with steel rods, over 0.060 in the squish is idle.
        (0.0248, CROWN, ("piston_to_head", "stop")), (0.0250, CROWN, None), (0.0497, CROWN, None),
        (0.0500, CROWN, ("squish_loose", "note")), (GASKET, 1.4999, ("piston_to_head", "stop")),
        (GASKET, 1.5003, ("piston_to_head", "stop")),
    ],
)  # fmt: skip
def test_piston_to_head_stops_the_job_below_its_least(gasket, crown, said):
    found = CHECK.run(tern(gasket, crown), "in").findings
    assert [(f.id, f.severity) for f in found] == [said] * (8 if said else 0)
    if said:
        assert [f.bore for f in found] == list(range(1, 9))
        assert all("trade articles" in f.text for f in found)
        assert ("the piston meets the head" in found[0].text) == (DECK - TOP - crown + gasket <= 0)


def test_a_dome_fills_what_the_flat_leaves_open():
    # 8 cc over 80 mm: 8000 / (pi / 4 * 80^2) = 1.5915 mm.
    domed = tern(0.0600, dome="8 cc")
    assert dome_height_mm(domed) == pytest.approx(1.59155, abs=1e-5)
    assert dome_height_mm(tern()) == 0.0
    assert CHECK.run(domed, "in").findings == ()
