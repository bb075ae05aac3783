"""The section with the sweep: what the plane cuts, where the skins lie and glow, and that the sheet is to scale."""

from pathlib import Path

import numpy as np
import pytest
from shapely.geometry import Point, Polygon

from geometry.assembly import assemble
from geometry.spec.load import load_engine
from viewer.paper.sweep import draw_sweep, seen
from viewer.scene.sweep import BITE, STEP_DEG, cut_of, ends_of, gap_mm, sweep_of

KNOT = Path(__file__).parents[2] / "demo_engines" / "knot.toml"
LIMIT_MM = 1.27


@pytest.fixture(scope="module")
def narrow():
    """The single with the right wall of its crankcase 0.26 in further in: its rod bolt comes within the limit."""
    side = '[["2.54 in", "-1.80 in"], ["2.54 in", "0.90 in"], ["1.80 in", "2.45 in"]]'
    engine = assemble(
        load_engine(KNOT, {"block.crankcase.section": side, "block.pan_rail.inside": "2.54 in"})
    )
    return engine, sweep_of(engine, 1)


def region(outlines):
    """Outlines as one shape of another library: those that run clockwise are holes."""
    rings = [Polygon(outline) for outline in outlines]
    solid = [ring for ring in rings if ring.exterior.is_ccw]
    whole = solid[0]
    for ring in solid[1:]:
        whole = whole.union(ring)
    for ring in rings:
        if not ring.exterior.is_ccw:
            whole = whole.difference(ring)
    return whole


def test_distances_in_the_plane_are_those_of_another_library():
    square = np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]])
    hole = np.array([[3.0, 3.0], [3.0, 6.0], [7.0, 6.0], [6.0, 3.0]])
    edges = np.concatenate([np.stack([p, np.roll(p, -1, axis=0)], axis=1) for p in (square, hole)])
    points = np.random.default_rng(3).uniform(-4.0, 14.0, (300, 2))
    shape = Polygon(square, [hole])
    right = [
        -shape.boundary.distance(Point(p)) if shape.contains(Point(p)) else shape.distance(Point(p))
        for p in points
    ]
    assert gap_mm(edges, points) == pytest.approx(right, abs=1e-9)


def test_a_plane_cuts_a_pin_in_a_circle_and_a_bolt_head_as_wide_as_the_circle_round_it(knot):
    spec = knot.spec
    pin = spec.crank.pin.diameter_mm
    poses = knot.frame_poses(0.0)
    at = float(poses["R1"][0, 3])
    cut = region([np.array(p) for p in cut_of(knot.body("crank"), poses["C"], at).to_polygons()])
    assert cut.area == pytest.approx(np.pi * pin**2 / 4, rel=2e-3)
    centre = cut.centroid
    assert (centre.x, centre.y) == pytest.approx((0.0, spec.crank.stroke_mm / 2), abs=0.02)
    for off in (0.0, 3.0):
        bolt = cut_of(knot.body("rod_bolt 1 minor"), poses["R1"], at + off)
        points = np.vstack([np.array(p) for p in bolt.to_polygons()])
        chord = 2 * np.sqrt((spec.rod.bolt.head_diameter_mm / 2) ** 2 - off**2)
        assert np.ptp(points[:, 0]) == pytest.approx(chord, abs=0.05)


def test_skins_reach_as_far_as_slider_and_crank_carry_them(narrow):
    engine, sweep = narrow
    spec = engine.spec
    throw, rod = spec.crank.stroke_mm / 2, spec.rod.length_mm
    assert [skin.crank_deg for skin in sweep.skins] == np.arange(0.0, 360.0, STEP_DEG).tolist()
    small = spec.rod.small_end.outside_mm / 2
    for skin in sweep.skins[:: len(sweep.skins) // 12]:
        # By hand: pin at r sin, r cos (this engine turns the other way); the piston at r cos + sqrt(l^2 - r^2 sin^2).
        turn = np.radians(skin.crank_deg)
        up = throw * np.cos(turn) + np.sqrt(rod**2 - (throw * np.sin(turn)) ** 2)
        (rim,) = skin.outlines
        assert rim[:, 1].max() == pytest.approx(up + small, abs=0.1)
        pin = Point(engine.layout.sense * -throw * np.sin(turn), throw * np.cos(turn))
        assert Polygon(rim).contains(pin)
        assert Polygon(rim).contains(Point(0.0, up))


def test_skins_glow_where_and_only_where_the_limit_is_missed(narrow):
    _, sweep = narrow
    # The wall is the same all along the crank, so what another library measures in the plane is the distance.
    block = region(next(shape for shape in sweep.shapes[0] if shape.kind == "block").outlines)
    lit = 0
    for skin in sweep.skins:
        (rim,), (strength,) = skin.outlines, skin.strengths
        near = Polygon(rim).distance(block)
        if abs(near - LIMIT_MM) > 0.02:
            assert (strength.max() > 0.0) == (near < LIMIT_MM)
        glowing = rim[strength > 0.02]
        if len(glowing):
            lit += 1
            assert all(block.distance(Point(p)) < LIMIT_MM + 0.02 for p in glowing)
            assert strength.max() == pytest.approx(1.0 - near / LIMIT_MM, abs=0.02)
    assert 5 < lit < 30
    (worst, *_) = sweep.places
    assert worst.verdict == "close"
    first, second = ends_of(worst)
    assert np.linalg.norm(first - second) == pytest.approx(worst.near.approach.min_mm, abs=0.02)
    assert abs(first[1]) < abs(second[1])  # the bolt lies within the wall
    assert not next(shape for shape in sweep.shapes[0] if shape.kind == BITE).outlines


def test_the_sheet_is_to_scale_and_seen_from_the_front(narrow):
    _, sweep = narrow
    figure = draw_sweep(sweep, "Knot", "in")
    assert seen(np.array([5.0, 2.0])).tolist() == [
        -5.0,
        2.0,
    ]  # what is on the engine's right is left in the picture
    main, bars, close = figure.axes[:3]
    said = next(t.get_text() for t in figure.texts if t.get_text().startswith("Scale"))
    scale = float(said.split("1 : ")[1].split()[0])
    for axes, by in ((main, scale), (bars, scale)):
        box = axes.get_position()
        wide_mm = box.width * figure.get_figwidth() * 25.4
        high_mm = box.height * figure.get_figheight() * 25.4
        assert np.ptp(axes.get_xlim()) / wide_mm == pytest.approx(by)
        assert np.ptp(axes.get_ylim()) / high_mm == pytest.approx(by)
    lengths = {round(float(np.ptp(line.get_xdata())), 3) for line in bars.lines}
    assert lengths == {50.0, 50.8}
    larger = float(next(t.get_text() for t in close.texts if " : 1" in t.get_text()).split(" : ")[0])
    assert close.get_position().width * figure.get_figwidth() * 25.4 == pytest.approx(
        np.ptp(close.get_xlim()) * larger
    )
    told = " ".join(t.get_text() for t in figure.texts)
    least = sweep.places[0].near.approach.min_mm / 25.4
    assert f"{least:.4f} in; at least 0.0500 in" in told.replace("\n", " ")
    assert f"short by {0.05 - least:.4f} in" in told.replace("\n", " ")


def test_a_drawing_is_asked_for_by_its_bore(call, tmp_path, monkeypatch, narrow):
    monkeypatch.setattr("viewer.scene.sweep.sweep_of", lambda assembly, bore: narrow[1])
    for ending, head in (("pdf", b"%PDF"), ("svg", b"<?xml")):
        path = tmp_path / f"x.{ending}"
        assert call("envelope", KNOT, "--bore", "1", "-o", path)[0] == 0
        assert path.read_bytes().startswith(head)


def test_refusals(call, tmp_path):
    for words, said in (
        (("--bore", "9", "-o", "x.pdf"), "there is no bore 9"),
        (("--bore", "1", "-o", "x.stl"), "cannot be written as a drawing"),
        (("--bore", "1", "--body", "crank", "-o", "x.pdf"), "one at a time"),
        (("-o", "x.pdf"), "say what"),
    ):
        place = [str(tmp_path / word) if word.startswith("x.") else word for word in words]
        code, out, err = call("envelope", KNOT, *place)
        assert (code, out, len(err)) == (2, "", 1)
        assert said in err[0]
    assert list(tmp_path.iterdir()) == []
