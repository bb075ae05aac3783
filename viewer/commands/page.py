"""`fullturn page ENGINE -o x.html`: one file to hand over, with the engine in it."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Literal

import click

from geometry.errors import refused
from viewer.commands.common import FILE, built_option, engine_argument, say_assumed, set_option, units_option

QUIET_S = 2.0
"""What takes longer says on a terminal how far it is."""
MOST_LETTERS = 80


@click.command("page")
@engine_argument
@click.option("-o", "--output", type=FILE, required=True, help="Page to write, .html.")
@click.option(
    "--explain", "mistake", metavar="MISTAKE",
    help="Show this assembly mistake right and wrong, side by side; fullturn explain ENGINE --list names them.",
)  # fmt: skip
@click.option("--bore", type=int, help="In which bore the mistake is shown; default as for explain.")
@click.option("--main", type=int, help="At which main bearing, counted from the front.")
@click.option(
    "--for", "voice", type=click.Choice(["builder", "customer"]), default="builder", show_default=True,
    help="Who reads it: every number, limit and source, or plain words with each term explained.",
)  # fmt: skip
@click.option("--shop", default="", metavar="NAME", help="Whose work it is, at the head of the page.")
@click.option("--job", "number", default="", metavar="NUMBER", help="The shop's number of the job.")
@click.option("--date", default="", help="The day, as it is to be written; none is written by itself.")
@built_option
@units_option
@set_option
def command(
    engine: Path,
    output: Path,
    mistake: str | None,
    bore: int | None,
    main: int | None,
    voice: Literal["builder", "customer"],
    shop: str,
    number: str,
    date: str,
    built: Path | None,
    units: str | None,
    settings: tuple[str, ...],
) -> None:
    """Write one self-contained page that opens in any browser, without a network."""
    from viewer.job import read_job
    from viewer.output import output_place, write_whole
    from viewer.page.document import document
    from viewer.page.page import Asked, page_of
    from viewer.pictures.media import NO_RENDERER, can_draw

    output_place(output, (".html", ".htm"), "cannot be written as a page")
    if mistake is None and (bore is not None or main is not None):
        option = "--bore" if bore is not None else "--main"
        raise refused("", option, "says where a mistake is shown, and none is named", "add --explain MISTAKE")
    shop, number, date = (
        _line(name, text) for name, text in (("--shop", shop), ("--job", number), ("--date", date))
    )
    progress = Progress(sys.stderr.isatty())
    job = read_job(engine, units, settings, built)
    designed = read_job(engine, units, settings) if built is not None else None
    drawn = can_draw()
    asked = Asked(voice, shop, number, date, False, built, mistake or "", bore, main, drawn)
    say_assumed(job)
    page, solids = page_of(job, asked, designed, progress.doing)
    write_whole(output, document(page, solids))
    progress.done()
    if not drawn:
        click.echo(f"{NO_RENDERER} (pip install fullturn)", err=True)
    click.echo(f"Page: {output}, {output.stat().st_size / 1e6:.2f} MB")


class Progress:
    """Says on a terminal what is being done, once it takes long.

    Parameters
    ----------
    shown : whether anybody sees it
    clock : seconds
    """

    def __init__(self, shown: bool, clock: Callable[[], float] = time.monotonic) -> None:
        self.shown, self.clock, self.began, self.said = shown, clock, clock(), False

    def doing(self, what: str) -> None:
        """What is done next."""
        if self.shown and (self.said or self.clock() - self.began > QUIET_S):
            self.said = True
            click.echo(f"\r\033[K{what} ..", nl=False, err=True)

    def done(self) -> None:
        """Take the line away again."""
        if self.said:
            click.echo("\r\033[K", nl=False, err=True)


def _line(name: str, text: str) -> str:
    """A line for the head of the page.

    Raises
    ------
    InputError
        It is longer than a line, or holds what is no letter.
    """
    text = text.strip()
    if len(text) > MOST_LETTERS or not text.isprintable():
        raise refused(
            "", name, "cannot stand at the head of a page", f"at most {MOST_LETTERS} letters, in one line"
        )
    return text
