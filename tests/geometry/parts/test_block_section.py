"""How a written section is opened at the bores, in inline, vee and flat engines; plane geometry by shapely."""

import numpy as np
import pytest
import shapely

from geometry.kinematics.layout import build_layout
from geometry.parts.shapes.block_section import block_section
from geometry.spec.engine import Engine
from tests.geometry.fleet import NAMES, raw, spec


def section_of(engine):
    return block_section(engine, build_layout(engine))


def written(name, **crankcase):
    table = {**raw(name)["block"], "crankcase": {**raw(name)["block"]["crankcase"], **crankcase}}
    return section_of(Engine.model_validate({**raw(name), "block": table}))


def shape_of(region):
    whole = shapely.Polygon()
    for loop in region.to_polygons():
        whole = whole.symmetric_difference(shapely.Polygon(loop))
    return whole


@pytest.mark.parametrize("name", NAMES)
def test_the_inside_is_one_simple_region_around_the_crank(name):
    section = section_of(spec(name))
    for bay in range(len(section.layout.throw_x_mm)):
        inside = shape_of(section.inside(bay))
        assert inside.geom_type == "Polygon"
        assert inside.is_valid
        assert not inside.interiors
        assert inside.contains(shapely.Point(0, 0))


@pytest.mark.parametrize("name", NAMES)
def test_walls_stand_around_the_inside_and_out_of_the_bores(name):
    section = section_of(spec(name))
    for bay in range(len(section.layout.throw_x_mm)):
        inside = shape_of(section.inside(bay))
        walls = [shape_of(wall) for side in ("right", "top", "left") for wall in section.walls(bay, side)]
        for wall in walls:
            # only the last millimetre, which runs into the bank, lies within the outline of the bay
            assert wall.intersection(inside).area < 1.5 * spec(name).block.crankcase.wall_mm
            for bank in section.banks:
                corners = [bank.point(a, z) for a, z in
                           ((-bank.radius_mm, bank.low_mm), (bank.radius_mm, bank.low_mm),
                            (bank.radius_mm, bank.deck_mm), (-bank.radius_mm, bank.deck_mm))]  # fmt: skip
                assert wall.intersection(shapely.Polygon(corners)).area < 1e-6


def test_right_and_left_mirror_each_other_unless_written_apart():
    section = section_of(spec("tern"))
    runs = {run.side: run.points_mm for run in section.runs(0)}
    assert runs["right"] == pytest.approx((runs["left"] * [-1.0, 1.0])[::-1])
    apart = section_of(spec("dunlin"))
    runs = {run.side: run.points_mm for run in apart.runs(0)}
    assert len(runs["right"]) != len(runs["left"])


def test_a_bay_may_have_a_section_of_its_own():
    wide = [["4.20 in", "-2.40 in"], ["4.20 in", "0.68 in"]]
    section = written("tern", bays={"2": wide})
    reach = [max(run.points_mm[:, 0].max() for run in section.runs(bay)) for bay in range(4)]
    assert reach[1] == pytest.approx(4.20 * 25.4)
    assert reach[0] == reach[2] == reach[3] < reach[1]
    web = shape_of(section.web(2))  # the web between bay 2 and bay 3 fills the wider of both
    assert web.bounds[2] == pytest.approx(4.20 * 25.4, abs=0.2)


def test_a_valley_over_a_cam_is_open_and_closed_without_one():
    assert not section_of(spec("tern")).walls(0, "top")
    assert section_of(spec("curlew")).walls(0, "top")
    general = {key: value for key, value in raw("tern").items() if key != "cam"}
    assert section_of(Engine.model_validate(general)).walls(0, "top")


def test_a_flat_engine_opens_where_its_bores_pass_the_wall():
    """The written wall runs up through the bores and over the top; between runs lies exactly one bank each side."""
    section = section_of(spec("whimbrel"))
    runs = {run.side: run.points_mm for run in section.runs(0)}
    assert set(runs) == {"right", "top", "left"}
    below, above = runs["right"][:, 1].max(), runs["top"][0, 1]
    barrel = spec("whimbrel").block.bore.diameter_mm / 2
    assert below < -barrel
    assert above > barrel


def test_a_wall_written_across_the_bores_stops_at_the_barrels():
    section = written("dunlin", section=[["124 mm", "-70 mm"], ["124 mm", "60 mm"], ["20 mm", "60 mm"]],
                      section_left=[["124 mm", "-70 mm"], ["124 mm", "60 mm"]])  # fmt: skip
    right = next(run.points_mm for run in section.runs(0) if run.side == "right")
    assert np.all(right[:, 0] > spec("dunlin").block.bore.diameter_mm / 2)
    assert np.any(np.isclose(right[:, 1], 60.0) & (right[:, 0] < 60.0))


@pytest.mark.parametrize("name", NAMES)
def test_webs_hold_the_main_bores_and_leave_the_hollows_below_the_bores(name):
    section = section_of(spec(name))
    for web in range(len(section.layout.main_x_mm)):
        shape = shape_of(section.web(web))
        assert shape.bounds[1] == pytest.approx(spec(name).block.web_bottom_mm)
        assert shape.buffer(1e-6).contains(shapely.Point(0.0, section.main_bore_mm + 1.0))
        for bank in section.banks:
            middle = shapely.Point(bank.point(0.0, bank.low_mm - bank.relief_mm / 2))
            assert not shape.contains(middle)
            assert shape.contains(shapely.Point(bank.point(0.0, bank.low_mm - bank.relief_mm - 1.0))) or (
                spec(name).engine.layout
                == "flat"  # there the web ends on the crank axis, level with the bores
            )


def test_banks_of_a_narrow_vee_keep_to_their_own_side():
    section = section_of(spec("curlew"))
    for bank in section.banks:
        inner = -bank.before_mm if bank.name == "right" else bank.beyond_mm
        across = bank.point(inner, bank.roof_mm)[0]
        assert np.sign(across) == (1 if bank.name == "right" else -1)
