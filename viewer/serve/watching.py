"""Notices a saved engine file or record, and puts what it makes on show."""

from __future__ import annotations

import asyncio
from typing import Final

from watchfiles import awatch

from geometry.errors import GeometryError, InputError
from viewer.job import read_job
from viewer.serve.answers import Refusal
from viewer.serve.served import OnShow, Served, Serving, digest_of, on_show

STEP_MS: Final = 30
"""A change is passed on when nothing more came for so long."""
WITHIN_MS: Final = 150
"""Or so long after its first."""
ANYWAY_MS: Final = 2000
"""Files are looked at anew so often even where no word of a change comes: some network disks send none."""


def state_of(serving: Serving) -> tuple[str, ...]:
    """What the files hold that the page is made of, as short texts."""
    return tuple(digest_of(path) for path in (serving.engine, serving.built) if path is not None)


async def watch(served: Served, made_of: tuple[str, ...], stop: asyncio.Event) -> None:
    """Follow the files until told to stop.

    Parameters
    ----------
    made_of : ``state_of`` the files that the page on show was made of
    """
    serving = served.serving
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
        if now != made_of and (building is None or building.done()):
            building = asyncio.create_task(_follow(served, made_of))
        made_of = now


async def _follow(served: Served, seen: tuple[str, ...]) -> None:
    """Make pages until one is made of the files as they stand: what was saved last is what is shown."""
    while (now := await asyncio.to_thread(state_of, served.serving)) != seen:
        seen = now
        served.begin()
        try:
            served.show(await served.slow.run(lambda: remade(served.serving)))
        except (InputError, GeometryError) as bad:
            served.fail(str(bad))
        except Refusal:  # too many stand in line: once more
            seen = ()
            await asyncio.sleep(1.0)


def remade(serving: Serving) -> OnShow:
    """A page of the files as they stand.

    Raises
    ------
    InputError, GeometryError : they cannot be used
    """
    job = read_job(serving.engine, serving.units, serving.settings, serving.built)
    if serving.built is None:
        return on_show(job)
    return on_show(job, read_job(serving.engine, serving.units, serving.settings), serving.built)
