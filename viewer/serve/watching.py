"""Notices a saved engine file or record, and puts what it makes on show."""

from __future__ import annotations

import asyncio
import logging
from typing import Final

from watchfiles import awatch

from geometry.errors import GeometryError, InputError
from viewer.job import read_job
from viewer.serve.answers import Refusal
from viewer.serve.served import OnShow, Served, Serving, digest_of, on_show

_log = logging.getLogger("fullturn.serve")
STEP_MS: Final = 30
"""A change is passed on when nothing more came for so long."""
WITHIN_MS: Final = 150
"""Or so long after its first."""
ANYWAY_MS: Final = 2000
"""Files are looked at anew so often even where no word of a change comes: some network disks send none."""


def state_of(serving: Serving) -> tuple[str, ...]:
    """What the files hold that the page is made of, as short texts."""
    return tuple(digest_of(path) for path in (serving.engine, serving.built) if path is not None)


async def watch(served: Served, stop: asyncio.Event) -> None:
    """Follow the files until told to stop."""
    serving, seen = served.serving, served.shown.made_of
    files = [serving.engine, serving.record, *([serving.built] if serving.built else [])]
    folders = {folder for path in files for folder in (path.absolute().parent, path.resolve().parent)}
    changes = awatch(
        *(folder for folder in folders if folder.is_dir()),
        watch_filter=None,
        debounce=WITHIN_MS,
        step=STEP_MS,
        stop_event=stop,
        rust_timeout=ANYWAY_MS,
        yield_on_timeout=True,
        recursive=False,
        ignore_permission_denied=True,
    )
    building: asyncio.Task[None] | None = None
    async for _ in changes:
        record = await asyncio.to_thread(digest_of, serving.record)
        served.recorded(record)
        now = await asyncio.to_thread(state_of, serving)
        if now != seen and (building is None or building.done()):
            building = asyncio.create_task(_follow(served, seen))
        seen = now


async def _follow(served: Served, seen: tuple[str, ...]) -> None:
    """Make pages until one is made of the files as they stand: what was saved last is what is shown."""
    while (now := await asyncio.to_thread(state_of, served.serving)) != seen:
        seen = now
        if now == served.shown.made_of:  # what was changed is as it was
            served.show(served.shown)
            continue
        served.begin()
        try:
            served.show(await served.slow.run(lambda: remade(served.serving)))
        except (InputError, GeometryError) as bad:
            served.fail(str(bad))
        except Refusal:  # too many stand in line: once more
            seen = ()
            await asyncio.sleep(1.0)
        except Exception as bad:  # parts that go together and leave no room for a check, or a slip of ours
            _log.warning("%s: %r", served.serving.engine, bad)
            served.fail(f"{served.serving.engine}: cannot be worked out ({bad})")


def remade(serving: Serving) -> OnShow:
    """A page of the files as they stand.

    Raises
    ------
    InputError, GeometryError : they cannot be used
    """
    now = state_of(serving)
    job = read_job(serving.engine, serving.units, serving.settings, serving.built)
    if serving.built is None:
        return on_show(job, made_of=now)
    designed = read_job(serving.engine, serving.units, serving.settings)
    return on_show(job, designed, serving.built, now)
