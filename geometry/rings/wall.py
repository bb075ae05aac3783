"""What the rings run on: the metal of the bore's wall, by the engine file or assumed, and how it grows.

A liner in an aluminium block is taken to grow as its own metal does, as if it lay free. While the block's own
growth is the greater of the two (it is as long as the block's rise of temperature is over 11.4/21.5, about
half, of an iron liner's), the block only takes pressure off a pressed-in liner or pulls a cast-in one outward:
thin rings in contact share the difference by their stiffnesses, so that the bore grows by at least what the
liner does alone and at most what the block does alone. The gap that is worked out is then the least that can be
left.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi
from typing import Final, Literal

from geometry.rings.hot import EXPANSION, ROOM_C, Expansion
from geometry.rings.source import Source
from geometry.spec.engine import Engine

WallMetal = Literal["cast_iron", "steel", "aluminium"]

_EXPANSION_KEY: Final[dict[WallMetal, str]] = {
    "cast_iron": "cast_iron", "steel": "steel", "aluminium": "cast_aluminium",
}  # fmt: skip
_FILE: Final = Source("your engine file", "stated")
_BLOCK: Final = Source("the iron of the block, your engine file", "stated")
_LINERS: Final = Source("iron liners assumed, the engine file has no block.bore.material", "practice")


@dataclass(frozen=True, slots=True)
class Wall:
    """The wall of the bores.

    Attributes
    ----------
    metal : what it is made of
    expansion : its mean linear expansion with its source
    lined : whether its expansion is that of a liner of other metal in an aluminium block
    assumed : whether the engine file leaves it open
    source : who says what it is made of
    """

    metal: WallMetal
    expansion: Expansion
    lined: bool
    assumed: bool
    source: Source


def wall_of(spec: Engine) -> Wall:
    """Find the metal of the bores: the engine file's, else iron liners where the block is of aluminium.

    An expansion written under ``rings.heat`` goes before the metal's own.
    """
    written, aluminium = spec.block.bore.material, spec.block.material == "aluminium"
    metal: WallMetal = "cast_iron" if written is None else written
    own = spec.rings.heat
    if own is not None and own.bore_expansion_per_k is not None:
        return Wall(
            metal, Expansion(own.bore_expansion_per_k, _FILE), lined=False, assumed=False, source=_FILE
        )
    assumed = written is None and aluminium
    return Wall(
        metal,
        EXPANSION[_EXPANSION_KEY[metal]],
        lined=aluminium and metal != "aluminium",
        assumed=assumed,
        source=_LINERS if assumed else _BLOCK if written is None else _FILE,
    )


def more_left_mm(wall: Wall, bore_mm: float, bore_c: float) -> float:
    """Tell how much more gap an aluminium block can leave by widening its liners: at most its own growth.

    Parameters
    ----------
    wall : the wall
    bore_mm : bore diameter, mm
    bore_c : temperature of the wall, Celsius

    Returns
    -------
    Length along the wall, mm; zero where the wall is no liner.
    """
    if not wall.lined:
        return 0.0
    more_per_k = EXPANSION["cast_aluminium"].per_k - wall.expansion.per_k
    return max(0.0, pi * bore_mm * more_per_k * (bore_c - ROOM_C))
