"""The build sheet for the browser: well made, whole in itself, nothing of the user's taken for markup."""

from html.parser import HTMLParser

from viewer.sheet.content import (
    BuildSheet,
    DotPicture,
    PaperPage,
    SheetCell,
    SheetColumn,
    SheetTable,
    VectorPicture,
)
from viewer.sheet.html import html

VOID = {"meta", "link", "img", "br", "col", "use", "circle"}
SVG = (
    '<?xml version="1.0"?>\n<svg viewBox="0 0 1 1"><circle id="a"/><use href="#a" clip-path="url(#a)"/></svg>'
)


class Read(HTMLParser):
    """What a browser would find: elements in their order, and whether each is closed."""

    def __init__(self, text):
        super().__init__()
        self.open, self.found, self.words = [], [], []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self.found.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag):
        if tag not in VOID:
            assert self.open.pop() == tag

    def handle_data(self, data):
        self.words.append(data)


def test_knot_is_whole_closed_and_escaped(knot_sheet):
    read = Read(html(knot_sheet))
    assert read.open == []
    assert "for A <b>customer</b>" in "".join(read.words)
    names = [tag for tag, _ in read.found]
    assert names.count("h1") == 1
    assert names.count("section") == len(knot_sheet.pages)
    assert dict(read.found)["html"]["lang"] == "en"
    sources = [attrs[key] for _, attrs in read.found for key in ("src", "href") if key in attrs]
    assert all(source.startswith(("#", "data:")) for source in sources)
    heads = [attrs for tag, attrs in read.found if tag == "th"]
    assert heads
    assert all(attrs["scope"] == "col" for attrs in heads)


def test_names_within_pictures_are_their_own():
    pictures = (
        VectorPicture(SVG, 20, "one"),
        VectorPicture(SVG, 20, "other"),
        DotPicture(b"dots", 20, "dots"),
    )
    table = SheetTable((SheetColumn("a", 1),), ((SheetCell("1 thou", "pair", "good", second="2 thou"),),))
    written = html(BuildSheet("E", "E", (), "", "a4", (PaperPage("bore 3", "Bore 3", (*pictures, table)),)))
    assert "<?xml" not in written
    read = Read(written)
    ids = [attrs["id"] for _, attrs in read.found if "id" in attrs]
    assert len(ids) == len(set(ids)) == 4
    used = [attrs for tag, attrs in read.found if tag == "use"]
    for attrs in used:
        assert attrs["href"][1:] in ids
        assert attrs["clip-path"] == f"url({attrs['href']})"
    assert {attrs["aria-label"] for _, attrs in read.found if attrs.get("role") == "img"} == {"one", "other"}
    assert "✓ 1 thou" in read.words
