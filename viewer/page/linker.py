"""The page's own modules laid one behind the other in one script, so that a page is one file.

A module may only import by name from a module beside it, and take three.js as a whole; then the import lines can go,
and what remains is one module with all names in one scope, where no two may be alike.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Final

SOURCES: Final = Path(__file__).with_name("src")
_IMPORT: Final = re.compile(r"^import\s+(?P<what>[^;]*?)\s+from\s+'(?P<path>[^']+)';\n", re.MULTILINE)
_EXPORT: Final = re.compile(r"^export (?=(?:async )?(?:function|class|const|let)\b)", re.MULTILINE)
_NOTHING: Final = re.compile(r"^export \{\};\n", re.MULTILINE)
_DECLARED: Final = re.compile(
    r"^(?:export )?(?:async )?(?:function|class|const|let)\b\*?\s*(?P<name>[\w$]+)", re.MULTILINE
)
_NAMED: Final = re.compile(r"\{(?:(?!\bas\b)[\w\s,])*\}")


def linked(entry: Path, sources: Path = SOURCES) -> str:
    """All modules that an entry needs, each behind those that it imports.

    Raises
    ------
    ValueError
        A module imports or exports in a way that cannot be laid in one scope.
    """
    order: list[Path] = []
    _visit(entry.resolve(), sources.resolve(), order, ())
    _require_own_names(order)
    return "".join(f"// {path.relative_to(sources.resolve())}\n{_plain(path)}" for path in order)


def _visit(path: Path, sources: Path, order: list[Path], above: tuple[Path, ...]) -> None:
    if path in above:
        raise ValueError(f"{path.name} imports itself by way of {' and '.join(p.name for p in above)}")
    if path in order:
        return
    for found in _IMPORT.finditer(path.read_text(encoding="utf-8")):
        if found["path"] == "three":
            continue
        if _NAMED.fullmatch(found["what"]) is None:
            raise ValueError(f"{path.name}: write import {{names}} from, not {found[0].strip()}")
        _visit((path.parent / found["path"]).resolve(), sources, order, (*above, path))
    order.append(path)


def _require_own_names(order: list[Path]) -> None:
    """Refuse two modules that declare one name at their top level: the browser would run neither."""
    of: dict[str, Path] = {}
    for path in order:
        for found in _DECLARED.finditer(path.read_text(encoding="utf-8")):
            first = of.setdefault(found["name"], path)
            if first is not path:
                raise ValueError(f"{path.name}: {found['name']} is declared in {first.name} already")


def _plain(path: Path) -> str:
    text = _NOTHING.sub("", _EXPORT.sub("", _IMPORT.sub("", path.read_text(encoding="utf-8"))))
    left = re.search(r"^(?:import|export)\b.*", text, re.MULTILINE)
    if left is not None:
        raise ValueError(f"{path.name}: cannot be laid in one scope: {left[0]}")
    return text
