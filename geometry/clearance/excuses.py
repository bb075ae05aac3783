"""Why two places are no clearance: one table, a row for each reason, decided on what the parts say of themselves.

Whether two places stand still to each other follows from their motion alone. Everything else is asked of typed
data: the group, the running fits, the bores that stand between. No name decides.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Final, TypeAlias

from geometry.assembly import Assembly
from geometry.clearance.place import Place
from geometry.kinematics import laws
from geometry.parts.feature import Fit, Group

MEASURED_WIDER_MM: Final = 0.25
"""How much wider to either side than written a measured rod may be and still be called beside its neighbour."""
SLIP_MM: Final = 1e-6

Holds: TypeAlias = Callable[[Assembly, Place, Place], bool]


@dataclass(frozen=True, slots=True)
class Excuse:
    """One reason why two places are no clearance.

    Attributes
    ----------
    reason : in words
    holds : whether it is so of two places; asked in both orders
    detail : what more is said of the two; the reason alone where it says nothing
    """

    reason: str
    holds: Holds
    detail: Callable[[Place], str] = lambda place: ""


def _still(assembly: Assembly, a: Place, b: Place) -> bool:
    return laws.at_rest(a.law, b.law)


def _is(group: Group, assembly: Assembly, a: Place, b: Place) -> bool:
    return a.group is group


def _runs_in(fit: Fit, assembly: Assembly, a: Place, b: Place) -> bool:
    if a.runs_in.isdisjoint(b.seat_of):
        return False
    return any(seat.fit is fit for seat in a.runs_in & b.seat_of)


def _undescribed(assembly: Assembly, a: Place, b: Place) -> bool:
    return a.of.unsaid is not None and b.group in a.of.unsaid.towards


def _what_is_undescribed(a: Place) -> str:
    assert a.of.unsaid is not None
    return a.of.unsaid.what


def _behind_own_wall(assembly: Assembly, a: Place, b: Place) -> bool:
    return a.group is Group.PISTON and a.body.bore in b.of.behind


def _behind_wall_below(assembly: Assembly, a: Place, b: Place) -> bool:
    own_wall = any(seat.fit is Fit.BORE and seat.number == a.body.bore for seat in b.seat_of)
    return a.group is Group.VALVE and a.body.bore in b.of.behind and not own_wall


def _pockets(assembly: Assembly, a: Place, b: Place) -> bool:
    return a.group is Group.PISTON and b.group is Group.VALVE and a.body.bore == b.body.bore


def _beside_own_cheek(assembly: Assembly, a: Place, b: Place) -> bool:
    if not _runs_in(Fit.CHEEKS, assembly, a, b) or not _within_own_width(assembly, a):
        return False
    assert a.body.bore is not None
    site, half = assembly.layout.site(a.body.bore), assembly.spec.rod.big_end.width_mm / 2
    return b.x_mm[1] <= site.x_mm - half + 2 * SLIP_MM or b.x_mm[0] >= site.x_mm + half - 2 * SLIP_MM


def _side_by_side(assembly: Assembly, a: Place, b: Place) -> bool:
    if not (a.group is b.group is Group.ROD) or a.body.bore is None:
        return False
    on_one_throw = b.body.bore is not None and b.body.bore == assembly.layout.site(a.body.bore).partner
    return on_one_throw and _within_own_width(assembly, a) and _within_own_width(assembly, b)


def _within_own_width(assembly: Assembly, rod: Place) -> bool:
    """Whether a place of a rod is no wider than its big end, so that the big end's faces keep it clear."""
    assert rod.body.bore is not None
    middle, half = assembly.layout.site(rod.body.bore).x_mm, assembly.spec.rod.big_end.width_mm / 2
    room = half + SLIP_MM + (MEASURED_WIDER_MM if rod.surface else 0.0)
    return middle - room <= rod.x_mm[0] and rod.x_mm[1] <= middle + room


EXCUSES: Final = (
    Excuse("they stand still to each other", _still),
    Excuse("a ring, held by its groove and its bore", partial(_is, Group.RING)),
    Excuse("a bearing shell, held between rod and crankpin", partial(_is, Group.SHELL)),
    Excuse("a shaft in its bearing: an oil clearance", partial(_runs_in, Fit.MAIN_BEARING)),
    Excuse("a shaft in its bearing: an oil clearance", partial(_runs_in, Fit.CAM_BEARING)),
    Excuse("the piston runs in this bore: a fit", partial(_runs_in, Fit.BORE)),
    Excuse("behind the wall of the bore that the piston runs in", _behind_own_wall),
    Excuse("valve pockets are hollow: see the crown under each valve", _pockets),
    Excuse(
        "the valve in its seat and guide: the file does not give the chamber's shape",
        partial(_runs_in, Fit.VALVE),
    ),
    Excuse("behind the wall of the bore that the valve stands over", _behind_wall_below),
    Excuse("the rod on its piston pin: a fit", partial(_runs_in, Fit.PISTON_PIN)),
    Excuse("the small end between its pin bosses: side float", partial(_runs_in, Fit.BOSSES)),
    Excuse("the rod on its own crankpin: an oil clearance", partial(_runs_in, Fit.CRANKPIN)),
    Excuse("the rod beside its own cheek: see rods on their pins", _beside_own_cheek),
    Excuse("two rods side by side on one pin: see rods on their pins", _side_by_side),
    Excuse("metal that the engine file does not describe", _undescribed, _what_is_undescribed),
)


def no_clearance(assembly: Assembly, a: Place, b: Place) -> str | None:
    """Why two places are no clearance, in the words of the first row that holds; None when they are one."""
    for excuse in EXCUSES:
        forth = excuse.holds(assembly, a, b)
        if forth or excuse.holds(assembly, b, a):
            detail = excuse.detail(a if forth else b)
            return f"{excuse.reason}: {detail}" if detail else excuse.reason
    return None
