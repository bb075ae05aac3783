"""What bolts stand by their grade, and what the metals stand that they are screwed into and press on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

GradeName: TypeAlias = Literal["8.8", "10.9", "12.9", "sae_5", "sae_8"]
Metal: TypeAlias = Literal["cast_iron", "steel", "aluminium", "forged_aluminium"]
KSI: Final = 6.894757293168361
"""One thousand pounds to the square inch, MPa."""


@dataclass(frozen=True, slots=True)
class Grade:
    """One grade of bolt.

    Attributes
    ----------
    proof_mpa, yield_mpa, tensile_mpa : least, by its standard
    words : as it is called
    source : who says so
    """

    proof_mpa: float
    yield_mpa: float
    tensile_mpa: float
    words: str
    source: str


_ISO: Final = "ISO 898-1"
_SAE: Final = "SAE J429, as Shigley has it"
GRADES: Final[Mapping[GradeName, Grade]] = {
    "8.8": Grade(580.0, 640.0, 800.0, "class 8.8", f"{_ISO}, up to 16 mm; proof from memory"),
    "10.9": Grade(830.0, 940.0, 1040.0, "class 10.9", _ISO),
    "12.9": Grade(970.0, 1100.0, 1220.0, "class 12.9", _ISO),
    "sae_5": Grade(85.0 * KSI, 92.0 * KSI, 120.0 * KSI, "grade 5", f"{_SAE}, up to 1 in"),
    "sae_8": Grade(120.0 * KSI, 130.0 * KSI, 150.0 * KSI, "grade 8", _SAE),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Holds:
    """What a metal stands where a bolt is in it or on it.

    Attributes
    ----------
    shear_mpa : at which its threads shear off
    pressure_mpa : under a head or washer, at which it gives way
    words : what it is taken for
    """

    shear_mpa: float
    pressure_mpa: float
    words: str


METALS: Final[Mapping[Metal, Holds]] = {
    "cast_iron": Holds(200.0, 850.0, "grey cast iron"),
    "steel": Holds(480.0, 900.0, "forged steel"),
    "aluminium": Holds(130.0, 290.0, "cast aluminium"),
    "forged_aluminium": Holds(260.0, 400.0, "forged aluminium"),
}
"""Grey iron of 250 MPa in tension, steel of 800, cast aluminium of 230 and forged of 450."""
METALS_SOURCE: Final = (
    "strength of the metal by its family (after VDI 2230, from memory); the part maker's figure wins"
)
SHEAR_SHARE: Final = 0.6
"""Shear strength of a bolt as a share of its tensile strength; usual for quenched steel, from memory (VDI 2230)."""
