"""A build sheet as one page for the browser: the same content, its pictures inside, and it prints well."""

from __future__ import annotations

import base64
import re
from importlib.resources import files
from typing import TYPE_CHECKING, Any, Final

from viewer.sheet.content import MARGIN_MM, PAPER_MM, SIGNS, BuildSheet
from viewer.sheet.wording import say

if TYPE_CHECKING:
    from markupsafe import Markup

PAGE_SIZE: Final = {"a4": "A4", "us-letter": "letter"}
_PROLOG: Final = re.compile(r"^\s*(<\?xml.*?\?>|<!DOCTYPE.*?>|<!--.*?-->|\s)*(?=<svg)", re.DOTALL)
_NAMED: Final = re.compile(r"""(\bid=["']|url\(["']?#|href=["']#)""")


def html(sheet: BuildSheet) -> str:
    """The sheet as one HTML document, which needs no other file."""
    from jinja2 import Environment

    page = Environment(autoescape=True, trim_blocks=True, lstrip_blocks=True).from_string(
        files("viewer.sheet").joinpath("sheet.html").read_text(encoding="utf-8")
    )
    tools: dict[str, Any] = {
        "signs": SIGNS,
        "inline": inline,
        "data": _data,
        "contents": say("cover", "contents"),
    }
    return page.render(
        sheet=sheet,
        paper=PAGE_SIZE[sheet.paper],
        margin_mm=MARGIN_MM,
        wide_mm=PAPER_MM[sheet.paper][0],
        **tools,
    )


def inline(svg: str, at: str) -> Markup:
    """A vector picture to stand within a page, its names made its own so that no other picture's are taken for them.

    Parameters
    ----------
    at : which picture of the page
    """
    from markupsafe import Markup

    return Markup(_NAMED.sub(rf"\g<1>p{at}-", _PROLOG.sub("", svg)))


def _data(png: bytes) -> str:
    return f"data:image/png;base64,{base64.b64encode(png).decode('ascii')}"
