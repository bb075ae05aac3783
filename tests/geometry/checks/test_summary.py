"""Where the order of firing comes from, against a count of every order that fires evenly."""

from itertools import permutations
from math import pi

import pytest

from geometry.assembly import assemble
from geometry.checks.summary import CHECK
from geometry.kinematics.slider_crank import dead_centres
from geometry.spec.engine import Engine
from geometry.spec.load import load_engine
from tests.geometry.fleet import CLEAR, FOLDER, assembly, raw


def even_orders(base):
    """Orders, counted from the lowest bore, in which bore k stands at its top after k equal intervals."""
    tops = {
        site.bore: float(top)
        for site, top in zip(base.layout.bores, dead_centres(base.linkage).top_deg, strict=True)
    }
    first, *rest = sorted(tops)
    gap = 720.0 / len(tops)
    found = 0
    for order in permutations(rest):
        off = [
            (tops[bore] - tops[first] - (k + 1) * gap + 180.0) % 360.0 - 180.0 for k, bore in enumerate(order)
        ]
        found += all(abs(angle) < 1.0 for angle in off)
    return found


@pytest.mark.parametrize("name", CLEAR)
def test_a_derived_order_is_said_where_the_crank_leaves_a_choice(name):
    general = dict(raw(name)["engine"])
    general.pop("firing_order", None)
    base = assemble(Engine.model_validate({**raw(name), "engine": general}))
    section = CHECK.run(base, "mm")
    assert section.rows[0]["firing_order_from"] == "derived from the crank"
    many = even_orders(base)
    notes = [f for f in section.findings if f.id == "firing_order_derived"]
    assert len(notes) == (many > 1)
    one = base.spec.cam is None
    for note in notes:
        assert note.text.endswith("the valves' timing follows from it" if one else "timing follow from it")
    if notes:
        assert f"one of {many} that" in notes[0].text
        assert notes[0].severity == "note"
        assert ("cam lobe" in notes[0].text) == (base.spec.cam is not None)


@pytest.mark.parametrize("name", CLEAR)
def test_a_given_order_needs_no_remark(name):
    section = CHECK.run(assembly(name), "mm")
    assert section.rows[0]["firing_order_from"] == "your engine file"
    assert "firing_order_derived" not in {finding.id for finding in section.findings}


def test_a_piston_that_fills_the_chamber_leaves_no_ratio_and_says_so():
    """Knot with a rod of 5.3 in: by hand the flat crown stands 0.535 in above the deck, in a chamber of 33 cc."""
    out_cc = pi / 4 * 2.750**2 * (2.500 / 2 + 5.300 + 1.600 - 7.615) * 2.54**3
    left_cc = 33.0 + pi / 4 * 2.850**2 * 0.045 * 2.54**3 - out_cc
    assert left_cc < -10.0
    section = CHECK.run(assemble(load_engine(FOLDER / "knot.toml", {"rod.length": "5.300 in"})), "in")
    assert section.rows[0]["compression_ratio"] is None
    assert [figure.name for figure in section.figures] == ["displacement"]
    (stop,) = [finding for finding in section.findings if finding.severity == "stop"]
    assert (stop.id, stop.bore) == ("no_volume_at_top", None)
    assert f"come to {left_cc:.1f} cc" in stop.text


def test_one_odd_piston_that_fills_its_chamber_is_named_by_its_bore():
    tall = Engine.model_validate({**raw("tern"), "bore": {"3": {"piston": {"compression_height": "1.9 in"}}}})
    section = CHECK.run(assemble(tall), "in")
    assert section.rows[0]["compression_ratio"] is None
    assert [finding.bore for finding in section.findings if finding.id == "no_volume_at_top"] == [3]
    assert not any("the mean of all bores" in note for note in section.notes), "there is none"
