"""Where lines of words break, on screen and on paper alike."""

from __future__ import annotations

from collections.abc import Callable


def broken(text: str, room: float, width: Callable[[str], float]) -> list[str]:
    """Lines that are no wider than the room; a single word that is wider stays whole.

    Parameters
    ----------
    room : in the unit of ``width``, px or inches
    width : of one line of words
    """
    lines: list[str] = []
    for word in text.split(" "):
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and width(longer) <= room:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines
