"""What a build sheet says is on its paper: read back by a PDF library of its own."""

from io import BytesIO

from pypdf import PdfReader

from viewer.sheet.content import BuildSheet, PaperPage, Paragraph, SheetCell, SheetColumn, SheetTable
from viewer.sheet.typeset import pdf


def test_words_cells_and_bookmarks_are_found_again_in_the_file():
    table = SheetTable(
        (SheetColumn("what", 1), SheetColumn("least"), SheetColumn("read", 1)),
        ((SheetCell("oil clearance"), SheetCell("0.0010 in"), SheetCell("0.0019 in", "box", "good")),),
    )
    pages = (
        PaperPage("cover", "Cover", (Paragraph("first words"),)),
        PaperPage("bore 1", "Bore 1", (table,)),
    )
    read = PdfReader(BytesIO(pdf(BuildSheet("Knot", "Knot: build sheet", ("Shed",), "foot", "a4", pages))))
    assert [entry["/Title"] for entry in read.outline] == ["Cover", "Bore 1"]
    assert "first words" in read.pages[0].extract_text()
    told = read.pages[1].extract_text()
    assert all(words in told for words in ("oil clearance", "0.0010 in", "✓ 0.0019 in", "Shed", "foot"))
    assert [round(float(side)) for side in read.pages[0].mediabox[2:]] == [595, 842]  # A4 in points
