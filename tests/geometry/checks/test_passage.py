"""Rods through their bores: the smallest circle round the rod's own mesh, by a plane-geometry library and by search."""

import copy
import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import minimize
from shapely import MultiPoint, minimum_bounding_radius

from geometry.assembly import assemble
from geometry.checks.passage import CHECK, enclosing_diameter_mm, passage
from geometry.feature import Feature, Group
from geometry.solids import Hull
from geometry.spec.engine import Engine
from tests.geometry.fleet import NAMES, assembly, raw


def changed(name, **tables):
    """A demo engine with some entries other: ``block={"web": "18 mm"}``, ``rod={"bolt": {...}}``."""
    data = copy.deepcopy(raw(name))
    for table, entries in tables.items():
        for key, value in entries.items():
            data[table][key] = data[table][key] | value if isinstance(value, dict) else value
    return assemble(Engine.model_validate(data))


WIDE = {"bolt": {"diameter": "11.0 mm", "spacing": "78.0 mm", "length": "62 mm", "head_diameter": "18.0 mm",
                 "nut_diameter": "18.5 mm", "nut_height": "11.0 mm"}}  # fmt: skip
"""Dunlin with the bolts that she came with once: too wide for her bore."""


def across(base):
    """The rod's mesh seen along its length."""
    return base.body(f"rod {base.layout.bores[0].bore}").part.mesh.vertices[:, :2]


@pytest.mark.parametrize("name", NAMES)
def test_the_circle_round_the_outline_is_that_of_the_mesh(name):
    base = assembly(name)
    found = passage(base, base.layout.bores[0])
    assert found.bare_mm == pytest.approx(2 * minimum_bounding_radius(MultiPoint(across(base))), abs=1e-4)
    assert found.room_mm > 0.0
    assert found.way == "above"


def test_no_place_and_no_turn_in_the_bore_makes_a_wide_rod_pass():
    base = changed("dunlin", rod=WIDE)
    points = across(base)
    site = base.layout.bores[0]

    def sticks_out(place):
        x, y, turn = place
        c, s = math.cos(turn), math.sin(turn)
        return np.hypot(*(points @ np.array([[c, s], [-s, c]]) + [x, y]).T).max() - 48.0  # bore of 96 mm

    starts = [(x, y, turn) for x in (-1.0, 0.5) for y in (-0.7, 1.0) for turn in (0.0, 0.6, 1.5)]
    least = min(minimize(sticks_out, start, method="Nelder-Mead").fun for start in starts)
    found = passage(base, site)
    assert least > 0.0
    assert 2 * least == pytest.approx(-found.room_mm, abs=1e-3)
    assert found.room_mm == pytest.approx(-0.826, abs=5e-4)  # as filed by somebody with solids of his own


def test_smallest_circles_agree_with_the_library():
    rng = np.random.default_rng(7)
    for k in range(120):
        points = rng.normal(size=(rng.integers(1, 30), 2)) * [30.0, 10.0]
        points = np.vstack([points, -points]) if k % 3 == 0 else points
        library = 2 * minimum_bounding_radius(MultiPoint(points))
        assert enclosing_diameter_mm(points) == pytest.approx(library, abs=1e-9)


def test_a_rod_that_cannot_be_fitted_stops_the_job():
    section = CHECK.run(changed("dunlin", rod=WIDE), "mm")
    assert [(f.id, f.severity, f.bore) for f in section.findings] == [
        ("rod_passage", "stop", n) for n in (1, 2, 3, 4)
    ]
    assert "0.826 mm too wide" in section.findings[0].text
    assert (
        "87.000 mm for the piston's 95.890 mm" in section.findings[0].text
    )  # 116 between throws less the web's 29
    assert {row["way"] for row in section.rows} == {"none"}


def test_from_below_where_the_piston_goes_between_the_webs():
    # 116 mm from throw to throw: webs of 20 mm leave 96 mm for a piston of 95.89 mm, webs of 20.2 mm leave 95.8.
    for web, way, severity in (("20 mm", "below", "look"), ("20.2 mm", "none", "stop")):
        base = changed("dunlin", rod=WIDE, block={"web": web})
        section = CHECK.run(base, "mm")
        assert {row["way"] for row in section.rows} == {way}
        assert {f.severity for f in section.findings} == {severity}


def test_heads_wider_than_a_measured_rod_must_come_out_first():
    # A rod of 38 x 80 mm passes 2 sqrt(19^2 + 40^2) = 88.57 mm; bolt heads of 17 mm, 77 mm apart, need 94 mm.
    base = assembly("dunlin")
    block = Hull(np.array([[x, y, z] for x in (-19.0, 19.0) for y in (-40.0, 40.0) for z in (0.0, 150.0)]))
    part = replace(base.body("rod 1").part, features=(Feature("rod", (block,), group=Group.ROD),))
    bodies = tuple(replace(b, part=part) if b.name == "rod 1" else b for b in base.bodies)
    for bore_mm, way in (
        (94.1, "above"),
        (90.0, "above_bolts_out"),
        (88.6, "above_bolts_out"),
        (88.5, "none"),
    ):
        built = base.built.with_bore(1, bore_diameter_mm=bore_mm)
        worn = replace(base, bodies=bodies, built=built)
        found = passage(worn, worn.layout.site(1))
        assert found.way == way
        assert found.bare_mm == pytest.approx(2 * math.hypot(19.0, 40.0), abs=1e-9)
        assert found.open_end_mm == pytest.approx(94.0, abs=1e-9)
        ids = {(f.bore, f.severity) for f in CHECK.run(worn, "mm").findings}
        assert ids == {"above": set(), "above_bolts_out": {(1, "note")}, "none": {(1, "stop")}}[way]
