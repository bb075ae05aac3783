"""Building every mesh of a V8's moving parts, and of all its parts, against doing it the plain way.

Run in the project's environment: ``python tests/bench/bench_parts.py``. The plain way makes each body on its own (no
part shared) and cuts with the mesh library's own booleans, which hand triangle soup to the same kernel and back for
every cut. Times are processor seconds and drift with what else the machine does: each is the least of several
rounds, the contenders take turns, and the ratio counts more than the time.
"""

import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import trimesh

from geometry.assembly import Assembly, assemble
from geometry.parts.shapes.mass import mass_properties
from geometry.solids import Box, Cylinder, Hull
from geometry.spec.load import load_engine

ROUNDS = 3
LIMIT_S = 1.0
TERN = Path(__file__).parents[2] / "demo_engines" / "tern.toml"


def parts_of(engine: Assembly, moving: bool) -> list:
    """Distinct parts, fresh each time: meshes are kept on the part."""
    return list({id(b.part): b.part for b in engine.bodies if not moving or b.frame != "E"}.values())


def shared(moving: bool) -> Callable[[], int]:
    def run() -> int:
        return sum(len(part.mesh.triangles) for part in parts_of(assemble(SPEC), moving))

    return run


def weighed() -> int:
    return len([mass_properties(part) for part in parts_of(assemble(SPEC), moving=True)])


def each_body() -> int:
    """The moving bodies one by one, each with its own mesh."""
    engine = assemble(SPEC)
    return sum(len(b.part.build_mesh().triangles) for b in engine.bodies if b.frame != "E")


def rods_by_mesh_booleans() -> int:
    """Eight rods as a mesh library would have them: pieces joined and bores cut one boolean at a time."""
    engine = assemble(SPEC)
    total = 0
    for body in (b for b in engine.bodies if b.part.kind == "rod"):
        solid = None
        for piece in (p for f in body.part.features for p in f.pieces):
            if isinstance(piece, Cylinder):
                mesh = trimesh.creation.cylinder(piece.radius_mm, piece.length_mm, sections=96)
            elif isinstance(piece, Box):
                mesh = trimesh.creation.box(piece.size_mm)
            elif isinstance(piece, Hull):
                mesh = trimesh.convex.convex_hull(np.asarray(piece.points_mm))
            else:
                mesh = trimesh.creation.revolve(piece.profile_mm, angle=np.pi, sections=48, cap=True)
            mesh.apply_transform(piece.X_AP)
            solid = mesh if solid is None else trimesh.boolean.union([solid, mesh], check_volume=False)
        for radius, z in (
            (SPEC.rod.big_end.bore_mm / 2, 0.0),
            (SPEC.piston.pin.diameter_mm / 2, SPEC.rod.length_mm),
        ):
            bore = trimesh.creation.cylinder(radius, 100.0, sections=96)
            bore.apply_transform(trimesh.transformations.rotation_matrix(np.pi / 2, [0, 1, 0]))
            bore.apply_translation([0.0, 0.0, z])
            solid = trimesh.boolean.difference([solid, bore], check_volume=False)
        total += len(solid.faces)
    return total


def eight_rods() -> int:
    """The rods as fullturn has them: one part, eight bodies."""
    engine = assemble(SPEC)
    return sum(len(b.part.mesh.triangles) for b in engine.bodies if b.part.kind == "rod")


CONTENDERS: dict[str, Callable[[], int]] = {
    "all parts, equal ones shared": shared(moving=False),
    "moving parts, equal ones shared": shared(moving=True),
    "moving parts, meshed and weighed": weighed,
    "moving parts, each body on its own": each_body,
    "eight rods, shared": eight_rods,
    "eight rods, mesh library's booleans": rods_by_mesh_booleans,
}


def main() -> int:
    best = dict.fromkeys(CONTENDERS, np.inf)
    base = np.inf
    for _ in range(ROUNDS):
        start = time.process_time()
        assemble(SPEC)
        base = min(base, time.process_time() - start)
        for name, run in CONTENDERS.items():
            start = time.process_time()
            run()
            best[name] = min(best[name], time.process_time() - start)
    lines = [f"assembling without meshes: {base:.3f} s, part of every row below"]
    lines += [f"{name:38s} {seconds:7.3f} s" for name, seconds in best.items()]
    ratio = best["moving parts, each body on its own"] / best["moving parts, equal ones shared"]
    rods = best["eight rods, mesh library's booleans"] / best["eight rods, shared"]
    within = best["all parts, equal ones shared"] <= LIMIT_S
    lines.append(f"sharing equal parts: {ratio:.1f} times; rods against mesh booleans: {rods:.1f} times")
    lines.append(f"all meshes of the V8 within {LIMIT_S:g} s: {'yes' if within else 'no'}")
    sys.stdout.write("\n".join(lines) + "\n")
    return 0 if within else 1


SPEC = load_engine(TERN)

if __name__ == "__main__":
    sys.exit(main())
