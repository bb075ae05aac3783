"""Engine files of a few values, of every layout there is a starter for, over the range that engines come in."""

from geometry.spec.base import FROM_FILE
from geometry.spec.engine import Engine
from geometry.spec.proportions.fill import fill

LAYOUTS = {
    "single": {"layout": "inline", "numbering": {"line": [1]}},
    "inline-four": {"layout": "inline", "numbering": {"line": [1, 2, 3, 4]}},
    "inline-six": {"layout": "inline", "numbering": {"line": [1, 2, 3, 4, 5, 6]}},
    "vee-eight": {"layout": "vee", "bank_angle": "90 deg", "numbering": {"left": [1, 3, 5, 7], "right": [2, 4, 6, 8]}},
    "vee-six": {"layout": "vee", "bank_angle": "60 deg", "numbering": {"left": [2, 4, 6], "right": [1, 3, 5]}},
    "flat-four": {"layout": "flat", "numbering": {"left": [2, 4], "right": [1, 3]}},
}  # fmt: skip


def few(layout, bore_mm=90.0, stroke_by_bore=0.93, rod_by_stroke=1.72, **general):
    """The data of a file with layout, bore, stroke and rod."""
    stroke = bore_mm * stroke_by_bore
    crank = {"stroke": f"{stroke} mm"}
    if layout == "vee-six":
        crank |= {"split": "60 deg", "throws": "three"}
    return {
        "engine": {**LAYOUTS[layout], **general},
        "crank": crank,
        "rod": {"length": f"{stroke * rod_by_stroke} mm"},
        "block": {"bore": {"diameter": f"{bore_mm} mm"}},
    }


def filled(data):
    """The engine of a file's data, what was missing filled in."""
    return Engine.model_validate(fill(data).data, context=FROM_FILE)
