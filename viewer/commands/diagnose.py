"""`fullturn diagnose ENGINE --felt "..."`: which mistake it is, and what to look at next."""

from __future__ import annotations

import re
import sys
from collections.abc import Callable, Iterator
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
    from geometry.diagnose.contradictions import Saying
    from geometry.diagnose.felt import Felt
    from geometry.diagnose.order import Orders
    from geometry.kinematics.layout import Layout

FELT_HELP = """What was felt, in clauses parted by ';': "stops at 150; once a turn; after bore 3; no side play in 4".
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
    "--order",
    metavar="1,3,5,..",
    help="Bores in the order in which their pistons went in; else as recorded, else by number.",
)
@click.option(
    "--main-order", metavar="3,2,4,..", help="Main bearings in the order of tightening; else from the front."
)
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
    from geometry.diagnose.contradictions import settled
    from geometry.diagnose.felt_words import EXAMPLES
    from geometry.diagnose.ranking import diagnose
    from viewer.reports import diagnosis as report

    if given["words"]:
        click.echo("\n".join(EXAMPLES))
        return
    job = read_job(engine, units, settings, built)
    layout = job.assembly.layout
    orders = _orders(job, built, given)
    cam = job.assembly.spec.cam is not None
    felt, aside = settled(_told(job, given), cam, orders.bores, orders.mains)
    if felt.empty:
        raise refused("--felt", "", "nothing was said", 'write for example "tight at 75; after bore 3"')
    singles = candidates(job.assembly, job.system, _progress())
    found = diagnose(felt, singles, len(layout.bores), len(layout.main_x_mm))
    name = job.assembly.spec.engine.name
    taken = report.Taken(aside, orders)
    if given["json"]:
        click.echo(as_json(name, job.assumed_as_json | report.answer(found, given["first"], taken)))
    else:
        report.print_diagnosis(name, found, given["first"], job.rests_on, taken)


def _told(job: Job, given: dict[str, Any]) -> list[Saying]:
    """Words and options, one by one."""
    from geometry.diagnose.contradictions import Saying
    from geometry.diagnose.felt import showed_nothing
    from geometry.diagnose.felt_words import read_told
    from geometry.mistakes.facts import top_deg

    layout = job.assembly.layout

    def top(bore: int) -> float:
        return top_deg(job.assembly.linkage, layout.index(bore))

    spoken = [*given["felt"]]
    if given["torque"]:
        spoken.append(_torque_words(given["torque"]))
    told = list(read_told(";".join(spoken), top))
    for bore in (*given["no_side_play"], *given["side_play_good"], given["after_bore"]):
        if bore is not None:
            layout.index(bore)
    told += [Saying(words, felt) for words, felt in _by_options(given)]
    for text in given["looked"]:
        look, place = _looked(text)
        if look != "main_marks":
            layout.index(place)
        else:
            _require_main("--looked", place, layout)
        told.append(Saying(f"--looked {text}", showed_nothing(look, place)))
    for one in told:
        if one.felt.after_main is not None:
            _require_main("--after-main", one.felt.after_main, layout)
    return told


def _by_options(given: dict[str, Any]) -> Iterator[tuple[str, Felt]]:
    """What options say, each with its words."""
    from geometry.diagnose.felt import Felt

    for name, felt in (
        ("bound", Felt(bound=True)), ("heavy", Felt(heavy=True)), ("free", Felt(free=True)),
        ("hot", Felt(when_hot=True)),
    ):  # fmt: skip
        if given[name]:
            yield f"--{name}", felt
    for angle in given["tight"]:
        yield f"--tight {angle:g}", Felt(tight_deg=(angle,))
    for angle in given["clicks"]:
        yield f"--click {angle:g}", Felt(clicks_deg=(angle,))
    if given["turns"]:
        yield f"--turns {given['turns']}", Felt(period_deg=360.0 * int(given["turns"]))
    for bore in given["no_side_play"]:
        yield f"--no-side-play {bore}", Felt(no_side_play=(bore,))
    for bore in given["side_play_good"]:
        yield f"--side-play-good {bore}", Felt(side_play_good=(bore,))
    if given["after_bore"] is not None:
        yield f"--after-bore {given['after_bore']}", Felt(after_bore=given["after_bore"])
    if given["after_main"] is not None:
        yield f"--after-main {given['after_main']}", Felt(after_main=given["after_main"])
    if given["head"]:
        yield f"--head {given['head']}", Felt(head_on=given["head"] == "on")


def _orders(job: Job, built: Path | None, given: dict[str, Any]) -> Orders:
    """In which order pistons went in and main caps were tightened: as given, else as recorded, else by number."""
    from geometry.diagnose.order import Orders, read_order, recorded_order
    from geometry.record.load import load_record

    layout = job.assembly.layout
    bores = [site.bore for site in layout.bores]
    mains: tuple[int, ...] = ()
    if given["main_order"] is not None:
        every = range(1, len(layout.main_x_mm) + 1)
        mains = read_order("--main-order", given["main_order"], every, "main bearing")
    if given["order"] is not None:
        return Orders(read_order("--order", given["order"], bores, "bore"), mains, "given")
    recorded = () if built is None else recorded_order(load_record(built, job.assembly.spec), bores)
    return Orders(recorded, mains, "record" if recorded else "numbers")


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
