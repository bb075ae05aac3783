"""What a command gives: its one JSON object, and files in one piece or not at all, never half-written."""

from __future__ import annotations

import contextlib
import json
import os
import shutil
from collections.abc import Iterator, Mapping, Sequence
from itertools import count
from pathlib import Path
from typing import Any

from geometry.errors import InputError, refused
from geometry.files import require_ordinary


def program_version() -> str:
    """Version of the installed program, or ``0`` when it runs from a bare folder."""
    from importlib.metadata import PackageNotFoundError, version  # slow to import, and seldom asked for

    try:
        return version("fullturn")
    except PackageNotFoundError:
        return "0"


def as_json(engine: str, answer: Mapping[str, Any]) -> str:
    """The one JSON object that a command prints: which program, which engine, and the answer."""
    document = {"fullturn": program_version(), "engine": engine, **answer}
    return json.dumps(document, ensure_ascii=False, allow_nan=False, indent=1)


def output_place(path: str | os.PathLike[str], endings: Sequence[str], what: str) -> Path:
    """The path of a file to write, refused before anything is worked out where it plainly cannot be written.

    Parameters
    ----------
    path : as the user named it
    endings : of the name, one of which it must have: ``(".png", ".jpg")``
    what : what is said of a name with another ending: ``cannot be written as a picture``

    Raises
    ------
    InputError
        When the ending is another one, there is no such folder, or something stands there that is no file.
    """
    target = Path(path)
    if target.suffix.lower() not in endings:
        raise refused(target, "", what, f"a name that ends in {', '.join(endings)}")
    if not target.parent.is_dir():
        raise _cannot(target, "there is no such folder")
    require_ordinary(target)
    return target


def unused_name(folder: Path, name: str, ending: str) -> Path:
    """A name in a folder that no file has yet: ``tern 1.png``, ``tern 2.png`` ..."""
    paths = (folder / f"{name} {number}{ending}" for number in count(1))
    return next(path for path in paths if not path.exists())


def write_whole(path: str | os.PathLike[str], content: bytes | str) -> Path:
    """Write a file in one piece; text as UTF-8.

    Raises
    ------
    InputError
        When it cannot be written; what was there before is then still there.
    """
    with made_aside(path) as aside:
        aside.write_bytes(content.encode("utf-8") if isinstance(content, str) else content)
    return Path(path)


def write_new(path: str | os.PathLike[str], text: str) -> None:
    """Write a text that must not overwrite anything.

    Raises
    ------
    InputError
        When something of that name exists already, or the file cannot be written; then there is none.
    """
    target = Path(path)
    try:
        with target.open("x", encoding="utf-8", newline="\n") as out:
            try:
                out.write(text)
                out.flush()
            except BaseException:
                target.unlink()
                raise
    except FileExistsError:
        raise refused(target, "", "exists already", "choose another file name") from None
    except OSError as bad:
        raise _cannot(target, bad.strerror or str(bad)) from None


@contextlib.contextmanager
def made_aside(path: str | os.PathLike[str]) -> Iterator[Path]:
    """A name beside the target to write to; it takes the target's place at the end, and goes when anything fails.

    Raises
    ------
    InputError
        When the file cannot be written.
    """
    target = Path(path)
    real = Path(os.path.realpath(target))  # a link stays a link; what it points to is written
    aside = real.with_name(f".{real.stem[:80]}.{os.getpid()}.aside{real.suffix}")
    require_ordinary(target)
    try:
        yield aside
        if real.exists():
            shutil.copymode(real, aside)
        os.replace(aside, real)
    except OSError as bad:
        raise _cannot(target, bad.strerror or str(bad)) from None
    finally:
        with contextlib.suppress(OSError):
            aside.unlink(missing_ok=True)


def _cannot(target: Path, why: str) -> InputError:
    return refused(target, "", f"cannot be written ({why})", "choose another place")
