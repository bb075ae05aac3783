"""What doubt about the values does to the report: lowest and highest, verdicts over all of it, and what is open."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Final, TypeAlias

from geometry.checks.section import Amount, Cell, Column, Figure, Finding, Row, Section
from geometry.doubts.answers import Doubtful, Settled
from geometry.spec.described import Described
from geometry.units import System
from viewer.job import Job
from viewer.reports.open_answers import (
    all_leanings,
    amount_of,
    beyond_table,
    findings_over_doubt,
    limit_words,
    moves,
    range_words,
)

AnswerKey: TypeAlias = tuple[str, str, int | None]
WORDS: Final[dict[Settled, str]] = {"within": "within", "outside": "outside", "open": "OPEN"}
MEANS: Final[dict[str, str]] = {
    "within": "within: within limits whatever the doubt",
    "outside": "outside: outside whatever the doubt",
    "OPEN": "OPEN: within or outside, as the values in doubt turn out",
}
ASSUMED: Final = "assumed: how many values it rests on that nobody measured"
GRAVITY: Final[tuple[Settled, ...]] = ("no limit", "within", "open", "outside")
OWN_WORDS: Final = ("verdict", "gap_verdict")
"""Columns with a check's own verdict at nominal values: over values in doubt it is not spoken of."""
ROOM: Final = 130
"""Columns from which a table keeps what is no part of the verdict."""
NARROW: Final = 110
"""Columns below which pairs of places are told in lines of their own."""
SPARED: Final = (
    "after_top_deg", "bank", "bottom_dead_centre_deg", "butts_at_c", "crank_deg", "limit_source",
    "peak_piston_speed_after_top_deg", "peak_piston_speed_m_s", "remark", "shares_pin_with", "stroke_mm", "thrust_side",
)  # fmt: skip
ALWAYS: Final = 4
"""So many columns from the left are always kept, and those with a limit or a verdict."""
LIMITS: Final = ("at least", "at most", "limit")
WHOLE: Final = ("assumed", "highest", "highest_mm", "lowest", "lowest_mm", "settled")
"""Columns that are never broken within a word."""


@dataclass(frozen=True, eq=False)
class OverDoubt:
    """A check's answers over the doubt about the values.

    Attributes
    ----------
    described : how well each value is known
    answers : every answer by section, name and bore
    line : how many values are assumed; empty where none is
    accept_open : open answers are taken as they are
    clashes : rules of consistency that values within their doubt would break
    waiting, waiting_figures, waiting_cells : what is not answered, by section, by section and figure, or by section and
        cell, and the keys it waits for
    next_lines : what to measure next, as printed
    """

    described: Described
    answers: Mapping[AnswerKey, Doubtful]
    line: str
    accept_open: bool = False
    clashes: tuple[Finding, ...] = ()
    waiting: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    waiting_figures: Mapping[tuple[str, str], tuple[str, ...]] = field(default_factory=dict)
    next_lines: tuple[str, ...] = ()
    waiting_cells: Mapping[tuple[str, str], tuple[str, ...]] = field(default_factory=dict)

    def settled(self, sections: Sequence[Section], system: System) -> list[Section]:
        """The sections with their verdicts and findings over the whole doubt."""
        told = (_repeats_without(section, self) for section in sections)
        answered = [_without(section, self.waiting_figures, self.waiting_cells) for section in told]
        return [_section(section, self.answers, system) for section in answered if section is not None]

    @property
    def waiting_lines(self) -> list[str]:
        """What waits for which keys, one line each."""
        lines = [f"{SECTIONS.get(name, name)} wait for {_keys(keys)}" for name, keys in self.waiting.items()]
        left: dict[str, list[str]] = {}
        for (section, _), keys in (*self.waiting_figures.items(), *self.waiting_cells.items()):
            if section not in self.waiting and section in SECTIONS:  # others wait in --json only
                left.setdefault(section, []).extend(keys)
        for section, missing in left.items():
            keys = tuple(dict.fromkeys(missing))
            lines.append(f"{SECTIONS.get(section, section)}: what shows - waits for {_keys(keys)}")
        return lines


def over_doubt(job: Job, accept_open: bool = False) -> OverDoubt | None:
    """What doubt does to a job's answers; None where every value is plain."""
    if not job.assumed and not job.in_doubt:
        return None
    return OverDoubt(
        job.described,
        by_key(job.answers),
        job.assumed,
        accept_open,
        _clashes(job.described),
        job.waiting,
        job.waiting_figures,
        waiting_cells=job.waiting_cells,
    )


def _clashes(described: Described) -> tuple[Finding, ...]:
    """What would be at odds with each other within the doubt."""
    from geometry.spec.within_doubt import clashes_within_doubt

    return tuple(
        Finding("clash_within_doubt", "note", None, found.text, keys=tuple(found.at))
        for found in clashes_within_doubt(described)
    )


def by_key(answers: Iterable[Doubtful]) -> dict[AnswerKey, Doubtful]:
    """Answers by what they are known by."""
    return {(one.section, one.name, one.bore): one for one in answers}


# ---- sections


SECTIONS: Final = {
    "balance": "Balance", "bores": "Bores", "clearances": "Clearances", "fasteners": "Fasteners", "fits": "Fits",
    "notch": "Notches at the bottom of the bores", "passage": "Rods through their bores", "rings": "Rings",
    "sides": "Rods on their pins", "summary": "Engine",
}  # fmt: skip
"""What a section is called where it is not there."""


def _keys(keys: Sequence[str]) -> str:
    return f"{', '.join(keys)}: not in the file"


FOLLOWING: Final = {
    "back_at_wall_mm": ("back_verdict",),
    "back_mm": ("back_verdict",),
    "gap_mm": (
        "filing_mm", "filing_per_end_mm", "gap_area_mm2", "gap_at_depth_mm", "gap_verdict", "gap_widest_at_depth_mm",
        "gap_widest_mm",
    ),
    "hot_gap_mm": ("butts_at_c", "closing_mm"),
    "side_mm": ("side_verdict",),
    "value_mm": ("verdict",),
    "wall_above_mm": ("depth_at_top_mm",),
    "wall_below_mm": ("depth_at_bottom_mm",),
}  # fmt: skip
"""Cells that follow from a figure's own."""
TARGETS: Final = ("rings",)
"""Sections that are worth reading without any of their figures: what is asked of them is known all the same."""


def _without(
    section: Section,
    waiting: Mapping[tuple[str, str], tuple[str, ...]],
    cells: Mapping[tuple[str, str], tuple[str, ...]],
) -> Section | None:
    """A section less the figures and cells that wait and what was found about them; None where none is left."""
    names = {figure.name for figure in section.figures if (section.key, figure.name) in waiting}
    blank = [key for table, key in cells if table == section.key]
    if not names and not blank:
        return section
    kept = tuple(figure for figure in section.figures if figure.name not in names)
    if names and not kept and section.key not in TARGETS:
        return None
    taken = {(figure.row, figure.column) for figure in section.figures}
    rows = [dict(row) for row in section.rows]
    for figure in section.figures:
        if figure.name in names:
            for key in (figure.column, *FOLLOWING.get(figure.column, ())):
                rows[figure.row][key] = None
            rows[figure.row]["severity"] = ""
    for place, row in enumerate(rows):
        row |= {key: None for key in blank if key in row and (place, key) not in taken}
    findings = tuple(finding for finding in section.findings if finding.figure not in names)
    columns = section.columns if kept or not names else _foreign(section.columns)
    return replace(section, columns=columns, rows=tuple(rows), figures=kept, findings=findings)


def _repeats_without(section: Section, over: OverDoubt) -> Section:
    """A section less what it repeats of sections and figures that wait."""
    gone = [
        pair
        for pair in section.repeats
        if pair[0] in over.waiting or (pair[0], pair[1].name) in over.waiting_figures
    ]
    if not gone:
        return section
    rows = [dict(row) for row in section.rows]
    for _, figure in gone:
        rows[figure.row] |= {figure.column: None, "verdict": None, "severity": ""}
    return replace(
        section, rows=tuple(rows), repeats=tuple(pair for pair in section.repeats if pair not in gone)
    )


def _section(section: Section, answers: Mapping[AnswerKey, Doubtful], system: System) -> Section:
    held = [(figure, answers.get((section.key, figure.name, figure.bore))) for figure in section.figures]
    known = [(figure, one) for figure, one in held if one is not None]
    beyond = beyond_table(section, answers, system)
    if not known:
        return replace(section, findings=(*section.findings, *beyond)) if beyond else section
    repeated = [(figure, answers.get((key, figure.name, figure.bore))) for key, figure in section.repeats]
    by_row: dict[int, list[tuple[Figure, Doubtful]]] = {}
    for figure, one in (*known, *((figure, one) for figure, one in repeated if one is not None)):
        by_row.setdefault(figure.row, []).append((figure, one))
    single = not section.single and all(len(found) == 1 for found in by_row.values())
    rows = tuple(_row(row, by_row.get(place, []), single) for place, row in enumerate(section.rows))
    return replace(
        section,
        columns=section.columns
        if section.single
        else _columns(section.columns, known[0][0].column if single else None),
        rows=rows,
        shown=_shown(section, rows),
        findings=(*findings_over_doubt(section, known, system), *beyond),
    )


def _row(row: Row, found: Sequence[tuple[Figure, Doubtful]], single: bool) -> Row:
    """A row with its verdict over the doubt, and how many assumed values it rests on."""
    if not found:
        return row
    worst = max((one for _, one in found), key=lambda one: GRAVITY.index(one.settled))
    settled = worst.settled
    assumed = {leaning.key for _, one in found for leaning in all_leanings(one) if leaning.assumed}
    grave = {"open": "look", "outside": worst.severity}.get(settled, "")
    said = {**row, "settled": WORDS.get(settled), "assumed": len(assumed), "severity": grave}
    if single:
        one = found[0][1]
        moved = moves(one)
        said |= {
            "lowest_mm": amount_of(one, one.lowest) if moved else None,
            "highest_mm": amount_of(one, one.highest) if moved else None,
        }
    return said


def _foreign(columns: Sequence[Column]) -> tuple[Column, ...]:
    """Columns without a check's own verdict, which is one at nominal values."""
    return tuple(column for column in columns if column.key not in OWN_WORDS or column.heading != "verdict")


def _columns(columns: Sequence[Column], measured: str | None) -> tuple[Column, ...]:
    out: list[Column] = []
    for column in _foreign(columns):
        out.append(column)
        if column.key == measured:
            out += [Column("lowest_mm", "lowest"), Column("highest_mm", "highest")]
    return (*out, Column("settled", "verdict"), Column("assumed", "assumed"))


def _shown(section: Section, rows: Sequence[Row]) -> tuple[Row, ...] | None:
    """The printed rows with what their own row says; a kind of meeting stands as its worst bore does."""
    if section.shown is None:
        return None
    kinds: dict[object, list[Row]] = {}
    for row in rows:
        kinds.setdefault((row.get("a"), row.get("b")), []).append(row)
    out = []
    for row in section.shown:
        alike = kinds.pop((row.get("a"), row.get("b")), [])
        worst = max(alike, key=_gravity, default=row)
        out.append({**worst, "bore": row["bore"] if worst is alike[0] else worst["bore"]} if alike else row)
    unsettled = (max(alike, key=_gravity) for alike in kinds.values())
    return (*out, *(row for row in unsettled if row.get("settled") not in (None, "within")))


def _gravity(row: Row) -> int:
    return ("within", "OPEN", "outside").index(str(row.get("settled") or "within"))


def fitting(columns: Sequence[Column], width: int) -> tuple[Column, ...]:
    """The columns that a terminal has room for: first of all those that say how the answer stands."""
    if width >= ROOM or not any(column.key == "settled" for column in columns):
        return tuple(columns)
    return tuple(column for column in columns if column.key not in SPARED)


def with_room(
    columns: Sequence[Column], rows: Sequence[Row], width: int, system: System
) -> tuple[Column, ...]:
    """Columns less those on the right that would break numbers in two; limits and verdicts are kept.

    Where that is not enough, how many values are assumed goes last.
    """
    kept = list(columns)
    if not any(column.key == "settled" for column in kept):
        return tuple(kept)
    spare = [c for c in columns if c.key == "assumed"]
    spare += [c for c in columns[ALWAYS:] if c.key not in WHOLE and c.heading not in LIMITS]
    wide = {column.key: _width(column, rows, system) for column in columns}
    while spare and sum(wide[column.key] + 2 for column in kept) - 2 > width:
        kept.remove(spare.pop())
    return tuple(kept)


def _width(column: Column, rows: Sequence[Row], system: System) -> int:
    """The least width of a column that breaks no number and no word."""
    whole = [_said(row.get(column.key), system) for row in rows]
    words = [str(row.get(column.key)).split() for row in rows if isinstance(row.get(column.key), str)]
    heading = [column.heading] if column.key in WHOLE else column.heading.split()
    return max(map(len, [*heading, *whole, *(word for cell in words for word in cell)]))


def told(row: Row, system: System) -> str:
    """A certified row in one line: least, lowest and highest, limit, verdict."""
    cells = {key: _said(row.get(key), system) for key in ("min_mm", "lowest_mm", "highest_mm", "limit_mm")}
    between = f", {cells['lowest_mm']} to {cells['highest_mm']}" if cells["lowest_mm"] else ""
    count = row.get("assumed")
    rests = f", {count} assumed" if count else ""
    return (
        f"least {cells['min_mm']}{between}; at least {cells['limit_mm']}: {row.get('settled') or '-'}{rests}"
    )


def _said(cell: Cell, system: System) -> str:
    return cell.text(system) if isinstance(cell, Amount) else ""


def legend(rows: Sequence[Row]) -> str:
    """What the words of a table mean; empty where it says none."""
    said = [MEANS[word] for word in MEANS if any(row.get("settled") == word for row in rows)]
    return "; ".join([*said, ASSUMED]) + "." if any("settled" in row for row in rows) else ""


SAYS: Final[dict[Settled, str]] = {
    "within": "within whatever the doubt",
    "outside": "outside whatever the doubt",
    "open": "OPEN",
}


def with_doubt(said: str, section: Section, column: Column, over: OverDoubt, system: System) -> str:
    """A number of a table with one row and what stands behind it: from where to where, verdict, what it rests on."""
    for figure in section.figures:
        one = over.answers.get((section.key, figure.name, figure.bore))
        if figure.column != column.key or one is None or not moves(one):
            continue
        limit = limit_words(figure, system)
        verdict = SAYS.get(one.settled, "") + (
            f", wanted {limit}" if one.settled in ("open", "outside") else ""
        )
        rests = f"rests on {one.assumed} assumed" if one.assumed else ""
        number = f"{one.nominal:.2f}" if one.dimension == "ratio" else said
        behind = (range_words(one, system), verdict, rests)
        return f"{number} ({', '.join(words for words in behind if words)})"
    return said


INTERVALS: Final = (
    Column("bore", "bore"), Column("name", "figure"), Column("nominal", "nominal"), Column("lowest", "lowest"),
    Column("highest", "highest"), Column("limit", "limit"), Column("settled", "verdict"),
    Column("assumed", "assumed"),
)  # fmt: skip


def intervals(section: Section, answers: Mapping[AnswerKey, Doubtful], system: System) -> list[Row]:
    """Figures of a table that has several to a row: lowest and highest of those that doubt moves."""
    if section.single or any("lowest_mm" in row for row in section.rows):
        return []
    rows: list[Row] = []
    for figure in section.figures:
        one = answers.get((section.key, figure.name, figure.bore))
        if one is None or not moves(one):
            continue
        rows.append(
            {
                "bore": figure.bore,
                "name": figure.name,
                "nominal": amount_of(one, one.nominal),
                "lowest": amount_of(one, one.lowest),
                "highest": amount_of(one, one.highest),
                "limit": limit_words(figure, system) or None,
                "settled": WORDS.get(one.settled),
                "assumed": one.assumed,
                "severity": {"open": "look", "outside": one.severity}.get(one.settled, ""),
            }
        )
    return rows
