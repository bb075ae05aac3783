"""Tern and records typed at the bench, shared by the tests of the record."""

from functools import cache
from pathlib import Path

from geometry.record.entries import set_entries
from geometry.record.load import load_record
from geometry.spec.load import load_engine

DEMOS = Path(__file__).parents[3] / "demo_engines"


@cache
def tern():
    return load_engine(DEMOS / "tern.toml")


@cache
def backwards():
    """Tern running the other way."""
    return load_engine(
        DEMOS / "tern.toml",
        {"engine.rotation": "counter-clockwise", "engine.firing_order": "[1, 2, 6, 3, 4, 5, 7, 8]"},
    )


def typed(folder, *lines, engine=None):
    """The record that these lines typed at the bench make: ``"bore 3: ring.top.gap go=18thou tight=19thou"``."""
    path = folder / "bench.record.toml"
    spec = engine or tern()
    for line in lines:
        place, _, words = line.partition(": ")
        set_entries(path, spec, place, words.split())
    return load_record(path, spec)
