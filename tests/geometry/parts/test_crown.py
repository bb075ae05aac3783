"""Dish, dome and pockets: volumes measured back from the meshes, and a front mark on even ground."""

from math import hypot, pi

import numpy as np
import pytest
from manifold3d import Manifold, Mesh64

from geometry.errors import GeometryError
from geometry.kinematics.layout import build_layout
from geometry.parts import piston
from geometry.parts.shapes.crown import crown, inward_sign, mark_place
from geometry.spec.engine import Engine
from tests.geometry.fleet import CLEAR, assembly, raw, spec


def engine(name, **crown_entries):
    """A demo whose crown is another; None takes an entry out."""
    data = dict(raw(name))
    top = {**data["piston"]["crown"], **crown_entries}
    data["piston"] = {**data["piston"], "crown": {k: v for k, v in top.items() if v is not None}}
    return Engine.model_validate(data)


def height(spec):
    return spec.piston.compression_height_mm


def stands_up_and_is_cut_out(built):
    """Volume of the mesh above the flat of the crown, and of what is cut out of the land below it."""
    part = next(b.part for b in built.bodies if b.part.kind == "piston")
    solid = Manifold(Mesh64(part.mesh.vertices, part.mesh.triangles.astype(np.uint64)))
    flat = height(built.spec)
    land = built.spec.block.bore.diameter_mm - built.spec.piston.land_clearance_mm
    top = crown(built.spec, 1.0, flat)
    deep = max([0.5, -top.rise_mm, *(r.depth_mm for r in top.recesses)])
    stands_up = solid.trim_by_plane((0.0, 0.0, 1.0), flat).volume()
    slab = solid.trim_by_plane((0.0, 0.0, 1.0), flat - deep).volume() - stands_up
    share = 96 / (2 * pi) * np.sin(2 * pi / 96)
    cut_out = pi / 4 * land**2 * deep * share - slab
    for groove in built.spec.piston.grooves:
        cut = max(0.0, min(groove.from_crown_mm + groove.height_mm, deep) - groove.from_crown_mm)
        cut_out -= pi / 4 * (land**2 - groove.root_mm**2) * cut * share
    return stands_up, cut_out


@pytest.mark.parametrize("name", ["dunlin", "curlew", "plover"])
def test_dish_and_dome_hold_the_volume_of_the_file(name):
    # Tolerance: the crown's volume is summed over a grid, and the mark takes up to 30 mm3.
    built = assembly(name)
    stands_up, cut_out = stands_up_and_is_cut_out(built)
    sign = 1.0 if built.spec.piston.crown.shape == "dome" else -1.0
    wanted = sign * built.spec.piston.crown.volume_cm3 * 1000.0
    assert stands_up - cut_out == pytest.approx(wanted, rel=0.01, abs=60.0)


def lens_mm2(R, r, d):
    """Area common to two circles (plane geometry)."""
    if d + r <= R:
        return pi * r * r
    a = r * r * np.arccos((d * d + r * r - R * R) / (2 * d * r))
    b = R * R * np.arccos((d * d + R * R - r * r) / (2 * d * R))
    return a + b - 0.5 * np.sqrt((-d + r + R) * (d + r - R) * (d - r + R) * (d + r + R))


@pytest.mark.parametrize("name", ["tern", "whimbrel"])
def test_pockets_take_what_their_circles_cover(name):
    # Closed form: each pocket as far as it lies on the crown; these pockets do not overlap. The mark takes 30 mm3.
    built = assembly(name)
    piston = built.spec.piston
    land = (built.spec.block.bore.diameter_mm - piston.land_clearance_mm) / 2
    wanted = sum(
        lens_mm2(land, p.diameter_mm / 2, hypot(p.forward_mm, p.inward_mm)) * p.depth_mm
        for p in piston.pockets
    )
    stands_up, cut_out = stands_up_and_is_cut_out(built)
    assert stands_up == pytest.approx(0.0, abs=1e-3)
    assert cut_out == pytest.approx(wanted, rel=3e-3, abs=35.0)


@pytest.mark.parametrize("volume", [2.0, 6.0, 12.0])
def test_a_plain_dish_is_as_deep_as_a_frustum_of_its_volume(volume):
    # Closed form: a frustum with 45 degree flanks holds pi h (a^2 + a b + b^2) / 3, b = a - h.
    made = crown(
        engine("knot", shape="dish", volume=f"{volume} cc", diameter="60 mm"), 1.0, height(spec("knot"))
    )
    h, a = -made.rise_mm, 30.0
    assert pi * h * (a**2 + a * (a - h) + (a - h) ** 2) / 3 == pytest.approx(volume * 1000, rel=2e-3)


def test_a_dish_that_its_pockets_outgrow_is_refused():
    with pytest.raises(GeometryError, match="with its pockets this dish holds between") as caught:
        crown(engine("tern", shape="dish", volume="1.0 cc", diameter="3 in"), 1.0, height(spec("tern")))
    assert caught.value.key == "piston.crown.volume"


@pytest.mark.parametrize("entries, key", [
    ({"shape": "dish", "volume": "5 cc", "diameter": "9 in"}, "piston.crown.diameter"),
    ({"shape": "dome", "volume": "4000 cc", "diameter": "2 in"}, "piston.crown.volume"),
])  # fmt: skip
def test_impossible_crowns_name_their_key(entries, key):
    with pytest.raises(GeometryError) as caught:
        piston.bodies(engine("tern", **entries), build_layout(spec("tern")), assembly("tern").built)
    assert caught.value.key == key


def test_a_piston_too_low_for_its_crown_is_refused():
    # As with a piston of another height put in by mistake.
    with pytest.raises(GeometryError, match="reach down to the piston pin") as caught:
        crown(spec("tern"), 1.0, 20.0)
    assert caught.value.key == "piston.compression_height"


def test_the_crown_is_as_thick_as_said_under_the_deepest_pocket():
    made = crown(spec("tern"), 1.0, height(spec("tern")))
    deepest = max(p.depth_mm for p in spec("tern").piston.pockets)
    assert made.top_mm - deepest - made.under_mm == pytest.approx(spec("tern").piston.crown.thickness_mm)


@pytest.mark.parametrize("name", CLEAR)
@pytest.mark.parametrize("inward", [1.0, -1.0])
def test_the_front_mark_lies_within_the_crown_and_clear_of_pockets(name, inward):
    made = crown(spec(name), inward, height(spec(name)))
    x, y, _ = mark_place(made)
    assert hypot(x, y) + 5.0 <= made.radius_mm
    if x > -0.3 * made.radius_mm:  # only where pockets or dish fill the front
        assert made.recesses or made.rise_mm
    for recess in made.recesses:
        assert hypot(x - recess.x_mm, y - recess.y_mm) >= recess.radius_mm + 5.0


@pytest.mark.parametrize("name", CLEAR)
def test_inward_is_to_the_valley_up_or_right(name):
    # In the engine frame: the bore's +y, turned by its bank angle, against what the words say.
    for site in build_layout(spec(name)).bores:
        angle = np.radians(site.bank_deg)
        y_axis = inward_sign(site) * np.array([np.cos(angle), np.sin(angle)])  # across, up
        if site.bank == "line":
            assert y_axis[0] > 0
        else:
            side = 1.0 if site.bank == "left" else -1.0
            assert y_axis @ np.array([side * 1e-3, 1.0]) > 0
