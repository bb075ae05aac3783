"""The list of all keys and of what the mouse does, read from the table of actions."""

from __future__ import annotations

from collections.abc import Sequence

from viewer.scene.flat import Measure
from viewer.scene.placing import Rectangle
from viewer.window.actions import ACTIONS, MOUSE
from viewer.window.hud import BAR_HEIGHT, CAPTION_HEIGHT, MARK, Panel, unit_of

COLUMNS = (("Crank", "Bore"), ("Clearances", "Keeping", "Mouse"), ("Looking", "Parts"))


def rows_of(topic: str) -> list[tuple[str, str]]:
    """Keys (or motions of the mouse) of a topic with what they do."""
    if topic == "Mouse":
        return list(MOUSE)
    return [(action.shown, action.words) for action in ACTIONS if action.topic == topic]


def key_list(size_px: tuple[int, int], measure: Measure) -> Panel:
    """Every key and what it does, by topic, between caption and crank bar; smaller where the room asks for it."""
    unit = unit_of(size_px)
    width, height = _sheet(unit, measure)
    room = size_px[0] - 16.0 * unit, size_px[1] - (BAR_HEIGHT + CAPTION_HEIGHT) * unit
    share = min(1.0, room[0] / width, room[1] / height)
    if share < 1.0:
        unit *= 0.98 * share
        width, height = _sheet(unit, measure)
    panel, size, line = Panel(measure=measure), 15.0 * unit, 23.0 * unit
    left = (size_px[0] - width) / 2
    bottom = BAR_HEIGHT * unit_of(size_px) + (room[1] - height) / 2
    panel.plate(Rectangle(left, bottom, width, height))
    x = left + 24.0 * unit
    for column in COLUMNS:
        y = bottom + height - 30.0 * unit
        key_width, word_width = _column_widths(column, unit, measure)
        for topic in column:
            panel.write(topic, x, y, 1.08 * size, MARK, bold=True)
            y -= line
            for shown, words in rows_of(topic):
                panel.write(shown, x, y, size, bold=True)
                panel.write(words, x + key_width, y, size)
                y -= line
            y -= 0.6 * line
        x += key_width + word_width
    return panel


def _column_widths(column: Sequence[str], unit: float, measure: Measure) -> tuple[float, float]:
    """Room for the keys and for the words of one column, px."""
    own = [row for topic in column for row in rows_of(topic)]
    keys = max(measure(shown, 15.0 * unit, True)[0] for shown, _ in own)
    words = max(measure(words, 15.0 * unit, False)[0] for _, words in own)
    return keys + 14.0 * unit, words + 30.0 * unit


def _sheet(unit: float, measure: Measure) -> tuple[float, float]:
    """Width and height of the whole list, px."""
    lines = max(sum(1.6 + len(rows_of(topic)) for topic in column) for column in COLUMNS)
    width = sum(sum(_column_widths(column, unit, measure)) for column in COLUMNS) + 24.0 * unit
    return width, (lines * 23.0 + 24.0) * unit
