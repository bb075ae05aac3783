"""What stands on a build sheet, as plain data: pages of blocks, which any way to paper or screen lays out alike."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final, Literal, TypeAlias

Style: TypeAlias = Literal["body", "lead", "small", "caution", "finding"]
"""``lead`` is read from the bench, ``small`` from near; a caution and a finding stand in a frame."""
CellKind: TypeAlias = Literal["text", "box", "tick", "pair"]
"""``box`` is an empty frame for the pencil, ``tick`` a small square to tick off, ``pair`` two frames: the feeler blade
that goes and the one that is tight."""
Mark: TypeAlias = Literal["", "good", "look", "bad", "open"]
"""How a reading or a finding stands; told by a sign and in words, since the sheet is printed black on white."""
SIGNS: Final[dict[Mark, str]] = {"": "", "good": "✓ ", "look": "! ", "bad": "✗ ", "open": "? "}
"""What stands before the words."""
Align: TypeAlias = Literal["left", "right", "middle"]
Paper: TypeAlias = Literal["a4", "us-letter"]
PAPER_MM: Final[dict[Paper, tuple[float, float]]] = {"a4": (210.0, 297.0), "us-letter": (215.9, 279.4)}
MARGIN_MM: Final = 14.0


@dataclass(frozen=True, slots=True)
class SheetCell:
    """One cell of a table.

    Attributes
    ----------
    text : what stands in it; in a box what was recorded, else nothing; behind a square the words to it
    kind : see ``CellKind``
    mark : the verdict on a reading, as a sign before the text
    strong : whether it is set bold
    second : what stands in the second frame of a pair
    under : small words under it: the verdict on what was read, in a word
    """

    text: str = ""
    kind: CellKind = "text"
    mark: Mark = ""
    strong: bool = False
    second: str = ""
    under: str = ""


@dataclass(frozen=True, slots=True)
class SheetColumn:
    """One column.

    Attributes
    ----------
    heading : the words over it
    share : of the width; 0: as wide as its words
    align : how its cells stand
    small : whether it holds words that are read from near, such as where a limit comes from
    """

    heading: str
    share: float = 0.0
    align: Align = "left"
    small: bool = False


@dataclass(frozen=True, slots=True)
class Paragraph:
    """A paragraph; a line of its own begins at each line break."""

    text: str
    style: Style = "body"
    mark: Mark = ""
    block: Literal["words"] = field(default="words", init=False)


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading within a page; ``level`` 2 stands in the bookmarks under the page's own title."""

    text: str
    level: Literal[2, 3] = 2
    block: Literal["head"] = field(default="head", init=False)


@dataclass(frozen=True, slots=True)
class SheetTable:
    """A table. Its head is repeated where it runs over a page; where no column has a heading there is no head.

    Attributes
    ----------
    columns, rows : as many cells in each row as there are columns
    tall_mm : least height of a row, so that a pencil has room in its boxes
    said : what it holds, for who cannot see it
    dense : set small, for reference rather than for the bench
    """

    columns: tuple[SheetColumn, ...]
    rows: tuple[tuple[SheetCell, ...], ...]
    tall_mm: float = 0.0
    said: str = ""
    dense: bool = False
    block: Literal["rows"] = field(default="rows", init=False)


@dataclass(frozen=True, slots=True)
class VectorPicture:
    """A vector picture.

    Attributes
    ----------
    svg : the document, its words as text
    wide_mm : on paper
    said : what it shows, for who cannot see it
    caption : words under it
    """

    svg: str
    wide_mm: float
    said: str
    caption: str = ""
    block: Literal["drawing"] = field(default="drawing", init=False)


@dataclass(frozen=True, slots=True)
class DotPicture:
    """A picture in dots (the engine in 3D), as PNG."""

    png: bytes
    wide_mm: float
    said: str
    block: Literal["photo"] = field(default="photo", init=False)


@dataclass(frozen=True, slots=True)
class SideBySide:
    """Blocks in columns side by side, with shares of the width."""

    columns: tuple[tuple[Block, ...], ...]
    shares: tuple[float, ...]
    block: Literal["beside"] = field(default="beside", init=False)


@dataclass(frozen=True, slots=True)
class Contents:
    """Every page that follows, by its title, and where it is."""

    block: Literal["contents"] = field(default="contents", init=False)


@dataclass(frozen=True, slots=True)
class BlankLines:
    """Lines to write on, side by side, each over its words: initials, a signature."""

    labels: tuple[str, ...]
    block: Literal["blanks"] = field(default="blanks", init=False)


Block: TypeAlias = (
    "Paragraph | Heading | SheetTable | VectorPicture | DotPicture | SideBySide | Contents | BlankLines"
)


@dataclass(frozen=True, slots=True)
class PaperPage:
    """One page, which may run over several sheets of paper where it must.

    Attributes
    ----------
    key : fixed name: ``cover``, ``crank``, ``bore 3``
    title : its heading, also in the bookmarks
    blocks : from the top
    """

    key: str
    title: str
    blocks: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class BuildSheet:
    """The whole sheet.

    Attributes
    ----------
    engine : its name, at the head of every page
    title : of the document
    head : shop, customer, job and day, as given; at the head of every page
    foot : what every page says at its foot: that a simplified model replaces no physical check
    paper : on what it is printed
    pages : in the order of work
    language : of its words, as BCP 47 has it
    """

    engine: str
    title: str
    head: tuple[str, ...]
    foot: str
    paper: Paper
    pages: tuple[PaperPage, ...]
    language: str = "en"
