"""How materials, marks and verdicts look, as data that every renderer reads."""

from __future__ import annotations

from dataclasses import dataclass

Colour = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Surface:
    """A surface.

    Attributes
    ----------
    colour : sRGB, 0 to 1
    metallic, roughness : of the physically based model, 0 to 1
    flat : lettering, lines and faces of a cut, drawn in their own colour whatever the light
    """

    colour: Colour
    metallic: float = 0.0
    roughness: float = 0.8
    flat: bool = False


LOOKS: dict[str, Surface] = {
    "cast_iron": Surface((0.43, 0.44, 0.455), 0.55, 0.66),
    "machined_cast_iron": Surface((0.49, 0.50, 0.515), 0.8, 0.38),
    "machined_steel": Surface((0.76, 0.78, 0.81), 0.95, 0.22),
    "machined_ductile_iron": Surface((0.58, 0.59, 0.61), 0.88, 0.28),
    "steel": Surface((0.66, 0.68, 0.71), 0.92, 0.34),
    "ductile_iron": Surface((0.40, 0.41, 0.43), 0.75, 0.38),
    "aluminium": Surface((0.79, 0.80, 0.82), 0.88, 0.44),
    "bearing_metal": Surface((0.80, 0.60, 0.38), 0.85, 0.36),
    "gasket": Surface((0.30, 0.33, 0.37), 0.1, 0.85),
    "glass": Surface((0.52, 0.62, 0.72), 0.0, 0.35),
    "cut_cast_iron": Surface((0.69, 0.53, 0.39), flat=True),
    "cut_ductile_iron": Surface((0.60, 0.47, 0.36), flat=True),
    "cut_steel": Surface((0.55, 0.64, 0.72), flat=True),
    "cut_aluminium": Surface((0.80, 0.82, 0.74), flat=True),
    "cut_bearing_metal": Surface((0.86, 0.64, 0.30), flat=True),
    "cut_crank": Surface((0.80, 0.77, 0.72), flat=True),
    "cut_other_rod": Surface((0.76, 0.80, 0.84), flat=True),
    "cut_gasket": Surface((0.36, 0.36, 0.36), flat=True),
    "hatch": Surface((0.22, 0.20, 0.18), flat=True),
    "highlight": Surface((0.27, 0.56, 0.61), 0.3, 0.45),
    "heat": Surface((0.86, 0.90, 0.92), 0.0, 0.75),
    "ink": Surface((0.13, 0.16, 0.20), flat=True),
    "mark": Surface((0.10, 0.36, 0.55), 0.0, 0.6),
    "thrust": Surface((0.62, 0.16, 0.42), flat=True),
    "axis": Surface((0.25, 0.33, 0.42), flat=True),
    "bore wall": Surface((0.48, 0.53, 0.60), flat=True),
    "glass edge": Surface((0.58, 0.62, 0.67), flat=True),
    "edge": Surface((0.16, 0.18, 0.21), flat=True),
    "clear": Surface((0.05, 0.47, 0.34), flat=True),
    "close": Surface((0.72, 0.42, 0.00), flat=True),
    "touches": Surface((0.78, 0.16, 0.12), flat=True),
    "overlaps": Surface((0.66, 0.05, 0.20), flat=True),
}
# Picked out in a calm teal: no metal, cut face or mark has it, and on steel, iron and aluminium alike it is told apart.
# A cut face takes a warm or cool tint by its material, matt and light, so that it is never taken for a surface.

BACKGROUND_LOW: Colour = (0.80, 0.825, 0.85)
BACKGROUND_HIGH: Colour = (0.955, 0.962, 0.97)

# Closest approach from touching to far: dark red, amber, pale yellow, grey-blue; told apart in grey as well, since
# the lightness rises all the way.
NEARNESS: tuple[Colour, ...] = (
    (0.42, 0.02, 0.10),
    (0.74, 0.15, 0.11),
    (0.93, 0.45, 0.12),
    (0.98, 0.73, 0.28),
    (0.97, 0.90, 0.62),
    (0.86, 0.90, 0.92),
)


def cut_look(material: str) -> str:
    """Name of the look of a face cut through a material."""
    name = f"cut_{material}"
    return name if name in LOOKS else "cut_steel"


def machined_look(material: str) -> str:
    """Name of the look of a bored, turned or ground surface of a material."""
    name = f"machined_{material}"
    return name if name in LOOKS else material


def look_of(material: str) -> Surface:
    """The look of a material; an unknown one reads as steel."""
    return LOOKS.get(material, LOOKS["steel"])
