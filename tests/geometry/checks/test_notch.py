"""What a notch leaves of the wall: plain subtraction, held against a stated least."""

import pytest

from geometry.assembly import assemble
from geometry.checks.notch import run
from geometry.spec.engine import Engine
from tests.geometry.fleet import assembly, raw


def notched(depth_mm, wall="0.20 in", spacing="4.450 in"):
    written = raw("tern")
    notch = {"width": "0.6 in", "height": "0.2 in", "depth": depth_mm, "sides": "outboard"}
    bore = {**written["block"]["bore"], "wall": wall, "spacing": spacing, "notch": notch}
    return assemble(Engine.model_validate({**written, "block": {**written["block"], "bore": bore}}))


def test_without_a_notch_there_is_nothing_to_say():
    section = run(assembly("tern"), "in")
    assert (section.rows, section.findings, section.notes) == ((), (), ())


# 0.20 in is 5.08 mm; the least is 0.080 in, 2.032 mm: a notch may be 3.048 mm deep.
@pytest.mark.parametrize("depth, said", [(3.04, ""), (3.06, "leaves 0.080 in of the 0.200 in wall"),
                                         (5.08, "goes right through"), (6.0, "goes right through")])  # fmt: skip
def test_the_wall_left_is_held_against_a_stated_least(depth, said):
    section = run(notched(depth), "in")
    assert [f.severity for f in section.findings] == (["look"] if said else [])
    assert all(said in f.text and "common practice, no source" in f.text for f in section.findings)
    assert section.rows[0]["wall_left_mm"].value == pytest.approx(max(5.08 - depth, 0.0))
    assert section.rows[0]["verdict"] == ("thin" if said else "clear")


def test_a_builder_may_hold_the_wall_to_his_own_least():
    written = raw("dunlin")
    spec = Engine.model_validate({**written, "limits": {**written.get("limits", {}), "notch_wall": "3 mm"}})
    assert [f.id for f in run(assemble(spec), "mm").findings] == ["notch_wall"]  # 6.5 less 4 leaves 2.5 mm
    assert run(assembly("dunlin"), "mm").findings == ()
