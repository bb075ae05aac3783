"""Everything about the bolts of an engine, side by side: load, stretch, torque, angle, thread, pressure, order."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Any, Final

from geometry.bolting.grades import METALS
from geometry.checks.bolt_answer import BoltAnswer, longest_mm
from geometry.checks.bolt_joint import BoltJoint, JointName
from geometry.checks.bolt_order import TighteningOrder
from geometry.units import System, show
from viewer.paper.order import stage_lines

NAMES: Final[dict[JointName, str]] = {"rod": "rod bolts", "main": "main bolts", "head": "head bolts"}
MEANS: Final = {
    "torque": "torque", "stretch": "stretch", "angle": "torque and angle", "yield": "to yield, by stages", None: "-",
}  # fmt: skip
BEYOND: Final = "no torque tells it"
"""In place of the load of a bolt that is tightened beyond its yield."""


def headings(answers: Sequence[BoltAnswer]) -> list[str]:
    """Over the columns: what the bolts hold, of rods the bore in which the joint opens first."""
    several = {
        found.joint.name
        for found in answers
        if found.bore is not None and _bores(answers, found.joint.name) > 1
    }
    return [
        "",
        *(f"{NAMES[a.joint.name]}{f', bore {a.bore}' if a.joint.name in several else ''}" for a in answers),
    ]


def _bores(answers: Sequence[BoltAnswer], name: JointName) -> int:
    return sum(found.joint.name == name for found in answers)


def told(answers: Sequence[BoltAnswer], verdicts: Sequence[str], system: System) -> list[list[str]]:
    """One row for each thing there is to say, a cell for each kind of bolt; rows that say nothing are left out."""
    said: list[tuple[str, Callable[[BoltAnswer], str]]] = [
        ("bolt", lambda a: _bolt(a, system)),
        ("tightened by", lambda a: MEANS[a.means]),
        ("torque", lambda a: _torque(a, system)),
        ("stretch", lambda a: _stretch(a, system)),
        ("angle from snug", lambda a: _angle(a, system)),
        ("tension, about", lambda a: _tension(a, system)),
        ("by its scatter", lambda a: _scatter(a, system)),
        ("share of the proof load", _share),
        ("joint opens at about", lambda a: _opens(a, system)),
        ("thread", lambda a: _thread(a, system)),
        ("pressure under the head", lambda a: _pressure(a, system)),
        ("length, loose", lambda a: _length(a, system)),
        ("write to know more", lambda a: ", ".join(a.wanting()) or "-"),
    ]
    rows = [[name, *(cell(found) for found in answers)] for name, cell in said]
    rows.append(["verdict", *verdicts])
    return [row for row in rows if any(cell != "-" for cell in row[1:])]


def _show(value: float | None, dimension: str, system: System, **how: Any) -> str:
    return "-" if value is None else show(value, dimension, system, **how)


def _between(low: float | None, high: float | None, dimension: str, system: System, **how: Any) -> str:
    """``34.6 to 51.9 lbf·ft``, ``at least ..``, ``at most ..``, or nothing."""
    if low is not None and high is not None:
        least, most = (show(value, dimension, system, **how) for value in (low, high))
        number, _, unit = least.partition(" ")
        return f"{number if most.endswith(unit) else least} to {most}"
    if low is not None:
        return f"at least {show(low, dimension, system, **how)}"
    return "" if high is None else f"at most {show(high, dimension, system, **how)}"


def _limited(value: str, limits: str) -> str:
    return (
        f"{value} (wanted {limits})" if limits and value != "-" else f"wanted {limits}" if limits else value
    )


def _bolt(found: BoltAnswer, system: System) -> str:
    bolts = found.joint
    pitch = (
        ""
        if bolts.bolt.pitch_mm is None
        else f", pitch {_show(bolts.bolt.pitch_mm, 'length', system, fine=True)}"
    )
    grade = found.grade_words()
    return f"{_show(bolts.diameter_mm, 'length', system, fine=True)}{pitch}{f', {grade}' if grade else ''}"


def _torque(found: BoltAnswer, system: System) -> str:
    bolts = found.joint
    if bolts.by_yield:
        return f"{_show(bolts.snug_nm, 'torque', system)} snug" if bolts.snug_nm is not None else "-"
    least = found.least_n(bolts.friction.scatter) or None
    low, high = (None if load is None else bolts.torque_of(load) for load in (least, found.most_n))
    return _limited(_show(bolts.torque_nm, "torque", system), _between(low, high, "torque", system))


def _stretch(found: BoltAnswer, system: System) -> str:
    bolts, tight = found.joint, found.tight_n
    if bolts.by_yield or bolts.compliance is None or tight is None:
        return "-"
    least = found.least_n(found.scatter_of("stretch_mm")) or None
    low, high = (None if load is None else bolts.stretch_of(load) for load in (least, found.most_n))
    value = _show(bolts.bolt.stretch_mm or bolts.stretch_of(tight), "length", system, fine=True)
    rests = "" if bolts.bolt.grip else ", grip assumed"
    return _limited(value, _between(low, high, "length", system, fine=True)) + rests


def _angle(found: BoltAnswer, system: System) -> str:
    bolts, tight = found.joint, found.tight_n
    turn = bolts.angle_deg
    if turn is None and tight is not None:
        turn = bolts.angle_of(tight)
    if turn is None:
        return "-"
    snug = "" if bolts.snug_nm is None else f" from {_show(bolts.snug_nm, 'torque', system)}"
    return f"{'' if bolts.angle_deg is not None else 'about '}{_show(turn, 'angle', system, digits=0)}{snug}"


def _tension(found: BoltAnswer, system: System) -> str:
    if found.joint.by_yield:
        return BEYOND
    return (
        "-" if found.tension is None else _show(found.tension.middle_n, "force", system, about=found.digits)
    )


def _scatter(found: BoltAnswer, system: System) -> str:
    if found.tension is None or found.joint.by_yield:
        return "-"
    words = f", {found.joint.friction.words}" if found.means == "torque" else ""
    return _between(found.tension.low_n, found.tension.high_n, "force", system, about=found.digits) + words


def _share(found: BoltAnswer) -> str:
    return "-" if found.proof_share is None else f"{found.proof_share * 100:.0f} % (wanted 50 to 75 %)"


def _opens(found: BoltAnswer, system: System) -> str:
    opens = found.opens_at_rpm
    if opens is None:
        return "-"
    return (
        f"{_show(opens, 'rotation', system, about=2)} (runs to {_show(found.speed_rpm, 'rotation', system)})"
    )


def _thread(found: BoltAnswer, system: System) -> str:
    bolts = found.joint
    if bolts.tapped is None:
        return "a nut of its grade holds it"
    if bolts.strips_at_n is None:
        return "-"
    deep = f"{_show(bolts.bolt.engaged_mm, 'length', system)} deep in {METALS[bolts.tapped].words}"
    breaks = bolts.tensile_n or bolts.proof_n
    stands = "" if breaks is None else f", bolt stands {_show(breaks, 'force', system, about=2)}"
    return f"{deep} strips at {_show(bolts.strips_at_n, 'force', system, about=2)}{stands}"


def _pressure(found: BoltAnswer, system: System) -> str:
    bolts = found.joint
    pressure = bolts.pressure_mpa(found.tight_n)
    if pressure is None:
        return "-"
    metal = METALS[bolts.bears_on]
    most = _show(metal.pressure_mpa, "pressure", system, about=2)
    return f"{_show(pressure, 'pressure', system, about=2)} (at most {most}, {metal.words})"


def _length(found: BoltAnswer, system: System) -> str:
    bolts, longest = found.joint, longest_mm(found.joint)
    new = bolts.bolt.free_length_mm
    if new is None and longest is None:
        return "use new ones each time" if bolts.by_yield else "-"
    said = "" if new is None else f"new {_show(new, 'length', system, fine=True)}"
    if longest is None:
        return f"{said}; use new ones each time"
    return f"{said}{', ' if said else ''}used again to {_show(longest[0], 'length', system, fine=True)}"


def order_lines(orders: Sequence[TighteningOrder], system: System) -> Iterator[str]:
    """The order of tightening in words: which bolt after which, and the stages."""
    for order in orders:
        bank = "" if order.bank in (None, "line") else f", {order.bank} bank"
        what = "Main caps" if order.which == "main" else f"Head bolts{bank}"
        yield f"{what}, in this order ({order.source}):"
        if order.which == "main":
            caps = dict.fromkeys(bolt.cap for _, bolt in order.ranked)
            yield f"  {'; '.join(f'cap {cap}, left then right' for cap in caps)}"
        else:
            yield f"  {', '.join(str(number) for number in order.order)} (counted from the front, left before right)"
    if orders:
        yield from (f"  {line}" for line in stage_lines(orders[0], system))
        if orders[0].stages:
            yield f"  Stages: {orders[0].stages_source}."


def order_rows(orders: Sequence[TighteningOrder]) -> list[dict[str, Any]]:
    """The same as flat rows: every bolt with its place and when it comes."""
    return [
        {
            "which": order.which, "bank": order.bank, "rank": rank, "bolt": bolt.number, "cap": bolt.cap,
            "side": bolt.side, "x_mm": round(bolt.x_mm, 3), "y_mm": round(bolt.y_mm, 3),
            "place_assumed": order.positions_assumed, "order_source": order.source,
        }
        for order in orders
        for rank, bolt in order.ranked
    ]  # fmt: skip


def stage_rows(orders: Sequence[TighteningOrder]) -> list[dict[str, Any]]:
    """The stages as flat rows, once for all banks."""
    first = {order.which: order for order in reversed(orders)}
    return [
        {
            "which": order.which, "stage": number, "torque_nm": stage.torque_nm, "angle_deg": stage.angle_deg,
            "stages_source": order.stages_source,
        }
        for order in first.values()
        for number, stage in enumerate(order.stages, start=1)
    ]  # fmt: skip


def reading_lines(
    found: BoltAnswer, asked: dict[str, float], system: System, in_doubt: bool
) -> Iterator[str]:
    """What a torque, a stretch or a length that was read means.

    Parameters
    ----------
    asked : ``torque_nm``, ``stretch_mm`` or ``length_mm`` by name
    in_doubt : whether values of the engine are in doubt, so that a verdict here is one at nominal values
    """
    bolts = found.joint
    name, as_it_stands = NAMES[bolts.name], ", by values of which some are in doubt" if in_doubt else ""
    for key, tension in (
        ("torque_nm", bolts.by_torque(asked.get("torque_nm"))),
        ("stretch_mm", bolts.by_stretch(asked.get("stretch_mm"))),
    ):
        if tension is None:
            continue
        dimension = "torque" if key == "torque_nm" else "length"
        value = show(asked[key], dimension, system, fine=key == "stretch_mm")
        share = (
            "" if not bolts.proof_n else f", {tension.middle_n / bolts.proof_n * 100:.0f} % of the proof load"
        )
        about = 3 if key == "stretch_mm" else 2
        span = _between(tension.low_n, tension.high_n, "force", system, about=about)
        yield (
            f"{name}, {key.partition('_')[0]} {value}: about {_show(tension.middle_n, 'force', system, about=about)} "
            f"({span}){share}: {_judged(found, key, asked[key])}{as_it_stands}"
        )
    if "length_mm" in asked:
        yield _used(bolts, asked["length_mm"], system)


def _judged(found: BoltAnswer, key: str, value: float) -> str:
    """In words, where a torque or stretch lies."""
    bolts, column = found.joint, key
    needed, least, most, proof = (
        found.as_written(column, load)
        for load in (
            found.needed_n(found.scatter_of(column)), found.least_n(found.scatter_of(column)), found.most_n,
            bolts.proof_n,
        )
    )  # fmt: skip
    if needed is not None and value < needed:
        return "too little: the joint opens at speed"
    if least is not None and value < least:
        return "less than half the proof load"
    if proof is not None and value > proof:
        return "beyond the proof load"
    if most is not None and value > most:
        return "more than three quarters of the proof load"
    return "within" if proof is not None else "no grade or proof to hold it to"


def _used(bolts: BoltJoint, length_mm: float, system: System) -> str:
    """Whether a bolt of this length, loose, may be used again."""
    name, longest = NAMES[bolts.name], longest_mm(bolts)
    value = show(length_mm, "length", system, fine=True)
    new = bolts.bolt.free_length_mm
    longer = "" if new is None else f", {show(length_mm - new, 'length', system, fine=True)} longer than new"
    if longest is None:
        why = "tightened to yield, and its maker's longest is not in the engine file" if bolts.by_yield else (
            f"write {bolts.key}.free_length to hold it to"
        )  # fmt: skip
        verdict = "not used again" if bolts.by_yield else "open"
        return f"{name}, {value} loose{longer}: {verdict}: {why}"
    limit = f"at most {show(longest[0], 'length', system, fine=True)} ({longest[1]})"
    verdict = "may be used again" if length_mm <= longest[0] + 1e-9 else "it has stayed stretched: a new bolt"
    return f"{name}, {value} loose{longer}: {verdict}; {limit}"
