"""The word that names the trouble stands at the part as it is drawn, also where rings are spread apart."""

from pathlib import Path

import numpy as np
import pytest

from geometry.assembly import assemble
from geometry.mistakes.mistake import mistakes
from geometry.spec.load import load_engine
from viewer.pictures.mistake import marked, spot_scene, spread_by

TERN = Path(__file__).parents[2] / "demo_engines" / "tern.toml"
PART = {
    "expander_overlapped": "expander 3",
    "ring_upside_down": "second_ring 3",
    "rail_missing": "lower_rail 3",
}


@pytest.mark.parametrize("key", sorted(PART))
def test_the_word_stands_on_its_ring(key):
    # Independent: the nearest corner of that ring's surface as drawn, in whichever picture has the ring.
    right = assemble(load_engine(TERN))
    mistake = next(m for m in mistakes() if m.key == key)
    wrong = assemble(right.spec, mistake.make(right, 3))
    study = mistake.study(right, wrong, 3, "mm")
    scenes = [spot_scene(engine, study, 3, "mm") for engine in (right, wrong)]
    shift = spread_by(scenes, (right, wrong), study)
    assert shift is not None
    label = marked(scenes[1], study, shift).labels[-1]
    item = next(i for scene in reversed(scenes) for i in scene.items if i.name == PART[key])
    corners = np.column_stack([item.mesh.vertices, np.ones(len(item.mesh.vertices))])
    drawn = corners @ (scenes[0].poses[item.frame] @ item.X_FA).T
    away = np.linalg.norm(drawn[:, :3] - label.at_mm, axis=1).min()
    assert away < 4.0


def test_nothing_is_shifted_where_nothing_is_spread():
    right = assemble(load_engine(TERN))
    mistake = next(m for m in mistakes() if m.key == "bolt_not_seated")
    wrong = assemble(right.spec, mistake.make(right, 3))
    study = mistake.study(right, wrong, 3, "mm")
    scenes = [spot_scene(engine, study, 3, "mm") for engine in (right, wrong)]
    assert spread_by(scenes, (right, wrong), study) is None
