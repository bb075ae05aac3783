"""Rod bolts: whether their torque is enough to hold the cap at speed, and no more than the bolt stands."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass
from typing import Final, Literal

from geometry import joint
from geometry.assembly import Assembly
from geometry.checks.inertia import CapLoad, Weights, cap_load
from geometry.checks.section import (
    LINKAGE_KEYS,
    Amount,
    Check,
    Column,
    Figure,
    Finding,
    Row,
    Section,
    Severity,
    asked,
)
from geometry.kinematics.layout import BoreSite
from geometry.spec.rod import RodBolt
from geometry.units import System, show

State = Literal["not tightened", "too little", "little", "within", "much", "beyond proof", "no torque"]
SEVERITY: Final[dict[State, Severity | Literal[""]]] = {
    "not tightened": "stop", "too little": "stop", "little": "look", "within": "", "much": "look",
    "beyond proof": "stop", "no torque": "note",
}  # fmt: skip
TORQUE: Final = "torque"
OPENS: Final = "joint opens at"
LITTLE_SHARE: Final = 0.5
"""Of the proof load; less than that leaves a bolt to fatigue. Common practice, no source."""
SOURCE: Final = (
    "least: half the proof load (common practice, no source), and the joint stays closed at speed though the tension "
    "come out 20 percent low (Shigley 9th ed. ch. 8); most: "
    "three quarters of the proof load, for joints that are taken apart again (Shigley); the bolt maker's torque wins"
)
ROUNDING: Final = 1e-9


@dataclass(frozen=True, slots=True)
class BoltTorque:
    """The torque of one rod's bolts and what it must keep.

    Attributes
    ----------
    state : the verdict
    torque_nm : by the engine file; None where it gives none
    holds_nm : the least that keeps the cap's joint closed at the engine's speed, scatter taken off
    least_nm : that, or what leaves half the proof load in the bolt, whichever is more
    most_nm : what leaves three quarters of the proof load in the bolt; None without a proof stress
    proof_nm : what leaves the proof load itself
    preload_n : tension of one bolt at that torque
    opens_at_rpm : speed at which the joint opens then
    """

    state: State
    torque_nm: float | None
    holds_nm: float
    least_nm: float
    most_nm: float | None
    proof_nm: float | None
    preload_n: float | None
    opens_at_rpm: float | None


def bolt_torque(assembly: Assembly, site: BoreSite, load: CapLoad) -> BoltTorque:
    """Hold the torque of one rod's bolts against what pulls at its cap and against its proof load."""
    bolt, speed = assembly.spec.rod.bolt, assembly.spec.engine.speed_rpm
    needed_n = (1.0 - load.share) * load.load_n(speed) / 2.0
    holds = joint.torque_nm(needed_n / (1.0 - joint.TORQUE_SCATTER), bolt.diameter_mm)
    proof = _proof_nm(bolt)
    least = max(holds, LITTLE_SHARE * (proof or 0.0))
    most = None if proof is None else joint.PROOF_SHARE * proof
    torque = bolt.torque_nm
    preload = None if torque is None else joint.preload_n(torque, bolt.diameter_mm)
    opens = None if preload is None else load.opens_at_rpm(preload)
    if assembly.built.bore(site.bore).bolts_loose:  # what is left in such a bolt nobody knows
        return BoltTorque("not tightened", torque, holds, least, most, proof, 0.0, 0.0)
    state: State = "no torque" if torque is None else _state(torque, holds, least, most, proof)
    return BoltTorque(state, torque, holds, least, most, proof, preload, opens)


def _proof_nm(bolt: RodBolt) -> float | None:
    if bolt.proof_mpa is None:
        return None
    load = bolt.proof_mpa * joint.tensile_area_mm2(bolt.diameter_mm, bolt.pitch_mm)
    return joint.torque_nm(load, bolt.diameter_mm)


def _state(torque: float, holds: float, least: float, most: float | None, proof: float | None) -> State:
    if torque < holds - ROUNDING:
        return "too little"
    if torque < least - ROUNDING:
        return "little"
    if proof is not None and torque > proof + ROUNDING:
        return "beyond proof"
    return "much" if most is not None and torque > most + ROUNDING else "within"


def run(assembly: Assembly, system: System) -> Section:
    """One row per bore."""
    sites = sorted(assembly.layout.bores, key=lambda s: s.bore)
    load_of = loads(assembly)
    rows: list[Row] = []
    findings: list[Finding] = []
    for site in sites:
        found = bolt_torque(assembly, site, load_of(site))
        rows.append(_row(site.bore, found))
        findings += _finding(None if found.state == "no torque" else site.bore, found, system)
    columns = (
        Column("bore", "bore"), Column("torque_nm", "rod bolt torque"), Column("least_nm", "at least"),
        Column("most_nm", "at most"), Column("preload_n", "tension"), Column("opens_at_rpm", "joint opens at"),
        Column("verdict", "verdict"),
    )  # fmt: skip
    speed = show(assembly.spec.engine.speed_rpm, "rotation", system)
    notes = (
        f"Rod bolts: {SOURCE}. Speed: {speed}, your engine file.",
        f"Tension: torque by {joint.TORQUE_FACTOR:g} times diameter, lubricated (Shigley table 8-15); bolts that are "
        "tightened to yield or by stretch follow their maker's figure alone.",
    )
    return Section(
        "fasteners", "Rod bolts", columns, tuple(rows), tuple(dict.fromkeys(findings)), notes,
        figures=figures_under(assembly, load_of, None),
    )  # fmt: skip


def figures(assembly: Assembly, only: Collection[int] | None) -> tuple[Figure, ...]:
    """Torque of each rod's bolts, and the speed at which its cap's joint opens then."""
    return figures_under(assembly, loads(assembly), only)


def loads(
    assembly: Assembly, weights_of: Callable[[BoreSite], Weights] | None = None
) -> Callable[[BoreSite], CapLoad]:
    """The load on the cap of any bore; where rods and pistons are alike it is worked out once.

    Parameters
    ----------
    weights_of : what the solids of a bore weigh, where that is known; None: they are weighed
    """
    first = min(assembly.layout.bores, key=lambda site: site.bore)
    alike = cap_load(assembly, first, weights_of and weights_of(first))

    def load_of(site: BoreSite) -> CapLoad:
        is_odd = assembly.design(site.bore) is not assembly.design(first.bore)
        return (
            cap_load(assembly, site, weights_of and weights_of(site)) if is_odd and site != first else alike
        )

    return load_of


def figures_under(
    assembly: Assembly, load_of: Callable[[BoreSite], CapLoad], only: Collection[int] | None
) -> tuple[Figure, ...]:
    """The same under loads that are known already."""
    # the joint that stays closed with the tension that much low opens, with all of it, at a speed that much higher
    speed = assembly.spec.engine.speed_rpm / math.sqrt(1.0 - joint.TORQUE_SCATTER)
    found = []
    for row, site in asked(assembly, only):
        bolt = bolt_torque(assembly, site, load_of(site))
        if bolt.torque_nm is not None and bolt.state != "not tightened":
            little: Severity = "stop" if bolt.torque_nm < bolt.holds_nm - ROUNDING else "look"
            beyond = bolt.proof_nm is not None and bolt.torque_nm > bolt.proof_nm + ROUNDING
            found.append(
                Figure(
                    TORQUE, site.bore, bolt.torque_nm, bolt.least_nm, bolt.most_nm, "torque", row, "torque_nm",
                    SOURCE, little, "stop" if beyond else "look",
                )
            )  # fmt: skip
        if bolt.opens_at_rpm is not None:
            found.append(
                Figure(
                    OPENS, site.bore, bolt.opens_at_rpm, speed, None, "rotation", row, "opens_at_rpm",
                    SOURCE,
                )
            )  # fmt: skip
    return tuple(found)


def _row(bore: int, found: BoltTorque) -> Row:
    def torque(value: float | None) -> Amount | None:
        return None if value is None else Amount(value, "torque")

    return {
        "bore": bore,
        "torque_nm": torque(found.torque_nm),
        "holds_nm": torque(found.holds_nm),
        "least_nm": torque(found.least_nm),
        "most_nm": torque(found.most_nm),
        "proof_nm": torque(found.proof_nm),
        "preload_n": None if found.preload_n is None else Amount(found.preload_n, "force"),
        "opens_at_rpm": None if found.opens_at_rpm is None else Amount(found.opens_at_rpm, "rotation"),
        "limit_source": SOURCE,
        "verdict": found.state,
        "severity": SEVERITY[found.state],
    }


def _finding(bore: int | None, found: BoltTorque, system: System) -> Iterator[Finding]:
    severity = SEVERITY[found.state]
    if not severity:
        return

    def text(value: float | None) -> str:
        return show(value or 0.0, "torque", system)

    least, most = f"at least {text(found.least_nm)}", f"at most {text(found.most_nm)}"
    said = {
        "no torque": ("the engine file gives no torque for the rod bolts", "write rod.bolt.torque by the bolt's maker"),
        "not tightened": (
            f"the rod bolts are not tightened: {text(found.torque_nm)} is wanted; the cap's joint opens at any speed",
            "tighten by torque or stretch and write it down; new bolts and shells if it ran",
        ),
        "too little": (
            f"rod bolt torque {text(found.torque_nm)}: the cap's joint opens at speed below {text(found.holds_nm)}; "
            f"{least} ({SOURCE})",
            "the bolt maker's torque; else stronger or larger bolts",
        ),
        "little": (
            f"rod bolt torque {text(found.torque_nm)}, {least} ({SOURCE})",
            "compare with the bolt maker's torque and lubricant",
        ),
        "much": (
            f"rod bolt torque {text(found.torque_nm)}, {most} ({SOURCE})",
            "compare with the bolt maker's torque and lubricant",
        ),
        "beyond proof": (
            f"rod bolt torque {text(found.torque_nm)} is past the bolt's proof load, which {text(found.proof_nm)} "
            f"reaches; {most} ({SOURCE})",
            "the bolt maker's torque; bolts of a higher grade",
        ),
    }  # fmt: skip
    words, remedy = said[found.state]
    of = {"no torque": "", "not tightened": OPENS}.get(found.state, TORQUE)
    yield Finding("rod_bolt_torque", severity, bore, words, remedy, figure=of)


READS: Final = (*LINKAGE_KEYS, "block.bore.", "piston.", "rings.", "rod.")
RIDING: Final = ("oil_ring", "piston", "piston_pin", "ring", "rod")
CHECK = Check("fasteners", 47, run, figures, bodies=RIDING, reads=READS)
