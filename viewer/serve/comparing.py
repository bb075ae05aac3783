"""The engines beside the one on show: with other values, and with mistakes in them."""

from __future__ import annotations

from viewer.serve.diagnosing import Diagnosing
from viewer.serve.known import KnownEngine
from viewer.serve.served import OnShow, Serving
from viewer.serve.trying import Trying


class Comparing:
    """What is worked out against the page on show, made anew with every page; for one thread at a time."""

    def __init__(self, serving: Serving) -> None:
        self.serving = serving
        self._made: tuple[OnShow, Trying, Diagnosing] | None = None

    def trying(self, shown: OnShow) -> Trying:
        """Where values are tried."""
        return self._of(shown)[1]

    def diagnosing(self, shown: OnShow) -> Diagnosing:
        """Where mistakes are looked for."""
        return self._of(shown)[2]

    def _of(self, shown: OnShow) -> tuple[OnShow, Trying, Diagnosing]:
        if self._made is None or self._made[0] is not shown:
            known = KnownEngine(shown)
            self._made = shown, Trying(self.serving, known), Diagnosing(known)
        return self._made
