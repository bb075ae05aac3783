"""What a clearance row says of its place and its angle, against the parts as they stand at that angle."""

from pathlib import Path

import numpy as np
import pytest

from geometry.assembly import assemble
from geometry.checks.clearances import run
from geometry.spec.load import load_engine
from tests.geometry.off_surface import FACETS_MM, off_surface_mm

DEMOS = Path(__file__).parents[3] / "demo_engines"


def engine(name):
    assembly = assemble(load_engine(DEMOS / f"{name}.toml"))
    return assembly, run(assembly, "mm").rows


def test_the_point_of_a_row_lies_on_its_first_place():
    assembly, rows = engine("knot")
    apart = [row for row in rows if row["min_mm"].value > 5 * FACETS_MM]
    assert len(apart) > 8
    for row in apart:
        point = np.array([row[f"at_{axis}_mm"].value for axis in "xyz"])
        crank = row["crank_deg"].value
        assert off_surface_mm(assembly, row["body_a"], point, crank) < FACETS_MM, row["place_a"]
        if {row["a"], row["b"]} == {"piston_crown", "head_face"}:
            # The crown is flat and the face is flat: the point is as far from the face as the row says.
            assert off_surface_mm(assembly, "head", point, crank) == pytest.approx(
                row["min_mm"].value, abs=0.02
            )


def test_degrees_after_top_are_of_the_bore_that_the_row_names():
    # Independent: the highest that each piston stands over the crank axis, looked for every 0.05 degrees.
    assembly, rows = engine("tern")
    turn = np.arange(0.0, 360.0, 0.05)
    top = {}
    for site in assembly.layout.bores:
        bank = np.radians(site.bank_deg)
        up = np.array([0.0, -np.sin(bank), np.cos(bank)])
        top[site.bore] = turn[np.argmax(assembly.pose(f"piston {site.bore}", turn)[:, :3, 3] @ up)]
    assert len({round(float(angle)) for angle in top.values()}) == 4
    said = {}
    for row in rows:
        if row["bore"] is not None:
            said.setdefault(row["bore"], []).append((row["crank_deg"].value, row["after_top_deg"].value))
    assert sorted(said) == [1, 2, 3, 4, 5, 6, 7, 8]
    for bore, pairs in said.items():
        for crank, after in pairs:
            wrong = (crank - top[bore] - after + 180.0) % 360.0 - 180.0
            assert abs(wrong) < 0.1, (bore, crank, after)
