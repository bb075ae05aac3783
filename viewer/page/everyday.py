"""Small lengths beside things that everybody has had in hand.

Office paper of 80 g/m2 is about 0.1 mm thick; a bank card is 0.76 mm (ISO/IEC 7810); a hair is 0.05 to 0.1 mm,
from memory. What is called about so many of a thing is within 15 per cent of it.
"""

from __future__ import annotations

from typing import Final

SHEET_MM: Final = 0.1
CARD_MM: Final = 0.76
HAIR_MM: Final = (0.05, 0.085)
NEAR: Final = 0.15
MOST: Final = 6
SMALL: Final = (
    (1 / 10, "a tenth of"), (1 / 6, "a sixth of"), (1 / 4, "a quarter of"), (1 / 3, "a third of"), (1 / 2, "half"),
)  # fmt: skip
COUNTS: Final = {1: "one", 2: "two", 3: "three", 4: "four", 5: "five", 6: "six"}


def everyday(length_mm: float) -> str:
    """About how thick that is, in words; empty where nothing of that size is at hand.

    Examples
    --------
    >>> everyday(0.06), everyday(0.2), everyday(0.018), everyday(40.0)
    ('about the thickness of a hair', 'about two sheets of office paper', \
'about a sixth of the thickness of a sheet of office paper', '')
    """
    size_mm = abs(length_mm)
    if HAIR_MM[0] <= size_mm <= HAIR_MM[1]:
        return "about the thickness of a hair"
    for share, words in SMALL:
        if _near(size_mm, share * SHEET_MM):
            return f"about {words} the thickness of a sheet of office paper"
    if 0.0 < size_mm < 0.1 * SHEET_MM:
        return "less than a tenth of the thickness of a sheet of office paper"
    for unit_mm, one, many in (
        (CARD_MM, "the thickness of a bank card", "bank cards"),
        (SHEET_MM, "the thickness of a sheet of office paper", "sheets of office paper"),
    ):
        count = round(size_mm / unit_mm)
        if 1 <= count <= MOST and _near(size_mm, count * unit_mm):
            return f"about {one}" if count == 1 else f"about {COUNTS[count]} {many}"
        below = int(size_mm / unit_mm)
        if 1 <= below < MOST:
            return f"between {COUNTS[below]} and {COUNTS[below + 1]} {many}"
    return ""


def _near(length_mm: float, thing_mm: float) -> bool:
    return abs(length_mm - thing_mm) <= NEAR * thing_mm
