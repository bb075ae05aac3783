"""Bolts of rods, main caps and head: whether they are tight enough to hold, and no tighter than they stand."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator
from typing import Final, Literal

from geometry.assembly import Assembly
from geometry.bolting.grades import METALS
from geometry.checks.bolt_answer import NAMES, OPENS, PRESSURE, SOURCE, THREAD, TORQUE, BoltAnswer, longest_mm
from geometry.checks.bolt_joint import JointName, head_joint, main_joint, rod_joint
from geometry.checks.inertia import CapLoad, Weights, cap_load
from geometry.checks.section import (
    LINKAGE_KEYS,
    Amount,
    Cell,
    Check,
    Column,
    Figure,
    Finding,
    Row,
    Section,
    Severity,
    asked,
    length,
)
from geometry.kinematics.layout import BoreSite
from geometry.units import System, show

State = Literal[
    "not tightened", "too little", "little", "within", "much", "beyond proof", "no torque", "by angle", "no stages",
    "thread strips", "head presses in",
]  # fmt: skip
NOTED: Final[dict[State, Severity]] = {"no torque": "note", "no stages": "note"}
"""What no figure is outside of and is said all the same."""
WORDS: Final[dict[JointName, str]] = {"rod": "rod bolt", "main": "main bolt", "head": "head bolt"}
HOLDS: Final[dict[JointName, str]] = {
    "rod": "the rod bolts",
    "main": "the main bolts",
    "head": "the head bolts",
}


def run(assembly: Assembly, system: System) -> Section:
    """One row per bore for the rods, one for the main caps and one for the head."""
    answers = bolt_answers(assembly, loads(assembly), None)
    rows: list[Row] = []
    figures: list[Figure] = []
    findings: list[Finding] = []
    for place, found in answers:
        own = tuple(found.figures(place))
        state = state_of(found, own)
        rows.append(row_of(found, state, own))
        figures += own
        findings += _findings(found, state, own, system)
    columns = (
        Column("joint", "bolts of"), Column("bore", "bore"), Column("torque_nm", "torque"),
        Column("least_nm", "at least"), Column("most_nm", "at most"), Column("preload_n", "tension, about"),
        Column("opens_at_rpm", "joint opens at about"), Column("verdict", "verdict"),
    )  # fmt: skip
    return Section(
        "fasteners", "Fasteners", columns, tuple(rows), tuple(dict.fromkeys(findings)),
        _notes(assembly, [found for _, found in answers], system), figures=tuple(figures),
    )  # fmt: skip


def bolt_answers(
    assembly: Assembly, load_of: Callable[[BoreSite], CapLoad], only: Collection[int] | None
) -> list[tuple[int, BoltAnswer]]:
    """What each kind of bolt answers, with its row: rods by bore, then what the file says of mains and head."""
    spec = assembly.spec
    found = [
        (
            row,
            BoltAnswer(
                rod_joint(assembly.design(site.bore)), site.bore, spec.engine.speed_rpm, load_of(site),
                assembly.built.bore(site.bore).bolts_loose,
            ),
        )
        for row, site in asked(assembly, only)
    ]  # fmt: skip
    others = (one for one in (main_joint(spec), head_joint(spec)) if one is not None)
    count = len(assembly.layout.bores)
    found += [
        (row, BoltAnswer(one, None, spec.engine.speed_rpm, None))
        for row, one in enumerate(others, start=count)
    ]
    return found


def figures(assembly: Assembly, only: Collection[int] | None) -> tuple[Figure, ...]:
    """Torque or stretch of all bolts and what they are held by, and the speed at which a rod's joint opens."""
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
    answers = bolt_answers(assembly, load_of, only)
    return tuple(figure for row, found in answers for figure in found.figures(row))


def state_of(found: BoltAnswer, own: Collection[Figure]) -> State:
    """The verdict on one kind of bolt: the gravest of what its figures are outside of."""
    if found.loose:
        return "not tightened"
    said: dict[Severity, State] = {}
    for figure, severity, below in _outside(own):
        said.setdefault(severity, _state(found, figure, severity, below))
    for severity in ("stop", "look"):
        if severity in said:
            return said[severity]
    if found.means == "yield":
        return "by angle" if found.joint.bolt.stages else "no stages"
    return "no torque" if found.means is None else "within"


def _state(found: BoltAnswer, figure: Figure, severity: Severity, below: bool) -> State:
    name = figure.name.removeprefix(NAMES[found.joint.name])
    if name == THREAD:
        return "thread strips"
    if name == PRESSURE:
        return "head presses in"
    if below:
        return "too little" if severity == "stop" else "little"
    return "beyond proof" if severity == "stop" else "much"


def _outside(own: Collection[Figure]) -> Iterator[tuple[Figure, Severity, bool]]:
    """Figures outside a limit: which, how grave, and whether below. What opens does so for want of the others."""
    for figure in own:
        if figure.name == OPENS or figure.margin is None or figure.margin >= 0.0:
            continue
        below = figure.least is not None and figure.value < figure.least
        yield figure, figure.below if below else figure.above, below


def row_of(found: BoltAnswer, state: State, own: Collection[Figure]) -> Row:
    """One row: what is written, what follows, what it is held to."""
    bolts, bolt, tension, tight = found.joint, found.joint.bolt, found.tension, found.tight_n
    grave = [severity for _, severity, _ in _outside(own)]
    severity = "stop" if found.loose or "stop" in grave else "look" if grave else NOTED.get(state, "")
    scatter = bolts.friction.scatter
    longest = longest_mm(bolts)
    return {
        "joint": bolts.name,
        "bore": found.bore,
        "tightened_by": found.means,
        "grade": bolt.grade,
        "lubricant": None if bolts.by_yield else bolt.lubricant or "lubricated",
        "torque_nm": _amount(bolts.torque_nm, "torque"),
        "holds_nm": _torque(found, None if found.load is None else found.needed_n(scatter)),
        "least_nm": _torque(found, found.least_n(scatter) or None),
        "most_nm": _torque(found, found.most_n),
        "proof_nm": _torque(found, bolts.proof_n),
        "preload_n": None if tension is None else Amount(tension.middle_n, "force", about=found.digits),
        "preload_low_n": None if tension is None else Amount(tension.low_n, "force", about=found.digits),
        "preload_high_n": None if tension is None else Amount(tension.high_n, "force", about=found.digits),
        "proof_n": _amount(bolts.proof_n, "force", about=2),
        "proof_share": None if found.proof_share is None else round(found.proof_share, 3),
        "opens_at_rpm": None if found.opens_at_rpm is None else Amount(found.opens_at_rpm, "rotation", about=2),
        "stretch_mm": None if bolt.stretch_mm is None else length(bolt.stretch_mm),
        "stretch_at_tension_mm": _length(None if tight is None else bolts.stretch_of(tight)),
        "snug_nm": _amount(bolts.snug_nm, "torque"),
        "angle_deg": _angle(found),
        "grip_assumed": int(not bolt.grip),
        "free_length_mm": _length(bolt.free_length_mm),
        "longest_mm": _length(None if longest is None else longest[0]),
        "engaged_mm": _length(bolt.engaged_mm),
        "strips_at_n": _amount(bolts.strips_at_n, "force", about=2),
        "weaker_thread": bolts.weaker,
        "pressure_mpa": _amount(bolts.pressure_mpa(tight), "pressure", about=2),
        "pressure_limit_mpa": _amount(METALS[bolts.bears_on].pressure_mpa, "pressure", about=2),
        "wanting": ", ".join(found.wanting()),
        "limit_source": found.source,
        "verdict": state,
        "severity": severity,
    }  # fmt: skip


def _amount(value: float | None, dimension: str, about: int = 0) -> Amount | None:
    return None if value is None else Amount(value, dimension, about=about)


def _length(value: float | None) -> Amount | None:
    return None if value is None else length(value)


def _torque(found: BoltAnswer, load: float | None) -> Amount | None:
    """A load as torque; none for a bolt that no torque tells the load of."""
    return None if load is None or found.joint.by_yield else Amount(found.joint.torque_of(load), "torque")


def _angle(found: BoltAnswer) -> Cell:
    """The angle that is written, else what brings it from snug to its tension."""
    bolts, tight = found.joint, found.tight_n
    written = bolts.angle_deg
    turn = written if written is not None or tight is None else bolts.angle_of(tight)
    return None if turn is None else Amount(turn, "angle", digits=0)


def _findings(found: BoltAnswer, state: State, own: Collection[Figure], system: System) -> Iterator[Finding]:
    name, key = found.joint.name, found.joint.key
    if state == "not tightened":
        wanted = found.joint.torque_nm
        text = "" if wanted is None else f"{show(wanted, 'torque', system)} is wanted; "
        yield Finding(
            "rod_bolt_torque", "stop", found.bore,
            f"the rod bolts are not tightened: {text}the cap's joint opens at any speed",
            "tighten by torque or stretch and write it down; new bolts and shells if it ran", figure=OPENS,
        )  # fmt: skip
        return
    if state == "no torque":
        yield Finding(
            f"{name}_bolt_torque", "note", None, f"the engine file gives no torque for {HOLDS[name]}",
            f"write {key}.torque by the bolt's maker",
        )  # fmt: skip
    if state == "no stages":
        yield Finding(
            f"{name}_bolt_torque", "note", None, f"{HOLDS[name]} are tightened to yield, and no stages are given",
            f'write {key}.stages by the maker, such as [{{ torque = "30 N*m" }}, {{ angle = "90 deg" }}]',
        )  # fmt: skip
    for figure, severity, below in _outside(own):
        yield _finding(found, figure, severity, below, system)


def _finding(found: BoltAnswer, figure: Figure, severity: Severity, below: bool, system: System) -> Finding:
    bolts = found.joint
    name = figure.name.removeprefix(NAMES[bolts.name])
    fine = figure.dimension == "length"
    about = 2 if figure.dimension in ("force", "pressure") else 0

    def text(value: float | None) -> str:
        return show(value or 0.0, figure.dimension, system, fine=fine, about=about)

    if name == THREAD:
        whose = "the bolt's own" if bolts.weaker == "bolt" else "the hole's"
        stands = f"strips at {text(figure.value)}, the bolt stands {text(figure.least)}"
        words = f"{WORDS[bolts.name]} thread: {whose} {stands}"
        return Finding(
            "bolt_thread", severity, found.bore, f"{words} ({figure.source})",
            "a deeper engagement, a longer bolt, or a thread insert", figure=figure.name,
        )  # fmt: skip
    if name == PRESSURE:
        metal = METALS[bolts.bears_on].words
        words = f"{WORDS[bolts.name]} head presses with {text(figure.value)} on {metal}, at most {text(figure.most)}"
        return Finding(
            "bolt_pressure", severity, found.bore, f"{words} ({figure.source})", "a hardened washer of a wider face",
            figure=figure.name,
        )  # fmt: skip
    what = f"{WORDS[bolts.name]} {name} {text(figure.value)}"
    least, most = f"at least {text(figure.least)}", f"at most {text(figure.most)}"
    column = figure.column
    needed = found.as_written(column, found.needed_n(found.scatter_of(column)))
    if below and severity == "stop":
        said = f"{what}: the cap's joint opens at speed below {text(needed)}; {least} ({found.source})"
    elif below or severity == "look":
        said = f"{what}, {least if below else most} ({found.source})"
    else:
        proof = found.as_written(column, bolts.proof_n)
        said = f"{what} is past the bolt's proof load, which {text(proof)} reaches; {most} ({found.source})"
    figure_of = "torque and lubricant" if name == TORQUE else "figure"
    cure = {
        (True, "stop"): f"the bolt maker's {name}; else stronger or larger bolts",
        (False, "stop"): f"the bolt maker's {name}; bolts of a higher grade",
    }.get((below, severity), f"compare with the bolt maker's {figure_of}")
    return Finding(f"{bolts.name}_bolt_torque", severity, found.bore, said, cure, figure=figure.name)


def _notes(assembly: Assembly, answers: list[BoltAnswer], system: System) -> tuple[str, ...]:
    speed = show(assembly.spec.engine.speed_rpm, "rotation", system)
    kinds = {found.joint.name: found for found in answers}
    said = [f"Limits: {SOURCE}. Speed: {speed}, your engine file."]
    by_torque = [found for found in kinds.values() if found.means == "torque"]
    for friction in dict.fromkeys(found.joint.friction for found in by_torque):
        out = f"{friction.scatter * 100:.0f} percent either way"
        said.append(
            f"Tension: torque by {friction.factor:g} times diameter, {friction.words} ({friction.source}); it may be "
            f"out by {out} (from memory)."
        )
    beyond = [HOLDS[name] for name, found in kinds.items() if found.means == "yield"]
    if beyond:
        said.append(
            f"Tightened to yield: {' and '.join(beyond)}. No torque tells their load; stages as written, and new bolts "
            "where they are longer than their maker allows."
        )
    left = [
        f"[{key}]"
        for name, key in (("main", "block.main_cap.bolt"), ("head", "head.bolt"))
        if name not in kinds
    ]
    if left:
        said.append(
            f"Bolts that the file says nothing of: a table {' and one '.join(left)} gives them a row here."
        )
    return tuple(said)


READS: Final = (
    *LINKAGE_KEYS, "block.bore.", "block.main_cap.", "block.web_bottom", "head.bolt.", "piston.", "rings.", "rod.",
    "weights.",
)  # fmt: skip
RIDING: Final = ("oil_ring", "piston", "piston_pin", "ring", "rod")
CHECK = Check("fasteners", 47, run, figures, bodies=RIDING, reads=READS)
"""What pulls at a rod's cap: everything above the joint, thrown upward at top dead centre."""
