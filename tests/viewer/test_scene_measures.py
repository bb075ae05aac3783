"""Sizes and choices of a picture that a builder sees: all lettering grows with it, one bore stands alone."""

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest

from viewer.looks import LOOKS
from viewer.scene import Callout, ViewOptions, aim, build_scene, move, project
from viewer.scene.flat import PAPER
from viewer.scene.lettering import letter


def measure(text, size, bold):
    return 0.55 * size * len(text), size


def lettered(scene, times):
    size = (1600 * times, 900 * times)
    return letter(scene, aim(scene.framing, 16 / 9), size, measure)


@pytest.mark.parametrize("view", ["iso", "front", "right", "bore 1"])
def test_a_picture_twice_as_large_is_lettered_twice_as_large(tern, view):
    circle = np.array([[100.0, 8.0, 8.0], [100.0, -8.0, 8.0], [100.0, 0.0, -9.0], [100.0, 8.0, 8.0]])
    ends = np.array([100.0, 0.0, 0.0]), np.array([100.0, 0.0, 20.0])
    callout = Callout(*ends, "0.9 mm", "clear", ("rod 3", "block"), 0.9, 0.0, (circle,))
    scene = build_scene(tern, ViewOptions(view=view, crank_deg=30.0), [callout])
    small, large = lettered(scene, 1), lettered(scene, 2)
    assert len(small.lines) == len(large.lines) > 5
    for one, two in zip(small.lines, large.lines, strict=True):
        assert two.points_px == pytest.approx(2 * np.asarray(one.points_px), abs=1e-6)
        assert two.filled or two.width_px == pytest.approx(2 * one.width_px)
    assert [word.text for word in small.words] == [word.text for word in large.words]
    for one, two in zip(small.words, large.words, strict=True):
        boxes = [(w.box.left, w.box.bottom, w.box.width, w.box.height) for w in (one, two)]
        assert boxes[1] == pytest.approx(tuple(2 * value for value in boxes[0]), abs=1e-6)
        assert not one.text or two.size_px == pytest.approx(2 * one.size_px)


@pytest.mark.parametrize(
    "options, shown",
    [
        (ViewOptions(), range(1, 9)), (ViewOptions(bore=3), [3]), (ViewOptions(view="bore 5"), [5]),
        (ViewOptions(view="front", bore=2), [2]), (ViewOptions(view="rings 2"), []),
    ],
)  # fmt: skip
def test_only_the_bore_asked_for_is_numbered(tern, options, shown):
    scene = build_scene(tern, options)
    assert {label.text for label in scene.labels if label.kind == "bore"} == set(map(str, shown))


def numbers(assembly, options, crank=0.0):
    """Bore numbers that stand in a picture, with the line of each that is led somewhere."""
    scene = build_scene(assembly, options)
    scene = move(scene, assembly, crank)
    layer = lettered(scene, 1)
    return (
        {word.text: word.box for word in layer.words if word.text.strip().replace(" ", "").isdigit()},
        layer,
        scene,
    )


def test_a_bank_that_looks_away_has_no_numbers(tern):
    """From either side of a vee the far bank's decks look away; from below all do, and the caps are numbered."""
    near = {"left": {"1", "3", "5", "7"}, "right": {"2", "4", "6", "8"}}
    for view, wanted in near.items():
        assert set(numbers(tern, ViewOptions(view=view))[0]) == wanted
    for view in ("top", "below"):
        shown, _layer, scene = numbers(tern, ViewOptions(view=view))
        assert set(shown) == set("12345678")
    camera = aim(scene.framing, 16 / 9)
    cap = project(camera, (1600, 900), scene.poses["R3"][:3, 3][None])[0, :2]
    assert np.linalg.norm(np.subtract(shown["3"].centre, cap)) < 60


def test_a_number_is_led_to_the_rim_of_its_own_bore(tern):
    shown, layer, scene = numbers(tern, ViewOptions(view="front", bore=2))
    camera, site = aim(scene.framing, 16 / 9), tern.layout.site(2)
    across, up = np.sin(np.radians(site.bank_deg)), np.cos(np.radians(site.bank_deg))
    deck = tern.spec.block.deck_height_mm
    axis = project(camera, (1600, 900), np.array([[site.x_mm, -across * deck, up * deck]]))[0, :2]
    scale = 450 / camera.half_height_mm
    radius = tern.spec.block.bore.diameter_mm / 2 * scale
    box = shown["2"]
    (end,) = [
        line.points_px[-1]
        for line in layer.lines
        if len(line.points_px) == 2 and box.holds(*line.points_px[0])
    ]
    assert np.linalg.norm(end - axis) <= radius * 1.001
    assert np.linalg.norm(end - box.centre) < 0.6 * radius + box.height


def test_numbers_ride_on_the_crowns_where_the_block_is_away(knot):
    away = ViewOptions(view="left", hidden=ViewOptions().hidden | {"block"})
    heights = [numbers(knot, away, crank)[0]["1"].centre[1] for crank in (0.0, 180.0)]
    scale = 450 / aim(build_scene(knot, away).framing, 16 / 9).half_height_mm
    assert heights[0] - heights[1] == pytest.approx(knot.spec.crank.stroke_mm * scale, rel=0.02)


def test_no_gasket_hangs_in_the_air(knot):
    def gasket(**options):
        return any(i.visible and i.group == "gasket" for i in build_scene(knot, ViewOptions(**options)).items)

    hidden = ViewOptions().hidden
    assert gasket()
    assert not gasket(hidden=hidden | {"block"})
    assert not gasket(block="hidden")
    assert gasket(hidden=(hidden - {"head"}) | {"block"})


@pytest.mark.parametrize("view", ["front", "bore 1", "left"])
def test_pan_and_head_fit_the_picture_when_they_are_shown(knot, view):
    scene = build_scene(knot, ViewOptions(view=view, hidden=frozenset()))
    camera = aim(scene.framing, 16 / 9)
    for name in ("pan", "head"):
        seen = project(camera, (1600, 900), knot.body(name).part.mesh.vertices)[:, :2]
        assert (seen > 0).all()
        assert (seen < (1600, 900)).all()


def test_a_title_over_the_engine_has_a_ground(knot):
    scene = build_scene(knot, ViewOptions(view="front"))
    near = replace(scene, framing=replace(scene.framing, margin=-0.4))
    title = {name: lettered(one, 1).words[0] for name, one in (("far", scene), ("near", near))}
    assert title["far"].ground is None
    assert title["near"].ground is not None


@pytest.mark.parametrize("block, opacity", [("glass", 0.25), ("solid", 1.0), ("cut", 1.0), ("hidden", 0.0)])
def test_the_block_is_as_solid_as_asked(tern, block, opacity):
    scene = build_scene(tern, ViewOptions(block=block, block_opacity=0.25))
    seen = {i.opacity if i.visible else 0.0 for i in scene.items if i.group == "block"}
    assert seen == {opacity}


@pytest.mark.parametrize("view", ["iso", "front", "rear", "left", "right", "top", "below"])
def test_the_names_of_directions_stand_beside_their_arrows(tern, view):
    layer = lettered(build_scene(tern, ViewOptions(view=view)), 1)
    tips = [line.points_px[0] for line in layer.lines if line.filled and len(line.points_px) == 3]
    names = [word for word in layer.words if word.text in ("FRONT", "right", "up")]
    assert tips
    assert names
    for word in names:
        box = word.box
        for x, y in tips:
            assert not (box.left <= x <= box.left + box.width and box.bottom <= y <= box.bottom + box.height)


@pytest.mark.parametrize("crank", [20.0, 45.0, 70.0, 110.0, 250.0])
def test_no_two_directions_are_pointed_at_over_one_another(knot, crank):
    """Along the crankpin of an upright single, up and right lie in one line; both arrows would overprint."""
    layer = lettered(build_scene(knot, ViewOptions(view="chamfer 1", crank_deg=crank)), 1)
    at = {
        word.text: np.array(word.box.centre) for word in layer.words if word.text in ("FRONT", "right", "up")
    }
    room = next(word.box for word in layer.words if not word.text)
    ways = [np.subtract(centre, room.centre) for centre in at.values()]
    assert "FRONT" in at
    for one, other in combinations(ways, 2):
        assert one @ other < 0.95 * np.linalg.norm(one) * np.linalg.norm(other)


def test_a_close_up_has_clean_paper_round_its_directions_and_no_plate_over_the_parts(tern):
    scene = build_scene(tern, ViewOptions(lit=frozenset({"rod 3"})))
    layer = lettered(scene, 1)
    assert not [line for line in layer.lines if line.filled and len(line.points_px) == 4]
    names = [word for word in layer.words if word.text in ("FRONT", "right", "up")]
    assert names
    assert all(word.ground == PAPER for word in names)
    drawn = [line for line in layer.lines if line.colour in (LOOKS["mark"].colour, LOOKS["axis"].colour)]
    rims = [line for line in layer.lines if line.colour == PAPER and not line.filled]
    for line in drawn:
        under = [rim for rim in rims if np.array_equal(rim.points_px[: len(line.points_px)], line.points_px)]
        assert [rim for rim in under if rim.width_px > (0.0 if line.filled else line.width_px)]


def test_one_of_two_halves_has_a_smaller_compass(tern):
    scene = build_scene(tern, ViewOptions())
    sizes = {}
    for width in (1280, 640):
        layer = letter(scene, aim(scene.framing, width / 700), (width, 700), measure, unit_px=0.8)
        sizes[width] = {w.text: w.size_px for w in layer.words}["up"]
    assert sizes == {1280: pytest.approx(0.8 * 14.5), 640: pytest.approx(0.8 * 0.8 * 14.5)}
