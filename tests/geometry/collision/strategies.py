"""Random pieces and motions for property tests."""

import numpy as np
from hypothesis import strategies as st

from geometry.collision.mover import Mover
from geometry.kinematics.laws import fixed, piston, rod, spin
from geometry.solids import Box, Cylinder, Hull, Lobe, Revolved

MM = st.floats(3.0, 30.0)


@st.composite
def piece_poses(draw, far=60.0):
    q = np.array(draw(st.lists(st.floats(-1, 1), min_size=4, max_size=4))) + [1.0, 0.1, 0.0, 0.0]
    w, x, y, z = q / max(np.linalg.norm(q), 1e-3)
    scale = w * w + x * x + y * y + z * z
    X = np.eye(4)
    X[:3, :3] = np.array(
        [
            [w * w + x * x - y * y - z * z, 2 * (x * y - w * z), 2 * (x * z + w * y)],
            [2 * (x * y + w * z), w * w - x * x + y * y - z * z, 2 * (y * z - w * x)],
            [2 * (x * z - w * y), 2 * (y * z + w * x), w * w - x * x - y * y + z * z],
        ]
    )
    X[:3, :3] /= max(scale, 1e-9)
    X[:3, 3] = draw(st.tuples(st.floats(-10, 10), st.floats(-far, far), st.floats(-far, far)))
    return X


@st.composite
def convex_pieces(draw):
    X = draw(piece_poses())
    kind = draw(st.sampled_from(["cylinder", "box", "lobe", "hull"]))
    if kind == "cylinder":
        return Cylinder(draw(MM), draw(MM), X)
    if kind == "box":
        return Box((draw(MM), draw(MM), draw(MM)), X)
    if kind == "lobe":
        return Lobe(draw(MM), draw(MM), draw(MM), draw(MM), X)
    seed = draw(st.integers(0, 10_000))
    return Hull(np.random.default_rng(seed).normal(size=(8, 3)) * draw(MM), X)


@st.composite
def rings(draw):
    inner, thick, half = draw(st.floats(20, 50)), draw(st.floats(2, 8)), draw(st.floats(3, 15))
    start, span = draw(st.floats(-180, 180)), draw(st.sampled_from([60.0, 140.0, 220.0, 360.0]))
    profile = np.array([[inner, -half], [inner + thick, -half], [inner + thick, half], [inner + 1, half]])
    return Revolved(profile, start, start + span, draw(piece_poses(far=30.0)), outward=draw(st.booleans()))


@st.composite
def laws(draw):
    kind = draw(st.sampled_from(["fixed", "spin", "cam", "rod", "piston"]))
    sense = draw(st.sampled_from([1, -1]))
    if kind == "fixed":
        return fixed(turn_deg=draw(st.floats(-90, 90)))
    if kind == "spin":
        return spin(sense)
    if kind == "cam":
        return spin(sense, 0.5, (0.0, draw(st.floats(-20, 20)), 90.0), draw(st.floats(0, 360)))
    throw = draw(st.floats(25, 50))
    numbers = (throw, throw * draw(st.floats(2.8, 4.5)), draw(st.floats(-2, 2)), sense)
    return (rod if kind == "rod" else piston)(
        0.0, draw(st.floats(-60, 60)), draw(st.floats(0, 360)), *numbers
    )


@st.composite
def movers(draw, pieces=convex_pieces):
    return Mover("part", draw(laws()), tuple(draw(st.lists(pieces(), min_size=1, max_size=2))))
