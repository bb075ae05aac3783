"""A mistake on a page: what is written beside right and wrong, where it shows, and both halves as plane drawings."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, cast

from geometry.mistakes.mistake import mistakes
from geometry.mistakes.shown import as_found, shown_places
from viewer.explained.case import MistakeCase
from viewer.explained.sheet import text_of
from viewer.page.shape import FigureData, MistakeData, PictureData
from viewer.reports.mistake import NOT_RECORDED, RECORDED, find, place_of

if TYPE_CHECKING:
    from geometry.checks.section import Row
    from viewer.job import Job

SWING_DEG: Final = 35.0
"""To either side of where it shows that the picture moves by itself."""
BEYOND_DEG: Final = 15.0
"""The same beyond a stretch of crank angle in which something bites."""


@dataclass(frozen=True, slots=True, eq=False)
class Found:
    """A mistake in an engine, and whether a build record shows it there; None where there is no record."""

    case: MistakeCase
    recorded: bool | None

    @property
    def swing_deg(self) -> tuple[float, float]:
        """Crank angles between which it shows and does not, for a picture that moves by itself."""
        spot = self.case.study.spot
        low, high = spot.crank_deg - SWING_DEG, spot.crank_deg + SWING_DEG
        for arc in self.case.study.signature.tight:
            period = self.case.study.signature.period_deg
            turns = round((spot.crank_deg - (arc.start_deg + arc.end_deg) / 2) / period) * period
            if arc.start_deg + turns <= spot.crank_deg <= arc.end_deg + turns:
                low = min(low, arc.start_deg + turns - BEYOND_DEG)
                high = max(high, arc.end_deg + turns + BEYOND_DEG)
        return low, high


def found_mistake(job: Job, name: str, bore: int | None = None, main: int | None = None) -> Found:
    """The mistake of a name, by the same rules as ``explain``: where the record shows it, else where it can be made.

    Raises
    ------
    InputError, GeometryError
        There is none of that name, or it cannot be made there.
    """
    assembly = job.assembly
    chosen = find(name, mistakes())
    shown = shown_places(assembly, chosen) if bore is None and main is None else ()
    place = shown[0] if shown else place_of(chosen, assembly, bore, main)
    pair = as_found(assembly, chosen, place)
    study = chosen.study(pair.right, pair.wrong, place, job.system)
    case = MistakeCase(pair.right, pair.wrong, chosen, study, place, job.system, job.rests_on)
    return Found(case, pair.shown if job.readings is not None else None)


def mistake_of(found: Found, halves: list[PictureData]) -> MistakeData:
    """Write it for the page."""
    case, study = found.case, found.case.study
    spot = study.spot
    at_mm = spot.to_mm or spot.from_mm
    return {
        "key": case.mistake.key,
        "title": case.mistake.title,
        "place": case.where,
        "bore": case.bore,
        "different": case.mistake.different,
        "recorded": "" if found.recorded is None else RECORDED if found.recorded else NOT_RECORDED,
        "bodies": list(spot.bodies),
        "at_mm": None if at_mm is None else [round(float(v), 4) for v in at_mm],
        "crank_deg": float(spot.crank_deg),
        "swing_deg": [round(v, 3) for v in found.swing_deg],
        "label": spot.text,
        "numbers": [figure_of(row, case) for row in case.chief_rows()],
        "text": study.does,
        "felt": study.felt,
        "look_for": study.look_for,
        "cure": study.remedy,
        "halves": halves,
    }


def figure_of(row: Row, case: MistakeCase) -> FigureData:
    """One number that counts, right and wrong."""
    return {
        "words": text_of(row, "what", case),
        "right": text_of(row, "right", case),
        "wrong": text_of(row, "wrong", case),
        "limit": text_of(row, "limit", case),
        "source": text_of(row, "limit_source", case),
        "verdict": text_of(row, "verdict", case),
        "severity": cast("FigureData", {"severity": row["severity"] or ""})["severity"],
    }
