"""A bearing shell whose tang is not in its notch: it stands on its tang and pinches the crankpin."""

from __future__ import annotations

from geometry.assembly import Assembly
from geometry.built import TANG_OUT_MM, Built
from geometry.checks.fits import oil_clearance_mm
from geometry.mistakes import facts
from geometry.mistakes.bearings.bearing_words import shell_lift_rows
from geometry.mistakes.mistake import Mistake, Signature, Spot, Study
from geometry.units import System


def make(assembly: Assembly, bore: int) -> Built:
    """A shell lifted by its tang."""
    return assembly.built.with_bore(bore, shell_proud_mm=TANG_OUT_MM)


def study(right: Assembly, wrong: Assembly, bore: int, system: System) -> Study:
    """The lift against the oil clearance."""
    site = wrong.layout.site(bore)
    lift = wrong.built.bore(bore).shell_proud_mm
    clearance = oil_clearance_mm(right.spec)
    crank = (facts.top_deg(wrong.linkage, wrong.layout.index(bore)) + 180.0) % 360.0
    at = facts.on_rod(wrong, site, crank, (0.0, wrong.spec.rod.big_end.bore_mm / 2, 0.0))
    return Study(
        rows=shell_lift_rows(right, lift),
        does=f"A bearing shell of rod {bore} rides on its tang instead of having it in the notch. It stands about "
        f"{facts.text_mm(lift, system)} off its seat, {lift / clearance:.0f} times the oil clearance: when the "
        "cap is drawn "
        "down the shell is pressed onto the crankpin, and it would wipe and seize if the engine ran.",
        felt=f"By hand: the crank is bound as soon as the cap of bore {bore} is tight, free again when it is loosened; "
        "the cap's joint does not close evenly.",
        look_for="Cap off: a bright dent on the back of the tang; both tangs belong in their notches, shell ends level "
        "with the joint.",
        remedy="New shells; wipe seat and back dry; press each in with its tang in the notch.",
        signature=Signature(bound=True),
        spot=Spot(
            crank, "bore", bore, (f"rod {bore}", f"rod_cap {bore}"), "stop", None, at,
            f"{facts.text_mm(lift, system)} off its seat",
        ),
        cost_of_looking=12.0,
        look="rod_cap_off",
    )  # fmt: skip


MISTAKE = Mistake(
    "shell_tang_out",
    "shell's tang not in its notch",
    "A bearing shell lies on its tang instead of having it in the notch, and stands off its seat.",
    facts.never,
    make,
    study,
)
