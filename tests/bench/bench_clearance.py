"""Certified full-turn clearances of a vee-eight against a mesh-distance sweep with the collision library itself.

Run in the project's environment: ``python tests/bench/bench_clearance.py``. Processor time on one core; each
figure is the least of several rounds and the contenders take turns. The sweep is timed on a part of its
pair-angles and multiplied up: in full it takes many minutes.
"""

import os

os.environ.setdefault("OMP_NUM_THREADS", "1")

import resource
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

import fcl
import numpy as np

from geometry.assembly import assemble
from geometry.clearance.pairs import pairs_of
from geometry.collision.broad_phase import NEAR_MM, reach_bounds
from geometry.collision.certify import Memory, certify_all
from geometry.collision.closest_approach import closest_approach
from geometry.collision.nodes import Count
from geometry.collision.overlap import solid_of
from geometry.kinematics.laws import period_deg
from geometry.spec.load import load_engine
from tests.geometry.collision.scene import issue_pairs, vee

ROUNDS = 3
SWEEP_DEG = 0.1
SEGMENTS = 64
PAIRS_TIMED, ANGLES_TIMED = 60, 60
LIMIT_S, LIMIT_RATIO, LIMIT_MAP_S, LIMIT_MB = 1.0, 100.0, 5.0, 500.0


def say(text):
    sys.stdout.write(text + "\n")
    sys.stdout.flush()


def seconds(task):
    started = time.process_time()
    answer = task()
    return time.process_time() - started, answer


def periods(pairs):
    return [period_deg(a.law, b.law) for a, b in pairs]


def bvh(mover):
    """The feature as a triangle model of the collision library, round parts in 64 segments."""
    mesh = solid_of(mover.pieces, np.eye(4), SEGMENTS).to_mesh64()
    vertices = np.asarray(mesh.vert_properties, dtype=float)[:, :3]
    faces = np.asarray(mesh.tri_verts, dtype=np.int32)
    model = fcl.BVHModel()
    model.beginModel(len(vertices), len(faces))
    model.addSubModel(vertices, faces)
    model.endModel()
    return fcl.CollisionObject(model)


class MeshSweep:
    """Distance of meshes over a fixed grid of angles, timed on a sample of it."""

    def __init__(self, pairs):
        rng = np.random.default_rng(0)
        self.total = sum(round(p / SWEEP_DEG) for p in periods(pairs))
        self.pairs = [pairs[k] for k in rng.choice(len(pairs), PAIRS_TIMED, replace=False)]
        movers = {id(m): m for pair in self.pairs for m in pair}
        self.models = {key: bvh(m) for key, m in movers.items()}
        self.request = fcl.DistanceRequest()

    def __call__(self):
        """Seconds for the whole sweep, and what share of it was done."""
        started = time.process_time()
        for a, b in self.pairs:
            angles = np.linspace(0.0, period_deg(a.law, b.law), ANGLES_TIMED, endpoint=False)
            poses = [m.law.poses(angles) for m in (a, b)]
            things = [self.models[id(m)] for m in (a, b)]
            for k in range(ANGLES_TIMED):
                for thing, X in zip(things, poses, strict=True):
                    thing.setTransform(fcl.Transform(X[k, :3, :3], X[k, :3, 3]))
                fcl.distance(*things, self.request, fcl.DistanceResult())
        done = PAIRS_TIMED * ANGLES_TIMED
        return (time.process_time() - started) * self.total / done, done / self.total


def whole_engine():
    """All pairs against the mesh sweep of the same pairs."""
    pairs = issue_pairs(vee())
    sweep, ours, theirs, count = MeshSweep(pairs), [], [], Count()
    for _ in range(ROUNDS):
        count = Count()
        ours.append(seconds(lambda c=count: certify_all(pairs, periods(pairs), count=c))[0])
        theirs.append(sweep()[0])
    ratio = min(theirs) / min(ours)
    say(
        f"{len(pairs)} pairs certified to 0.01 mm: {min(ours):.2f} s, {count.nodes} nodes, "
        f"{count.supports} support evaluations in {count.rounds} rounds"
    )
    say(f"mesh sweep every {SWEEP_DEG} degrees: {min(theirs):.0f} s (from a share); ratio {ratio:.0f}")
    return min(ours) <= LIMIT_S and ratio >= LIMIT_RATIO


def growth():
    """Time against the number of bores, like bores solved each by itself and together."""
    for bays in (1, 2, 4, 8):
        pairs = issue_pairs(vee(bays))
        alone = min(
            sum(
                seconds(lambda q=q: certify_all(q, periods(q)))[0]
                for q in (pairs[k::bays] for k in range(bays))
            )
            for _ in range(2)
        )
        together = min(seconds(lambda p=pairs: certify_all(p, periods(p)))[0] for _ in range(2))
        say(
            f"{2 * bays:2d} bores, {len(pairs)} pairs: {together:.2f} s together, {alone:.2f} s in {bays} parts"
        )


def pruning_and_sweep():
    """All pairs of all bodies pruned by reach, then nine pin offsets of which the block's pairs stay."""
    movers = [m for features in vee().bodies.values() for m in features.values()]
    took, bounds = seconds(lambda: reach_bounds(movers))
    near = np.count_nonzero(np.triu(bounds <= NEAR_MM, 1))
    say(f"broad phase: {near} of {len(movers) * (len(movers) - 1) // 2} pairs within reach: {took:.2f} s")
    memory = Memory()
    times = []
    for throw in np.linspace(43.0, 45.0, 9):
        pairs = issue_pairs(vee(throw=throw))
        times.append(seconds(lambda p=pairs: certify_all(p, periods(p), memory=memory))[0])
    say(f"nine throws: {times[0]:.2f} s for the first, {np.mean(times[1:]):.2f} s for each of the others")


def maps():
    """Closest-approach map of every rod's bolts, beam and big end: 12 000 points each."""
    scene, total = vee(), 0.0
    rng = np.random.default_rng(1)
    others = [
        m
        for body, f in scene.bodies.items()
        if body in ("block", "cam", "piston_right_0")
        for m in f.values()
    ]
    law = scene.bodies["rod_left_0"]["beam"].law
    points = rng.uniform([-10, -37, -36], [10, 37, 160], size=(12_000, 3))
    took, found = seconds(lambda: closest_approach(law, points, others))
    total += took
    say(f"map of one rod, {len(points)} points: {took:.2f} s, proved error {found.error_mm:.2f} mm")
    return total <= LIMIT_MAP_S


def demo_engine():
    """Every pair of features of the demo vee-eight: pruned by reach, then certified."""
    engine = assemble(load_engine(Path(__file__).parents[2] / "demo_engines" / "tern.toml"))
    wanted, skipped = pairs_of(engine)
    movers = list({id(m): m for pair in wanted for m in (pair.a, pair.b)}.values())
    place = {id(m): k for k, m in enumerate(movers)}
    times, count = [], Count()
    for _ in range(ROUNDS):
        reach_s, bound = seconds(lambda: reach_bounds(movers))
        near = [p for p in wanted if bound[place[id(p.a)], place[id(p.b)]] <= NEAR_MM]
        pairs, turns = [(p.a, p.b) for p in near], [p.period_deg for p in near]
        count = Count()
        took, _ = seconds(lambda p=pairs, t=turns, c=count: certify_all(p, t, far_mm=NEAR_MM, count=c))
        times.append(reach_s + took)
    say(
        f"demo vee-eight: {len(wanted)} pairs, {len(skipped)} joined or at rest, {len(near)} within reach: "
        f"{min(times):.2f} s, {count.nodes} nodes, {count.supports} support evaluations"
    )
    return min(times) <= LIMIT_S


def main():
    good = whole_engine()
    good &= demo_engine()
    growth()
    pruning_and_sweep()
    good &= maps()
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e3
    say(f"memory at most {peak:.0f} MB")
    good &= peak < LIMIT_MB
    say("within limits" if good else "OUTSIDE limits")
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())
