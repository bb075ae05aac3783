"""The faults of an engine as it was put together, each of them told once.

A turned rod is read off the bench, rides on its fillet in one check and lacks side play in another reading: that is
one fault. Whoever lists faults lists these, so that the check of a built engine, the verdicts on its record, the page
and the build sheet agree in their count and in their words. What belongs together is decided by bore, part and kind of
fault (``Finding.group``), or by the bodies that a fault moves; words decide nothing.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Final, TypeAlias

from geometry.assembly import Assembly
from geometry.checks.fault_spots import FIGURES, RING_COLUMNS
from geometry.checks.section import Finding, Section, Severity, checks, gravest, worst_first
from geometry.record.catalogue import lay_out, readings_at
from geometry.record.judging import judged
from geometry.record.model import Record
from geometry.record.section import KEY, section_of
from geometry.units import System

Key: TypeAlias = tuple[str, int | None, int | None]
"""What is wrong with which part, the bore and the main bearing that it is about."""

HEIGHTS: Final = ("piston.number", "rod.number", "rod.length", "piston.height")
ROD: Final = ("rod.way", "cap.way", "rod.number", "cap.number", "rod.length")
FOLLOWS: Final = (
    # what follows, from what: the first of these that is wrong in the same bore
    (r"ring\.(\w+)\.hot", (r"ring.\1.gap", "ring.groove")),
    (r"ring\.\w+\.(side|back)", ("ring.groove",)),
    (r"ring\.\w+\.(top|bottom|notch)", (*HEIGHTS, "deck")),
    (r"rod\.side", ("rod.way", "cap.way")),
    (r"bolt\.(torque|opens)", ("bolt.major.tension", "bolt.minor.tension")),
    (r"deck", HEIGHTS),
    (r"piston\.head", (*HEIGHTS, "deck")),
    (r"crankpin|shell\.wall", ("bearing.clearance",)),
    (r"main\.(journal|shell\.wall)", ("main.clearance",)),
    (r"shell\.crush", ("rod.housing",)),
    (r"main\.crush", ("main.housing",)),
    (r"diameter|piston\.skirt\.warm", ("piston.skirt",)),
)
ON_PIN: Final = ("rod.side",)
"""What the two rods of a pin share, so that the other of them may be the cause."""
MOVED: Final = (
    # bodies that a fault of bore or main n puts where they were not designed to be
    ("bolt.major.stand", ("rod_bolt {n} major",)),
    ("bolt.minor.stand", ("rod_bolt {n} minor",)),
    *((group, ("rod {n}", "rod_cap {n}", "rod_bolt {n} major", "rod_bolt {n} minor")) for group in ROD),
    *((group, ("piston {n}", "piston_pin {n}")) for group in ("piston.way", *HEIGHTS, "deck")),
    ("main.way", ("main_cap {n}",)),
    ("main.number", ("main_cap {n}",)),
)
OF_CHECKS: Final = {"rod.fillet": "rod.side", "shell.fillet": "rod.side"}
"""Groups of the checks' figures that one finding tells of together."""


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is wrong with an engine as it was put together, or that cannot be told.

    Attributes
    ----------
    id : fixed name of the rule that found it
    severity : ``stop`` (outside its limit), ``look`` (worth a second look, or cannot be told), ``note``
    bore, main : the builder's number of the bore, or of the main bearing from the front; None where it is about neither
    group : what is wrong with which part: ``rod.way``, ``ring.top.gap``; empty where no other telling could be the same
    text : what was found, with its limit
    remedy : what to do
    also : what follows from the same fault, or shows it too
    """

    id: str
    severity: Severity
    bore: int | None
    main: int | None
    group: str
    text: str
    remedy: str
    also: tuple[str, ...]


@dataclass(slots=True)
class _Telling:
    """One finding of one section, and what it is about."""

    finding: Finding
    group: str
    main: int | None
    recorded: bool
    bodies: frozenset[str] = frozenset()
    with_it: list[_Telling] = field(default_factory=list)

    @property
    def key(self) -> Key:
        return self.group, self.finding.bore, self.main


def faults(
    assembly: Assembly, record: Record, system: System, sections: Sequence[Section] | None = None
) -> tuple[Fault, ...]:
    """The faults of a built engine, each once, the gravest first.

    Parameters
    ----------
    assembly : the engine with the record laid over it
    record : the build record of the same engine
    system : units of the words
    sections : what the checks answer, the readings among them, where that is known already; None: it is worked out
        here, which takes as long as ``check``
    """
    if sections is None:
        run = [check.run(assembly, system) for check in checks()]
        sections = [*run, section_of(assembly.spec, record, "the build record", system)]
    return listed(told_once(sections, assembly, record))


def listed(sections: Iterable[Section]) -> tuple[Fault, ...]:
    """The findings of sections that tell each fault once, as faults; the gravest first."""
    found = worst_first(finding for section in sections for finding in section.findings)
    return tuple(Fault(f.id, f.severity, f.bore, f.main, f.group, f.text, f.remedy, f.also) for f in found)


def told_once(sections: Sequence[Section], assembly: Assembly, record: Record) -> list[Section]:
    """The same sections with one finding for each fault: the one that names its cause, and the others behind it.

    What was read off the bench goes before what a check works out of it; a limit that the record states itself goes
    before the trade's. A fault is as grave as the gravest thing that it does.

    Parameters
    ----------
    sections : what the checks answer, the readings among them
    assembly : the engine with the record laid over it
    record : the build record of the same engine
    """
    own = _kept_by_own_limits(assembly, record)
    told = [
        [
            telling
            for telling in _tellings(section)
            if telling.recorded or telling.key not in own or telling.finding.open_to
        ]
        for section in sections
    ]
    _join([telling for tellings in told for telling in tellings if not telling.finding.open_to], assembly)
    joined = {id(one) for tellings in told for telling in tellings for one in telling.with_it}
    return [
        replace(section, findings=tuple(_whole(one) for one in tellings if id(one) not in joined))
        for section, tellings in zip(sections, told, strict=True)
    ]


def _tellings(section: Section) -> Iterator[_Telling]:
    figures = {(figure.name, figure.bore): figure for figure in section.figures}
    recorded = section.key == KEY
    for finding in section.findings:
        figure, group, bodies = figures.get((finding.figure, finding.bore)), finding.group, frozenset[str]()
        main = finding.main
        if figure is not None and section.key == "clearances":
            row = section.rows[figure.row]
            bodies = frozenset({str(row["body_a"]), str(row["body_b"])})
        elif not group and figure is not None and section.key == "rings":
            group = f"ring.{section.rows[figure.row]['name']}.{RING_COLUMNS[figure.column][0]}"
        elif not group and (section.key, finding.figure) in FIGURES:
            place = FIGURES[section.key, finding.figure]
            group, main = place.group, place.main
        yield _Telling(finding, OF_CHECKS.get(group, group), main, recorded, bodies)


def _join(told: Sequence[_Telling], assembly: Assembly) -> None:
    """Put each telling behind the one that names the cause of what it tells."""
    first: dict[Key, _Telling] = {}
    alone: list[_Telling] = []
    for telling in sorted(told, key=lambda one: not one.recorded):
        known = first.get(telling.key) if telling.group else None
        if known is None or not known.recorded:  # several figures of one check stay several
            first.setdefault(telling.key, telling)
            alone.append(telling)
        else:
            known.with_it.append(telling)
    causes = {key: one for key, one in first.items() if one.finding.severity != "note"}
    over: dict[int, _Telling] = {}
    for telling in alone:
        cause = next(_causes(telling, causes, assembly), None)
        if cause is not None:
            over[id(telling)] = cause
    for telling in alone:
        top = telling
        while id(top) in over:
            top = over[id(top)]
        if top is not telling:
            top.with_it += [telling, *telling.with_it]
            telling.with_it = []


def _causes(telling: _Telling, causes: dict[Key, _Telling], assembly: Assembly) -> Iterator[_Telling]:
    """Faults that a telling follows from."""
    bore = telling.finding.bore
    places = [bore]
    if telling.group in ON_PIN and bore is not None:
        places.append(assembly.layout.site(bore).partner)
    for pattern, groups in FOLLOWS:
        match = re.fullmatch(pattern, telling.group)
        for place in places if match else ():
            for group in groups:
                cause = causes.get((match.expand(group), place, telling.main)) if match else None
                if cause is not None:
                    yield cause
    other = causes.get((telling.group, places[-1], None)) if len(places) > 1 else None
    if other is not None and other.recorded and not telling.recorded:
        yield other
    for group, names in MOVED if telling.bodies else ():
        for (known, n, main), cause in causes.items():
            place = main if n is None else n
            if known == group and telling.bodies & {name.format(n=place) for name in names}:
                yield cause


def _whole(telling: _Telling) -> Finding:
    """A finding with what else the same fault does."""
    finding = replace(telling.finding, group=telling.group, main=telling.main)
    if not telling.with_it:
        return finding
    also = [one.finding.text for one in telling.with_it if one.recorded or one.key != telling.key]
    # a reading decides by itself; what follows from it may be worse
    graver = [one.finding.severity for one in telling.with_it if one.recorded or one.key != telling.key]
    return replace(finding, severity=gravest([finding.severity, *graver]), also=tuple(dict.fromkeys(also)))


def _kept_by_own_limits(assembly: Assembly, record: Record) -> set[Key]:
    """Readings that keep a limit which the record states in place of the trade's."""
    words: dict[Key, set[str]] = defaultdict(set)
    for at in readings_at(lay_out(assembly.spec, record)):
        if at.kind.limit is not None and getattr(record.limits, at.kind.limit.name, None) is not None:
            for verdict in judged(at):
                words[at.kind.path, at.bore, None].add(verdict.verdict)
    return {key for key, said in words.items() if said == {"within"}}
