"""A build sheet on paper: its content, set by a typesetter, as PDF with text and bookmarks, as SVG or PNG by page."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import asdict
from importlib.resources import files
from itertools import count
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, Literal, cast

from viewer.paper.lettering import FAMILY
from viewer.sheet.content import MARGIN_MM, SIGNS, BuildSheet

PNG_PPI = 110.0


def pdf(sheet: BuildSheet) -> bytes:
    """The sheet as one PDF."""
    (one,) = _set(sheet, "pdf")
    return one


def svg_pages(sheet: BuildSheet) -> tuple[str, ...]:
    """One SVG per sheet of paper."""
    return tuple(page.decode() for page in _set(sheet, "svg"))


def png_pages(sheet: BuildSheet, ppi: float = PNG_PPI) -> tuple[bytes, ...]:
    """One PNG per sheet of paper."""
    return tuple(_set(sheet, "png", ppi))


def _set(sheet: BuildSheet, form: Literal["pdf", "svg", "png"], ppi: float | None = None) -> Sequence[bytes]:
    import matplotlib as mpl
    import typst

    fonts = Path(mpl.get_data_path()) / "fonts" / "ttf"  # letters that are the same on every machine
    with TemporaryDirectory() as folder:
        place = Path(folder)
        template = place / "sheet.typ"
        template.write_bytes(files("viewer.sheet").joinpath("sheet.typ").read_bytes())
        made = typst.compile(
            str(template), format=form, ppi=ppi, font_paths=[str(fonts)], ignore_system_fonts=True,
            sys_inputs={"sheet": json.dumps(_plain(sheet, place), ensure_ascii=False)},
        )  # fmt: skip
    return [made] if isinstance(made, bytes) else cast("list[bytes]", made)


def _plain(sheet: BuildSheet, place: Path) -> dict[str, Any]:
    """The content as JSON can hold it; pictures in dots as files in a folder, by name."""
    numbers = count(1)

    def told(value: Any) -> Any:
        if isinstance(value, dict):
            return {key: told(inner) for key, inner in value.items()}
        if isinstance(value, list | tuple):
            return [told(inner) for inner in value]
        if isinstance(value, bytes):
            name = f"{next(numbers)}.png"
            (place / name).write_bytes(value)
            return name
        return value

    return {**told(asdict(sheet)), "margin_mm": MARGIN_MM, "font": FAMILY, "signs": SIGNS}
