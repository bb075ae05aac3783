"""Where the order of firing comes from, against a count of every order that fires evenly."""

from itertools import permutations

import pytest

from geometry.assembly import assemble
from geometry.checks.summary import CHECK
from geometry.kinematics.slider_crank import dead_centres
from geometry.spec.engine import Engine
from tests.geometry.fleet import CLEAR, assembly, raw


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
