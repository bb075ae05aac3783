"""`fullturn match ENGINE PARTS`: which piston, pin, rod, shells and rings go into which bore."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from viewer.commands.common import FILE, engine_argument, json_option, set_option, units_option
from viewer.job import overrides, system_of
from viewer.output import as_json, output_place, write_whole

if TYPE_CHECKING:
    from geometry.matching.fits import Shelf
    from geometry.matching.solve import Assignment
    from geometry.units import System


@click.command("match")
@engine_argument
@click.argument("parts", type=FILE, metavar="PARTS")
@units_option
@set_option
@json_option
@click.option("--record", type=FILE, help="Write what goes where into this build record.")
@click.option("--by", metavar="INITIALS", help="Who matched (--record).")
@click.option("-o", "out", type=FILE, help="Write the [bore.N] tables to paste into the engine file: .toml.")
def command(
    engine: Path,
    parts: Path,
    units: str | None,
    settings: tuple[str, ...],
    json: bool,
    record: Path | None,
    by: str | None,
    out: Path | None,
) -> None:
    """Match measured parts to bores: every clearance within its limits and as near its middle as can be.

    \b
    PARTS is a text file of tables, columns parted by commas; a part's name comes first:
      bore, diameter in, deck height in, crankpin in
      1, 4.0301, 8.9850, 2.0500
      piston, diameter in, height in, pin bore in, mass g
      C, 4.0268 +- 0.0001, 1.4502, 0.9404, 512.3
      pin, diameter in, mass g
      rod, length in, housing in, pin bore in, small mass g, big mass g
      shells, wall in, pairs
      top ring, gap thou, in bore in            (and: second ring)
      limit, least thou, most thou, source
      piston to wall, 2.5, 3.5, sheet in the box
      goal, weight, one
      decks level, 2, 1 thou
    A column that was not measured is left out: the engine file's size stands for it. Tables may be left out too.

    Exit: 0 all within limits, 1 not possible, or open within the doubt of the sizes, 2 bad input.
    """  # noqa: D301  # click reads the backspace
    from geometry.kinematics.layout import build_layout
    from geometry.matching.blame import blame
    from geometry.matching.fits import lay_parts_out
    from geometry.matching.outcome import as_listed, outcome_of
    from geometry.matching.sheet import read_sheet
    from geometry.matching.solve import best
    from geometry.spec.load import load_engine
    from viewer.reports import matching as report

    target = None if out is None else output_place(out, (".toml",), "cannot be written as an engine file")
    spec, system = load_engine(engine, overrides(settings)), system_of(engine, units)
    layout = build_layout(spec)
    shelf = lay_parts_out(spec, read_sheet(parts, spec, system), system)
    found, title = best(shelf), f"{spec.engine.name}: {parts.name}"
    if found is None:
        why = blame(shelf)
        if json:
            click.echo(as_json(spec.engine.name, report.not_possible(why, shelf.notes)))
        else:
            report.print_not_possible(title, why, shelf.notes, system)
        raise click.exceptions.Exit(1)
    outcome, listed = (outcome_of(shelf, layout, one) for one in (found, as_listed(shelf)))
    saved = _saved(shelf, found, system, record, by, target)
    if json:
        click.echo(as_json(spec.engine.name, report.answer(outcome, listed, shelf)))
    else:
        report.print_outcome(title, outcome, listed, shelf, system)
        for line in saved:
            click.echo(line)
    raise click.exceptions.Exit(0 if outcome.all_within else 1)


def _saved(
    shelf: Shelf, found: Assignment, system: System, record: Path | None, by: str | None, target: Path | None
) -> list[str]:
    """Write what was asked for; a line for each."""
    saved = []
    if record is not None:
        from geometry.matching.recorded import entries_of
        from geometry.record.entries import save_entries

        today = date.today()
        save_entries(record, shelf.spec, entries_of(shelf, found, system, by, today), today)
        saved.append(f"Saved in {record.name}.")
    if target is not None:
        from geometry.matching.fragment import fragment

        saved.append(f"Wrote {write_whole(target, fragment(shelf, found, system))}")
    return saved
