"""The motion in the browser against ``Assembly.frame_poses``: all demo engines, every frame, many angles."""

from functools import cache

import numpy as np
import pytest

from viewer.job import read_job
from viewer.page.frames import frames_of
from viewer.page.linker import SOURCES, linked

pytestmark = pytest.mark.browser
WITHIN_MM, WITHIN_DEG = 0.001, 0.0001
ENGINES = ("tern", "whimbrel", "curlew", "dunlin", "knot", "plover", "turnstone")
# Vees, flat and inline, both rotations, split pins, pin offsets to either side, valves and cams; angles backwards, past
# the whole cycle, and close to either dead centre.
ANGLES_DEG = np.concatenate([np.arange(-45.0, 765.0, 8.9), [0.001, 179.999, 360.0, 539.9999, 720.0, -1234.5]])


@cache
def assembly_of(engine):
    return read_job(f"demo_engines/{engine}.toml").assembly


@pytest.fixture(scope="module")
def pose_of(chromium):
    """Evaluates motion.js alone: laws and angles to x, y, z in mm and turn in rad, (frames, angles, 4)."""
    page = chromium.new_page()
    page.add_script_tag(content=f"{linked(SOURCES / 'motion.js')}; window.poseOf = poseOf;")
    yield lambda laws, angles: np.array(
        page.evaluate(
            "([laws, angles]) => laws.map((law) => angles.map((deg) => Object.values(poseOf(law, deg))))",
            [laws, angles],
        )
    )
    page.close()


@pytest.mark.parametrize("engine", ENGINES)
def test_every_frame_moves_as_in_geometry(engine, pose_of):
    assembly = assembly_of(engine)
    frames = frames_of(assembly)
    found = pose_of([frame["law"] for frame in frames], ANGLES_DEG.tolist())
    poses = assembly.frame_poses(ANGLES_DEG)
    true = np.stack([poses[frame["name"]] for frame in frames]) * np.ones((1, len(ANGLES_DEG), 1, 1))
    assert np.abs(found[..., :3] - true[..., :3, 3]).max() < WITHIN_MM
    turn = np.arctan2(true[..., 2, 1], true[..., 1, 1])
    off = (found[..., 3] - turn + np.pi) % (2 * np.pi) - np.pi
    assert np.degrees(np.abs(off)).max() < WITHIN_DEG


def test_the_demo_engines_hold_every_kind_of_motion():
    laws = [frame["law"] for engine in ENGINES for frame in frames_of(assembly_of(engine))]
    assert {law["kind"] for law in laws} == {"fixed", "spin", "piston", "rod", "valve"}
    rods = [law for law in laws if law["kind"] == "rod"]
    assert {law["sense"] for law in rods} == {-1.0, 1.0}
    assert {np.sign(law["offset_mm"]) for law in rods} == {-1.0, 0.0, 1.0}
