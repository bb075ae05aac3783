"""One self-contained file: data, modules and style, with a policy that lets nothing else in."""

from __future__ import annotations

import base64
import hashlib
import json
import zlib
from functools import cache
from html import escape
from pathlib import Path
from typing import Final

from viewer.page.linker import SOURCES, linked
from viewer.page.on_paper import on_paper, without_pictures
from viewer.page.shape import PageData

THREE: Final = Path(__file__).with_name("vendor") / "three.js"
SCRIPTED: Final = "document.documentElement.classList.add('scripted');"
"""Says that scripts run, before anything is drawn: what is written for where they are refused is then not shown."""


def document(page: PageData, solids: bytes, version: str = "") -> str:
    """The whole page as HTML.

    Parameters
    ----------
    page, solids : as ``page_of`` gives them
    version : of a live page, so that it knows when there is a newer one
    """
    policy = policy_of(live=page["live"])
    data = json.dumps(without_pictures(page), ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    return (
        '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{policy}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        '<meta name="referrer" content="no-referrer">\n<link rel="icon" href="data:,">\n'
        f"<title>{escape(page['title'])}</title>\n<style>{_style()}</style>\n"
        f"<script>{SCRIPTED}</script>\n</head>\n<body>\n"
        f'<div id="app" data-version="{escape(version)}" data-voice="{page["voice"]}"></div>\n'
        f"{on_paper(page)}"
        f"{_held('page', packed(data.encode()))}{_held('solids', packed(solids))}"
        f"{_held('three', _packed_three())}{_held('app-modules', _packed_app())}"
        f"<script>{_loader()}</script>\n</body>\n</html>\n"
    )


def _held(name: str, text: str) -> str:
    """Something packed that the page unpacks."""
    return f'<script type="text/plain" id="{name}">{text}</script>\n'


def policy_of(*, live: bool) -> str:
    """What a page may do: run its own scripts, and where it is live ask the machine that serves it; nothing else."""
    scripts = " ".join(_hash(text) for text in (SCRIPTED, _loader(), _three(), _app()))
    reached = "'self'" if live else "'none'"
    return (
        f"default-src 'none'; script-src {scripts}; style-src {_hash(_style())}; img-src data: blob:; "
        f"connect-src {reached}; base-uri 'none'; form-action 'none'"
    )


def packed(solids: bytes, level: int = 9) -> str:
    """Bytes deflated and as text; the page's DecompressionStream of kind ``deflate`` undoes it.

    Parameters
    ----------
    level : 1 quickest to 9 smallest
    """
    return base64.b64encode(zlib.compress(solids, level)).decode("ascii")


def _hash(text: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode('ascii')}'"


@cache
def _three() -> str:
    return THREE.read_text(encoding="utf-8")


@cache
def _app() -> str:
    return linked(SOURCES / "main.js")


@cache
def _packed_three() -> str:
    return packed(_three().encode())


@cache
def _packed_app() -> str:
    return packed(_app().encode())


@cache
def _loader() -> str:
    return (SOURCES / "loader.js").read_text(encoding="utf-8")


@cache
def _style() -> str:
    return "".join(sheet.read_text(encoding="utf-8") for sheet in sorted((SOURCES / "css").glob("*.css")))
