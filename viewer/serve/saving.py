"""What was tried, saved as a new engine file beside the one that is served; that one is never written to."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Final

import tomlkit
from tomlkit.exceptions import TOMLKitError

from geometry.errors import InputError
from geometry.spec.described import load_described
from geometry.spec.engine import Engine
from geometry.spec.load import apply_overrides, read_text
from viewer.output import write_new
from viewer.serve.answers import Refusal

NAME: Final = re.compile(r"[A-Za-z0-9][A-Za-z0-9 ._-]{0,80}\.toml")
RESERVED: Final = re.compile(r"(?:con|prn|aux|nul|com\d|lpt\d)(?:\..*)?", re.IGNORECASE)
"""Names that some systems keep for devices."""


def save_new(engine: Path, settings: Mapping[str, str], name: str) -> Path:
    """Write a copy of an engine file with other values, comments and order kept.

    Raises
    ------
    Refusal : the name is no bare file name that ends in .toml, or something is there already
    InputError : the values cannot be used, or the file cannot be written; nothing is written then
    """
    if (
        NAME.fullmatch(name) is None
        or RESERVED.fullmatch(name)
        or ".." in name
        or name.endswith(".record.toml")
    ):
        raise Refusal(
            422, "an engine file cannot be called so", "letters and digits, ending in .toml, no folder"
        )
    target = engine.parent / name
    if target.exists() or target.is_symlink():
        raise Refusal(409, f"{name} is there already", "choose another name")
    load_described(engine, settings)  # refuses what cannot be
    write_new(target, text_with(engine, settings))
    try:
        load_described(target)
    except InputError:
        target.unlink()
        raise
    return target


def text_with(engine: Path, settings: Mapping[str, str]) -> str:
    """The text of an engine file with other values in it.

    Raises
    ------
    InputError, Refusal : it cannot be read or changed
    """
    try:
        document = tomlkit.parse(read_text(engine))
        apply_overrides(Engine, document, settings)
        return tomlkit.dumps(document)
    except TOMLKitError as bad:
        raise Refusal(422, "the file cannot be changed by the page", "change it in an editor") from bad
