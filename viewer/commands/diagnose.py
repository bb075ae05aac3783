"""`fullturn diagnose ENGINE --felt "..."`: which mistake it is, and what to look at next."""

from __future__ import annotations

import re
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from geometry.errors import refused
from viewer.commands.common import (
    Degrees,
    built_option,
    engine_argument,
    json_option,
    set_option,
    units_option,
)
from viewer.job import Job, read_job
from viewer.output import as_json

if TYPE_CHECKING:
    from geometry.diagnose.felt import Felt
    from geometry.kinematics.layout import Layout

FELT_HELP = """What was felt, in clauses parted by ';': "tight at 75; once per turn; after bore 3; no side play in 3".
Angles are engine crank degrees in the running direction, zero at the top dead centre of the first bore, or
"75 after top of 3". --words lists all clauses."""


@click.command("diagnose")
@engine_argument
@click.option("--felt", multiple=True, help=FELT_HELP)
@click.option("--bound", is_flag=True, help="The crank does not turn at all.")
@click.option("--heavy", is_flag=True, help="It turns, heavy all round.")
@click.option("--free", is_flag=True, help="It turns freely.")
@click.option(
    "--tight", "tight", multiple=True, type=Degrees(), help="Crank angle at which it stops or goes tight."
)
@click.option("--click", "clicks", multiple=True, type=Degrees(), help="Crank angle of a click.")
@click.option("--turns", type=click.Choice(["1", "2"]), help="Once in one turn, or once in two.")
@click.option("--no-side-play", multiple=True, type=int, help="Bore whose rod has no side play.")
@click.option("--side-play-good", multiple=True, type=int, help="Bore whose rod has its side play.")
@click.option("--after-bore", type=int, help="Bore after whose installation it began.")
@click.option("--after-main", type=int, help="Main bearing after whose tightening it began, from the front.")
@click.option(
    "--torque", multiple=True, metavar="DEG:TORQUE", help='Turning torque at a crank angle: "60:40 N*m".'
)
@click.option("--hot", is_flag=True, help="Only when hot.")
@click.option("--head", type=click.Choice(["on", "off"]), help="Whether the head was on.")
@click.option(
    "--looked",
    multiple=True,
    metavar="LOOK:PLACE",
    help="A look that showed nothing, named as under 'Look next': below:3. As often as wanted.",
)
@click.option(
    "--first", type=click.IntRange(1, 50), default=5, show_default=True, help="How many causes to show."
)
@click.option("--words", is_flag=True, help="List the clauses that --felt understands.")
@built_option
@json_option
@units_option
@set_option
def command(
    engine: Path, built: Path | None, units: str | None, settings: tuple[str, ...], **given: Any
) -> None:
    """Find the assembly mistake behind a crank that binds, knocks or turns heavily."""
    from geometry.diagnose.candidates import candidates
    from geometry.diagnose.felt_words import EXAMPLES
    from geometry.diagnose.ranking import diagnose
    from viewer.reports import diagnosis as report

    if given["words"]:
        click.echo("\n".join(EXAMPLES))
        return
    job = read_job(engine, units, settings, built)
    felt = _felt(job, given)
    if felt.empty:
        raise refused("--felt", "", "nothing was said", 'write for example "tight at 75; after bore 3"')
    singles = candidates(job.assembly, job.system, _progress())
    layout = job.assembly.layout
    found = diagnose(felt, singles, len(layout.bores), len(layout.main_x_mm))
    name = job.assembly.spec.engine.name
    if given["json"]:
        click.echo(as_json(name, job.assumed_as_json | report.answer(found, given["first"])))
    else:
        report.print_diagnosis(name, found, given["first"], job.rests_on)


def _felt(job: Job, given: dict[str, Any]) -> Felt:
    """Words and options together."""
    from geometry.diagnose.felt import Felt
    from geometry.diagnose.felt_words import read_felt
    from geometry.mistakes.facts import top_deg

    layout = job.assembly.layout

    def top(bore: int) -> float:
        return top_deg(job.assembly.linkage, layout.index(bore))

    spoken = [*given["felt"]]
    if given["torque"]:
        spoken.append(_torque_words(given["torque"]))
    felt = read_felt(";".join(spoken), top)
    for bore in (*given["no_side_play"], *given["side_play_good"], given["after_bore"]):
        if bore is not None:
            layout.index(bore)
    said_main = felt.after_main if given["after_main"] is None else given["after_main"]
    if said_main is not None:
        _require_main("--after-main", said_main, layout)
    looked = [_looked(text) for text in given["looked"]]
    for look, place in looked:
        if look != "main_marks":
            layout.index(place)
        else:
            _require_main("--looked", place, layout)
    played = tuple(place for look, place in looked if look == "side_play")
    return felt.joined(
        Felt(
            bound=given["bound"], heavy=given["heavy"], free=given["free"], tight_deg=given["tight"],
            period_deg={"1": 360.0, "2": 720.0}.get(given["turns"] or ""), no_side_play=given["no_side_play"],
            side_play_good=(*given["side_play_good"], *played), clicks_deg=given["clicks"],
            after_bore=given["after_bore"], after_main=given["after_main"], when_hot=given["hot"],
            head_on={"on": True, "off": False}.get(given["head"] or ""),
            looked=tuple(looked),
        )
    )  # fmt: skip


def _require_main(option: str, number: int, layout: Layout) -> None:
    if not 1 <= number <= len(layout.main_x_mm):
        right = f"1 to {len(layout.main_x_mm)}"
        raise refused(option, "", f"there is no main bearing {number}", right)


def _looked(text: str) -> tuple[str, int]:
    """``below:3`` to its look and place."""
    from geometry.diagnose.looks import LOOKS

    look, _, place = text.partition(":")
    number = re.fullmatch(r"\s*([0-9]{1,4})\s*", place)
    if look.strip() not in LOOKS or number is None:
        known = f"below:3, for example; looks: {', '.join(LOOKS)}"
        raise refused("--looked", text, "is not a look and a place", known)
    return look.strip(), int(number[1])


def _torque_words(readings: tuple[str, ...]) -> str:
    """``("60:40 N*m", "90:12 N*m")`` to one clause; all readings in the unit of the last."""
    parts = [reading.partition(":") for reading in readings]
    units = {value.strip().lstrip("0123456789.").strip() for _, _, value in parts} - {""}
    if len(units) > 1:
        raise refused("--torque", ", ".join(sorted(units)), "are two units", "use one for all readings")
    numbers = " ".join(f"{a.strip()}:{v.strip().split()[0] if v.strip() else ''}" for a, _, v in parts)
    return f"torque {numbers} {next(iter(units), '')}"


def _progress() -> Callable[[int, int], None] | None:
    """A line that counts on a terminal, nothing elsewhere."""
    if not sys.stderr.isatty():
        return None

    def told(done: int, of: int) -> None:
        end = "\r" if done + 1 < of else "\r" + " " * 40 + "\r"
        click.echo(f"Studying mistakes: {done + 1} of {of} {end}", nl=False, err=True)

    return told
