"""What `check` prints besides its tables: limits, pairs left out, distance curves, sweeps, relief."""

from __future__ import annotations

import re
import sys
from collections.abc import Mapping
from io import BytesIO
from pathlib import Path

import click
import numpy as np

from geometry.checks.fits import NO_LIMIT, rod_oil_fit, wall_fit
from geometry.checks.notch import wall_finding, wall_mm
from geometry.checks.section import Column, Finding, Row, Section, length
from geometry.checks.whatif import FAR_MM, Sweep, sweep
from geometry.clearance.full_turn import full_turn
from geometry.clearance.least import SHOP_STEP_MM
from geometry.clearance.limits import DEFAULTS, limit_for
from geometry.clearance.pairs import Pair, pairs_of
from geometry.clearance.place import Place
from geometry.clearance.relief import (
    OIL_RING_SPARE_MM,
    NotchRelief,
    flat_relief,
    notch_relief,
    notch_room_mm,
    short_of,
)
from geometry.clearance.words import WORDS, ordered, place_words
from geometry.collision.distance_curve import DistanceCurve, distance_curve
from geometry.errors import refused
from geometry.units import DIMENSIONS, UnitError, parse, show
from viewer.job import Job
from viewer.output import output_place, write_whole

MOST_VALUES = 200
CURVE_STEP_DEG = 1.0
CURVE_FILES = (".svg", ".pdf", ".png", ".csv")


def print_limits(job: Job) -> None:
    """Every limit in force, its value and its source."""
    for name in DEFAULTS:
        limit = limit_for(job.assembly.spec, name)
        click.echo(
            f"limits.{name:28} {show(limit.least_mm, 'length', job.system, fine=True):>12}  {limit.source}"
        )
    for name, fit in (
        ("rod_oil", rod_oil_fit(job.assembly.spec)),
        ("piston_to_wall", wall_fit(job.assembly.spec)),
    ):
        least = None if fit is None else fit.least_mm
        shown = "none" if least is None else show(least, "length", job.system, fine=True)
        click.echo(f"limits.{name:28} {shown:>12}  {NO_LIMIT if fit is None else fit.source.text}")


def print_pairs(job: Job) -> None:
    """Every pair that is far or no clearance, with its proved bound or its reason."""
    turn = full_turn(job.assembly)
    for left in sorted(turn.far, key=lambda pair: pair.bound_mm):
        bound = show(left.bound_mm, "length", job.system)
        click.echo(f"never nearer than {bound:>12}  {left.a}  :  {left.b}")
    for skipped in turn.skipped:
        click.echo(f"{skipped.reason}  {skipped.a}  :  {skipped.b}")


def give_curve(job: Job, text: str, out: Path | None) -> None:
    """Distance against crank angle, as comma separated lines or as a drawing."""
    if out is not None:
        output_place(out, CURVE_FILES, "is no drawing")
    pair = _chosen(job, text)
    angles = np.arange(0.0, pair.period_deg + 1e-9, CURVE_STEP_DEG)
    found = distance_curve(pair.a, pair.b, angles)
    a, b = ordered(pair)
    title = f"{place_words(a)} to {place_words(b, a)}"
    if out is None or out.suffix.lower() == ".csv":
        scale, unit = (1 / 25.4, "in") if job.system == "in" else (1.0, "mm")
        lines = [f"# {title}", f"crank_deg,distance_{unit}"]
        lines += [
            f"{angle:g},{distance * scale:.5f}"
            for angle, distance in zip(angles, found.distance_mm, strict=True)
        ]
        _write(out, "\n".join(lines) + "\n")
    else:
        _draw_curve(job, pair, found, title, out)


def _write(out: Path | None, text: str) -> None:
    if out is None:
        click.echo(text, nl=False)
    else:
        write_whole(out, text)


def _draw_curve(job: Job, pair: Pair, found: DistanceCurve, title: str, out: Path) -> None:
    from matplotlib.figure import Figure

    scale, unit = (1 / 25.4, "in") if job.system == "in" else (1.0, "mm")
    limit = limit_for(job.assembly.spec, pair.limit)
    figure = Figure(figsize=(9, 4.5), layout="constrained")
    axes = figure.add_subplot()
    axes.plot(found.crank_deg, found.distance_mm * scale, color="#1f2f3d", linewidth=1.6)
    axes.axhline(limit.least_mm * scale, color="#b3452c", linestyle="--", linewidth=1.2)
    axes.text(
        0.995, limit.least_mm * scale, f"limit {show(limit.least_mm, 'length', job.system, fine=True)}",
        transform=axes.get_yaxis_transform(), ha="right", va="bottom", color="#b3452c",
    )  # fmt: skip
    least = int(np.argmin(found.distance_mm))
    axes.plot(found.crank_deg[least], found.distance_mm[least] * scale, "o", color="#1f2f3d")
    axes.set(
        title=f"{job.assembly.spec.engine.name}: {title}",
        xlabel="crank angle, degrees", ylabel=f"distance, {unit}", xlim=(0, pair.period_deg),
    )  # fmt: skip
    axes.set_xticks(np.arange(0, pair.period_deg + 1, 90 if pair.period_deg > 400 else 45))
    axes.grid(alpha=0.3)
    drawn = BytesIO()
    figure.savefig(drawn, format=out.suffix.lower()[1:], dpi=150)
    write_whole(out, drawn.getvalue())


def _chosen(job: Job, text: str) -> Pair:
    """The nearest pair whose two places match ``'rod_bolt 3 : pan_rail'``: feature, and bore or body words."""
    sides = [side.strip() for side in text.split(":")]
    if len(sides) != 2 or not all(sides):
        raise refused("--curve", text, "does not name two places", "write 'rod_bolt 3 : bore_wall 2'")
    pairs = [
        pair
        for pair in pairs_of(job.assembly)[0]
        if (_matches(pair.a, sides[0]) and _matches(pair.b, sides[1]))
        or (_matches(pair.b, sides[0]) and _matches(pair.a, sides[1]))
    ]
    if not pairs:
        known = ", ".join(sorted({p.feature for q in pairs_of(job.assembly)[0] for p in (q.a, q.b)}))
        raise refused("--curve", text, "no such pair of places", f"places are: {known}")
    coarse = np.arange(0.0, 360.0, 15.0)
    return min(pairs, key=lambda p: float(np.min(distance_curve(p.a, p.b, coarse, 0.1).distance_mm)))


def _matches(place: Place, text: str) -> bool:
    words = text.lower().split()
    name, rest = words[0], words[1:]
    features = {place.feature, WORDS.get(place.feature, "").replace(" ", "_")}
    return name in features and all(
        word in f"{place.body.name} {place.place}".lower().replace(",", "").split() for word in rest
    )


_SWEEP = re.compile(r"(?P<key>[^=]+)=(?P<low>.+?)\.\.(?P<high>.+?):(?P<count>[0-9]{1,3})")


def print_sweep(job: Job, text: str, changes: Mapping[str, str]) -> None:
    """A table: one line per kind of meeting, one column per value, and where each crosses its limit."""
    from geometry.assembly import assemble
    from geometry.spec.load import load_engine

    found = _SWEEP.fullmatch(text.strip())
    if found is None or not 2 <= int(found["count"]) <= MOST_VALUES:
        raise refused("--sweep", text, "is no sweep", "write crank.stroke=88mm..96mm:9, 2 to 200 values")
    dimension, low, high = _ends(found["low"].strip(' "'), found["high"].strip(' "'), text)
    house = DIMENSIONS[dimension].house
    key = found["key"].strip()

    if low == high:
        raise refused("--sweep", text, "begins where it ends", "write two different values")

    def build(value: float):  # type: ignore[no-untyped-def]
        if sys.stderr.isatty():  # it takes seconds for each
            click.echo(
                f"\rTrying {key} = {show(value, dimension, job.system, fine=True)} ", nl=False, err=True
            )
        return assemble(load_engine(job.path, {**changes, key: f"{value!r} {house}"}))

    values = np.linspace(low, high, int(found["count"]))
    result = sweep(build, [float(v) for v in values])
    if sys.stderr.isatty():
        click.echo("\r" + " " * 60 + "\r", nl=False, err=True)
    if len(result.refused) == len(values):
        raise refused("--sweep", key, result.refused[0], "another key or range")
    _print_table(job, key, dimension, result)


def _ends(low: str, high: str, text: str) -> tuple[str, float, float]:
    problems = []
    for dimension in ("length", "angle"):
        try:
            return dimension, parse(low, dimension), parse(high, dimension)
        except UnitError as bad:
            problems.append(bad)
    raise refused("--sweep", text, problems[0].what, problems[0].right)


def _print_table(job: Job, key: str, dimension: str, result: Sweep) -> None:
    click.echo(f"{job.assembly.spec.engine.name}: least clearance over the full turn while {key} changes\n")
    names = {
        track.kind: " to ".join(WORDS.get(k, k.replace("_", " ")) for k in track.kind)
        for track in result.tracks
    }
    shown = [t for t in result.tracks if t.crossings or np.nanmin(t.least_mm) < 3 * t.limit.least_mm]
    width = max([len(names[t.kind]) for t in shown] + [10])
    heads = [show(v, dimension, job.system, fine=True) for v in result.values]
    column = max(len(h) for h in heads) + 2
    click.echo(" " * width + "".join(h.rjust(column) for h in heads))
    for track in shown:
        cells = []
        for mm in track.least_mm:
            text = (
                ">" + show(FAR_MM, "length", job.system)
                if np.isnan(mm)
                else show(mm, "length", job.system, fine=True)
            )
            cells.append((text + ("*" if mm < track.limit.least_mm else " ")).rjust(column))
        click.echo(names[track.kind].ljust(width) + "".join(cells))
    click.echo("\n* below its limit. Crossings, by root search:")
    crossed = [track for track in shown if track.crossings]
    for track in crossed:
        at = ", ".join(show(value, dimension, job.system, fine=True) for value in track.crossings)
        least = show(track.limit.least_mm, "length", job.system, fine=True)
        click.echo(f"  {names[track.kind]} crosses {least} ({track.limit.source}) at {key} = {at}")
    if not crossed:
        click.echo("  none in this range")
    for position, reason in result.refused.items():
        click.echo(f"  {heads[position]}: {reason}")


def relief_section(job: Job) -> Section:
    """The smallest notch and bolt-head flat that restore the limits, as rows and findings."""
    assembly, system = job.assembly, job.system
    turn = full_turn(assembly)
    limit = limit_for(assembly.spec, "rod_to_block").least_mm
    short = [
        n for n in turn.near if n.pair.limit in ("rod_to_block", "rod_to_cam") and n.approach.floor_mm < limit
    ]
    title, rows = "Relief", []
    columns = (Column("what", "take off"), Column("size", "size"), Column("restores_mm", "leaves"))
    if not short:
        return Section("relief", title, columns, (), (), ("No rod, cap or bolt is short of its limit.",))
    findings: list[Finding] = []
    at_walls = short_of(assembly, short, lambda pair: limit_for(assembly.spec, pair.limit).least_mm)
    notch = notch_relief(assembly, at_walls, system, notch_room_mm(assembly))
    if notch is not None:
        rows.append(_notch_row(job, notch))
        thin = wall_finding(
            notch.wall_mm, wall_mm(assembly.spec), limit_for(assembly.spec, "notch_wall"), system
        )
        findings += [thin] if thin is not None else []
    for place in ("head", "nut"):
        flat = flat_relief(assembly, turn, limit, system, place)
        if flat is not None:
            off, left = (show(v, "length", system) for v in (flat.depth_mm, flat.left_mm))
            size = f"{off} off the outer side, {left} left from the axis"
            rows.append({"what": f"flat on each bolt {place}", "size": size, "restores_mm": length(flat.floor_mm),
                         "depth_mm": length(flat.depth_mm)})  # fmt: skip
    if not rows:
        findings.append(
            Finding("relief", "look", None, "no notch within the bore wall and no flat on the bolts restores the limit",
                    "a shorter stroke, smaller rods or bolts, or another block")
        )  # fmt: skip
    notes = (
        "Smallest sizes found by certifying the changed solid, in steps of "
        f"{show(SHOP_STEP_MM[system], 'length', system)}, rounded to the safe side; a notch keeps "
        f"{show(OIL_RING_SPARE_MM, 'length', system)} of wall under the oil ring at bottom dead centre.",
        "Check water jacket thickness before grinding a block; ask the bolts' maker before touching a bolt.",
    )
    table: tuple[Row, ...] = tuple(rows)
    return Section("relief", title, columns, table, tuple(findings), notes)


def _notch_row(job: Job, notch: NotchRelief) -> Row:
    """The notch in words, as the engine file would hold it, and as numbers."""
    w, h, d = (show(v, "length", job.system) for v in (notch.width_mm, notch.height_mm, notch.depth_mm))
    sides = {"both": "both sides", "major": "major thrust side", "minor": "minor thrust side"}
    off = show(abs(notch.offset_mm), "length", job.system)
    towards = "towards" if notch.offset_mm > 0 else "away from"
    where = f", its middle {off} {towards} the bore on the same throw" if notch.offset_mm else ""
    left = show(notch.wall_mm, "length", job.system)
    wall = f"{left} of wall left" if notch.wall_mm > 0 else "right through the wall"
    return {
        "what": "notch at the bottom of every bore",
        "size": f"{w} wide along the crank, {h} high, {d} deep, {sides.get(notch.sides, notch.sides)}{where}; {wall}",
        "restores_mm": length(notch.floor_mm),
        "width_mm": length(notch.width_mm),
        "height_mm": length(notch.height_mm),
        "depth_mm": length(notch.depth_mm),
        "offset_mm": length(notch.offset_mm),
        "sides": notch.sides,
        "wall_left_mm": length(notch.wall_mm),
        "set": f"block.bore.notch={notch.written(job.system)}",
    }
