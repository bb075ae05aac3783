"""What others rely on once fullturn is installed: the packages are whole, typed, and the examples in them run."""

import ast
import doctest
import importlib
import re
import tomllib
from pathlib import Path, PurePath

import pytest

ROOT = Path(__file__).parents[1]
PACKAGES = ("geometry", "viewer")


def inside(suffix):
    """Files of the packages with this suffix, or without any for an empty one, as paths from the top."""
    found = (path for package in PACKAGES for path in (ROOT / package).rglob(f"*{suffix}"))
    return sorted(
        path.relative_to(ROOT) for path in found if "__pycache__" not in path.parts and path.is_file()
    )


def with_examples():
    texts = {path: (ROOT / path).read_text(encoding="utf-8") for path in inside(".py")}
    return [".".join(path.with_suffix("").parts) for path, text in texts.items() if ">>> " in text]


def listed(doc, title):
    """Names in one section of a numpydoc docstring, written ``name : words`` or ``a, b : words``."""
    section = re.search(rf"^{title}\n-+\n(.*?)(?=\n\n\w[^\n]*\n-+\n|\Z)", doc, re.DOTALL | re.MULTILINE)
    entries = re.findall(r"^(\w+(?:, \w+)*) : ", section[1], re.MULTILINE) if section else []
    return {name for entry in entries for name in entry.split(", ")}


def documented(node):
    """Names that a docstring lists, and names that are there: parameters of a function, members of a class."""
    doc = ast.get_docstring(node) or ""
    if "----" not in doc:
        return set(), set()
    if isinstance(node, ast.ClassDef):
        fields = {field.target.id for field in node.body if isinstance(field, ast.AnnAssign)}
        methods = {each.name for each in node.body if isinstance(each, ast.FunctionDef)}
        inside = (each for each in ast.walk(node) if isinstance(each, ast.Attribute))
        return listed(doc, "Attributes"), fields | methods | {each.attr for each in inside}
    return listed(doc, "Parameters"), {each.arg for each in ast.walk(node.args) if isinstance(each, ast.arg)}


def test_docstrings_list_nothing_that_is_not_there():
    seen, lost = 0, []
    for path in inside(".py"):
        for node in ast.walk(ast.parse((ROOT / path).read_text(encoding="utf-8"))):
            if isinstance(node, ast.FunctionDef | ast.ClassDef):
                said, there = documented(node)
                seen += len(said)
                lost += [f"{path}:{node.lineno}: {node.name} has no {name}" for name in said - there]
    assert lost == []
    assert seen > 1000


def test_folders_name_only_what_is_in_the_house():
    """What a folder's first page calls ``name`` stands in it, or is a floor of the house or a command."""
    lost = []
    for path in inside("__init__.py"):
        page = ast.get_docstring(ast.parse((ROOT / path).read_text(encoding="utf-8"))) or ""
        if path.parent.name == "geometry":  # the page for other programs, whose examples are run
            page = page[: page.index("For other programs")]
        table = re.search(r"^=+ =+\n(.*?)^=+ =+$", page, re.DOTALL | re.MULTILINE)
        names = set(re.findall(r"``([a-z_/]+)``", page)) | {
            line.split()[0] for line in (table[1].splitlines() if table else [])
        }
        rooms = [ROOT / room for room in (path.parent, path.parts[0], "", "viewer/commands")]
        lost += [
            f"{path}: {name}"
            for name in sorted(names - {"command"})
            if not any((room / name).is_dir() or (room / f"{name}.py").is_file() for room in rooms)
        ]
    assert lost == []


@pytest.mark.parametrize("module", with_examples())
def test_the_examples_give_what_they_say(module, monkeypatch):
    monkeypatch.chdir(ROOT)
    result = doctest.testmod(importlib.import_module(module.removesuffix(".__init__")))
    assert result.attempted > 0
    assert result.failed == 0


def test_the_front_page_has_examples():
    assert "geometry.__init__" in with_examples()


def test_a_wheel_holds_every_file_of_the_packages():
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["setuptools"]
    patterns = [
        f"{package.replace('.', '/')}/{pattern}"
        for package, each in settings["package-data"].items()
        for pattern in each
    ]
    data = [path for path in inside("") if path.suffix != ".py"]
    assert {PurePath(package, "py.typed") for package in PACKAGES} <= set(data)
    assert any(path.suffix == ".toml" for path in data)
    assert [path for path in data if not any(path.match(pattern) for pattern in patterns)] == []


def test_every_folder_of_the_packages_is_a_package_and_says_what_is_in_it():
    files = set(inside(".py"))
    assert {path.parent for path in files if path.parent / "__init__.py" not in files} == set()
