"""What `check` prints besides its tables: limits, pairs left out, distance curves, sweeps."""

from __future__ import annotations

import re
import sys
from collections.abc import Mapping
from pathlib import Path

import click
import numpy as np

from geometry.assembly import Assembly
from geometry.checks.fit_limits import (
    end_play_fit,
    main_oil_fit,
    pin_float_fit,
    pin_in_piston_fit,
    pin_in_rod_fit,
    rod_oil_fit,
    wall_fit,
)
from geometry.checks.whatif import FAR_MM, Sweep, sweep
from geometry.clearance.excuses import EXCUSES
from geometry.clearance.full_turn import full_turn
from geometry.clearance.limits import DEFAULTS, limit_for
from geometry.clearance.named import nearest_named, typed_name
from geometry.clearance.pairs import Pair, listed
from geometry.clearance.words import feature_words, ordered, place_words
from geometry.collision.distance_curve import DistanceCurve, distance_curve
from geometry.errors import refused
from geometry.units import DIMENSIONS, UnitError, parse, show
from viewer.job import Job
from viewer.output import output_place, write_whole

MOST_VALUES = 200
CURVE_STEP_DEG = 1.0
LEAST_STEPS = 81
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
        ("main_oil", main_oil_fit(job.assembly.spec)),
        ("end_play", end_play_fit(job.assembly.spec)),
        ("piston_to_wall", wall_fit(job.assembly.spec)),
        ("pin_in_piston", pin_in_piston_fit(job.assembly.spec)),
        ("pin_in_rod", pin_in_rod_fit(job.assembly.spec)),
        ("pin_float", pin_float_fit(job.assembly.spec)),
    ):
        ends = (None, None) if fit is None else (fit.least_mm, fit.most_mm)
        for key, bound in zip((name, f"{name}_most"), ends, strict=True):
            shown = "none" if bound is None else show(bound, "length", job.system, fine=True)
            source = fit.source.text if fit is not None else f"no source gives a limit; write limits.{key}"
            click.echo(f"limits.{key:28} {shown:>12}  {source}")


def print_pairs(job: Job) -> None:
    """Every pair that is far or no clearance, with its proved bound or its reason."""
    turn = full_turn(job.assembly)
    for far in sorted(turn.far, key=lambda far: far.bound_mm):
        bound = show(far.bound_mm, "length", job.system)
        click.echo(f"never nearer than {bound:>12}  {place_words(far.pair.a)}  :  {place_words(far.pair.b)}")
    listing = turn.listing
    for (i, j), row in zip(listing.excused.tolist(), listing.reason.tolist(), strict=True):
        a, b = listing.places[i], listing.places[j]
        click.echo(f"{EXCUSES[row].words(a, b)}  {place_words(a)}  :  {place_words(b)}")


def give_curve(job: Job, text: str, out: Path | None) -> None:
    """Distance against crank angle, as comma separated lines or as a drawing."""
    if out is not None:
        output_place(out, CURVE_FILES, "cannot be written as a drawing")
    pair = _chosen(job, text)
    angles = np.arange(0.0, pair.period_deg + 1e-9, CURVE_STEP_DEG)
    found = distance_curve(pair.a, pair.b, angles)
    a, b = ordered(pair)
    title = f"{place_words(a)} to {place_words(b)}"
    scale, unit = (1 / 25.4, "in") if job.system == "in" else (1.0, "mm")
    if out is not None and out.suffix.lower() != ".csv":
        from viewer.paper.curve import draw_curve
        from viewer.paper.page import write

        limit = limit_for(job.assembly.spec, pair.limit)
        head = f"{job.assembly.spec.engine.name}: {title}"
        least = _least(pair, found)
        drawn = draw_curve(head, found.crank_deg, found.distance_mm, least, limit, job.system, job.rests_on)
        write(drawn, out)
        return
    rows = zip(angles, found.distance_mm * scale, strict=True)
    remarks = [f"# {words}" for words in (job.assumed, title) if words]
    lines = [*remarks, f"crank_deg,distance_{unit}", *(f"{at:g},{distance:.5f}" for at, distance in rows)]
    written = "\n".join(lines) + "\n"
    if out is None:
        click.echo(written, nl=False)
    else:
        write_whole(out, written)


def _least(pair: Pair, found: DistanceCurve) -> tuple[float, float]:
    """Crank angle and distance, mm, of the least of a curve, sought between its points."""
    at = float(found.crank_deg[np.argmin(found.distance_mm)])
    near = np.linspace(at - CURVE_STEP_DEG, at + CURVE_STEP_DEG, LEAST_STEPS)
    finer = distance_curve(pair.a, pair.b, near)
    lowest = int(np.argmin(finer.distance_mm))
    return float(near[lowest] % pair.period_deg), float(finer.distance_mm[lowest])


def _chosen(job: Job, text: str) -> Pair:
    """The nearest pair whose two places are called so: ``'rod_bolt 3 : pan_rail'``, ``'rod bolt head : bore wall'``."""
    sides = [side.strip() for side in text.split(":")]
    if len(sides) != 2 or not all(sides):
        raise refused("--curve", text, "does not name two places", "write 'rod bolt 3 : bore wall 2'")
    listing = listed(job.assembly)
    typed = [typed_name(listing.places, side, "--curve") for side in sides]
    found = nearest_named([listing.pair(k) for k in range(len(listing.wanted))], *typed)
    if found is None:
        raise refused("--curve", text, "these two are joined", "`check --pairs` says how")
    return found


_SWEEP = re.compile(r"(?P<key>[^=]+)=(?P<low>.+?)\.\.(?P<high>.+?):(?P<count>[0-9]{1,3})")


def print_sweep(job: Job, text: str, changes: Mapping[str, str]) -> None:
    """A table: one line per kind of meeting, one column per value, and where each crosses its limit."""
    from geometry.assembly import assemble
    from geometry.spec.load import load_engine

    found = _SWEEP.fullmatch(text.strip())
    if found is None or not 2 <= int(found["count"]) <= MOST_VALUES:
        raise refused("--sweep", text, "is not a sweep", "write crank.stroke=88mm..96mm:9, 2 to 200 values")
    dimension, low, high = _ends(found["low"].strip(' "'), found["high"].strip(' "'), text)
    house = DIMENSIONS[dimension].house
    key = found["key"].strip()

    if low == high:
        raise refused("--sweep", text, "begins where it ends", "write two different values")

    def build(value: float) -> Assembly:
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
    names = {track.kind: " to ".join(map(feature_words, track.kind)) for track in result.tracks}
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
