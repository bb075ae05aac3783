"""The clock on paper: nothing mirrored, nothing overlapping, every gap named."""

import re
import subprocess
import sys
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg

from geometry.assembly import assemble
from geometry.rings.schemes import ROLE_WORDS, SCHEMES
from geometry.spec.load import load_engine
from viewer.clock.face import point, spread
from viewer.clock.grooves import draw_grooves
from viewer.clock.sheet import cells, clocks_of, draw_sheet

DEMOS = Path(__file__).parents[2] / "demo_engines"
FLEET = ["tern", "dunlin", "plover", "curlew", "whimbrel", "knot"]


def engine(name, **overrides):
    return assemble(load_engine(DEMOS / f"{name}.toml", overrides))


def texts_of(figure):
    canvas = FigureCanvasAgg(figure)
    canvas.draw()
    renderer = canvas.get_renderer()
    found = list(figure.texts) + [text for axis in figure.axes for text in axis.texts]
    return [(t.get_text(), t.get_window_extent(renderer)) for t in found if t.get_text().strip()]


def overlaps(figure):
    boxes = texts_of(figure)
    width, height = figure.canvas.get_width_height()
    clipped = [t for t, b in boxes if b.x0 < 0 or b.y0 < 0 or b.x1 > width or b.y1 > height]
    return [
        (a, b) for (a, p), (b, q) in combinations(boxes, 2) if p.padded(-1).overlaps(q.padded(-1))
    ], clipped


def test_ninety_degrees_is_to_the_right_and_the_front_is_up():
    # Seen from above with the front up, clockwise is the way of a clock's hands.
    assert point(0.0, 1.0) == pytest.approx((0.0, 1.0))
    assert point(90.0, 1.0) == pytest.approx((1.0, 0.0))
    assert point(270.0, 1.0) == pytest.approx((-1.0, 0.0), abs=1e-12)


def test_the_paper_shows_what_one_sees_on_the_piston():
    # Independent: the gap's own direction in the piston's frame, looked at from above with -x (front) up. There
    # the picture's right is up x (towards the viewer) = (-x) x z = +y.
    for ring_deg in (0.0, 30.0, 120.0, 240.0):
        angle = np.radians(ring_deg)
        on_piston = np.array([-np.cos(angle), np.sin(angle), 0.0])
        up, right = np.array([-1.0, 0.0, 0.0]), np.cross([-1.0, 0.0, 0.0], [0.0, 0.0, 1.0])
        assert point(ring_deg, 1.0) == pytest.approx((on_piston @ right, on_piston @ up), abs=1e-12)


def test_the_mesh_has_its_gap_where_the_paper_shows_it():
    assembly = engine("tern")
    for site, clock in clocks_of(assembly):
        body = assembly.body(f"top_ring {site.bore}")
        points = (
            np.column_stack([body.part.mesh.vertices, np.ones(len(body.part.mesh.vertices))]) @ body.X_FA.T
        )
        seen = np.degrees(np.arctan2(points[:, 1], -points[:, 0])) % 360.0
        around = np.sort(seen)
        gaps = np.diff(np.append(around, around[0] + 360.0))
        widest = int(np.argmax(gaps))
        middle = (around[widest] + gaps[widest] / 2) % 360.0
        # facets are 1.9 degrees apart, the gap itself 0.5: the widest step is a facet, so ask the ends directly
        ends = np.abs((seen - clock.angles_deg["top"] + 180.0) % 360.0 - 180.0)
        half = np.degrees(assembly.spec.rings.top.gap_mm / assembly.spec.block.bore.diameter_mm)
        assert ends.min() == pytest.approx(half, rel=0.02)
        assert 0.0 <= middle < 360.0


@pytest.mark.parametrize("name", FLEET)
def test_no_words_overlap_and_none_are_cut_off(name):
    found, clipped = overlaps(draw_sheet(engine(name)))
    assert found == []
    assert clipped == []


@pytest.mark.parametrize("scheme", sorted(SCHEMES))
@pytest.mark.parametrize("name", ["tern", "plover"])
def test_every_scheme_is_readable(scheme, name):
    found, clipped = overlaps(draw_sheet(engine(name, **{"rings.scheme": scheme})))
    assert found == []
    assert clipped == []


@pytest.mark.parametrize("name", FLEET)
def test_sections_are_readable(name):
    found, clipped = overlaps(draw_grooves(engine(name), "mm"))
    assert found == []
    assert clipped == []


def test_banks_lie_as_in_the_engine():
    sites = engine("tern").layout.bores
    rows, columns, at = cells(sites)
    assert (rows, columns) == (4, 2)
    assert [at[bore] for bore in (1, 3, 5, 7)] == [(0, 0), (1, 0), (2, 0), (3, 0)]
    assert [at[bore] for bore in (2, 4, 6, 8)] == [(0, 1), (1, 1), (2, 1), (3, 1)]


def test_labels_keep_apart_and_off_the_front():
    placed = spread([0.0, 2.0, 90.0, 92.0, 359.0])
    ordered = np.sort(placed)
    assert np.diff(ordered).min() > 20.9
    assert ordered[0] > 15
    assert ordered[-1] < 345


def test_vector_sheet_names_every_gap(tmp_path):
    out = tmp_path / "clock.svg"
    command = [
        sys.executable,
        "-c",
        "from viewer.cli import main; main()",
        "clock",
        str(DEMOS / "dunlin.toml"),
        "-o",
        str(out),
    ]
    subprocess.run(command, check=True, capture_output=True)
    text = out.read_text(encoding="utf-8")
    assert text.lstrip().startswith("<?xml")
    comments = " ".join(re.findall(r"<!-- (.*?) -->", text))
    for words in ROLE_WORDS.values():
        assert words in comments
    assert "FRONT" in comments
