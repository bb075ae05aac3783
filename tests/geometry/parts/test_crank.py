"""The crank: throws where the layout puts them, real fillets, volume by closed form and by CAD."""

import math

import numpy as np
import pytest
import trimesh

from geometry.assembly import assemble
from geometry.parts.shapes.mass import mass_properties
from geometry.spec.engine import Engine
from tests.geometry.fleet import NAMES, assembly, raw
from tests.geometry.parts.solids_by_cad import cylinder, fuse, prism, volume


@pytest.mark.parametrize("name", NAMES)
def test_each_crankpin_stands_on_its_throw(name):
    engine = assembly(name)
    vertices = engine.body("crank").part.mesh.vertices
    throw, radius = engine.spec.crank.stroke_mm / 2, engine.spec.crank.pin.diameter_mm / 2
    for site in engine.layout.bores:
        here = vertices[np.abs(vertices[:, 0] - site.x_mm) < engine.spec.rod.big_end.width_mm / 4]
        angle = np.radians(site.pin_deg)
        axis = throw * np.array([-np.sin(angle), np.cos(angle)])
        if len(here):
            away = np.hypot(*(here[:, 1:] - axis).T)
            assert np.abs(away - radius).min() < 0.05


def plain(name):
    """A demo's crank without counterweights and with hardly any fillet."""
    data = {key: dict(value) if isinstance(value, dict) else value for key, value in raw(name).items()}
    crank = {key: dict(value) if isinstance(value, dict) else value for key, value in data["crank"].items()}
    crank["counterweight"]["cheeks"] = "none"
    crank["pin"]["fillet"] = crank["main"]["fillet"] = "0.001 mm"
    data["crank"] = crank
    return assemble(Engine.model_validate(data))


def hull_of_circles(a, b, apart):
    """Area of the convex hull of two circles: two tangents and two arcs (plane geometry)."""
    lean = math.asin((a - b) / apart)
    tangent = apart * math.cos(lean)
    return a * a * (math.pi / 2 + lean) + b * b * (math.pi / 2 - lean) + tangent * (a + b)


def ends_volume(part):
    return sum(
        math.pi * piece.radius_mm**2 * piece.length_mm
        for f in part.features
        if f.name in ("crank_nose", "crank_flange")
        for piece in f.pieces
    )


@pytest.mark.parametrize("name", ["tern", "dunlin", "plover"])
def test_volume_of_a_plain_crank_by_closed_form(name):
    engine = plain(name)
    crank, layout = engine.spec.crank, engine.layout
    part = engine.body("crank").part
    mains = len(layout.main_x_mm) * math.pi / 4 * crank.main.diameter_mm**2 * crank.main.width_mm
    pins = len(layout.throw_x_mm) * math.pi / 4 * crank.pin.diameter_mm**2 * crank.pin.width_mm
    cheek = hull_of_circles(crank.cheek.main_radius_mm, crank.cheek.pin_radius_mm, crank.stroke_mm / 2)
    cheeks = sum(site.thickness_mm for site in layout.cheeks) * cheek
    exact = mains + pins + cheeks + ends_volume(part)
    assert mass_properties(part).volume_mm3 == pytest.approx(exact, rel=3e-3)


def test_one_throw_by_cad():
    # Independent: the cheek as a prism of tangents and fine arcs, fused with the pin in an exact kernel; the mesh is
    # cut to the same slab by another mesh library.
    engine = plain("tern")
    crank, layout = engine.spec.crank, engine.layout
    site = layout.cheeks[0]
    throw = crank.stroke_mm / 2
    a, b = crank.cheek.main_radius_mm, crank.cheek.pin_radius_mm
    lean = math.asin((a - b) / throw)
    outline = [
        (a * math.cos(t), a * math.sin(t)) for t in np.linspace(math.pi - lean, 2 * math.pi + lean, 361)
    ]
    outline += [(b * math.cos(t), throw + b * math.sin(t)) for t in np.linspace(lean, math.pi - lean, 361)]
    web = prism([(0.0, y, z) for y, z in outline], (site.thickness_mm, 0, 0))
    pin = cylinder(crank.pin.diameter_mm / 2, (site.thickness_mm, 0, throw), (1, 0, 0), crank.pin.width_mm)
    found = engine.body("crank").part.mesh
    mesh = trimesh.Trimesh(found.vertices, found.triangles, process=False)
    rear = site.x_mm + site.thickness_mm / 2 + crank.pin.width_mm
    bounds = trimesh.creation.box(bounds=[[site.x_mm - site.thickness_mm / 2, -200, -200], [rear, 200, 200]])
    slab = trimesh.boolean.intersection([mesh, bounds], engine="manifold")
    assert slab.volume == pytest.approx(volume(fuse(web, pin)), rel=3e-3)


@pytest.mark.parametrize("name", ["tern", "dunlin"])
def test_fillets_are_round_and_as_large_as_said(name):
    # The surface beside a cheek lies on the circle of the fillet's radius, tangent to journal and cheek.
    engine = assembly(name)
    crank = engine.spec.crank
    vertices = engine.body("crank").part.mesh.vertices
    main, fillet = crank.main.diameter_mm / 2, crank.main.fillet_mm
    x = engine.layout.main_x_mm[1] - crank.main.width_mm / 2
    radius = np.hypot(vertices[:, 1], vertices[:, 2])
    along = vertices[:, 0] - x
    inside = (along > 1e-6) & (along < fillet) & (radius < main + fillet) & (radius > main + 1e-3)
    away = np.hypot(vertices[inside, 0] - (x + fillet), radius[inside] - (main + fillet))
    assert inside.sum() > 20
    assert away == pytest.approx(np.full(inside.sum(), fillet), abs=0.03)
