"""The order in which main caps and heads are tightened, bolt by bolt and stage by stage, as numbers."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final, Literal, TypeAlias

from geometry.assembly import Assembly
from geometry.checks.bolt_joint import BoltJoint, head_joint, main_joint
from geometry.kinematics.layout import BoreSite
from geometry.spec.bolt import HeadBolt
from geometry.spec.engine import BankName

Which: TypeAlias = Literal["main", "head"]
ROWS: Final = 0.475
BESIDE: Final = 0.68
"""How far head bolts stand from the bores' middle by the bore, between bores and beside one; for the picture alone."""
SHARES: Final[dict[Which, tuple[float, ...]]] = {"main": (0.5, 1.0), "head": (1 / 3, 2 / 3, 1.0)}
"""Stages where none are written, as shares of the torque."""
PRACTICE: Final = "common practice, no source; the maker's order wins"
STAGED: Final = "shares of the torque, common practice, no source; the maker's stages win"
FROM_FILE: Final = "your engine file"


@dataclass(frozen=True, slots=True)
class BoltPlace:
    """One bolt of a cap or head.

    Attributes
    ----------
    number : counted from the front, left before right
    x_mm : behind the block's front face
    y_mm : right of the middle of caps or bores, in the engine's own sense
    cap : the main cap that it holds, from the front; None for a head's
    """

    number: int
    x_mm: float
    y_mm: float
    cap: int | None = None

    @property
    def side(self) -> Literal["left", "right", "middle"]:
        """Which side of the middle it stands on."""
        return "middle" if abs(self.y_mm) < 1e-6 else "left" if self.y_mm < 0.0 else "right"

    @property
    def words(self) -> str:
        """As it is called: ``cap 3, left``, ``bolt 7``."""
        return f"bolt {self.number}" if self.cap is None else f"cap {self.cap}, {self.side}"


@dataclass(frozen=True, slots=True)
class OrderStage:
    """One stage: all bolts in order, to a torque in N*m or on by an angle in degrees."""

    torque_nm: float | None
    angle_deg: float | None = None


@dataclass(frozen=True, slots=True)
class TighteningOrder:
    """How the main caps, or one head, are tightened.

    Attributes
    ----------
    which : main caps or head
    bank : whose head; None for main caps
    bolts : where each stands, by number
    order : their numbers, first to last; the same in every stage
    stages : in order; empty where nothing is said to tighten them to
    source : who says the order
    stages_source : who says the stages
    positions_assumed : the bolts' places follow from the bores, not from the file
    """

    which: Which
    bank: BankName | None
    bolts: tuple[BoltPlace, ...]
    order: tuple[int, ...]
    stages: tuple[OrderStage, ...]
    source: str
    stages_source: str
    positions_assumed: bool

    @property
    def ranked(self) -> tuple[tuple[int, BoltPlace], ...]:
        """Each bolt with when it comes, from 1, in that order."""
        return tuple((rank, self.bolts[number - 1]) for rank, number in enumerate(self.order, start=1))


def tightening_orders(assembly: Assembly, which: Which) -> tuple[TighteningOrder, ...]:
    """The order of the main caps, or of each bank's head, left before right.

    The rule: from the middle outwards, both bolts of a cap one after the other, the bolts of a head crosswise. Common
    practice, no source. An order of the engine file stands in for it.

    Parameters
    ----------
    which : ``main`` needs nothing of the file; ``head`` needs its ``[head.bolt]``, and is empty without
    """
    if which == "main":
        return (_mains(assembly),)
    bolt = assembly.spec.head.bolt
    if bolt is None:
        return ()
    banks = dict.fromkeys(site.bank for site in sorted(assembly.layout.bores, key=lambda s: s.bank))
    return tuple(_head(assembly, bolt, bank) for bank in banks)


def _mains(assembly: Assembly) -> TighteningOrder:
    cap, at = assembly.spec.block.main_cap, assembly.layout.main_x_mm
    bolts = tuple(
        BoltPlace(2 * k + (side > 0) + 1, float(x), side * cap.bolt_spacing_mm / 2, k + 1)
        for k, x in enumerate(at)
        for side in (-1, 1)
    )
    own = list(cap.bolt.order) if cap.bolt is not None else []
    middle = (len(at) + 1) / 2
    caps = own or sorted(range(1, len(at) + 1), key=lambda number: (abs(number - middle), number))
    order = tuple(number for k in caps for number in (2 * k - 1, 2 * k))
    stages, stages_source = _stages(main_joint(assembly.spec), "main")
    return TighteningOrder(
        "main", None, bolts, order, stages, FROM_FILE if own else PRACTICE, stages_source, False
    )


def _head(assembly: Assembly, bolt: HeadBolt, bank: BankName) -> TighteningOrder:
    sites = sorted((site for site in assembly.layout.bores if site.bank == bank), key=lambda s: s.place)
    places = list(_written(bolt, sites[0]) if bolt.positions is not None else _usual(assembly, bolt, sites))
    places.sort(key=lambda at: (round(at[0], 3), at[1]))
    bolts = tuple(BoltPlace(number, x, y) for number, (x, y) in enumerate(places, start=1))
    order = tuple(bolt.order) or crosswise(bolts)
    stages, stages_source = _stages(head_joint(assembly.spec), "head")
    return TighteningOrder(
        "head", bank, bolts, order, stages, FROM_FILE if bolt.order else PRACTICE, stages_source,
        bolt.positions is None,
    )  # fmt: skip


def _written(bolt: HeadBolt, first: BoreSite) -> Iterator[tuple[float, float]]:
    for along, across in bolt.positions or ():
        yield first.x_mm + along, across


def _usual(assembly: Assembly, bolt: HeadBolt, sites: Sequence[BoreSite]) -> Iterator[tuple[float, float]]:
    """At the corners of the bores, neighbours sharing them, and beside each where there are more."""
    bore = assembly.spec.block.bore
    at = [site.x_mm for site in sites]
    half = (at[1] - at[0]) / 2 if len(at) > 1 else (bore.spacing_mm or 1.1 * bore.diameter_mm) / 2
    between = [at[0] - half, *((a + b) / 2 for a, b in pairwise(at)), at[-1] + half]
    for x in between:
        yield from ((x, side * ROWS * bore.diameter_mm) for side in (-1.0, 1.0))
    outboard = -1.0 if sites[0].bank == "left" else 1.0
    sides = {4: (), 5: (outboard,), 6: (-1.0, 1.0)}[bolt.around]
    for x in at:
        yield from ((x, side * BESIDE * bore.diameter_mm) for side in sides)


def crosswise(bolts: Sequence[BoltPlace]) -> tuple[int, ...]:
    """Numbers of the bolts from the middle outwards, each next one of a round far from the last.

    A round is all that stand equally far from the middle along the engine.
    """
    ends = [bolt.x_mm for bolt in bolts]
    middle = (min(ends) + max(ends)) / 2
    rounds: dict[float, list[BoltPlace]] = {}
    for bolt in bolts:
        rounds.setdefault(round(abs(bolt.x_mm - middle), 2), []).append(bolt)
    order: list[BoltPlace] = []
    for _, left in sorted(rounds.items()):
        while left:
            last = order[-1] if order else None
            far = max(left, key=lambda bolt: (round(_apart(bolt, last), 3), -bolt.number))
            order.append(far)
            left.remove(far)
    return tuple(bolt.number for bolt in order)


def _apart(bolt: BoltPlace, last: BoltPlace | None) -> float:
    return 0.0 if last is None else math.hypot(bolt.x_mm - last.x_mm, bolt.y_mm - last.y_mm)


def _stages(bolts: BoltJoint | None, which: Which) -> tuple[tuple[OrderStage, ...], str]:
    """As written, ending with the torque; else the torque by shares; none where nothing is written."""
    if bolts is None:
        return (), ""
    written = bolts.bolt.stages
    if written and (bolts.bolt.torque_nm is None or bolts.angle_deg is not None):
        return tuple(OrderStage(stage.torque_nm, stage.angle_deg) for stage in written), FROM_FILE
    last = bolts.torque_nm
    if last is None:
        return (), ""
    if written:
        before = (stage.torque_nm for stage in written if stage.torque_nm is not None)
        return (*(OrderStage(torque) for torque in before if torque < last), OrderStage(last)), FROM_FILE
    return tuple(OrderStage(share * last) for share in SHARES[which]), STAGED
