"""What the usual spellings of a unit are worth, worked out once: so that reading ``4.030 in`` loads no units library.

The units library remains the judge: a test asks it about every entry. A spelling that is not here is worked out
by it when it is met.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

RATIOS: Final[Mapping[str, Mapping[str, str]]] = {
    "length": {
        "mm": "1", "cm": "10", "m": "1000", "um": "0.001",
        "in": "25.4", "inch": "25.4", "inches": "25.4", "ft": "304.8",
        "thou": "0.0254", "mil": "0.0254", "mils": "0.0254",
    },
    "angle": {
        "deg": "1", "degree": "1", "degrees": "1", "turn": "360", "turns": "360",
        "rad": "57.29577951308232087679815481410517033240547246656432",
    },
    "mass": {
        "kg": "1", "g": "0.001", "lb": "0.45359237", "lbs": "0.45359237", "oz": "45359237/1600000000",
    },
    "force": {"N": "1", "kN": "1000", "lbf": "4.4482216152605"},
    "torque": {
        "N*m": "1", "lbf*ft": "1.3558179483314004", "ft*lbf": "1.3558179483314004",
        "lbf*in": "0.1129848290276167", "in*lbf": "0.1129848290276167",
    },
    "pressure": {
        "MPa": "1", "GPa": "1000", "kPa": "0.001", "bar": "0.1",
        "psi": "8896443230521/1290320000000000", "ksi": "8896443230521/1290320000000",
    },
    "rotation": {"rpm": "1"},
    "speed": {"m/s": "1", "ft/min": "0.00508"},
    "temperature": {"degC": "1", "C": "1", "degF": "5/9 -160/9", "F": "5/9 -160/9", "K": "1 -273.15"},
    "temperature_difference": {"K": "1", "degC": "1", "C": "1", "degF": "5/9", "F": "5/9"},
    "expansion": {
        "1/K": "1", "1/degC": "1", "1/degF": "1.8",
        "ppm/K": "0.000001", "ppm/degC": "0.000001", "ppm/degF": "0.0000018", "um/m/K": "0.000001",
    },
    "area": {"mm^2": "1", "cm^2": "100", "in^2": "645.16"},
    "volume": {"cc": "1", "ml": "1", "mL": "1", "cm^3": "1", "in^3": "16.387064", "ci": "16.387064", "L": "1000"},
    "density": {"kg/m^3": "1", "g/cm^3": "1000", "g/cc": "1000", "lb/in^3": "56699046250/2048383"},
}  # fmt: skip
"""By dimension and spelling: the house unit's worth of one, exact, and where zero lies when it is not at zero."""
