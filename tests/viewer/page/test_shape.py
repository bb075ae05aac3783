"""What Python writes and what the browser reads are one shape."""

import re
from types import UnionType
from typing import Literal, get_args, get_origin, get_type_hints, is_typeddict

from viewer.page import shape
from viewer.page.linker import SOURCES

TYPEDEF = re.compile(r"@typedef \{object\} (\w+)(.*?)\*/", re.DOTALL)
PROPERTY = re.compile(r"@property \{(.*)\} (\w+)")


def in_javascript(hint) -> str:
    if hint is shape.Severity:
        return "'stop'|'look'|'note'"
    if get_origin(hint) is list:
        return f"{in_javascript(get_args(hint)[0])}[]"
    if get_origin(hint) is dict:
        return f"Object<string, {in_javascript(get_args(hint)[1])}>"
    if get_origin(hint) is Literal:
        return "|".join(f"'{word}'" for word in get_args(hint))
    if isinstance(hint, UnionType) or len(get_args(hint)) > 1:
        return "|".join(in_javascript(one) for one in get_args(hint))
    if is_typeddict(hint):
        return hint.__name__.removesuffix("Data")
    return {float: "number", int: "number", str: "string", bool: "boolean", type(None): "null"}[hint]


def test_both_sides_of_the_page_hold_the_same_shape():
    text = (SOURCES / "types.js").read_text(encoding="utf-8")
    read = {name: {key: kind for kind, key in PROPERTY.findall(body)} for name, body in TYPEDEF.findall(text)}
    written = {
        name.removesuffix("Data"): {key: in_javascript(hint) for key, hint in get_type_hints(kind).items()}
        for name, kind in vars(shape).items()
        if is_typeddict(kind)
    }
    assert read == written
