"""Which parts of the shelf were chosen for a bore: what `fullturn match` writes down."""

from __future__ import annotations

from typing import Final

from geometry.record.entry import PartsChosen
from geometry.record.kind import ReadingKind

KINDS: Final = (
    ReadingKind(
        "parts", "bore", "bores", "parts chosen for it", PartsChosen, expected=lambda at: None,
        judge=lambda at: (), ask=False, lay=None,
    ),
)  # fmt: skip
