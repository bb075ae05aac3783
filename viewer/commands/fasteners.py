"""`fullturn fasteners ENGINE`: everything about the bolts of rods, main caps and head, and the order of tightening."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

import click

from viewer.commands.common import (
    FILE,
    built_option,
    engine_argument,
    json_option,
    say_assumed,
    set_option,
    units_option,
)
from viewer.job import Job, read_job
from viewer.output import as_json, output_place

if TYPE_CHECKING:
    from geometry.checks.bolt_answer import BoltAnswer
    from geometry.checks.bolt_joint import JointName
    from geometry.checks.section import Section
    from viewer.reports.doubts import OverDoubt


@click.command("fasteners")
@engine_argument
@click.option("--torque", help='What a torque leaves in a bolt: --torque "45 lbf*ft".')
@click.option("--stretch", help='What load a stretch tells: --stretch "0.0055 in".')
@click.option(
    "--length", "loose", help='Whether a bolt of this length, loose, may be used again: --length "1.981 in".'
)
@click.option(
    "--of", "joint", type=click.Choice(["rod", "main", "head"]), default="rod", show_default=True,
    help="Whose bolts these readings are of.",
)  # fmt: skip
@click.option(
    "--order", "which", type=click.Choice(["main", "head"]), default="main", show_default=True,
    help="Whose order of tightening -o draws.",
)  # fmt: skip
@click.option("-o", "out", type=FILE, help="Picture of the order of tightening: .svg, .pdf or .png.")
@built_option
@units_option
@set_option
@json_option
def command(
    engine: Path,
    torque: str | None,
    stretch: str | None,
    loose: str | None,
    joint: JointName,
    which: Literal["main", "head"],
    out: Path | None,
    built: Path | None,
    units: str | None,
    settings: tuple[str, ...],
    json: bool,
) -> None:
    """Tell all about the bolts: tension, stretch, torque, angle, thread, pressure, stages and order.

    Exit code 1 where a bolt is outside its limit.
    """
    from viewer.paper.page import ENDINGS

    if out is not None:
        output_place(out, ENDINGS, "cannot be written as a picture")
    job = read_job(engine, units, settings, built)
    asked = _asked({"torque_nm": torque, "stretch_mm": stretch, "length_mm": loose})
    answers = _answers(job)
    found = _of(answers, joint, asked) if asked else None
    if out is not None:
        _draw(job, which, out, quiet=json)
    section, over = _section(job)
    if json:
        _print_json(job, section, over, found, asked)
    else:
        _print(job, section, over, answers, found, asked)
    from viewer.reports import tables

    raise click.exceptions.Exit(tables.verdict_code([] if section is None else [section], over))


def _asked(texts: dict[str, str | None]) -> dict[str, float]:
    """Readings of the command line in house units.

    Raises
    ------
    click.UsageError : one cannot be read, or is not above zero
    """
    from geometry.units import UnitError, parse

    found = {}
    for key, text in texts.items():
        if text is None:
            continue
        name = key.partition("_")[0]
        try:
            value = parse(text, "torque" if key == "torque_nm" else "length")
        except UnitError as error:
            raise click.UsageError(f"--{name}: {error}") from None
        if value <= 0.0:
            raise click.UsageError(f"--{name}: {text} is not above zero")
        found[key] = value
    return found


def _draw(job: Job, which: Literal["main", "head"], out: Path, quiet: bool) -> None:
    from viewer.paper.order import draw_order
    from viewer.paper.page import write

    figure = draw_order(job.assembly, which, job.system)
    if figure is None:
        raise click.UsageError(
            "--order head: the engine file says nothing of its head bolts; write a table [head.bolt] with their "
            "diameter"
        )
    path = write(figure, out)
    if not quiet:
        click.echo(f"Wrote {path}")


def _section(job: Job) -> tuple[Section | None, OverDoubt | None]:
    """The check's own section over whatever is in doubt; None where it waits for values."""
    from geometry.checks.fasteners import CHECK
    from geometry.checks.section import checks
    from geometry.doubts.figures import doubtful_figures
    from viewer.reports.doubts import OverDoubt, by_key

    waits = {name: keys for name, keys in job.waiting.items() if name == CHECK.key}
    section = None if waits else CHECK.run(job.assembly, job.system)
    if not job.assumed and not job.in_doubt:
        return section, None
    others = [check.key for check in checks() if check.key != CHECK.key or waits]
    answers = by_key(doubtful_figures(job.box, others)) if job.in_doubt and section is not None else {}
    over = OverDoubt(job.described, answers, job.assumed, waiting=waits)
    if section is None:
        return None, over
    return over.settled([section], job.system)[0], over


def _answers(job: Job) -> list[BoltAnswer]:
    """One of each kind of bolt: of the rods the one whose joint opens first."""
    from geometry.checks.fasteners import bolt_answers, loads

    found = [answer for _, answer in bolt_answers(job.assembly, loads(job.assembly), None)]
    rods = [answer for answer in found if answer.joint.name == "rod"]
    first = min(
        rods, key=lambda answer: answer.opens_at_rpm if answer.opens_at_rpm is not None else float("inf")
    )
    return [first, *(answer for answer in found if answer.joint.name != "rod")]


def _of(answers: list[BoltAnswer], joint: JointName, asked: dict[str, float]) -> BoltAnswer:
    """The bolts that a reading is of.

    Raises
    ------
    click.UsageError : the file says nothing of them, or no torque and no stretch tells their load
    """
    found = next((answer for answer in answers if answer.joint.name == joint), None)
    if found is None:
        key = {"main": "block.main_cap.bolt", "head": "head.bolt"}[joint]
        raise click.UsageError(
            f"--of {joint}: the engine file says nothing of these bolts; write a table [{key}]"
        )
    for key in ("torque_nm", "stretch_mm"):
        if key in asked and found.joint.by_yield:
            name = key.partition("_")[0]
            raise click.UsageError(
                f"--{name}: these bolts are tightened to yield, and no {name} tells their load; ask by --length"
            )
    if "stretch_mm" in asked and found.joint.compliance is None:
        raise click.UsageError(
            f"--stretch: nobody knows how long these bolts are; write {found.joint.key}.grip"
        )
    return found


def _print(
    job: Job,
    section: Section | None,
    over: OverDoubt | None,
    answers: list[BoltAnswer],
    found: BoltAnswer | None,
    asked: dict[str, float],
) -> None:
    from geometry.checks.bolt_order import tightening_orders
    from viewer.reports import fasteners as report
    from viewer.reports import tables
    from viewer.terminal import Terminal

    out = Terminal()
    title = f"{job.assembly.spec.engine.name}: bolts"
    told = () if found is None else report.reading_lines(found, asked, job.system, job.in_doubt)
    if section is None:
        tables.print_report(title, [], job.system, over=over)
        return
    say_assumed(job)
    rows = report.told(answers, _verdicts(answers, section), job.system)
    out.table(report.headings(answers), [(row, "") for row in rows], title)
    for line in told:
        out.say("", line, style="bold")
    for which in ("main", "head"):
        lines = list(report.order_lines(tightening_orders(job.assembly, which), job.system))
        if lines:
            out.say("", *lines)
    out.say("")
    name = job.assembly.spec.engine.name
    if over is None:  # the table above says it all
        section = replace(section, rows=())
    else:
        over = replace(over, line="")
    tables.print_report(f"{name}: verdict", [section], job.system, over=over)


def _verdicts(answers: list[BoltAnswer], section: Section) -> list[str]:
    """Of each kind, what its row says; over values in doubt what that leaves of it."""
    rows = {(row["joint"], row["bore"]): row for row in section.rows}
    own = [rows[answer.joint.name, answer.bore] for answer in answers]
    return [str(row.get("settled") or row["verdict"]) for row in own]


def _print_json(
    job: Job,
    section: Section | None,
    over: OverDoubt | None,
    found: BoltAnswer | None,
    asked: dict[str, float],
) -> None:
    from geometry.checks.bolt_order import tightening_orders
    from viewer.reports import fasteners as report
    from viewer.reports import tables

    more: dict[str, Any] = {}
    if found is not None:
        by_torque = found.joint.by_torque(asked.get("torque_nm"))
        by_stretch = found.joint.by_stretch(asked.get("stretch_mm"))
        more["reading"] = {
            "joint": found.joint.name,
            **asked,
            **{
                f"by_{means}_{name}": value
                for means, tension in (("torque", by_torque), ("stretch", by_stretch))
                if tension is not None
                for name, value in (
                    ("low_n", tension.low_n), ("middle_n", tension.middle_n), ("high_n", tension.high_n)
                )
            },
            "words": list(report.reading_lines(found, asked, job.system, job.in_doubt)),
        }  # fmt: skip
    orders = [order for which in ("main", "head") for order in tightening_orders(job.assembly, which)]
    more |= {"orders": report.order_rows(orders), "stages": report.stage_rows(orders)}
    click.echo(
        as_json(job.assembly.spec.engine.name, tables.answer([section] if section else [], over) | more)
    )
