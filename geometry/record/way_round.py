"""Which way round piston, rod, cap and shells stand in a bore: sides and ends as data, from the parts as assembled."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

from geometry.arrays import Array
from geometry.assembly import Assembly
from geometry.checks.fillets import cheek_on_both_sides, turning_tells
from geometry.kinematics.layout import BoreSite
from geometry.parts.rod import standing
from geometry.parts.rod_cap import cap_standing
from geometry.parts.shapes.crown import CrownShape, crown, inward_sign
from geometry.stack import crown_height_mm

End: TypeAlias = Literal["front", "rear"]


@dataclass(frozen=True, slots=True, eq=False)
class WayRound:
    """How the parts of one bore stand, seen in the bore's own frame: x to the rear, z to the deck.

    Attributes
    ----------
    bank_deg : the bore's lean about the crank axis, left positive
    plus_words, minus_words : the sides at +y and -y in the builder's words
    major_sign : +1 where the major thrust side is at +y, else -1
    mark_end : end of the engine that the piston's front mark points to
    top : of the piston in its own frame, which is the bore's where the mark points to the front
    large_end, cap_large_end : end that the large chamfer of the rod, and that of the cap, faces
    chamfer_tells : whether the chamfers tell a rod turned round
    rod_tang_sign, cap_tang_sign : side of tang and number on rod and cap, +1 at +y
    cheeks : ends at which a crank cheek, or the web of a split pin, stands beside the big end
    neighbour : the bore whose rod stands beside it on the pin; None where it has the pin to itself
    """

    bank_deg: float
    plus_words: str
    minus_words: str
    major_sign: int
    mark_end: End
    top: CrownShape
    large_end: End
    cap_large_end: End
    chamfer_tells: bool
    rod_tang_sign: int
    cap_tang_sign: int
    cheeks: tuple[End, ...]
    neighbour: int | None

    def words_at(self, sign: int) -> str:
        """The side at +y or -y in the builder's words."""
        return self.plus_words if sign > 0 else self.minus_words


def way_round(assembly: Assembly, site: BoreSite) -> WayRound:
    """How the parts of one bore stand as they were, or are to be, put together."""
    spec, build = assembly.design(site.bore), assembly.built.bore(site.bore)
    rod, cap = standing(site, assembly.built), cap_standing(site, assembly.built)
    piston = assembly.body(f"piston {site.bore}")
    origin = site if build.piston_from is None else assembly.layout.site(build.piston_from)
    at_plus = site.thrust_ring_deg == 90.0
    words = site.side("major"), site.side("minor")
    both = cheek_on_both_sides(spec, site)
    return WayRound(
        bank_deg=site.bank_deg,
        plus_words=words[0] if at_plus else words[1],
        minus_words=words[1] if at_plus else words[0],
        major_sign=1 if at_plus else -1,
        mark_end=_forward(piston.X_FA),
        top=crown(spec, inward_sign(origin), crown_height_mm(spec, build)),
        large_end=_forward(rod),
        cap_large_end=_forward(cap),
        chamfer_tells=turning_tells(spec, site),
        rod_tang_sign=_sign(rod),
        cap_tang_sign=_sign(cap),
        cheeks=("front", "rear") if both else ("front",) if site.cheek_side == "front" else ("rear",),
        neighbour=None if both else site.partner,
    )


def _forward(X_FA: Array) -> End:
    """The end of the engine that the front of a part's own frame faces."""
    return "front" if X_FA[0, 0] > 0 else "rear"


def _sign(X_FA: Array) -> int:
    """The side at which +y of a part's own frame lies, where its tang is."""
    return 1 if X_FA[1, 1] > 0 else -1
