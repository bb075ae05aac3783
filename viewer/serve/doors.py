"""Who may come in: the names this machine is called by, and on a shop's network the holders of a token."""

from __future__ import annotations

import contextlib
import hmac
import secrets
import socket
import threading
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import Final

LOCAL: Final = ("localhost", "127.0.0.1", "[::1]")
MOST_GUESTS: Final = 32
"""Browsers that joined; with one more, the first that did is sent away."""


@dataclass(slots=True, eq=False)
class Doors:
    """What a request must bring.

    Attributes
    ----------
    port : that is listened on
    names : what this machine may be called in an address, with the port behind it (``localhost:8707``)
    guarded : whether a token is asked for
    announce : told each fresh token
    """

    port: int
    names: frozenset[str]
    guarded: bool = False
    announce: Callable[[str], object] = str
    _token: str = ""
    _guests: list[str] = field(default_factory=list)
    _lock: threading.Lock = field(default_factory=threading.Lock)

    @property
    def cookie(self) -> str:
        """Name of the cookie: browsers do not tell ports of one machine apart."""
        return f"fullturn_{self.port}"

    def fresh(self) -> str:
        """A new token, which lets one browser in; the one before is worth nothing any more."""
        with self._lock:
            self._token = secrets.token_urlsafe(18)
            return self._token

    def admit(self, token: str) -> str | None:
        """What a browser that brings the token is known by from now on; None where the token is wrong or used up."""
        with self._lock:
            if not self._token or not _same(token, self._token):
                return None
            self._token = ""
            guest = secrets.token_urlsafe(24)
            self._guests = [*self._guests[1 - MOST_GUESTS :], guest]
        self.announce(self.fresh())
        return guest

    def knows(self, guest: str) -> bool:
        """Whether a browser was let in."""
        with self._lock:
            return any(_same(guest, known) for known in self._guests)


def doors_for(port: int, more: Iterable[str] = (), *, guarded: bool = False) -> Doors:
    """The doors of this machine on a port, under its local names and some more."""
    return Doors(port, frozenset(f"{name.lower()}:{port}" for name in (*LOCAL, *more)), guarded)


def addresses() -> list[str]:
    """Own addresses of this machine on its network, the likeliest first; nothing is sent to find them out."""
    found: list[str] = []
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asked, contextlib.suppress(OSError):
        asked.connect(("192.0.2.1", 9))  # an address kept for documents: says which way a packet would go
        found.append(asked.getsockname()[0])
    with contextlib.suppress(OSError):
        found += [str(each[4][0]) for each in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)]
    return [each for each in dict.fromkeys(found) if not each.startswith(("127.", "0."))]


def _same(one: str, other: str) -> bool:
    return hmac.compare_digest(one.encode("utf-8", "replace"), other.encode("utf-8", "replace"))
