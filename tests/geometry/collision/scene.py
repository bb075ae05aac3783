"""A made-up vee engine of convex pieces, for clearance tests and benchmarks: no real engine's dimensions."""

from dataclasses import dataclass, field

import numpy as np

from geometry.collision.mover import Mover
from geometry.kinematics.laws import fixed, piston, rod, spin
from geometry.solids import Box, Cylinder, Hull, Lobe, Revolved

THROW, ROD, OFFSET, BANK = 44.0, 145.0, 0.8, 45.0
BORE, DECK_LOW, PITCH = 102.0, 82.0, 112.0


def at(x=0.0, y=0.0, z=0.0, axis="z", turn_deg=0.0):
    """Pose of a piece: its own z along the named axis, turned about +x afterwards, then shifted."""
    X = np.eye(4)
    if axis == "x":
        X[:3, :3] = [[0, 0, 1], [1, 0, 0], [0, 1, 0]]
    if axis == "y":
        X[:3, :3] = [[0, 1, 0], [0, 0, 1], [1, 0, 0]]
    c, s = np.cos(np.radians(turn_deg)), np.sin(np.radians(turn_deg))
    X[:3, :3] = np.array([[1, 0, 0], [0, c, -s], [0, s, c]]) @ X[:3, :3]
    X[:3, 3] = x, y, z
    return X


def slab(r0, r1, half):
    """Rectangular (r, z) profile."""
    return np.array([[r0, -half], [r1, -half], [r1, half], [r0, half]])


def rod_features():
    beam = [[s * 7, t * w, z] for s in (-1, 1) for t in (-1, 1) for w, z in ((13, 24), (9, 128))]
    return {
        "beam": (Hull(np.array(beam, dtype=float)), Cylinder(16, 22, at(z=ROD, axis="x"))),
        "big_end": (Cylinder(31, 20, at(axis="x")), Box((20, 74, 24), at(z=2))),
        "cap": (
            Hull(
                np.array(
                    [
                        [s * 10, t * y, z]
                        for s in (-1, 1)
                        for t in (-1, 1)
                        for y, z in ((36, -10), (36, -22), (16, -35))
                    ],
                    dtype=float,
                )
            ),
        ),
        "bolt_minus": (Cylinder(7, 9, at(y=-30, z=-26.5)), Cylinder(4.5, 40, at(y=-30, z=0))),
        "bolt_plus": (Cylinder(7, 9, at(y=30, z=-26.5)), Cylinder(4.5, 40, at(y=30, z=0))),
    }


def piston_features():
    bump = Revolved(slab(45, 50.8, 25), 55, 125), Revolved(slab(45, 50.8, 25), 235, 305)
    return {
        "crown": (Cylinder(50.8, 20, at(z=32)),),
        "skirt": bump,
        "boss": (Box((14, 30, 34), at(x=22)), Box((14, 30, 34), at(x=-22))),
    }


@dataclass
class Scene:
    """Movers by body."""

    bodies: dict = field(default_factory=dict)
    bays: int = 4


def crank_features(bays, pins):
    out = {}
    for k in range(bays):
        for side, x in (("front", k * PITCH + 18.0), ("rear", k * PITCH + 62.0 + 14.0)):
            cheek = Lobe(33, 31, THROW, 14, at(x=x, axis="x", turn_deg=pins[k]))
            weight = Revolved(slab(28, 74, 7), 120, 240, at(x=x, axis="x", turn_deg=pins[k] + 90))
            out[f"cheek_{k}_{side}"] = (cheek,)
            out[f"weight_{k}_{side}"] = (weight,)
    return out


def vee(bays=4, pins=(0.0, 90.0, 270.0, 180.0), offset=OFFSET, throw=THROW):
    """``bays`` throws, two bores on each; the crank's throws at ``pins`` degrees."""
    scene = Scene(bays=bays)
    pins = [pins[k % len(pins)] for k in range(bays)]
    block = {}
    for side, y in (("left", -1), ("right", 1)):
        length = bays * PITCH + 20
        block[f"wall_{side}"] = (Box((length, 8, 100), at(x=length / 2 - 10, y=y * 96.0, z=-10)),)
        block[f"rail_{side}"] = (Box((length, 14, 12), at(x=length / 2 - 10, y=y * 93.0, z=-46)),)
    for k in range(bays + 1):
        web = Hull(
            np.array(
                [
                    [k * PITCH - 10 + s, y, z]
                    for s in (-9, 9)
                    for y, z in ((-92, -30), (92, -30), (92, 60), (-92, 60))
                ],
                dtype=float,
            )
        )
        block[f"web_{k}"] = (web,)
    crank = {}
    for name, pieces in crank_features(bays, pins).items():
        crank[name] = Mover(f"crank/{name}", spin(), pieces)
    scene.bodies["crank"] = crank
    cam = {}
    for k in range(2 * bays):
        for lobe in range(2):
            x = (k // 2) * PITCH + 24 + 38 * (k % 2) + 14 * lobe
            pose = at(x=x, axis="x", turn_deg=45.0 * k + 110 * lobe)
            cam[f"lobe_{k}_{lobe}"] = Mover(
                f"cam/lobe_{k}_{lobe}", spin(ratio=0.5, at_mm=(0, 0, 135)), (Lobe(17, 9, 14, 12, pose),)
            )
    scene.bodies["cam"] = cam
    for k in range(bays):
        for bank, sign, x in (("left", 1, k * PITCH + 36.0), ("right", -1, k * PITCH + 58.0)):
            law = (x, sign * BANK, pins[k], throw, ROD, sign * offset)
            bore = f"{bank}_{k}"
            scene.bodies[f"rod_{bore}"] = {
                n: Mover(f"rod_{bore}/{n}", rod(*law), p) for n, p in rod_features().items()
            }
            scene.bodies[f"piston_{bore}"] = {
                n: Mover(f"piston_{bore}/{n}", piston(*law), p) for n, p in piston_features().items()
            }
            wall = np.array([[51, 84], [53, DECK_LOW], [57, DECK_LOW], [57, 220], [51, 220.0]])
            block[f"bore_{bore}"] = (Revolved(wall, 0, 360, at(x=x, turn_deg=sign * BANK), outward=True),)
    scene.bodies["block"] = {n: Mover(f"block/{n}", fixed(), p) for n, p in block.items()}
    return scene


def issue_pairs(scene):
    """The pairs a builder asks about, bore by bore: rods and counterweights against what is near."""
    pairs = []
    block, crank, cam = scene.bodies["block"], scene.bodies["crank"], scene.bodies["cam"]
    for k in range(scene.bays):
        lobes = [m for n, m in cam.items() if int(n.split("_")[1]) // 2 == k]
        for bank, other in (("left", "right"), ("right", "left")):
            rod_ = scene.bodies[f"rod_{bank}_{k}"]
            near = [
                block[n]
                for n in (
                    "wall_left",
                    "wall_right",
                    "rail_left",
                    "rail_right",
                    f"web_{k}",
                    f"web_{k + 1}",
                    f"bore_{bank}_{k}",
                    f"bore_{other}_{k}",
                )
            ]
            skirts = [scene.bodies[f"piston_{bank}_{k}"][n] for n in ("skirt", "boss", "crown")]
            skirts += [scene.bodies[f"piston_{other}_{k}"]["skirt"]]
            for part in rod_.values():
                pairs += [(part, m) for m in (*near, *skirts, *lobes)]
            pairs += [
                (part, crank[f"{c}_{k}_{e}"])
                for part in rod_.values()
                for c in ("cheek", "weight")
                for e in ("front", "rear")
            ]
            for end in ("front", "rear"):
                weight = crank[f"weight_{k}_{end}"]
                pairs += [(weight, m) for m in skirts]
        rods = [scene.bodies[f"rod_{b}_{k}"] for b in ("left", "right")]
        pairs += [(p, q) for p in rods[0].values() for q in rods[1].values()]
        for end in ("front", "rear"):
            weight = crank[f"weight_{k}_{end}"]
            pairs += [
                (weight, block[n])
                for n in (
                    "wall_left",
                    "wall_right",
                    "rail_left",
                    "rail_right",
                    f"web_{k}",
                    f"web_{k + 1}",
                    f"bore_left_{k}",
                    f"bore_right_{k}",
                )
            ]
            pairs += [(weight, m) for m in lobes]
    return pairs
