"""Demo engines with every part weighed, so that no solid need be made to weigh it."""

from functools import cache

from geometry.assembly import assemble
from geometry.spec.engine import Engine
from tests.geometry import fleet

WEIGHED = {"pin_kg": 0.118, "locks_kg": 0.002, "rings_kg": 0.036, "shells_kg": 0.044, "oil_kg": 0.004}


def weighed_spec(name, crank=None, **weights):
    """A demo engine with weights: piston 500 g, rod 420 g at the big and 180 g at the small end."""
    raw = fleet.raw(name)
    return Engine.model_validate({
        **raw,
        "crank": raw["crank"] | (crank or {}),
        "piston": raw["piston"] | {"mass": 0.5},
        "rod": raw["rod"] | {"mass_small": 0.18, "mass_big": 0.42},
        "weights": WEIGHED | weights,
    })  # fmt: skip


@cache
def weighed(name):
    return assemble(weighed_spec(name), kinds=("crank",))
