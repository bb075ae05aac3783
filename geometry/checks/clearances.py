"""Every clearance over the full turn, the worst first: a proof about the modelled solids, not a sample."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from geometry.assembly import Assembly
from geometry.checks.remedies import Answer, answer, cure, kind_of
from geometry.checks.section import Amount, Check, Column, Figure, Finding, Nearby, Row, Section, length
from geometry.checks.trials import Trials
from geometry.checks.valve_notes import assumed_words, valve_notes
from geometry.clearance.full_turn import FullTurn, Near, full_turn, turn_of
from geometry.clearance.limits import Limit, limit_for
from geometry.clearance.pairs import Pair
from geometry.clearance.words import bore_of, ordered, place_words
from geometry.collision.broad_phase import NEAR_MM
from geometry.collision.certify import TOLERANCE_MM, Memory
from geometry.feature import Group
from geometry.kinematics.slider_crank import after_own_top_dead_centre_deg
from geometry.kinematics.valve_lift import valve_of
from geometry.parts.rod_bolt import behind_circle_mm
from geometry.units import System, show, show_fine

SHOWN_KINDS = 16
"""Kinds of meeting in the printed table; the rest is in ``--json`` and in ``--all``."""
ROUND_HEAD, ASSUMED = "round head", "assumed"
MOST_KINDS = 6
"""Kinds of meeting that remedies are tried for; an engine that misses more limits has the worst put right first."""
UNTRIED = "put right what is worse first, then check again: no remedy was tried for this one yet"
SAME_MM = 0.03
"""Bores whose clearance agrees this closely are named together."""


@dataclass(frozen=True, slots=True, eq=False)
class Clearance:
    """One certified clearance with its limit and verdict."""

    near: Near
    limit: Limit
    verdict: Nearby

    @property
    def spare_mm(self) -> float:
        """What is left of the limit; negative when it is not kept."""
        return self.near.approach.min_mm - self.limit.least_mm


def verdict_of(min_mm: float, within_mm: float, limit_mm: float) -> Nearby:
    """``clear``, ``close`` (below its limit), ``touches`` or ``overlaps``; in doubt the graver word.

    The true minimum is never above ``min_mm``: however wide the half-width, what is found to overlap does.
    """
    if min_mm < -min(within_mm, TOLERANCE_MM):
        return "overlaps"
    if min_mm - within_mm <= 0.0:
        return "touches"
    return "close" if min_mm - within_mm < limit_mm - 1e-9 else "clear"


def meeting_of(pair: Pair) -> tuple[object, ...]:
    """What pairs of one row have in common: the two features with their bores, and the place of what has none."""
    a, b = ordered(pair)
    return a.feature, b.feature, bore_of(a), bore_of(b), b.place if bore_of(b) is None else ""


def judged(assembly: Assembly, turn: FullTurn) -> list[Clearance]:
    """The nearest place of every two features and bores, the one that misses its limit by most first."""
    return judged_of(assembly, turn.near)


def judged_of(assembly: Assembly, nears: Sequence[Near]) -> list[Clearance]:
    """The same of some certified pairs."""
    best: dict[tuple[object, ...], Clearance] = {}
    for near in nears:
        key = meeting_of(near.pair)
        limit = limit_for(assembly.spec, near.pair.limit)
        approach = near.approach
        found = Clearance(near, limit, verdict_of(approach.min_mm, approach.within_mm, limit.least_mm))
        if key not in best or found.spare_mm < best[key].spare_mm:
            best[key] = found
    return sorted(best.values(), key=lambda c: c.spare_mm)


def run(assembly: Assembly, system: System, memory: Memory | None = None) -> Section:
    """One row for every pair of places that comes near."""
    if memory is None:
        turn, memory = turn_of(assembly)
    else:
        turn = full_turn(assembly, memory=memory)
    found = judged(assembly, turn)
    return _section(assembly, turn, found, tuple(_findings(assembly, turn, found, system, memory)), system)


def untried(assembly: Assembly, turn: FullTurn, system: System) -> Section:
    """The same of an engine whose turn is certified, without trying any remedy: for a value that is only tried out."""
    found = judged(assembly, turn)
    missed = tuple(_finding(clearance, system, None) for clearance in found if clearance.verdict != "clear")
    return _section(assembly, turn, found, missed, system)


def _section(
    assembly: Assembly, turn: FullTurn, found: list[Clearance], findings: tuple[Finding, ...], system: System
) -> Section:
    rows = tuple(_row(assembly, clearance) for clearance in found)
    count = len(assembly.layout.bores)
    columns = (
        Column("bore", "bores"), Column("place_a", "place"), Column("place_b", "against"),
        Column("min_mm", "least"), Column("limit_mm", "wanted"), Column("crank_deg", "at crank"),
        Column("after_top_deg", "after its TDC"), Column("verdict", "verdict"), Column("remark", "remark"),
    )  # fmt: skip
    near = show(min([NEAR_MM, *turn.far_mm]), "length", system)
    half_width = show_fine(TOLERANCE_MM, system)
    notes = (
        f"Each least distance is certified to {half_width} over the whole cycle, at every crank angle, for "
        "the modelled solids; below zero it is the depth of interference.",
        *_coarse(found, system),
        f"{len(turn.far_mm)} more pairs are proved to stay {near} apart or more; {len(turn.listing.excused)} are "
        "joined (they stand still to each other or run in each other) or metal that the engine file does not describe. "
        "`--pairs` prints them all.",
        *_remarks(assembly, found, system),
        "Left out by the model: stretch, bending, heat, bearing play, casting drafts and burrs. Check by hand.",
        *sorted({f"{c.limit.name.replace('_', ' ')}: at least "
                 f"{show(c.limit.least_mm, 'length', system)} ({c.limit.source})." for c in found}),
        *valve_notes(assembly.spec, system),
    )  # fmt: skip
    title = "Clearances through the full turn, worst first"
    figures = tuple(figure_of(row, clearance) for row, clearance in enumerate(found))
    return Section(
        "clearances", title, columns, rows, findings, notes, shown=_shown(rows, count), figures=figures
    )


def figure_name(clearance: Clearance) -> str:
    """The two places as the table names them."""
    a, b = ordered(clearance.near.pair)
    return f"{place_words(a)} : {place_words(b)}"


def figure_of(row: int, clearance: Clearance) -> Figure:
    """A certified clearance as a figure, named by the two places as the table names them."""
    approach, limit = clearance.near.approach, clearance.limit
    a, b = ordered(clearance.near.pair)
    bore = bore_of(a) if bore_of(a) is not None else bore_of(b)
    return Figure(
        figure_name(clearance), bore, approach.min_mm, limit.least_mm, None, "length", row,
        "min_mm", limit.source, within=approach.within_mm,
    )  # fmt: skip


def _coarse(found: Sequence[Clearance], system: System) -> Iterator[str]:
    """What to say where so much overlaps that depths were worked out coarsely."""
    wide = [c.near.approach for c in found if c.near.approach.within_mm > TOLERANCE_MM * 1.001]
    if wide:
        most = show(max(approach.within_mm for approach in wide), "length", system)
        yield (
            f"So much overlaps that {len(wide)} depths are told coarsely: each is at least as deep as its row says and "
            f"at most {most} deeper (`within_mm` in --json)."
        )


def _shown(rows: tuple[Row, ...], count: int) -> tuple[Row, ...]:
    """The worst of each kind of meeting, with every bore that is as bad; whatever misses its limit always."""
    kinds: dict[object, list[Row]] = {}
    for row in rows:
        kinds.setdefault((row["a"], row["b"]), []).append(row)
    found: list[Row] = []
    for alike in kinds.values():
        least = alike[0]["min_mm"]
        assert isinstance(least, Amount)
        same = [
            row["bore"]
            for row in alike
            if isinstance(row["min_mm"], Amount) and row["min_mm"].value - least.value < SAME_MM
        ]
        bores = sorted({bore for bore in same if isinstance(bore, int)})
        named = "all" if len(bores) == count > 1 else ", ".join(map(str, bores))
        found.append({**alike[0], "bore": named or None})
    first = found[:SHOWN_KINDS]
    return tuple(first + [row for row in found[SHOWN_KINDS:] if row["verdict"] != "clear"])


def _row(assembly: Assembly, clearance: Clearance) -> Row:
    approach = clearance.near.approach
    a, b = ordered(clearance.near.pair)
    swapped = a is not clearance.near.pair.a
    at = approach.at_b_mm if swapped else approach.at_a_mm
    bore = bore_of(a) if bore_of(a) is not None else bore_of(b)
    other = bore_of(b) if bore_of(b) not in (None, bore) else None
    after = None
    if bore is not None:
        own = after_own_top_dead_centre_deg(assembly.linkage, approach.crank_deg)
        after = Amount(float(own[assembly.layout.index(bore)]), "angle")
    timing = _assumed_timing(assembly, clearance)
    return {
        "a": a.feature,
        "b": b.feature,
        "bore": bore,
        "other_bore": other,
        "min_mm": length(approach.min_mm),
        "within_mm": length(approach.within_mm),
        "crank_deg": Amount(approach.crank_deg, "angle"),
        "after_top_deg": after,
        "at_x_mm": length(float(at[0])),
        "at_y_mm": length(float(at[1])),
        "at_z_mm": length(float(at[2])),
        "limit_mm": length(clearance.limit.least_mm, fine=False),
        "limit_source": clearance.limit.source,
        "verdict": clearance.verdict,
        "place_a": place_words(a),
        "place_b": place_words(b),
        "body_a": a.body.name,
        "body_b": b.body.name,
        "severity": "" if clearance.verdict == "clear" else "stop",
        "remark": ", ".join(filter(None, (_remark(clearance), timing and f"{timing} assumed"))),
        "assumed_shape": "; ".join(sorted(_assumed(clearance))),
        "assumed_timing": timing,
    }


def _remark(clearance: Clearance) -> str:
    """What a distance rests on besides the engine file."""
    features = (clearance.near.pair.a.of, clearance.near.pair.b.of)
    said = (ROUND_HEAD if any(f.round_head for f in features) else "", ASSUMED if _assumed(clearance) else "")
    return ", ".join(words for words in said if words)


def _assumed(clearance: Clearance) -> set[str]:
    """What is assumed about the shapes of the two, in words."""
    return {place.of.assumed for place in (clearance.near.pair.a, clearance.near.pair.b)} - {""}


def _remarks(assembly: Assembly, found: Sequence[Clearance], system: System) -> list[str]:
    """What the remarks of the rows stand for."""
    notes = [f"{ASSUMED}: {words}." for words in sorted({words for c in found for words in _assumed(c)})]
    if any(ROUND_HEAD in _remark(clearance) for clearance in found):
        back = show_fine(behind_circle_mm(assembly.spec.rod.bolt), system)
        notes.append(
            f"{ROUND_HEAD}: held as the cylinder round its corners, since it may stop at any angle; the flats that "
            f"the picture shows lie up to {back} farther back."
        )
    return notes


def _assumed_timing(assembly: Assembly, clearance: Clearance) -> str:
    """What of the valve gear a row rests on is assumed; empty where the file says it or no valve takes part."""
    pair = clearance.near.pair
    return assumed_words(
        assembly.spec, [valve_of(p.body.frame)[1] for p in (pair.a, pair.b) if p.group is Group.VALVE]
    )


def _findings(
    assembly: Assembly, turn: FullTurn, found: list[Clearance], system: System, memory: Memory
) -> Iterator[Finding]:
    """Whatever misses its limit: parts put right where they are at its root, else remedies tried for its kind."""
    trials = Trials(assembly, turn, system, memory)
    answers: dict[object, Answer] = {}
    for clearance in found:
        if clearance.verdict == "clear":
            continue
        cured = cure(trials, clearance.near)
        if cured is not None:
            yield _finding(clearance, system, cured)
            continue
        kind = kind_of(clearance.near)
        if kind not in answers and len(answers) < MOST_KINDS:
            near = [n for n in turn.near if kind_of(n) == kind and _misses(assembly, n)]
            answers[kind] = answer(trials, [n for n in near if cure(trials, n) is None])
        yield _finding(clearance, system, answers.get(kind))


def _misses(assembly: Assembly, near: Near) -> bool:
    least = limit_for(assembly.spec, near.pair.limit).least_mm
    return verdict_of(near.approach.min_mm, near.approach.within_mm, least) != "clear"


def _finding(clearance: Clearance, system: System, tried: Answer | None) -> Finding:
    approach, limit = clearance.near.approach, clearance.limit
    a, b = ordered(clearance.near.pair)
    bore = bore_of(a) if bore_of(a) is not None else bore_of(b)
    least = show(limit.least_mm, "length", system)
    size = show_fine(abs(approach.min_mm), system)
    said = {
        "overlaps": f"meets the {place_words(b)}, {size} deep",
        "touches": f"touches the {place_words(b)}",
        "close": f"comes within {size} of the {place_words(b)}",
    }[clearance.verdict]
    return Finding(
        f"clearance_{limit.name}",
        "stop",
        bore,
        f"{place_words(a)} {said} at {approach.crank_deg:.1f}° of crank; at least {least} ({limit.source})",
        UNTRIED if tried is None else tried.text(),
        () if tried is None else tried.remedies,
        figure_name(clearance),
    )


CHECK = Check("clearances", 30, run)
