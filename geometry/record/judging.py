"""How a reading becomes a verdict: what it proves against its limit, or what was seen against what should be."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from math import isinf
from typing import Final

from geometry.record.kind import ReadingAt
from geometry.record.limits import ReadingLimit
from geometry.record.readings import Interval, State, interval_text, reading_text
from geometry.record.verdict import Verdict
from geometry.rings.feeler import GapInterval, blade_mm, blade_text, blades_settle, judge_gap
from geometry.rings.gap import GapTarget
from geometry.rings.source import Source

_NO_LIMIT: Final = Source("no source gives a limit; write one under [limits] in the record", "practice")


def judged(at: ReadingAt) -> Iterable[Verdict]:
    """The verdicts on one kind of reading at one place; none where nothing is recorded."""
    if at.kind.judge is not None:
        return at.kind.judge(at)
    if at.entry is None:
        return ()
    return (measured(at, at.known, spoken(at)) if at.kind.limit else _seen(at),)


def spoken(at: ReadingAt) -> str:
    """The entry as it would be spoken."""
    return reading_text(at.entry, at.bench.system) if at.entry else ""


def _seen(at: ReadingAt) -> Verdict:
    """Judge something that was looked at rather than measured."""
    wanted = at.wanted
    verdict = Verdict(
        place=at.place.words, bore=at.bore, step=at.kind.step, path=at.kind.path, what=at.words,
        reading=spoken(at), limit=wanted.words if wanted else "either way",
        source=wanted.source if wanted else Source("both sides are alike", "derived"), verdict="within",
    )  # fmt: skip
    if wanted is None or at.value == wanted.value:
        return verdict
    assert at.kind.wrong is not None, "every kind that is looked at says what it means to be wrong"
    cure = at.kind.wrong(at)
    return replace(verdict, verdict="outside", severity=cure.severity, text=cure.text, remedy=cure.remedy)


def measured(at: ReadingAt, known: Interval, reading: str) -> Verdict:
    """Judge what is known of a quantity against the limit of its kind.

    Parameters
    ----------
    at : the kind of reading and its place
    known : what the reading proves, in the house unit of the limit
    reading : the same as it would be spoken
    """
    limit = at.limit
    verdict = beside_limit(at, known, reading, limit)
    if limit is None:
        return replace(
            verdict, verdict="cannot tell", severity="note", text="no limit is known",
            remedy="compare with the other bores, or write your own limit under [limits] in the record",
        )  # fmt: skip
    state = known.judged(limit.least, limit.most)
    return verdict if state == "within" else not_within(at, verdict, state, known, limit)


def beside_limit(at: ReadingAt, known: Interval, reading: str, limit: ReadingLimit | None) -> Verdict:
    """Put a reading beside its limit, not judged yet; the other parameters as ``measured``."""
    assert at.kind.limit is not None, "only what is measured has a limit"
    return Verdict(
        place=at.place.words, bore=at.bore, step=at.kind.step, path=at.kind.path, what=at.words, reading=reading,
        limit=limit.text(at.bench.system) if limit else "", source=limit.source if limit else _NO_LIMIT,
        verdict="within", dimension=at.kind.limit.dimension,
        low=known.low, high=None if isinf(known.high) else known.high,
        least=limit.least if limit else None, most=limit.most if limit else None,
    )  # fmt: skip


def not_within(
    at: ReadingAt, verdict: Verdict, state: State, known: Interval, limit: ReadingLimit, where: str = ""
) -> Verdict:
    """The same verdict with what it means to be ``below`` or ``above`` the limit, or that it cannot be told.

    Parameters
    ----------
    at, verdict : the kind of reading at its place, put beside its limit
    state : how ``known`` lies to ``limit``
    where : where on the bore, in words that follow
    """
    if state == "cannot tell":
        text, remedy = _undecided(at, known, limit, where)
        return replace(verdict, verdict=state, severity="look", text=text, remedy=remedy)
    assert at.kind.limit is not None, "only what is measured has a limit"
    cure = at.kind.limit.below if state == "below" else at.kind.limit.above
    return replace(verdict, verdict="outside", severity=cure.severity, text=cure.text, remedy=cure.remedy)


def _undecided(at: ReadingAt, known: Interval, limit: ReadingLimit, where: str) -> tuple[str, str]:
    """Name the limit that lies inside what is known, and the measurement that would settle it."""
    inside = [
        (word, bound)
        for word, bound in (("least", limit.least), ("most", limit.most))
        if bound is not None and known.low <= bound <= known.high
    ]
    span = interval_text(known, limit.dimension, at.bench.system)
    named = " and ".join(f"the {word} allowed, {_one(bound, limit, at)}" for word, bound in inside)
    text = f"known only to be {span}{where}; {named or 'the limit'}, lies in between"
    return text, _settled(at, known, limit) + where


def _settled(at: ReadingAt, known: Interval, limit: ReadingLimit) -> str:
    """Name the blade that settles it, or the way that is left where the set has none in between."""
    if not known.below_high:
        return "measure it more closely"
    least = limit.least if limit.least is not None else 0.0
    verdict = judge_gap(GapInterval(known.low, known.high), GapTarget(least, limit.most, limit.source))
    step = at.bench.record.instruments.feeler_mm
    system = at.bench.system
    named = [blade_mm(mm, system, up=mm != limit.most, step_mm=step) for mm in verdict.settle_mm]
    lying = [mm for mm in named if known.low < mm < known.high]
    if lying and (not step or blades_settle(verdict, step)):
        blades = " and one of ".join(blade_text(mm, system) for mm in lying)
        return f"a feeler blade of {blades} settles it: it goes, or it is tight"
    safe = [
        f"{blade_text(blade, system)} {'is tight' if mm == limit.most else 'goes'}"
        for mm, blade in zip(verdict.settle_mm, named, strict=True)
    ]
    return f"no blade of this set lies in between: it counts as outside until {' and '.join(safe)}, or measure it finer"


def _one(value: float, limit: ReadingLimit, at: ReadingAt) -> str:
    return interval_text(Interval(value, value), limit.dimension, at.bench.system)
