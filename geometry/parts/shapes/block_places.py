"""What each place of the block is to the parts that move: what runs in it, and what the engine file leaves open.

Every function gives a feature without its pieces.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from geometry.feature import Feature, Fit, Group, Unsaid, seats
from geometry.parts.shapes.block_section import Bank

SIDES_OF_BANKS: Final = Unsaid("the sides of the banks and the thickness of the deck")
BESIDE_THE_CAM: Final = Unsaid("how far a bank reaches towards the cam", frozenset({Group.CAM}))
END_WALLS: Final = Unsaid("the walls in front of the first main web and behind the last")
ROOM_FOR_SKIRTS: Final = Unsaid("the room for the skirts in the main webs", frozenset({Group.PISTON}))
ROOF_HEIGHT: Final = "the roof of the crankcase is taken to lie a little above the bottom of the bores"


def bore_wall(bank: Bank, bore: int) -> Feature:
    """The wall of one bore; the pistons of its neighbours are behind their own."""
    return Feature(
        "bore_wall", (), f"bore {bore}", group=Group.BLOCK, bore=bore,
        seat_of=seats(Fit.BORE, numbers=[bore]), behind=frozenset(bank.bores),
    )  # fmt: skip


def deck(bank: Bank) -> Feature:
    """The plate under the gasket."""
    return _of_bank("deck", bank, unsaid=SIDES_OF_BANKS)


def bank_side(bank: Bank) -> Feature:
    """The skins of a bank, and the metal between its bores."""
    return _of_bank("bank_side", bank, unsaid=SIDES_OF_BANKS)


def roof(bank: Bank) -> Feature:
    """The underside of a bank around its bores."""
    return _of_bank("crankcase_roof", bank, unsaid=BESIDE_THE_CAM, assumed=ROOF_HEIGHT)


def _of_bank(name: str, bank: Bank, unsaid: Unsaid, assumed: str = "") -> Feature:
    place = "" if bank.name == "line" else f"{bank.name} bank"
    behind = frozenset(bank.bores)
    return Feature(name, (), place, group=Group.BLOCK, behind=behind, unsaid=unsaid, assumed=assumed)


def pan_rail(side: str) -> Feature:
    """The rail on one side."""
    return Feature("pan_rail", (), side, group=Group.BLOCK)


def crankcase_wall(place: str, behind: Iterable[Bank] = ()) -> Feature:
    """One wall of a bay, or that part of it which is beside the barrels of some banks."""
    banks = tuple(behind)
    bores = frozenset(bore for bank in banks for bore in bank.bores)
    part = "beside the barrels" + "".join(f", {bank.name}" for bank in banks) if banks else ""
    return Feature("crankcase_wall", (), place, group=Group.BLOCK, behind=bores, part=part)


def main_web(web: int) -> Feature:
    """One main web, from the front, from 0."""
    bearings = seats(Fit.MAIN_BEARING, Fit.CAM_BEARING, numbers=[web + 1])
    return Feature(
        "main_web", (), f"web {web + 1}", group=Group.BLOCK, seat_of=bearings, unsaid=ROOM_FOR_SKIRTS
    )


def cam_tunnel(web: int) -> Feature:
    """The boss around the cam in one web, from 0."""
    seat_of = seats(Fit.CAM_BEARING, numbers=[web + 1])
    return Feature("cam_tunnel", (), f"web {web + 1}", group=Group.BLOCK, seat_of=seat_of)


def end_wall(end: str) -> Feature:
    """The wall that closes the case at one end."""
    return Feature("end_wall", (), end, group=Group.BLOCK, unsaid=END_WALLS)
