"""A bearing shell whose tang is not in its notch: it stands on its tang and pinches the crankpin."""

from __future__ import annotations

from geometry.assembly import Assembly
from geometry.built import TANG_OUT_MM, Built
from geometry.checks.fits import oil_clearance_mm, rod_oil_fit
from geometry.mistakes import facts
from geometry.mistakes.bearings.bearing_words import OIL, joint_spot, least_oil, oil_left
from geometry.mistakes.mistake import Mistake, Signature, Study
from geometry.units import System, show_fine


def make(assembly: Assembly, bore: int) -> Built:
    """A shell lifted by its tang."""
    return assembly.built.with_bore(bore, shell_proud_mm=TANG_OUT_MM)


def study(right: Assembly, wrong: Assembly, bore: int, system: System) -> Study:
    """The lift against the oil clearance."""
    lift, clearance = wrong.built.bore(bore).shell_proud_mm, oil_clearance_mm(right.design(bore))
    fit = rod_oil_fit(right.design(bore))
    verdict = oil_left(clearance - lift, fit, "off its seat")
    least_mm, source = least_oil(fit)
    off = f"{show_fine(lift, system)} off its seat"
    return Study(
        rows=(
            facts.mm_row(
                "shell off its seat", 0.0, lift, 0.0, "the shell lies in its seat", facts.stop("stands off")
            ),
            facts.mm_row(f"{OIL}, there", clearance, clearance - lift, least_mm, source, verdict),
            facts.mm_row("lift that uses up the oil clearance", None, clearance),
        ),
        does=f"A bearing shell of rod {bore} rides on its tang instead of having it in the notch. It stands about "
        f"{off}, {lift / clearance:.0f} times the oil clearance: when the cap is drawn down the shell is pressed onto "
        "the crankpin, and it would wipe and seize if the engine ran.",
        felt=f"By hand: the crank is bound as soon as the cap of bore {bore} is tight, free again when it is loosened; "
        "the cap's joint does not close evenly.",
        look_for="Cap off: a bright dent on the back of the tang; both tangs belong in their notches, shell ends level "
        "with the joint.",
        remedy="New shells; wipe seat and back dry; press each in with its tang in the notch.",
        signature=Signature(bound=True),
        spot=joint_spot(wrong, bore, (f"rod {bore}", f"rod_cap {bore}"), f"shell {off}", "tang"),
        look="rod_cap_off",
    )


MISTAKE = Mistake(
    "shell_tang_out",
    "shell's tang not in its notch",
    "A bearing shell lies on its tang instead of having it in the notch, and stands off its seat.",
    make,
    study,
)
