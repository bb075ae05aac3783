"""Fits that other checks hold, taken from there as figures: one table has them all, and no second formula does."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final, Literal

from geometry.assembly import Assembly
from geometry.checks import bores, fillets, rings
from geometry.checks.section import Figure, Row, Severity, length
from geometry.rings.schemes import ROLE_WORDS

_RINGS: Final = tuple(ROLE_WORDS.values())
WORDS: Final[dict[tuple[str, str], tuple[str, str, str]]] = {
    # by check and figure: the fit's name in rows, what a table calls it, and what it is
    ("sides", fillets.SIDE): ("rod_side", "rod side clearance", "rod side clearance that the fillets leave"),
    **{
        ("rings", f"side of {ring}"): ("ring_side", f"{ring}, side", f"{ring} in its groove, side")
        for ring in _RINGS
    },
    **{
        ("rings", f"back of {ring}"): ("ring_back", f"{ring}, back", f"{ring}, room behind it")
        for ring in _RINGS
    },
    ("bores", "deck"): ("deck", "deck", "crown below the deck"),
    ("bores", bores.TO_HEAD): ("quench", "quench", "piston to head, quench"),
}


def repeated(assembly: Assembly, first_row: int) -> tuple[tuple[str, Figure], ...]:
    """Figures of other checks that are fits, each with its check's key, fit by fit.

    Parameters
    ----------
    first_row : of the table that they are to stand in
    """
    homes = (fillets.CHECK, rings.CHECK, bores.CHECK)
    found = [
        (check.key, figure)
        for check in homes
        if check.figures is not None
        for figure in check.figures(assembly, None)
        if (check.key, figure.name) in WORDS
    ]
    order = list(WORDS)
    found.sort(
        key=lambda pair: order.index((pair[0], pair[1].name))
    )  # stable: the bores of a fit stay by number
    return tuple(
        (key, replace(figure, row=row, column="value_mm"))
        for row, (key, figure) in enumerate(found, first_row)
    )


def rows(figures: tuple[tuple[str, Figure], ...]) -> Iterator[Row]:
    """Their rows, with the verdict that their own check gives."""
    for key, figure in figures:
        name, short, words = WORDS[key, figure.name]
        verdict, severity = _verdict(figure)
        yield {
            "bore": figure.bore,
            "main": None,
            "place": f"bore {figure.bore}",
            "fit": name,
            "short": short,
            "what": words,
            "value_mm": length(figure.value),
            "value_from": f"section {key}",
            "least_mm": None if figure.least is None else length(figure.least),
            "most_mm": None if figure.most is None else length(figure.most),
            "limit_source": figure.source or "no source gives a limit",
            "verdict": verdict,
            "severity": severity,
        }


def _verdict(figure: Figure) -> tuple[str, Severity | Literal[""]]:
    """The verdict, and how grave: a limit that is only a note is told and decides nothing."""
    if figure.least is None and figure.most is None:
        return "no limit", ""
    rounding = 1e-9
    if figure.least is not None and figure.value < figure.least - rounding:
        return "tight", figure.below
    if figure.most is not None and figure.value > figure.most + rounding:
        return "loose", figure.above
    return "within", ""
