"""Seeded parts for matching, as text, and their goal worked out bore by bore without the code under test."""

from dataclasses import dataclass, field
from functools import cache
from itertools import permutations, product
from math import inf, pi, sqrt

import numpy as np

from geometry.matching.fits import lay_parts_out
from geometry.matching.sheet import sheet_of
from geometry.spec.engine import Engine
from tests.geometry.fleet import FOLDER, raw, spec

INCH = 25.4
OFFSET, THROW = 0.040, 1.675


@dataclass
class Parts:
    """Sizes in inches and grams by kind, and the limits in inches: name of the fit to least and most."""

    bore: list
    piston: list = field(default_factory=list)
    pin: list = field(default_factory=list)
    rod: list = field(default_factory=list)
    shells: list = field(default_factory=list)
    top: list = field(default_factory=list)
    limits: dict = field(default_factory=dict)
    weights: dict = field(default_factory=dict)


HEADS = {
    "bore": "bore, diameter in, deck height in, crankpin in",
    "piston": "piston, diameter in, height in, pin bore in, mass g",
    "pin": "pin, diameter in, mass g",
    "rod": "rod, length in, housing in, pin bore in, small mass g",
    "shells": "shells, wall in, pairs",
    "top": "top ring, gap thou, in bore in",
}
LIMITS = {
    "piston to wall": (0.0025, 0.0035), "oil clearance": (0.0015, 0.0025), "deck": (0.007, 0.013),
    "pin in piston": (0.0002, 0.0006), "pin in rod": (-0.0012, -0.0004), "top ring gap": (0.016, 0.020),
}  # fmt: skip


def random_parts(seed, bores, kinds, spare=0, spread=1.0, grades=3):
    """Sizes about Tern's, in the steps of a micrometer."""
    rng = np.random.default_rng(seed)

    def sizes(middle, sigma, step, count):
        return np.round(np.round(rng.normal(middle, sigma * spread, count) / step) * step, 6).tolist()

    count = bores + spare
    found = Parts(
        bore=list(
            zip(
                sizes(4.0300, 2e-4, 1e-4, bores),
                sizes(8.985, 5e-4, 5e-4, bores),
                sizes(2.05, 2e-4, 1e-4, bores),
                strict=True,
            )
        ),
        limits=dict(LIMITS),
    )
    columns = {
        "piston": ((4.0270, 2e-4, 1e-4), (1.4500, 8e-4, 5e-4), (0.9404, 5e-5, 1e-5), (512.0, 2.0, 0.1)),
        "pin": ((0.9400, 5e-5, 1e-5), (121.0, 0.6, 0.1)),
        "rod": ((5.8500, 8e-4, 5e-4), (2.1760, 2e-4, 1e-4), (0.9392, 1e-4, 1e-5), (181.0, 1.5, 0.1)),
        "top": ((18.0, 0.8, 0.1), (4.0300, 1e-4, 1e-4)),
    }
    for kind in kinds:
        if kind == "shells":
            walls = [round(0.0615 + 0.00025 * k, 5) for k in range(grades)]
            most = max(1, -(-count // grades) + 1)
            found.shells = [(wall, most) for wall in walls]
        else:
            setattr(found, kind, list(zip(*(sizes(*c, count) for c in columns[kind]), strict=True)))
    return found


def text_of(parts, numbers):
    """The parts file of some parts."""
    lines = []
    for kind, head in HEADS.items():
        rows = getattr(parts, kind)
        if rows:
            lines += ["", head]
            names = numbers if kind == "bore" else [f"{kind[0].upper()}{k + 1}" for k in range(len(rows))]
            lines += [
                ", ".join([str(name), *(f"{value:.10g}" for value in row)])
                for name, row in zip(names, rows, strict=True)
            ]
    lines += ["", "limit, least in, most in, source"]
    lines += [f"{name}, {least}, {most}, the test's own" for name, (least, most) in parts.limits.items()]
    if parts.weights:
        lines += ["", "goal, weight"] + [f"{name}, {weight}" for name, weight in parts.weights.items()]
    return "\n".join(lines) + "\n"


def top_in(rod):
    return sqrt((THROW + rod) ** 2 - OFFSET**2)


def bore_goal(parts, bore, piston, pin, rod, shells, top, means):
    """What one bore costs, by the rule in words; infinite where parts bring a clearance outside its limits.

    What is the same with every part keeps none of them out: a piston to wall without pistons, say.
    """
    diameter, deck_height, crankpin = bore
    values = {}
    if piston:
        values["piston to wall"] = diameter - piston[0]
    else:
        values["piston to wall"] = diameter - 4.0270
    values["oil clearance"] = (rod[1] if rod else 2.1760) - 2 * (shells[0] if shells else 0.0620) - crankpin
    deck = deck_height - top_in(rod[0] if rod else 5.850) - (piston[1] if piston else 1.450)
    values["deck"] = deck
    if piston:
        values["pin in piston"] = piston[2] - (pin[0] if pin else 0.940)
    if rod:
        values["pin in rod"] = rod[2] - (pin[0] if pin else 0.940)
    if top:
        values["top ring gap"] = top[0] / 1000 + pi * (diameter - top[1])
    fixed = {"piston to wall": not piston, "oil clearance": not (rod or shells), "deck": not (rod or piston)}
    total = 0.0
    for name, value in values.items():
        least, most = parts.limits[name]
        if not fixed.get(name, False) and not least - 1e-9 <= value <= most + 1e-9:
            return inf
        total += parts.weights.get(name, 1.0) * ((value - (least + most) / 2) / ((most - least) / 2)) ** 2
    total += parts.weights.get("decks level", 1.0) * ((deck - means[0]) / 0.001) ** 2
    mass = (piston[3] if piston else 0) + (pin[1] if pin else 0) + (rod[3] if rod else 0)
    if piston or pin or rod:
        total += parts.weights.get("weights even", 1.0) * ((mass - means[1]) / 2.0) ** 2
    return total


def means_of(parts):
    """Mean deck and mean weight of all that the parts make."""
    deck = np.mean([b[1] for b in parts.bore])
    deck -= np.mean([top_in(r[0]) for r in parts.rod]) if parts.rod else top_in(5.850)
    deck -= np.mean([p[1] for p in parts.piston]) if parts.piston else 1.450
    mass = sum(
        np.mean([row[k] for row in rows])
        for rows, k in ((parts.piston, 3), (parts.pin, 1), (parts.rod, 3))
        if rows
    )
    return deck, mass


def brute(parts):
    """The least goal over every assignment there is, and one that has it; infinite where none is within limits."""
    count, means = len(parts.bore), means_of(parts)

    def ways(rows):
        return list(permutations(rows, count)) if rows else [(None,) * count]

    shelf = [(wall,) for wall, pairs in parts.shells for _ in range(pairs)]
    shells = set(permutations(shelf, count)) if shelf else {(None,) * count}
    rings = ways(parts.top)
    best, how = inf, None
    for pistons, pins, rods in product(ways(parts.piston), ways(parts.pin), ways(parts.rod)):
        # rings meet nothing but their bore, so they are tried apart; the rest is tried as it is
        for shell in shells:
            cost = 0.0
            for k in range(count):
                cost += bore_goal(parts, parts.bore[k], pistons[k], pins[k], rods[k], shell[k], None, means)
                if cost >= best:
                    break
            else:
                best, how = cost, (pistons, pins, rods, shell)
    if parts.top and how is not None:
        least, most = parts.limits["top ring gap"]
        of_rings = inf
        for way in rings:
            gaps = [row[0] / 1000 + pi * (parts.bore[k][0] - row[1]) for k, row in enumerate(way)]
            if all(least - 1e-9 <= gap <= most + 1e-9 for gap in gaps):
                middle, half = (least + most) / 2, (most - least) / 2
                of_rings = min(of_rings, sum(((gap - middle) / half) ** 2 for gap in gaps))
        best += of_rings
    return best, how


@cache
def engine_of(bores):
    """Tern with another number of bores, two on each throw."""
    if bores == 8:
        return spec("tern")
    general, half = dict(raw("tern")["engine"]), bores // 2
    general["numbering"] = {"left": list(range(1, bores, 2)), "right": list(range(2, bores + 1, 2))}
    general.pop("firing_order")
    crank = {**raw("tern")["crank"], "throws": [f"{720 * k // bores % 360} deg" for k in range(half)]}
    return Engine.model_validate({**raw("tern"), "engine": general, "crank": crank})


def shelf_of(text, engine):
    """Parts laid out, from the text of a parts file."""
    return lay_parts_out(engine, sheet_of(text, "parts.csv", engine, "in"), "in")


def random_shelf(parts):
    """The same from seeded parts."""
    engine = engine_of(len(parts.bore))
    return shelf_of(text_of(parts, range(1, len(parts.bore) + 1)), engine)


def demo(*changes):
    """Tern's parts file, with some lines exchanged: pairs of their beginnings and the new lines."""
    text = (FOLDER / "tern.parts.csv").read_text(encoding="utf-8")
    for start, line in changes:
        lines = text.split("\n")
        (at,) = [k for k, old in enumerate(lines) if old.startswith(start)]
        lines[at : at + 1] = [] if line is None else [line]
        text = "\n".join(lines)
    return text
