"""Keeps pictures and films of exactly what is on the screen."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from viewer.pictures.media import write_film, write_picture

if TYPE_CHECKING:
    from viewer.window.view import EngineWindow

FILM_STEP_DEG = 5.0


def kept_under(name: str, folder: Path, ending: str) -> Path:
    """A name for a kept picture that no file has yet: ``tern 1.png``, ``tern 2.png`` ..."""
    number = 1
    while (folder / f"{name} {number}{ending}").exists():
        number += 1
    return folder / f"{name} {number}{ending}"


def keep_picture(view: EngineWindow) -> Path:
    """Write the window as PNG, drawn fine.

    Raises
    ------
    InputError
        When the file cannot be written.
    """
    view.rest()
    view.smooth()
    return write_picture(view.picture(), kept_under(_name(view), view.folder, ".png"))


def keep_film(view: EngineWindow) -> Path:
    """Write one working cycle of the window as MP4, drawn fine.

    Raises
    ------
    InputError
        When the encoder is not installed or the file cannot be written.
    """
    return write_film(_frames(view), kept_under(_name(view), view.folder, ".mp4"))


def _name(view: EngineWindow) -> str:
    return view.assembly.spec.engine.name.lower()


def _frames(view: EngineWindow) -> Iterator[np.ndarray]:
    start, quality = view.state, view.quality
    view.quality = "fine"
    try:
        for turned in np.arange(0.0, view.cycle_deg, FILM_STEP_DEG):
            view.apply(replace(start, crank_deg=start.crank_deg + float(turned), playing=0, message=""))
            yield view.picture()
    finally:
        view.quality = quality
        view.apply(start)
