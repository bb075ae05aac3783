"""The drawing of chamfer and fillet: what was built is drawn and lettered, to scale and never mirrored."""

from pathlib import Path

import numpy as np
import pytest

from geometry.assembly import assemble
from geometry.record.overlay import load_built
from viewer.scene import ViewOptions, aim, build_scene, project

BINDING = Path(__file__).parents[2] / "demo_engines" / "tern_binding.record.toml"
INCH = 25.4


@pytest.fixture(scope="module")
def bound(tern):
    """Tern with rod 3 turned round, as its record has it."""
    return assemble(tern.spec, load_built(BINDING, tern.spec), kinds=())


@pytest.fixture(scope="module")
def bare(tern):
    """Tern as designed, without its bodies: the drawing needs none."""
    return assemble(tern.spec, kinds=())


def drawn(assembly, **options):
    return build_scene(assembly, ViewOptions(view="chamfer 3", units="in", **options))


def said(scene):
    return {label.text for label in scene.labels}


def shapes(scene):
    return {item.name: item for item in scene.items if item.visible}


def test_the_chamfer_of_the_build_is_lettered_and_not_the_designs(bare, bound):
    right, wrong = said(drawn(bare)), said(drawn(bound))
    assert {"chamfer 0.125 in x 45°", "other chamfer 0.010 in x 45°", "fillet radius 0.125 in"} <= right
    assert {"chamfer 0.010 in x 45°", "other chamfer 0.125 in x 45°", "0.0104 in into the fillet"} <= wrong
    assert not [text for text in right if "into the fillet" in text]


def test_where_the_rod_is_in_the_fillet_is_filled(bare, bound):
    assert not [name for name in shapes(drawn(bare)) if name.startswith("bite")]
    (bite,) = [item for name, item in shapes(drawn(bound)).items() if name.startswith("bite")]
    assert bite.look == "overlaps"
    spec = bound.spec
    gap = spec.rod.big_end.bore_mm / 2 - spec.crank.pin.diameter_mm / 2
    # outside the arc's circle and inside the rod: by hand from the quarter circle of 0.125 in, sampled finely
    x, y = np.meshgrid(np.linspace(0, 3.175, 800), np.linspace(0, 3.175, 800))
    within = (np.hypot(3.175 - x, 3.175 - y) > 3.175) & (y > gap) & (x + y > gap + 0.010 * INCH)
    points, faces = bite.mesh.vertices[:, [0, 2]], bite.mesh.triangles
    a, b, c = (points[faces[:, k]] for k in range(3))
    (ux, uy), (vx, vy) = (b - a).T, (c - a).T
    area = np.abs(ux * vy - uy * vx).sum() / 2
    assert area == pytest.approx(within.sum() * (3.175 / 799) ** 2, rel=0.02)


def test_the_fillet_is_round_and_tangent(bare):
    steel = shapes(drawn(bare))["crank section -1"]
    spec, site = bare.spec, bare.layout.site(3)
    assert site.cheek_side == "front"
    points = steel.mesh.vertices[:, [0, 2]]
    pin = spec.crank.pin.diameter_mm / 2
    cheek = points[np.isclose(points[:, 1], points[:, 1].max())][:, 0].max()  # the face of the cheek
    from_centre = np.hypot(*(points - [cheek + 3.175, pin + 3.175]).T)
    assert (np.abs(from_centre - 3.175) < 1e-6).sum() >= 32


def test_front_is_where_the_builder_has_it_for_either_half(bare):
    turned = assemble(bare.spec, bare.built.with_bore(3, cap_turned=True), kinds=())
    for assembly, part, upright in ((bare, "rod 3", 1), (turned, "rod_cap 3", -1)):
        scene = drawn(assembly)
        assert any(name.startswith(f"{part} section") for name in shapes(scene))
        camera = aim(scene.framing, 1.6)
        X_ER = scene.poses["R3"]
        ends = (
            X_ER[:3, 3]
            + np.array([[-10.0, 0, 0], [10.0, 0, 0], [0, 0, 0]])
            + np.outer([0, 0, 1], 10 * X_ER[:3, 2])
        )
        front, rear, toward_small_end = project(camera, (1600, 1000), ends)[:, :2]
        # turned over by half a turn, not mirrored: front changes sides together with up
        assert (rear - front)[0] * upright > 0
        assert (toward_small_end - (front + rear) / 2)[1] * upright > 0
    asked = shapes(drawn(turned, half="rod"))
    assert not [name for name in asked if name.startswith(("bite", "rod_cap"))]


def test_the_caption_gives_gap_and_side_clearance_with_limit_and_source(bound):
    gap, side = drawn(bound).caption[2:4]
    assert "0.0104 in deep" in gap
    assert "0.0007 in of 0.0120 in, at least 0.0043 in (two rods on a pin" in side
    assert side.endswith("outside")


def test_the_neighbour_shows_the_chamfer_that_it_has(bound):
    """Rod 4 stands as designed: its small chamfer meets the large one of the turned rod 3."""
    beside = shapes(drawn(bound))["rod 4 section 1"].mesh.vertices[:, [0, 2]]
    corner = beside[np.argsort(beside[:, 0] + beside[:, 1])[:2]]
    assert np.ptp(corner[:, 0]) == pytest.approx(0.010 * INCH)


def test_the_radius_is_pointed_at_out_of_the_crank_with_its_words_at_the_tail(bare):
    """The line goes through the arc's middle, so it is a radius; its tail lies in the steel, off other words."""
    scene, spec = drawn(bare), bare.spec
    radius, pin = spec.crank.pin.fillet_mm, spec.crank.pin.diameter_mm / 2
    at = {label.text.split(" 0.")[0]: label.at_mm for label in scene.labels}
    tail = at["fillet radius"]
    lines = next(one for one in scene.strokes if one.name == "dimensions").segments_mm
    (arrow,) = [line for line in lines if np.abs(line[0, [0, 2]] - tail[[0, 2]]).max() < 1e-9]
    way = (arrow[1] - arrow[0])[[0, 2]]
    middle = arrow[1, [0, 2]] + radius * way / np.linalg.norm(way)
    assert middle[1] == pytest.approx(
        pin + radius
    )  # the arc ends tangent on the pin, a radius below its middle
    assert tail[2] < pin < at["chamfer"][2]
