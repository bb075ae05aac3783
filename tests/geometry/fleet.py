"""The demo engines for tests, each read once; and ways to change one without a file."""

import tomllib
from functools import cache
from pathlib import Path

from geometry.assembly import assemble
from geometry.spec.engine import Engine

FOLDER = Path(__file__).parents[2] / "demo_engines"
NOT_MEASURED = "turnstone"
"""The one of which most values are assumed or not in its file; it has tests of its own."""
NAMES = sorted(
    path.stem
    for path in FOLDER.glob("*.toml")
    if not path.name.endswith(".record.toml") and path.stem != NOT_MEASURED
)
CLEAR = [name for name in NAMES if name != "tern_long_stroke"]


@cache
def raw(name):
    """A demo engine as the TOML reader gives it; not to be changed."""
    return tomllib.loads((FOLDER / f"{name}.toml").read_text(encoding="utf-8"))


@cache
def spec(name):
    return Engine.model_validate(raw(name))


@cache
def assembly(name):
    return assemble(spec(name))


@cache
def turned_round(name):
    """The same engine running the other way, its firing order left to the program."""
    general = dict(raw(name)["engine"])
    other = {"clockwise": "counter-clockwise", "counter-clockwise": "clockwise"}
    general["rotation"] = other[general["rotation"]]
    general.pop("firing_order", None)
    return Engine.model_validate({**raw(name), "engine": general})
