"""Engines of every layout for the ring tests, made of the demo's parts."""

from pathlib import Path

from geometry.spec.engine import Engine
from geometry.spec.load import read_toml, validate_model

TERN = Path(__file__).parents[3] / "demo_engines" / "tern.toml"
LAYOUTS = ("inline", "vee90", "vee60", "flat")
ROTATIONS = ("clockwise", "counter-clockwise")


def data_of(layout="vee90", rotation="clockwise"):
    """A fresh copy of the demo's data with its bores arranged another way."""
    data = read_toml(TERN)
    general = data["engine"]
    general["rotation"] = rotation
    del general["firing_order"]
    if layout == "vee60":
        general["bank_angle"] = "60 deg"
    if layout in ("inline", "flat"):
        del general["bank_angle"]
        general["layout"] = layout
        data["crank"]["pin"]["width"] = "1.000 in"
        data["crank"]["throws"] = "flat-plane" if layout == "inline" else "boxer"
        general["numbering"] = {"left": [1, 3], "right": [2, 4]}
    if layout == "inline":
        del general["leading_bank"]
        general["numbering"] = {"line": [1, 2, 3, 4]}
    return data


def engine(layout="vee90", rotation="clockwise", **tables):
    """An engine, with tables of the file changed: ``rings={"scheme": "quarters"}``."""
    data = data_of(layout, rotation)
    for name, changes in tables.items():
        _lay_over(data[name], changes)
    return validate_model(Engine, data, "test")


def _lay_over(table, changes):
    for key, value in changes.items():
        if isinstance(value, dict) and isinstance(table.get(key), dict):
            _lay_over(table[key], value)
        else:
            table[key] = value


def mirrored(layout, rotation, **tables):
    """The mirror image in the plane through the crank axis: banks change places and the crank turns the other way."""
    data = data_of(layout, ROTATIONS[1 - ROTATIONS.index(rotation)])
    general = data["engine"]
    if layout == "inline":
        # Across counts to the right here, so it changes sign; in a vee or flat inward stays inward.
        for pocket in data["piston"]["pockets"]:
            number, unit = pocket["inward"].split()
            pocket["inward"] = f"{-float(number)} {unit}"
    else:
        numbering = general["numbering"]
        general["numbering"] = {"left": numbering["right"], "right": numbering["left"]}
        general["leading_bank"] = "right"
    for name, changes in tables.items():
        _lay_over(data[name], changes)
    return validate_model(Engine, data, "test")
