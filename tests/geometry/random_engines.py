"""Random engines for proofs: a starter or demo engine scaled, opened or closed in its bank, stroked and leaned upon.

Seeded, so that a failure comes back. Engines that the file's own rules refuse are left out.
"""

import re
from copy import deepcopy

import numpy as np
from pydantic import ValidationError

from geometry.assembly import assemble
from geometry.errors import GeometryError
from geometry.spec.engine import Engine
from tests.geometry.fleet import NAMES, raw

LENGTH = re.compile(r"^(-?[\d./]+) (in|mm|thou)$")
COUNT = re.compile(r"^(-?[\d.]+) (cc)$")


def scaled(value, factor):
    """Every length of a raw engine times a factor, every volume times its cube."""
    if isinstance(value, dict):
        return {key: scaled(item, factor) for key, item in value.items() if key != "torque"} | {
            key: item for key, item in value.items() if key == "torque"
        }
    if isinstance(value, list):
        return [scaled(item, factor) for item in value]
    if isinstance(value, str):
        for pattern, power in ((LENGTH, 1), (COUNT, 3)):
            found = pattern.match(value)
            if found:
                top, _, bottom = found[1].partition("/")
                number = float(top) / float(bottom or 1) * factor**power
                return f"{number:.9g} {found[2]}"
    return value


def leaned_on(engine, random):
    """One engine with a few dimensions changed: what a slip or another set of parts would do."""
    engine = deepcopy(engine)
    block, crank = engine["block"], engine["crank"]
    for table, key, spread in (
        (crank, "stroke", 0.12),
        (crank["counterweight"], "radius", 0.06),
        (block["bore"], "length", 0.06),
        (engine["rod"], "length", 0.03),
        (engine["piston"]["skirt"], "bottom", 0.1),
    ):
        if random.random() < 0.6:
            table[key] = scaled(table[key], 1.0 + spread * random.uniform(-1, 1))
    if engine["engine"].get("layout") == "vee" and random.random() < 0.6:
        engine["engine"]["bank_angle"] = f"{random.choice([45, 60, 72, 90, 100, 120])} deg"
    if random.random() < 0.3:
        engine["engine"]["rotation"] = "counter-clockwise"
        engine["engine"].pop("firing_order", None)
    return scaled(engine, float(random.choice([0.4, 0.7, 1.0, 1.0, 1.6])))


def random_engine(seed):
    """(name, assembly) of one random engine, or None where the rules refuse it."""
    random = np.random.default_rng(seed)
    name = NAMES[int(random.integers(len(NAMES)))]
    data = leaned_on(raw(name), random)
    try:
        return name, assemble(Engine.model_validate(data))
    except (ValidationError, GeometryError, ValueError):
        return None


def with_changes(name, changes):
    """A demo engine with some values written anew, by their dotted keys."""
    data = deepcopy(raw(name))
    for key, text in changes.items():
        *tables, last = key.split(".")
        table = data
        for step in tables:
            table = table[step]
        table[last] = text
    return assemble(Engine.model_validate(data))
