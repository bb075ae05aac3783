"""The cap of another rod: the bore has a step at the joint."""

from __future__ import annotations

from geometry.assembly import Assembly
from geometry.built import Built
from geometry.checks.fits import oil_clearance_mm
from geometry.mistakes import facts
from geometry.mistakes.bearings.bearing_words import LOOSE, step_binds, step_rows, step_sentence
from geometry.mistakes.mistake import Mistake, Signature, Spot, Study
from geometry.units import System


def _other(assembly: Assembly, bore: int) -> int | None:
    site = assembly.layout.site(bore)
    other = facts.other_bank(assembly, site) or facts.next_in_bank(assembly, site)
    return None if other is None else other.bore


def refuse(assembly: Assembly, bore: int) -> str | None:
    """It takes two caps."""
    return "there is only one rod and one cap" if _other(assembly, bore) is None else None


def make(assembly: Assembly, bore: int) -> Built:
    """Two caps change places."""
    other = _other(assembly, bore)
    return assembly.built.with_bore(bore, cap_from=other).with_bore(other or bore, cap_from=bore)


def study(right: Assembly, wrong: Assembly, bore: int, system: System) -> Study:
    """Step in the bore against the oil clearance."""
    site = wrong.layout.site(bore)
    other = wrong.built.bore(bore).cap_from
    assert other is not None
    crank = (facts.top_deg(wrong.linkage, wrong.layout.index(bore)) + 180.0) % 360.0
    at = facts.on_rod(wrong, site, crank, (0.0, wrong.spec.rod.big_end.bore_mm / 2, 0.0))
    clearance = oil_clearance_mm(right.spec)
    bound = step_binds(clearance, False)
    return Study(
        rows=step_rows(clearance, False, "step in the bore, cap of another rod"),
        does=f"Rod {bore} carries the cap of rod {other}, and the other way round. "
        f"{step_sentence(right, False, system)}",
        felt=f"By hand: heavy all round from the moment the cap of bore {bore} is tight, the same at bore {other}. "
        "Running: the shell is wiped, then it knocks and loses oil pressure.",
        look_for="From below: the number on each cap is the number on its rod.",
        remedy="Put each cap on its own rod; look at the shells for bright spots at the joint before running it.",
        signature=Signature(bound=bound, heavy=not bound, bores=(bore, other), running=LOOSE),
        spot=Spot(
            crank, "bore", bore, (f"rod_cap {bore}", f"rod {bore}"), "stop", None, at, "step at the joint"
        ),
        cost_of_looking=4.0,
        look="below",
    )


MISTAKE = Mistake(
    "cap_exchanged",
    "caps of two rods exchanged",
    "The bearing cap belongs to another rod: the two halves of the bore were not finished together.",
    refuse,
    make,
    study,
)
