"""What the rings run on: iron liners in an aluminium block, or the block's own plated bores.

Mean linear expansions of Callister, Materials Science and Engineering, table B.6: grey iron 11.4e-6 per K, steel
12.3e-6, cast aluminium 21.5e-6. A length L grows by L alpha dT; gap and wall are lengths pi D.
"""

from copy import deepcopy
from math import pi

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.assembly import Assembly
from geometry.built import AS_DESIGNED, built_linkage
from geometry.checks import rings as check
from geometry.errors import InputError
from geometry.kinematics.layout import build_layout
from geometry.rings.fitted import bore_rings
from geometry.rings.hot import Expansion
from geometry.rings.source import Source
from geometry.rings.wall import Wall, more_left_mm, wall_of
from geometry.spec.engine import Engine
from geometry.spec.load import validate_model
from tests.geometry.fleet import assembly, raw, spec
from tests.geometry.mistakes.shop import made, row
from tests.geometry.rings.engines import engine

IRON, STEEL, ALUMINIUM = 11.4e-6, 12.3e-6, 21.5e-6


def hot_of(spec, name="top"):
    first = bore_rings(spec, build_layout(spec), AS_DESIGNED)[0]
    return next(ring for ring in first.rings if ring.name == name)


def in_aluminium(**block):
    return engine(block={"material": "aluminium", **block})


# (engine, ring, gap mm, bore mm, expansion of the ring, its rise, the wall's rise): read off the engine files; rises
# are those assumed for street (200, 160, 130 over 20 in a bore of 120 C) and modified (220, 175, 140; 125 C).
HOT = [
    ("whimbrel", "top", 0.40, 92.0, IRON, 180, 100),
    ("whimbrel", "second", 0.45, 92.0, IRON, 140, 100),
    ("whimbrel", "upper_rail", 0.55, 92.0, STEEL, 110, 100),
    ("curlew", "top", 0.45, 90.0, STEEL, 200, 105),
    ("curlew", "second", 0.52, 90.0, IRON, 155, 105),
    ("curlew", "lower_rail", 0.50, 90.0, STEEL, 120, 105),
]


@pytest.mark.parametrize("name, ring, gap, bore, ring_per_k, ring_rise, wall_rise", HOT)
def test_an_aluminium_block_has_iron_bores(name, ring, gap, bore, ring_per_k, ring_rise, wall_rise):
    left = gap + pi * bore * IRON * wall_rise - pi * bore * ring_per_k * ring_rise
    assert hot_of(spec(name), ring).hot.hot_gap_mm == pytest.approx(left, abs=1e-9)


def test_two_of_them_in_figures():
    # 92 mm: pi 92 11.4e-6 (180 - 100) = 0.2636 of 0.40 used up.
    # 90 mm: pi 90 (12.3e-6 200 - 11.4e-6 105) = 0.3571 of 0.45.
    assert hot_of(spec("whimbrel")).hot.hot_gap_mm == pytest.approx(0.1364, abs=5e-5)
    assert hot_of(spec("curlew")).hot.hot_gap_mm == pytest.approx(0.0929, abs=5e-5)


@pytest.mark.parametrize("name, less", [("whimbrel", 0.2919), ("curlew", 0.2998)])
def test_taken_for_aluminium_they_kept_three_tenths_more(name, less):
    # pi D (21.5e-6 - 11.4e-6) times the wall's rise: 92 mm and 100 K, 90 mm and 105 K.
    data = deepcopy(raw(name))
    data["block"]["bore"]["material"] = "aluminium"
    plated = hot_of(validate_model(Engine, data, "test")).hot.hot_gap_mm
    assert plated - hot_of(spec(name)).hot.hot_gap_mm == pytest.approx(less, abs=5e-5)


def test_a_ring_not_filed_butts_in_whimbrels_iron_liner():
    # A quarter of 0.0035 x 92 mm is 0.0805 mm; (0.0805 / (pi 92) + 11.4e-6 100) / 11.4e-6 = 124.4 K over 20 C.
    _, study = made("gap_too_tight", 1, assembly("whimbrel"))
    assert row(study, "ends meet")["wrong"].value == pytest.approx(144.4, abs=0.05)
    assert row(study, "ends meet")["limit"].value == 200.0
    assert row(study, "ends meet")["verdict"] == "seizes"
    assert "iron liners assumed" in row(study, "gap left hot")["limit_source"]
    assert study.signature.when_hot


def test_plated_bores_written_in_the_file_grow_with_the_block():
    # As before liners were thought of: pi 102.362 (11.2e-6 180 - 21.5e-6 100) mm is less than nothing used up.
    found = hot_of(in_aluminium(bore={"material": "aluminium"}))
    assert found.hot.closing_mm == pytest.approx(pi * 102.362 * (11.2e-6 * 180 - ALUMINIUM * 100), abs=1e-9)
    assert (found.wall.metal, found.wall.lined, found.wall.assumed) == ("aluminium", False, False)


@pytest.mark.parametrize(
    "written, metal, per_k, assumed",
    [({}, "cast_iron", IRON, True), ({"material": "cast_iron"}, "cast_iron", IRON, False),
     ({"material": "steel"}, "steel", STEEL, False)],
)  # fmt: skip
def test_what_is_assumed_is_said(written, metal, per_k, assumed):
    wall = wall_of(in_aluminium(bore=written))
    assert (wall.metal, wall.expansion.per_k, wall.lined, wall.assumed) == (metal, per_k, True, assumed)
    assert ("assumed" in wall.source.text) is assumed
    assert wall.source.certainty == ("practice" if assumed else "stated")
    built = in_aluminium(bore=written)
    notes = " ".join(check.run(_assembly(built), "mm").notes)
    assert ("iron liners assumed" in notes) is assumed
    # pi 102.362 (21.5e-6 - alpha) 100 K.
    assert f"up to {pi * 102.362 * (ALUMINIUM - per_k) * 100:.3f} mm more" in notes


def test_an_iron_block_says_nothing_and_stays_as_it_was():
    wall = wall_of(engine())
    assert (wall.metal, wall.expansion.per_k, wall.lined, wall.assumed) == ("cast_iron", IRON, False, False)
    assert "liner" not in " ".join(check.run(_assembly(engine()), "mm").notes)


def test_an_expansion_of_ones_own_goes_first():
    heat = {"ring": "200 degC", "bore": "120 degC", "bore_expansion": "17e-6/K"}
    own = engine(block={"material": "aluminium"}, rings={"heat": heat})
    assert wall_of(own).expansion.per_k == pytest.approx(17e-6)
    assert not wall_of(own).assumed
    assert hot_of(own).hot.closing_mm == pytest.approx(pi * 102.362 * (11.2e-6 * 180 - 17e-6 * 100), abs=1e-9)


def test_iron_does_not_hold_bores_of_aluminium():
    with pytest.raises(InputError, match=r"block\.bore\.material: an iron block has no bores of aluminium"):
        engine(block={"bore": {"material": "aluminium"}})


@given(
    liner=st.floats(1.5, 6), jacket=st.floats(2, 15), squeeze=st.floats(0, 0.12), bonded=st.booleans(),
    rise=st.floats(20, 150), share=st.floats(0.6, 1.0),
)  # fmt: skip
def test_a_liner_held_in_aluminium_grows_between_what_is_said(liner, jacket, squeeze, bonded, rise, share):
    # Two thin rings of 100 mm in contact (Timoshenko, Strength of Materials: hoop strain p R / (E t)), 110 and 70 GPa:
    # both have the strain that the contact pressure leaves them, and a joint that is not bonded cannot pull.
    soft = np.array([50 / (110e3 * liner), 50 / (70e3 * jacket)])  # strain per MPa
    free = np.array([IRON * rise, ALUMINIUM * rise * share])  # the block not hotter than the liner
    cold = squeeze / 100 / soft.sum()
    hot = (squeeze / 100 + free[0] - free[1]) / soft.sum()
    hot = hot if bonded else max(hot, 0.0)
    wider = pi * 100 * (free[0] - (hot - cold) * soft[0])  # from the finished bore, already squeezed
    alone = pi * 100 * free[0]
    liners = Wall("cast_iron", Expansion(IRON, Source("", "stated")), True, False, Source("", "stated"))
    assert wider >= alone - 1e-12
    assert wider <= alone + more_left_mm(liners, 100.0, 20.0 + rise) + 1e-12


def _assembly(spec):
    layout = build_layout(spec)
    return Assembly(spec, layout, AS_DESIGNED, built_linkage(layout, AS_DESIGNED), ())
