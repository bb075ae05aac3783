"""The template for what `check --relief` proposes to grind off."""

from __future__ import annotations

from pathlib import Path

import click

from geometry.checks.relief import Reliefs
from viewer.job import Job
from viewer.output import output_place

ENDINGS = (".pdf", ".svg", ".png")


def template_place(out: Path) -> None:
    """Refuse a name that no template can be written to, before anything is worked out.

    Raises
    ------
    InputError
        When the ending is another one, or there is no such folder.
    """
    output_place(out, ENDINGS, "cannot be written as a template")


def give_template(job: Job, reliefs: Reliefs, out: Path, *, quiet: bool) -> None:
    """Write the template, and say where there is nothing to draw.

    Raises
    ------
    InputError
        When the file cannot be written.
    """
    from viewer.paper.page import write
    from viewer.paper.template import draw_template

    sheet = draw_template(job.assembly, reliefs, job.system, job.rests_on)
    if sheet is not None:
        write(sheet, out)
    elif not quiet:
        why = "restores the limit" if reliefs.missed else "is short of its limit"
        click.echo(f"No template written: nothing that can be ground off {why}.")
