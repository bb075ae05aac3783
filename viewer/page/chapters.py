"""What the customer reads: what was brought, what was found, what was done, what to keep in mind.

Typed data decide what is said: kind, group and severity of a place, whether a record shows a mistake, whether values
are assumed. Nothing is told as done that the record does not hold.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from geometry.mistakes.mistake import Mistake, mistakes
from geometry.mistakes.shown import as_found, shown_places
from geometry.units import show
from viewer.page.everyday import everyday
from viewer.page.shape import ChapterData
from viewer.plain_words import plain_words
from viewer.scene.trouble_marks import TroubleGroup, grouped_troubles

if TYPE_CHECKING:
    from geometry.checks.section import Severity
    from geometry.checks.trouble_spot import TroubleSpot
    from geometry.record.model import Record
    from viewer.job import Job
    from viewer.page.glossary import Marking
    from viewer.page.mistakes import Found

MOST: Final = 6
"""Kinds of thing found that are told one by one."""
SEVERITY: Final[dict[Severity, str]] = {
    "stop": "This has to be put right before the engine runs.",
    "look": "This is worth a second look before the engine is closed.",
    "note": "This keeps its limit.",
}
LAYOUTS: Final = {
    "inline": "in one row",
    "vee": "in two rows that form a V",
    "flat": "in two rows that lie flat",
}
COUNTS: Final = {1: "one", 2: "two", 3: "three", 4: "four", 5: "five", 6: "six", 7: "seven", 8: "eight"}


@dataclass(frozen=True, slots=True, eq=False)
class Told:
    """What there is to tell.

    Attributes
    ----------
    job : the engine, as designed or as built
    spots : its places, the worst first
    record : the build record that is laid over it
    found : the mistake that the page explains
    """

    job: Job
    spots: Sequence[TroubleSpot]
    record: Record | None = None
    found: Found | None = None

    @property
    def wrong(self) -> tuple[TroubleGroup, ...]:
        """What is outside its limit or not as it must be, by its kind, the worst first."""
        return grouped_troubles([spot for spot in self.spots if spot.is_wrong])


def chapters_of(told: Told, marking: Marking) -> list[ChapterData]:
    """The chapters in their order, terms of the trade marked."""
    chapters = [("What was brought", list(_brought(told)))]
    if told.found is not None:
        chapters.append(("What this page shows", list(_shown(told.found))))
    if told.found is None or told.record is not None:
        chapters.append(("What was found", list(_found(told))))
    if told.record is not None:
        chapters.append(("What was done", list(_done(told, told.record))))
    to_do = list(_to_do(told))
    if to_do:
        chapters.append(("What is to be done", to_do))
    chapters.append(("What to keep in mind", list(_kept_in_mind(told))))
    return [
        {"title": title, "paragraphs": [marking.marked(text) for text in texts]} for title, texts in chapters
    ]


def _brought(told: Told) -> Iterator[str]:
    spec = told.job.assembly.spec
    engine, count = spec.engine, len(told.job.assembly.layout.bores)
    pistons = "one piston" if count == 1 else f"{COUNTS.get(count, count)} pistons"
    stand = "" if count == 1 else f" {LAYOUTS[engine.layout]}"
    if engine.layout == "vee" and engine.bank_angle_deg is not None:
        stand += f", {show(engine.bank_angle_deg, 'angle', told.job.system)} between them"
    slides = "which slides" if count == 1 else "each of which slides"
    yield f"{engine.name} is an engine with {pistons}{stand}, {slides} in a cylinder and turns the crankshaft."
    wide, far = (
        show(mm, "length", told.job.system) for mm in (spec.block.bore.diameter_mm, spec.crank.stroke_mm)
    )
    yield f"The bore is {wide}, the stroke {far}."
    if "duty" in engine.model_fields_set:
        yield f'What it is built for, in the word of its file: "{engine.duty}".'
    if told.record is not None:
        yield "It is told of here as it was put together, as far as the build record says."


def _shown(found: Found) -> Iterator[str]:
    case = found.case
    yield f"{_capital(case.mistake.title)}, {case.where}. {case.mistake.different}"
    if found.recorded is None:
        yield (
            "It is shown in a model of this engine, right and wrong side by side. No build record was given, so "
            "nothing here says that it was found in the engine itself."
        )
    elif found.recorded:
        yield "The build record shows it in this engine. Beside it stands the same engine with it put right."
    else:
        yield "The build record does not show it in this engine: it is put into the model to show what it does."
    number = case.study.rows[0]
    comparison = _compared(getattr(number["wrong"], "value", None), getattr(number["wrong"], "dimension", ""))
    if comparison:
        yield f"The number that counts ({number['what']}) is {_cell(number['wrong'], case)} in place of " + (
            f"{_cell(number['right'], case)}. The first is {comparison}."
        )
    yield SEVERITY[case.study.spot.severity]


def _found(told: Told) -> Iterator[str]:
    assumed = told.job.rests_on
    if not told.wrong:
        as_far = " as the values are assumed" if assumed else ""
        yield f"Nothing was found outside its limits{as_far}, in the model and by the numbers given."
        nearest = next(
            (spot for spot in told.spots if spot.value is not None and spot.limit is not None), None
        )
        if nearest is not None:
            yield f"What comes nearest to its limit: {_told_number(nearest, told)}"
        return
    for group in told.wrong[:MOST]:
        yield _told_group(group, told)
    left = len(told.wrong) - MOST
    if left > 0:
        yield f"{_capital(COUNTS.get(left, str(left)))} more {'is' if left == 1 else 'are'} in the list of places."


def _told_group(group: TroubleGroup, told: Told) -> str:
    """One kind of thing that is wrong: what it is, the one number that counts, what it is like, how grave it is."""
    spot = group.worst
    others = len({one.bore for one in group.spots} - {spot.bore})
    more = f" The same in {COUNTS.get(others, others)} more." if others else ""
    return f"{_place(spot)}: {plain_words(spot)} {_told_number(spot, told)}{more} {SEVERITY[spot.severity]}".replace(
        "  ", " "
    )


def _told_number(spot: TroubleSpot, told: Told) -> str:
    """The number, its limit, and what it is like; nothing where there is no number."""
    if spot.value is None or spot.limit is None:
        return ""
    system, fine = told.job.system, spot.dimension == "length"
    overlaps = spot.nearby == "overlaps" and spot.value < 0.0
    value = show(abs(spot.value) if overlaps else spot.value, spot.dimension, system, fine=fine)
    if overlaps:
        value = f"an overlap of {value}"
    limit = show(spot.limit, spot.dimension, system, fine=fine)
    comparison = _compared(spot.value, spot.dimension)
    like = f" ({comparison})" if comparison else ""
    rests = ", as assumed" if told.job.rests_on else ""
    side = "at least" if _is_least(spot) else "at most"
    wanted = f"{side} {limit} between them is wanted" if overlaps else f"{side} {limit} is wanted"
    if overlaps and not spot.limit:
        wanted = "there must be none"
    return f"{_capital(spot.words)}: {value}{like}{rests}; {wanted}."


def _is_least(spot: TroubleSpot) -> bool:
    """Whether the limit of a place is the least that is wanted, rather than the most."""
    outside = spot.margin is not None and spot.margin < 0.0
    below = (spot.value or 0.0) < (spot.limit or 0.0)
    return below == outside or spot.kind == "clearance"


def _done(told: Told, record: Record) -> Iterator[str]:
    from geometry.record.catalogue import lay_out, readings_at
    from geometry.record.judging import judged

    entries = [at for at in readings_at(lay_out(told.job.assembly.spec, record)) if at.entry is not None]
    verdicts = [one for at in entries for one in judged(at)]
    outside = sum(one.verdict == "outside" for one in verdicts)
    unsure = sum(one.verdict == "cannot tell" for one in verdicts)
    days = sorted(at.entry.on for at in entries if at.entry is not None and at.entry.on is not None)
    when = "" if not days else f" on {days[0]}" if days[0] == days[-1] else f" from {days[0]} to {days[-1]}"
    entry = "entry was" if len(entries) == 1 else "entries were"
    yield f"The engine was measured and looked at: {len(entries)} {entry} written down in the build record{when}."
    yield (
        f"Of what is judged, {sum(one.verdict == 'within' for one in verdicts)} within limits, {outside} outside"
        + (f", {unsure} cannot be told yet." if unsure else ".")
    )
    if outside or told.wrong:
        yield "The record does not say that anything of this has been put right."


def _to_do(told: Told) -> Iterator[str]:
    if told.found is not None and told.record is None:
        yield f"{told.found.case.study.look_for} {told.found.case.study.remedy}"
        return
    if told.record is not None:
        for mistake in mistakes():
            places = shown_places(told.job.assembly, mistake)
            if places:
                yield _remedy(told.job, mistake, places)
    kinds = {group.worst.kind for group in told.wrong}
    if "clearance" in kinds:
        yield "Where parts come too near to each other, the builder makes room, and measures again."
    if told.wrong:
        yield "Whatever else was found above is brought within its limit, measured again and written down."


def _remedy(job: Job, mistake: Mistake, places: Sequence[int]) -> str:
    pair = as_found(job.assembly, mistake, places[0])
    study = mistake.study(pair.right, pair.wrong, places[0], job.system)
    word = "main bearing" if mistake.where == "main" else "bore"
    where = f"{word} {places[0]}" if len(places) == 1 else f"{word}s {', '.join(map(str, places))}"
    return f"{_capital(mistake.title)}, {where}: {study.remedy}"


def _kept_in_mind(told: Told) -> Iterator[str]:
    job = told.job
    if job.rests_on:
        yield (
            f"Nobody has measured all of this engine: {job.rests_on}. What is said here holds for the values as they "
            "are assumed, and may be otherwise when they are measured."
        )
    elif job.in_doubt:
        yield "Some sizes are known only between two ends. What is said here holds for the values that are given."
    if job.waiting:
        count = len(job.waiting)
        yield f"{_capital(COUNTS.get(count, str(count)))} of the checks cannot be answered, since sizes are missing."
    yield "All of this comes from a model with simple shapes. It replaces no measuring of the real parts."
    if told.record is not None:
        yield "What is not in the build record is taken to be as designed; nobody has said that it is."


def _place(spot: TroubleSpot) -> str:
    if spot.bore is not None:
        return f"Cylinder {spot.bore}"
    return f"Main bearing {spot.main}" if spot.main is not None else "In the engine"


def _compared(value: float | None, dimension: str) -> str:
    return everyday(value) if dimension == "length" and value is not None else ""


def _cell(cell: object, case: object) -> str:
    text = getattr(cell, "text", None)
    return str(text(case.system)) if text is not None else str(cell)  # type: ignore[attr-defined]


def _capital(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"
