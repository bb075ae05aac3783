"""`fullturn new FILE`: an engine file to begin with, what is known written as it is known, the rest as ``about``."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final, get_args

import click

from geometry.doubt import read_doubtful
from geometry.errors import InputError, Problem, refused
from geometry.spec.described import load_described
from geometry.spec.engine import Engine
from geometry.spec.load import parse_toml, validate_model
from geometry.unit_text import units_of
from geometry.units import System, UnitError
from viewer.commands.common import FILE
from viewer.job import assumed_line
from viewer.output import write_new
from viewer.starters import names, text

KNOWN: Final[Mapping[str, tuple[str, str]]] = {
    "--bore": ("block.bore.diameter", "Finished bore"),
    "--stroke": ("crank.stroke", "Stroke"),
    "--rod": ("rod.length", "Rod, centre to centre"),
    "--height": ("piston.compression_height", "Compression height, pin centre to crown"),
    "--deck": ("block.deck_height", "Deck height, crank axis to deck"),
}
"""The few that most builders know: option, key of the engine file, and what is asked for."""
EXAMPLE: Final = '"4.030 in", "102 mm" or, with its doubt, "4.030 in +- 1 thou"'


@click.command("new")
@click.argument("file", type=FILE)
@click.option("--layout", type=click.Choice(names()), help="How the bores stand.  [default: inline-four]")
@click.option(
    "--bore", metavar="LENGTH", help="Finished bore: '4.030 in', '102 mm +- 0.02 mm', 'about 4 in'."
)
@click.option("--stroke", metavar="LENGTH", help="Stroke.")
@click.option("--rod", metavar="LENGTH", help="Rod, between the centres of its ends.")
@click.option("--height", metavar="LENGTH", help="Compression height of the piston, pin centre to crown.")
@click.option("--deck", metavar="LENGTH", help="Deck height of the block, crank axis to deck.")
@click.option(
    "--units", type=click.Choice(get_args(System)), help="Units to write in; default: those given, else mm."
)
@click.option(
    "--ask", is_flag=True, help="Ask for layout and sizes one by one; an empty answer is 'not known'."
)
def command(file: Path, layout: str | None, units: System | None, ask: bool, **sizes: str | None) -> None:
    """Write an engine file to begin with; an existing file is never overwritten.

    Give as many of the five sizes as you know. Everything else is scaled by rules of proportion and written as
    "about", with how it is measured.
    """
    if file.exists():
        raise refused(file, "", "exists already", "choose another file name")
    given = {
        KNOWN[option][0]: _as_length(option, value)
        for option, value in _named(sizes).items()
        if value is not None
    }
    if ask:
        layout, given = _asked(layout, given)
    layout = layout or "inline-four"
    units = units or _units_of(given)
    content = text(layout, units, given)
    _hold_together(file, content, given)
    write_new(file, content)
    click.echo(f"Wrote {file}: {assumed_line(load_described(file))}. Now:")
    next_ones = (
        (f"still {file} -o {file.stem}.png", "a first picture"),
        (f"clock {file} -o {file.stem}_clock.svg", "the ring clock"),
        (f"check {file}", "what is settled and what is open"),
        (f"check {file} --measure", "what to measure next"),
    )
    width = max(len(words) for words, _ in next_ones)
    for words, what in next_ones:
        click.echo(f"  fullturn {words:<{width}}  {what}")


def _named(sizes: Mapping[str, Any]) -> dict[str, str | None]:
    """The sizes by option, in the order in which they are asked for."""
    return {option: sizes[option.removeprefix("--")] for option in KNOWN}


def _as_length(option: str, value: str) -> str:
    """A length as it stands, once it can be read.

    Raises
    ------
    InputError : it is no length above zero
    """
    try:
        nominal = read_doubtful(value, "length").nominal
    except UnitError as bad:
        raise refused(option, "", bad.what, bad.right) from None
    if nominal <= 0.0:
        raise refused(option, "", f"{value} is not above zero", f"write a length such as {EXAMPLE}")
    return value.strip()


def _asked(layout: str | None, given: dict[str, str]) -> tuple[str, dict[str, str]]:
    """Ask for layout and sizes that the command line does not give; an answer that cannot be read is asked again."""

    def length(answer: str) -> str:
        try:
            return _as_length("", answer) if answer.strip() else ""
        except InputError as bad:
            (problem,) = bad.problems
            raise click.BadParameter(f"{problem.what}; {problem.right}") from None

    if layout is None:
        layout = click.prompt("Layout", default="inline-four", type=click.Choice(names()))
    click.echo("Sizes with their units; leave empty what you do not know.")
    answers = {
        key: click.prompt(words, default="", show_default=False, value_proc=length)
        for key, words in KNOWN.values()
        if key not in given
    }
    given |= {key: answer for key, answer in answers.items() if answer}
    return layout, {key: given[key] for key, _ in KNOWN.values() if key in given}


def _units_of(given: Mapping[str, str]) -> System:
    """Inches where most of the sizes are given in them."""
    found = [units_of(value) for value in given.values()]
    return "in" if found.count("in") > found.count("mm") else "mm"


def _hold_together(file: Path, content: str, given: Mapping[str, str]) -> None:
    """Refuse sizes of which no engine can be made, before anything is written.

    Raises
    ------
    InputError : the option that brought the size in, what is wrong, and what would be right
    """
    options = {key: option for option, (key, _) in KNOWN.items() if key in given}
    try:
        validate_model(Engine, parse_toml(content, str(file)), str(file))
    except InputError as bad:
        own = [Problem(options[p.key], None, "", p.what, p.right) for p in bad.problems if p.key in options]
        first = bad.problems[0]
        what = f"no engine can be laid out with these sizes together: {first.key}: {first.what}"
        together = Problem(", ".join(options.values()), None, "", what, "look at units and decimal points")
        raise InputError(own or [together]) from None
