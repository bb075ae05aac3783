"""The walls of the bores seen through the glass: where they stand, and in which views."""

import numpy as np
import pytest

from viewer.scene import ViewOptions, build_scene


def walls(assembly, **options):
    return [one for one in build_scene(assembly, ViewOptions(**options)).strokes if one.name == "bore walls"]


def test_from_the_front_the_walls_of_a_bore_stand_a_radius_off_its_axis_from_deck_to_bottom(knot):
    (lines,) = walls(knot, view="front")
    block = knot.spec.block
    y, z = np.sort(lines.segments_mm[:, 0, 1]), lines.segments_mm[0, :, 2]
    assert y == pytest.approx(np.array([-0.5, 0.5]) * block.bore.diameter_mm + knot.layout.site(1).offset_mm)
    assert z == pytest.approx([block.deck_height_mm, block.deck_height_mm - block.bore.length_mm])


def test_from_the_side_they_stand_before_and_behind_the_axis(knot):
    (lines,) = walls(knot, view="left")
    off = np.sort(lines.segments_mm[:, 0, 0]) - knot.layout.site(1).x_mm
    assert off == pytest.approx(np.array([-0.5, 0.5]) * knot.spec.block.bore.diameter_mm)


@pytest.mark.parametrize("options", [{"view": "iso"}, {"view": "front", "block": "cut"}, {"view": "bore 1"}])
def test_where_the_block_is_opened_or_turns_there_are_none(knot, options):
    assert walls(knot, **options) == []
