"""What a check answers: a section of rows with quantities, and findings in words."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal, TypeAlias

import geometry.checks
from geometry.assembly import Assembly
from geometry.kinematics.layout import BoreSite
from geometry.registry import registered
from geometry.units import System, show

Severity: TypeAlias = Literal["stop", "look", "note"]
Nearby: TypeAlias = Literal["clear", "close", "touches", "overlaps"]
"""What a distance is against its limit, in the order of gravity."""
SEVERITY_WORDS: dict[Severity, str] = {"stop": "STOP", "look": "LOOK", "note": "note"}
ROUNDING = 1e-9
"""A value exactly on its limit may come out this much beside it; it keeps the limit."""


@dataclass(frozen=True, slots=True)
class Amount:
    """A number with its dimension (a key of ``units.DIMENSIONS``), in the house unit of that dimension.

    ``about``: it is shown with so many digits that count, since nobody knows it better; 0: by decimals.
    """

    value: float
    dimension: str
    fine: bool = False
    digits: int | None = None
    about: int = 0

    def text(self, system: System) -> str:
        """As the builder reads it."""
        return show(self.value, self.dimension, system, self.digits, fine=self.fine, about=self.about)


Cell: TypeAlias = Amount | str | int | float | None
Row: TypeAlias = Mapping[str, Cell]


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a table: the key in each row and the heading over it."""

    key: str
    heading: str


@dataclass(frozen=True, slots=True)
class Remedy:
    """What was tried and restores a limit: one change of the engine file, or parts put together as designed.

    Attributes
    ----------
    words : what is done, how much, and what is left then
    settings : the values by key, as ``--set`` takes them; none where parts are put right
    leaves_mm : proved least distance then; at least so much where it is far
    puts_right : fields of ``Built`` or ``BoreBuild`` that depart from the design, with the bore or main bearing; none
        for a change of the engine file
    """

    words: str
    settings: Mapping[str, str]
    leaves_mm: float
    puts_right: tuple[tuple[str, int], ...] = ()


@dataclass(frozen=True, slots=True)
class Finding:
    """Something the builder must know.

    Attributes
    ----------
    id : fixed name of the rule, the same in every engine
    severity : ``stop`` (outside its limit), ``look`` (worth a second look), ``note``
    bore : the builder's number, None when it concerns the whole engine
    text : what is so, with numbers, their limit and its source
    remedy : what to do about it
    remedies : the same as changes of the engine file, or parts put right, where they were tried
    figure : name of the figure that is outside, where it is one of the section's
    open_to : how grave it may turn out to be where values in doubt leave it open; None where it is settled
    keys : the values of the engine file that it is about, where it says so
    group : what is wrong with which part, as ``TroubleSpot.group`` and as build records write it (``ring.top.gap``);
        empty where the figure says so, or where nothing else could tell of the same
    main : of the main bearing from the front, where it is about one
    also : what follows from the same fault, or shows it too
    """

    id: str
    severity: Severity
    bore: int | None
    text: str
    remedy: str = ""
    remedies: tuple[Remedy, ...] = ()
    figure: str = ""
    open_to: Severity | None = None
    keys: tuple[str, ...] = ()
    group: str = ""
    main: int | None = None
    also: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Figure:
    """One number that a check answers with, as typed data, and the limits that it is held to.

    Attributes
    ----------
    name : which figure, the same in every engine and unique within its section and bore: ``deck``, ``gap of top``
    bore : the builder's number, None when it concerns the whole engine
    value, least, most : in the house unit of ``dimension``; None where there is no such limit
    dimension : a key of ``units.DIMENSIONS``, or ``ratio`` for a pure number
    row, column : where in the section's table it stands
    source : who says the limit
    below, above : how grave it is to be outside the limit; a limit that is only a note decides nothing
    within : by how much the true value may be lower, where it is certified to a half-width
    """

    name: str
    bore: int | None
    value: float
    least: float | None
    most: float | None
    dimension: str
    row: int
    column: str
    source: str = ""
    below: Severity = "stop"
    above: Severity = "stop"
    within: float = 0.0

    @property
    def margins(self) -> tuple[tuple[float, Severity], ...]:
        """What is left to each limit that decides, below zero outside, and how grave it is to be there."""
        left: list[tuple[float, Severity]] = []
        if self.least is not None:
            left.append((_left(self.value - self.within - self.least), self.below))
        if self.most is not None:
            left.append((_left(self.most - self.value), self.above))
        return tuple((room, grave) for room, grave in left if grave != "note")

    @property
    def margin(self) -> float | None:
        """What is left to the nearer limit that decides, below zero outside; None without one."""
        return min((room for room, _ in self.margins), default=None)


def _left(room: float) -> float:
    return 0.0 if -ROUNDING <= room < 0.0 else room


def gravest(severities: Iterable[Severity]) -> Severity:
    """The gravest of some; a note where there are none."""
    order = list(SEVERITY_WORDS)
    return min(severities, key=order.index, default="note")


def worst_first(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Stops before looks before notes; of one severity in the order given."""
    order = list(SEVERITY_WORDS)
    return tuple(sorted(findings, key=lambda finding: order.index(finding.severity)))


@dataclass(frozen=True, slots=True)
class Section:
    """One part of the report.

    Attributes
    ----------
    key : its name in ``--json``
    title : its heading
    columns : what the table shows, in order; rows may hold more for ``--json``
    rows : one mapping per row; keys carry their unit (``deck_clearance_mm``), also in ``--json``
    findings : in the order of importance
    notes : assumptions and sources printed under the table
    single : True when ``--json`` holds one object instead of a list of them
    shown : fewer rows for the printed table, where there are too many to read; None: all
    figures : the numbers of the table that doubt is asked about, as typed data
    repeats : figures of other checks that stand in this table too, each with its check's key and its place here; they
        are judged, told and counted there
    """

    key: str
    title: str
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    findings: tuple[Finding, ...] = ()
    notes: tuple[str, ...] = ()
    single: bool = False
    shown: tuple[Row, ...] | None = None
    figures: tuple[Figure, ...] = ()
    repeats: tuple[tuple[str, Figure], ...] = ()

    def as_json(self) -> Any:
        """Plain numbers in house units, ready for ``--json``."""
        plain = [{key: _plain(cell) for key, cell in row.items()} for row in self.rows]
        return plain[0] if self.single and plain else plain


def _plain(cell: Cell) -> str | int | float | None:
    return round(cell.value, 6) if isinstance(cell, Amount) else cell


LINKAGE_KEYS = ("crank.stroke", "crank.split", "rod.length", "piston.pin.offset")
"""Beginnings of the keys that throws, rods and offsets follow from."""
READ_BY_ALL = ("engine.", "limits.", "bore")
"""Beginnings of keys that any check may depend on."""
FiguresOf: TypeAlias = Callable[[Assembly, Collection[int] | None], tuple[Figure, ...]]
"""Figures of an assembly by themselves, of some bores or (None) of all."""


@dataclass(frozen=True, slots=True)
class Check:
    """One check.

    Attributes
    ----------
    key : its name
    order : where it stands in the report
    run : gives its section
    figures : gives the figures of that section without the words, where they can be had cheaply
    bodies : part types whose bodies the figures need
    reads : beginnings of the keys of the engine file that the figures can depend on, apart from ``READ_BY_ALL``
    """

    key: str
    order: int
    run: Callable[[Assembly, System], Section]
    figures: FiguresOf | None = None
    bodies: tuple[str, ...] = ()
    reads: tuple[str, ...] = ()


def asked(assembly: Assembly, only: Collection[int] | None) -> list[tuple[int, BoreSite]]:
    """Sites by the builder's numbers, each with its place among all of them; of some bores or (None) of all."""
    sites = sorted(assembly.layout.bores, key=lambda site: site.bore)
    return [(place, site) for place, site in enumerate(sites) if only is None or site.bore in only]


@cache
def checks() -> tuple[Check, ...]:
    """Every check in the folder, in the order of the report."""
    found = registered(geometry.checks, "CHECK", Check, lambda check: check.key)
    return tuple(sorted(found.values(), key=lambda check: check.order))


def length(value_mm: float, *, fine: bool = True) -> Amount:
    """A length to be shown finely."""
    return Amount(value_mm, "length", fine=fine)
