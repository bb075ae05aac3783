"""What is served: the last good page, what went wrong since, and how far the record is. One object, for all threads."""

from __future__ import annotations

import hashlib
import json
import secrets
import threading
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from geometry.errors import InputError
from geometry.files import read_whole
from geometry.spec.load import MOST_BYTES
from viewer.page.document import document, packed
from viewer.page.page import Asked, page_of
from viewer.serve.events import Hub
from viewer.serve.journal import ChangeJournal
from viewer.serve.work import Work

if TYPE_CHECKING:
    from viewer.job import Job
    from viewer.page.shape import PageData


@dataclass(frozen=True, slots=True)
class Serving:
    """What the command line asks to serve.

    Attributes
    ----------
    engine : the engine file
    record : the build record that readings are entered in; it need not exist yet
    built : the build record that is laid over the engine, None for the engine as designed
    units, settings : as for every command
    """

    engine: Path
    record: Path
    built: Path | None = None
    units: str | None = None
    settings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class OnShow:
    """A page as it is sent.

    Attributes
    ----------
    version : another one for every page, also of another run of the program
    job : what it shows
    solids : its meshes
    html : the whole page
    data : the same for a page that is open: ``{version, page, solids}`` as JSON
    made_of : what the files held that it was made of, as ``state_of`` tells it
    """

    version: str
    job: Job
    page: PageData
    solids: bytes
    html: bytes
    data: bytes
    made_of: tuple[str, ...] = ()


@dataclass(slots=True, eq=False)
class Served:
    """The state of the live page. Read the attributes from any thread; change them through the methods.

    Attributes
    ----------
    serving : what the command line asked for
    hub : who listens
    slow : where models are built, one at a time; quick : where files are read and saved
    shown : the last good page
    error : what is wrong with the files now, empty where nothing is
    working : whether a newer page is being made
    journal : who changed what in the record
    record_version, record_by : digest of the record as it stands, empty where there is none, and who changed it last
    """

    serving: Serving
    shown: OnShow
    hub: Hub = field(default_factory=Hub)
    slow: Work = field(default_factory=lambda: Work(1, 8, "working out a model"))
    quick: Work = field(default_factory=lambda: Work(4, 200, "reading and saving"))
    journal: ChangeJournal = field(default_factory=ChangeJournal)
    error: str = ""
    working: bool = False
    record_version: str = ""
    record_by: str = ""
    _lock: threading.RLock = field(default_factory=threading.RLock)

    def show(self, shown: OnShow) -> None:
        """Put a newer page on show, and tell everyone; whatever was wrong is wrong no longer."""
        with self._lock:
            self.shown, was, self.error, self.working = shown, self.error, "", False
        self.hub.tell("page", {"version": shown.version})
        if was:
            self.hub.tell("state", {"kind": "well"})

    def fail(self, text: str) -> None:
        """Say what is wrong with the files; the last good page stays."""
        with self._lock:
            self.error, self.working = text, False
        self.hub.tell("state", {"kind": "error", "text": text})

    def begin(self) -> None:
        """Say that a newer page is being made."""
        with self._lock:
            self.working = True
        self.hub.tell("working", {})

    def recorded(self, version: str, by: str = "") -> bool:
        """Say that the record stands at a version, and who changed it.

        Returns
        -------
        Whether that is news: who saved says so first, and the watch on the file after.
        """
        with self._lock:
            if version == self.record_version:
                return False
            self.record_version, self.record_by = version, by
        self.hub.tell("record", {"version": version, "by": by})
        return True

    def news(self) -> dict[str, dict[str, Any]]:
        """All that a browser must know that begins to listen."""
        with self._lock:
            first: dict[str, dict[str, Any]] = {
                "page": {"version": self.shown.version},
                "record": {"version": self.record_version, "by": self.record_by},
                "state": {"kind": "error", "text": self.error} if self.error else {"kind": "well"},
            }
            return first | ({"working": {}} if self.working else {})


def on_show(
    job: Job, designed: Job | None = None, record: Path | None = None, made_of: tuple[str, ...] = ()
) -> OnShow:
    """The page of an engine, ready to be sent.

    Parameters
    ----------
    job, designed, record : as ``page_of`` takes them
    made_of : what the files hold
    """
    page, solids = page_of(job, Asked(live=True, record=record), designed)
    version = secrets.token_hex(8)
    html = document(page, solids, version).encode()
    data = as_data({"version": version, "page": page}, solids, 6)
    return OnShow(version, job, page, solids, html, data, made_of)


def as_data(found: dict[str, Any], solids: bytes, level: int) -> bytes:
    """A page for a browser that has one open, as JSON with its meshes."""
    found = {**found, "solids": packed(solids, level)}
    return json.dumps(found, ensure_ascii=False, allow_nan=False, separators=(",", ":")).encode()


def digest_of(path: Path) -> str:
    """What a file holds, as a short text that is another one for every content; empty where there is none."""
    try:
        return hashlib.sha256(read_whole(path, MOST_BYTES)).hexdigest()[:16]
    except InputError:
        return ""
