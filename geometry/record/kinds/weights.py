"""What the parts weigh, bore by bore: for the bob weights, and to match them to the lightest."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from geometry.balance.spread import SETS, WeightMatch, tolerance_kg, weight_matches
from geometry.balance.weights import PART_WORDS, PARTS, PartName
from geometry.record.entry import MassReading
from geometry.record.judging import measured, spoken
from geometry.record.kind import LimitKind, ReadingAt, ReadingKind
from geometry.record.limits import Cure, ReadingLimit
from geometry.record.readings import Interval
from geometry.record.verdict import Verdict
from geometry.rings.source import Source
from geometry.units import show

LIGHTENED: Final = {matched.lighten: matched for matched in SETS}
"""Parts that metal is taken off, with what is weighed together with them."""


def _weighed(at: ReadingAt) -> dict[int, dict[PartName, float]]:
    """All that was weighed, by bore and part, kg."""
    found: dict[int, dict[PartName, float]] = {}
    for place in at.bench.places("bore"):
        entries = {part: at.bench.entry(place, path_of(part)) for part in PARTS}
        found[place.number or 0] = {
            part: entry.value_kg for part, entry in entries.items() if isinstance(entry, MassReading)
        }
    return found


def path_of(part: PartName) -> str:
    """Where a part's weight stands in a record: ``weight.piston``."""
    return f"weight.{part}"


def _matches(at: ReadingAt) -> tuple[WeightMatch, ...]:
    """The weighed parts of a bore beside the lightest of their kind."""
    allowed, _ = tolerance_kg(at.bench.engine)
    return tuple(row for row in weight_matches(_weighed(at), allowed) if row.bore == at.number)


def _most(part: PartName, at: ReadingAt) -> ReadingLimit | None:
    """The most that a part may weigh beside the lightest of its kind, with what rides on it; None where it is alone."""
    allowed, source = tolerance_kg(at.bench.engine)
    for row in _matches(at):
        if row.matched.lighten == part:
            most = _weighed(at)[row.bore][part] - row.over_kg + allowed
            room = show(allowed, "mass", at.bench.system, 1)
            text = f"the lightest, that of bore {row.lightest_bore}, and {room} more ({source})"
            return ReadingLimit(None, most, Source(text, "practice"), "mass")
    return None


def _limit(part: PartName) -> LimitKind:
    words = PART_WORDS[part]
    return LimitKind(
        f"{part}_weight", f"Weight of a {words}.",
        Cure("look", "lighter than the least allowed", "weigh it again; else another part"),
        Cure("look", "heavier than the lightest by more than is allowed", f"take the difference off the {words}"),
        lambda at: _most(part, at), "mass",
    )  # fmt: skip


def _judge(at: ReadingAt) -> tuple[Verdict, ...]:
    """Beside the lightest, weight for weight as read: what the scales blur is alike on both."""
    if at.entry is None or at.limit is None:
        return ()
    read = at.known.middle
    verdict = measured(at, Interval(read, read), spoken(at))
    lightest = next((row for row in _matches(at) if f"weight.{row.matched.lighten}" == at.kind.path), None)
    if verdict.verdict == "within" or lightest is None or not lightest.is_over:
        return (verdict,)
    off = show(lightest.over_kg, "mass", at.bench.system, 1)
    return (replace(verdict, remedy=f"take {off} off the {PART_WORDS[lightest.matched.lighten]}"),)


def _kind(part: PartName) -> ReadingKind:
    """A part that is not lightened itself has no verdict of its own: it counts with the one that it rides on."""
    return ReadingKind(
        path_of(part), "bore", "weights", f"weight of the {PART_WORDS[part]}", MassReading, limit=_limit(part),
        instrument="scales_kg", ask=False, judge=_judge if part in LIGHTENED else lambda at: (),
        lay=lambda built, at: built.with_bore(
            at.number, weights_kg=(*built.bore(at.number).weights_kg, (part, at.known.middle))
        ),
    )  # fmt: skip


KINDS: Final = tuple(_kind(part) for part in PARTS)
