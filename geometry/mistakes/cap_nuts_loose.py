"""Nuts or bolts of a rod cap run down by hand and never tightened."""

from __future__ import annotations

from geometry import joint
from geometry.assembly import Assembly
from geometry.built import Built
from geometry.checks.section import Quantity
from geometry.mistakes import facts
from geometry.mistakes.inertia import cap_load, full_preload_n
from geometry.mistakes.mistake import Mistake, Signature, Spot, Study
from geometry.motion import dead_centres
from geometry.units import System, show

BY_HAND_NM = 5.0
"""What a nut run down with a short spanner is tightened by. From memory, no source."""
SOURCE = "bolted joint, Shigley 9th ed. ch. 8: opens where (1 - C) P reaches the preload"


def refuse(assembly: Assembly, bore: int) -> str | None:
    """Without torque or proof stress there is nothing to compare with."""
    assembly.layout.site(bore)
    if full_preload_n(assembly) is None:
        return "the engine file gives neither torque nor proof stress of the rod bolts"
    return None


def make(assembly: Assembly, bore: int) -> Built:
    """Both left loose."""
    return assembly.built.with_bore(bore, bolts_loose=True)


def study(right: Assembly, wrong: Assembly, bore: int, system: System) -> Study:
    """Preload against what pulls at the cap, and the speed at which the joint opens."""
    site = wrong.layout.site(bore)
    spec, load = wrong.spec, cap_load(right, site)
    full = full_preload_n(right) or 0.0
    hand = min(full, joint.preload_n(BY_HAND_NM, spec.rod.bolt.diameter_mm))
    speed = spec.engine.speed_rpm
    opens = [load.opens_at_rpm(preload) for preload in (full, hand)]
    verdict = facts.stop("opens") if opens[1] < speed else facts.look("holds")

    def force(value: float) -> Quantity:
        return Quantity(value, "force")

    def mass(value: float) -> Quantity:
        return Quantity(value, "mass")

    def turning(value: float) -> Quantity:
        return Quantity(value, "rotation")

    rows = (
        facts.row("preload of one bolt", force(full), force(hand)),
        facts.row(
            f"pull at the cap at {show(speed, 'rotation', system)}, top dead centre",
            force(load.load_n(speed)), force(load.load_n(speed)),
        ),
        facts.row("joint opens at", turning(opens[0]), turning(opens[1]), turning(speed), SOURCE, verdict),
        facts.row("mass that goes up and down", mass(load.reciprocating_kg), mass(load.reciprocating_kg)),
        facts.row("mass that turns, above the joint", mass(load.turning_kg), mass(load.turning_kg)),
    )  # fmt: skip
    ends = dead_centres(wrong.linkage)
    index = wrong.layout.index(bore)
    top, bottom = float(ends.top_deg[index]), float(ends.bottom_deg[index])
    bolt = spec.rod.bolt
    at = facts.on_rod(wrong, site, top, (0.0, bolt.spacing_mm / 2, 0.0))
    return Study(
        rows=rows,
        does=f"The bolts of rod {bore} were run down and never tightened. At every top dead centre the cap "
        "alone has to "
        f"catch piston and rod: tight, the joint holds to {show(opens[0], 'rotation', system)}; run down by hand it "
        f"opens from {show(opens[1], 'rotation', system)} on, the bolts are bent to and fro and break.",
        felt=f"By hand: free; a faint click at both dead centres of bore {bore}, where the big end is taken "
        "up the other "
        "way. Running: a knock that grows with speed.",
        look_for="Put the torque wrench on both; they must click without turning.",
        remedy="If it ran: new bolts and shells. Tighten in two steps by torque or stretch and write it down.",
        signature=Signature(clicks_deg=(top, bottom), running=frozenset({"knocks"})),
        spot=Spot(
            top, "bore", bore, tuple(f"rod_bolt {bore} {side}" for side in ("major", "minor")), "stop", None, at,
            "not tightened",
        ),
        cost_of_looking=2.0,
        look="wrench",
    )  # fmt: skip


MISTAKE = Mistake(
    "cap_nuts_loose",
    "rod cap not tightened",
    "The nuts or bolts of a rod cap are run down but not tightened.",
    refuse,
    make,
    study,
)
