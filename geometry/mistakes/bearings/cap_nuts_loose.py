"""Nuts or bolts of a rod cap run down by hand and never tightened."""

from __future__ import annotations

from geometry.assembly import Assembly
from geometry.built import Built
from geometry.checks.inertia import cap_load, full_preload_n
from geometry.checks.section import Amount
from geometry.mistakes import facts
from geometry.mistakes.bearings.bearing_words import LOOSE
from geometry.mistakes.mistake import Mistake, Noticed, Signature, Spot, Study
from geometry.units import System, show

UNTIGHTENED_N = 0.0
"""Tension counted on in a bolt that was never tightened. What a hand leaves nobody knows, and it is shaken off."""
SOURCE = "bolted joint, Shigley 9th ed. ch. 8: opens where (1 - C) P reaches the preload"


def make(assembly: Assembly, bore: int) -> Built:
    """Both left loose."""
    return assembly.built.with_bore(bore, bolts_loose=True)


def study(right: Assembly, wrong: Assembly, bore: int, system: System) -> Study:
    """Preload against what pulls at the cap, and the speed at which the joint opens; loose it opens at any."""
    site = wrong.layout.site(bore)
    spec, load, full = wrong.spec, cap_load(right, site), full_preload_n(right)
    speed = spec.engine.speed_rpm
    tight_rpm = None if full is None else load.opens_at_rpm(full)
    pull = Amount(load.load_n(speed), "force", about=2)
    up_and_down, turning = Amount(load.reciprocating_kg, "mass"), Amount(load.turning_kg, "mass")
    tight = None if full is None else Amount(full, "force", about=2)
    rows = (
        facts.row(
            "joint opens at", None if tight_rpm is None else Amount(tight_rpm, "rotation", about=2),
            Amount(load.opens_at_rpm(UNTIGHTENED_N), "rotation"), Amount(speed, "rotation"), SOURCE,
            facts.stop("opens"),
        ),
        facts.row(
            "preload of one bolt", tight, Amount(UNTIGHTENED_N, "force"), tight, "the bolt tightened as written",
            facts.stop("none"),
        ),
        facts.row(f"pull at the cap at {show(speed, 'rotation', system)}, top dead centre", pull, pull),
        facts.row("mass that goes up and down", up_and_down, up_and_down),
        facts.row("mass that turns, above the joint", turning, turning),
    )  # fmt: skip
    holds = (
        ""
        if tight_rpm is None
        else f"Tight, the joint holds to about {show(tight_rpm, 'rotation', system, about=2)}. "
    )
    top, _ = facts.ends_deg(wrong.linkage, wrong.layout.index(bore))
    at = facts.on_rod(wrong, site, top, (0.0, spec.rod.bolt.spacing_mm / 2, 0.0))
    bolts = tuple(f"rod_bolt {bore} {side}" for side in ("major", "minor"))
    return Study.of(
        _signs(wrong, bore),
        rows=rows,
        does=f"The bolts of rod {bore} were run down and never tightened. At every top dead centre the cap "
        f"alone has to catch piston and rod. {holds}Never tightened it opens at any speed: what tension a hand "
        "leaves in a bolt nobody knows, and the first turns shake it off. The bolts are bent to and fro and break.",
        spot=Spot(top, "bore", bore, bolts, "stop", None, at, "cap's bolts not tightened", "open_joint"),
    )  # fmt: skip


def signs(right: Assembly, wrong: Assembly, bore: int, system: System, found: None) -> Noticed:
    """What is noticed: for that nothing need be weighed."""
    del right, system, found
    return _signs(wrong, bore)


def _signs(wrong: Assembly, bore: int) -> Noticed:
    clicks = facts.ends_deg(wrong.linkage, wrong.layout.index(bore))
    return Noticed(
        Signature(clicks_deg=clicks, running=LOOSE),
        felt=f"By hand: free; a faint click at both dead centres of bore {bore}, where the big end is taken up the "
        "other way. Running: a knock that grows with speed and load, and oil pressure is lost at it.",
        look_for="Put the torque wrench on both; they must click without turning.",
        remedy="If it ran: new bolts and shells. Tighten in two steps by torque or stretch and write it down.",
        look="wrench",
    )


MISTAKE = Mistake(
    "cap_nuts_loose",
    "rod cap not tightened",
    "The nuts or bolts of a rod cap are run down but not tightened.",
    make,
    study,
    signs=signs,
)
