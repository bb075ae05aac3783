"""`fullturn sheet ENGINE -o build.pdf`: the build sheet for wall and file, on paper or for the browser."""

from __future__ import annotations

from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import click

from geometry.errors import refused
from viewer.commands.common import FILE, built_option, engine_argument, say_assumed, set_option, units_option

if TYPE_CHECKING:
    from collections.abc import Mapping

    from viewer.sheet.content import BuildSheet

ENDINGS = (".pdf", ".svg", ".html", ".htm", ".png")
PNG_PPI = 150.0
MOST_LETTERS = 80


@click.command("sheet")
@engine_argument
@click.option(
    "-o", "--output", type=FILE, required=True,
    help="File to write: .pdf, .html, or .svg and .png, which are one file a page: build-1.svg, build-2.svg ..",
)  # fmt: skip
@click.option(
    "--paper", type=click.Choice(["a4", "letter"]), help="Default: letter for an engine in inches, else A4."
)
@click.option("--shop", default="", metavar="NAME", help="Whose work it is, at the head of every page.")
@click.option("--customer", default="", metavar="NAME", help="For whom.")
@click.option("--job", "number", default="", metavar="NUMBER", help="The shop's number of the job.")
@click.option("--date", default="", help="The day, as it is to be written; none is written by itself.")
@click.option(
    "--pages", default="", metavar="NAMES",
    help="Only these pages, parted by commas: cover, crank, 'bore 3', turning, limits, customer.",
)  # fmt: skip
@built_option
@units_option
@set_option
def command(
    engine: Path,
    output: Path,
    paper: Literal["a4", "letter"] | None,
    shop: str,
    customer: str,
    number: str,
    date: str,
    pages: str,
    built: Path | None,
    units: str | None,
    settings: tuple[str, ...],
) -> None:
    """Write the build sheet: limits beside empty boxes, page by page in the order of work; with --built filled in.

    Exit 0 when it is written: the sheet itself tells what is outside its limit.
    """
    from viewer.job import read_job
    from viewer.output import output_place
    from viewer.pictures.media import NO_RENDERER, can_draw
    from viewer.sheet.asked import asked_of
    from viewer.sheet.build import chosen, sheet_of
    from viewer.sheet.findings import verdict_line

    output_place(output, ENDINGS, "cannot be written as a build sheet")
    head = [
        _line(name, text)
        for name, text in (("--shop", shop), ("--customer", customer), ("--job", number), ("--date", date))
    ]
    designed = read_job(engine, units, settings)
    job = designed if built is None else read_job(engine, units, settings, built)
    say_assumed(job)
    drawn = can_draw()
    dots = drawn and (not pages.strip() or "cover" in pages.lower())
    asked = asked_of(job, designed, built, "us-letter" if paper == "letter" else paper, head, dots)
    sheet = chosen(sheet_of(asked), pages)
    written = _written(sheet, output)
    named = str(output) if len(written) == 1 else f"{written[0]} to {written[-1].name}"
    if not drawn:
        click.echo(f"{NO_RENDERER} (pip install fullturn)", err=True)
    on = "A4" if sheet.paper == "a4" else "Letter"
    keys = ", ".join(page.key for page in sheet.pages)
    click.echo(f"Build sheet: {named}, for {on}: {keys}. {verdict_line(asked)}.")


def _line(name: str, text: str) -> str:
    """A line for the head of the sheet.

    Raises
    ------
    InputError
        It is longer than a line, or holds what is no letter.
    """
    text = text.strip()
    if len(text) > MOST_LETTERS or not text.isprintable():
        raise refused(
            "", name, "cannot stand at the head of a sheet", f"at most {MOST_LETTERS} letters, in one line"
        )
    return text


def _written(sheet: BuildSheet, output: Path) -> list[Path]:
    """Write every file, or none: the names that were written."""
    from viewer.output import made_aside

    contents = _contents(sheet, output)
    with ExitStack() as stack:
        asides = [(stack.enter_context(made_aside(place)), content) for place, content in contents.items()]
        for aside, content in asides:
            aside.write_bytes(content)
    return list(contents)


def _contents(sheet: BuildSheet, output: Path) -> Mapping[Path, bytes]:
    """What is written where."""
    from viewer.sheet.html import html
    from viewer.sheet.typeset import pdf, png_pages, svg_pages

    kind = output.suffix.lower()
    if kind == ".pdf":
        return {output: pdf(sheet)}
    if kind in (".html", ".htm"):
        return {output: html(sheet).encode()}
    made = [page.encode() for page in svg_pages(sheet)] if kind == ".svg" else list(png_pages(sheet, PNG_PPI))
    if len(made) == 1:
        return {output: made[0]}
    return {
        output.with_name(f"{output.stem}-{place}{output.suffix}"): page for place, page in enumerate(made, 1)
    }
