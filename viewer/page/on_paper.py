"""All of a page that needs no script: what is printed, and what is there where scripts are refused."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from html import escape
from itertools import chain
from typing import Final

from viewer.page.shape import FigureData, MistakeData, PageData, PictureData, PlaceData

MOST_WITHIN: Final = {"builder": 24, "customer": 5}
"""Lines for what keeps its limit in the table of places; like places of several bores share one."""
SIGNS: Final = {"stop": "✕", "look": "!", "note": "✓", "": ""}
_UNIT: Final = re.compile(r"(?<=\d) (?=(?:in|mm)\b)")
_TERM: Final = re.compile(r"\[\[(.+?)\]\]")


def on_paper(page: PageData) -> str:
    """The page as HTML without a script; pictures have the ids that ``without_pictures`` names."""
    told = _told(page["glossary"])
    about = " · ".join(filter(None, (page["shop"], page["job"], page["date"])))
    parts = [
        f"<header><h1>{escape(page['title'])}</h1>",
        f"<p>{escape(about)}</p>" if about else "",
        f"<p>{escape(page['assumed'])}</p>" if page["assumed"] else "",
        "</header>",
        *(
            f"<section><h2>{escape(chapter['title'])}</h2>"
            + "".join(f"<p>{told(text)}</p>" for text in chapter["paragraphs"])
            + "</section>"
            for chapter in page["chapters"]
        ),
        _mistake(page["mistake"], told) if page["mistake"] is not None else "",
        *(_picture(picture, f"picture-{number}") for number, picture in enumerate(page["pictures"])),
        _places(page),
        '<section class="cautions"><h2>Cautions</h2><ul>',
        *(f"<li>{escape(line)}</li>" for line in page["cautions"]),
        "</ul></section>",
    ]
    return f'<div id="paper">{"".join(parts)}</div>\n'


def without_pictures(page: PageData) -> PageData:
    """The same page with every picture named by its id in ``on_paper`` in place of its bytes, so that it holds one."""

    def named(pictures: Sequence[PictureData], what: str) -> list[PictureData]:
        return [{**picture, "source": f"#{what}-{number}"} for number, picture in enumerate(pictures)]

    mistake = page["mistake"]
    if mistake is not None:
        mistake = {**mistake, "halves": named(mistake["halves"], "half")}
    return {**page, "pictures": named(page["pictures"], "picture"), "mistake": mistake}


def _told(glossary: dict[str, str]) -> Callable[[str], str]:
    """Writes a text, each term with its meaning where it stands for the first time."""
    seen: set[str] = set()

    def one(found: re.Match[str]) -> str:
        meaning = glossary.get(found[1].lower(), "")
        if not meaning or meaning in seen:
            return found[1]
        seen.add(meaning)
        return f"<dfn>{found[1]}</dfn> ({meaning})"

    return lambda text: _TERM.sub(one, escape(text))


def _picture(picture: PictureData, name: str) -> str:
    words = escape(picture["words"])
    size = f'width="{picture["width"]}" height="{picture["height"]}"'
    image = f'<img id="{name}" src="{escape(picture["source"])}" alt="{words}" {size}>'
    return f"<figure>{image}<figcaption>{words}</figcaption></figure>"


def _mistake(mistake: MistakeData, told: Callable[[str], str]) -> str:
    title = f"{mistake['title'][:1].upper()}{mistake['title'][1:]}, {mistake['place']}"
    halves = "".join(_picture(half, f"half-{number}") for number, half in enumerate(mistake["halves"]))
    texts = (mistake["different"], mistake["recorded"], mistake["text"])
    put_right = ("How it is found", mistake["look_for"]), ("How it is put right", mistake["cure"])
    return "".join((
        f"<section><h2>{escape(title)}</h2>",
        f'<div class="halves">{halves}</div>' if halves else "",
        _table(("", "right", "wrong", "limit", "verdict", "source of the limit"), map(_figure, mistake["numbers"])),
        *(f"<p>{told(text)}</p>" for text in texts if text),
        *(f"<p><strong>{name}:</strong> {told(text)}</p>" for name, text in put_right),
        "</section>",
    ))  # fmt: skip


def _figure(figure: FigureData) -> Sequence[str]:
    verdict = f"{SIGNS[figure['severity']]} {figure['verdict']}".strip()
    return figure["words"], figure["right"], figure["wrong"], figure["limit"], verdict, figure["source"]


def _places(page: PageData) -> str:
    variant = next((one for one in page["variants"] if one["key"] == page["shown"][-1]), None)
    if variant is None:
        return ""
    lines: dict[tuple[str, str, str], list[PlaceData]] = {}
    for place in variant["places"]:
        lines.setdefault((place["kind"], place["group"], place["severity"]), []).append(place)
    wrong = sum(severity != "note" for _, _, severity in lines)
    rows = list(map(_place, lines.values()))[: wrong + MOST_WITHIN[page["voice"]]]
    left = len(lines) - len(rows)
    more = f"<p>{left} more kinds of place have more left to their limits.</p>" if left > 0 else ""
    title = f"Places, the worst first ({variant['words']})"
    headings = ("place", "bores", "value", "limit", "verdict", "source of the limit")
    return f"<section><h2>{escape(title)}</h2>{_table(headings, rows)}{more}</section>"


def _place(alike: Sequence[PlaceData]) -> Sequence[str]:
    """One line for like places: the worst in figures, and the bores of all."""
    worst = alike[0]
    bores = ranges(sorted({one["bore"] for one in alike if one["bore"] is not None}))
    verdict = f"{SIGNS[worst['severity']]} {worst['verdict']}"
    return worst["words"], bores, worst["value"], worst["limit"], verdict, worst["source"]


def ranges(numbers: Sequence[int]) -> str:
    """Rising numbers in words.

    Examples
    --------
    >>> ranges([1, 2, 3, 4, 6, 8, 9])
    '1 to 4, 6, 8, 9'
    """
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(f"{run[0]} to {run[-1]}" if len(run) > 2 else ", ".join(map(str, run)) for run in runs)


def _table(headings: Sequence[str], rows: Iterator[Sequence[str]] | Sequence[Sequence[str]]) -> str:
    head = "".join(f'<th scope="col">{escape(text)}</th>' for text in headings)
    lines = (
        f'<tr><th scope="row">{escape(row[0])}</th>{"".join(f"<td>{_whole(cell)}</td>" for cell in row[1:])}</tr>'
        for row in rows
    )
    return "".join(chain((f"<table><thead><tr>{head}</tr></thead><tbody>",), lines, ("</tbody></table>",)))


def _whole(cell: str) -> str:
    """A cell in which no number stands on another line than its unit."""
    return escape(_UNIT.sub("\u00a0", cell))
