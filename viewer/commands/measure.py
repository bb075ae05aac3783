"""`fullturn check ENGINE --measure` and `--chance`: what to measure next, and how likely trouble is."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from viewer.commands.common import say_assumed
from viewer.output import as_json

if TYPE_CHECKING:
    from geometry.doubts.next_measure import Plan
    from viewer.job import Job

CHEAP_SETS = 150
DEAR_BORES = 64
"""Sets of parts worked out exactly at most: without certified distances or whole solids; and with, times the bores."""


def plan_of(job: Job) -> Plan:
    """What to measure next on this engine."""
    from geometry.doubts.means import clay_minutes, means_of
    from geometry.doubts.next_measure import what_next

    return what_next(job.answers, job.box.coordinates, means_of(job.box), clay_minutes(job.box))


def next_lines(job: Job) -> list[str]:
    """The first few values to measure, a line each; none where no verdict is open."""
    from geometry.doubts.means import dimensions_of
    from viewer.reports.measure import first_lines

    return first_lines(plan_of(job), dimensions_of(job.box), job.system) if job.in_doubt else []


def measures_of(job: Job) -> dict[str, Any]:
    """The same of all of them, as ``--json`` holds it."""
    from geometry.doubts.means import dimensions_of
    from viewer.reports.measure import measures_json

    return {"measure_next": measures_json(plan_of(job), dimensions_of(job.box))}


def list_measures(job: Job, title: str, json: bool) -> None:
    """Every value that is worth measuring, with how, how closely, at what cost, and what it settles."""
    from geometry.doubts.means import dimensions_of
    from viewer.reports import measure as report

    if json:
        click.echo(as_json(job.assembly.spec.engine.name, job.assumed_as_json | measures_of(job)))
    else:
        say_assumed(job)
        report.print_measures(title, plan_of(job), dimensions_of(job.box), job.system)
        _say_waiting(job)


def tell_chance(job: Job, title: str, sets: int, seed: int, json: bool) -> None:
    """How likely a set of parts within the doubt gives trouble."""
    from geometry.doubts.chance import Exactly, chance
    from geometry.doubts.exactly import dear_sections, margins_at
    from geometry.doubts.stacks import stacks
    from viewer.reports import chance as report

    box, dear = job.box, dear_sections()
    exactly = Exactly(
        lambda point, wanted: margins_at(box, point, wanted),
        CHEAP_SETS,
        max(1, DEAR_BORES // len(job.assembly.layout.bores)),
        lambda answer: answer.section in dear,
    )
    spread = job.assembly.spec.doubt.spread
    sides = box.coordinates if job.in_doubt else ()
    trouble = chance(job.answers, sides, spread, sets, seed, exactly)
    stacked = stacks(job.answers, sides, trouble.spreads)
    if json:
        found = report.chance_json(trouble, stacked)
        click.echo(as_json(job.assembly.spec.engine.name, job.assumed_as_json | {"chance": found}))
    else:
        say_assumed(job)
        report.print_chance(title, trouble, stacked, job.system)
        _say_waiting(job)


def _say_waiting(job: Job) -> None:
    """What is not answered at all is not among the answers that this rests on."""
    if job.waiting or job.waiting_figures:
        click.echo("  Answers that wait for values are not among these: `fullturn check` names the values.")
