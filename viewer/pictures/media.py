"""Pictures to keep: stills of a scene, and two scenes side by side under one camera."""

from __future__ import annotations

import importlib
import importlib.util
import math
import os
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING
from zlib import compress, decompress

import numpy as np

from geometry.assembly import Assembly
from geometry.errors import refused
from viewer.output import made_aside, output_place, write_whole
from viewer.scene import Callout, Camera, Scene, ViewOptions, build_scene

if TYPE_CHECKING:
    from PIL import Image

LARGEST_PX = 16_000
NO_RENDERER = "the pictures are left out, since nothing here can draw them"
BAND, PLAIN_LINES, MOST_BAND = 0.036, 3, 0.3
"""Share of the height that one more line of the caption takes up, how many lines the usual margin has room for, and
the most that is kept free."""
CHARACTERS = 95
"""In a line of the caption, of a picture as wide as high."""
LARGEST_SUPERSAMPLED_PX = 2600
"""Pictures wider than this are smoothed by the renderer alone; smaller ones are drawn at twice the size as well."""


def can_draw() -> bool:
    """Whether the renderer is installed."""
    try:
        importlib.import_module("vtkmodules.vtkRenderingOpenGL2")
    except ImportError:
        return False
    return True


def still(
    assembly: Assembly,
    options: ViewOptions,
    path: str | os.PathLike[str],
    size: tuple[int, int] = (1600, 1000),
    callouts: Sequence[Callout] = (),
) -> Path:
    """Draw one picture of an engine and write it as PNG; needs no display.

    Parameters
    ----------
    size : width and height, px

    Raises
    ------
    InputError
        When the view is unknown, the size cannot be drawn, or the file cannot be written.
    """
    picture_place(path)
    return write_picture(draw(build_scene(assembly, options, callouts), size), path)


def draw(scene: Scene, size: tuple[int, int] = (1600, 1000)) -> np.ndarray:
    """Draw a scene off-screen: (height, width, 3) uint8."""
    return _drawn([scene], size, 1)


def draw_from(scene: Scene, camera: Camera, size: tuple[int, int]) -> np.ndarray:
    """Draw a scene off-screen from a camera, without a word, on white: (height, width, 3) uint8."""
    return _drawn([scene], size, 1, camera)


def drawn_on_paper(scene: Scene, size: tuple[int, int]) -> bytes:
    """Draw a scene off-screen on white, its parts named and without a caption: PNG."""
    from dataclasses import replace

    from PIL import Image

    written = BytesIO()
    picture = _drawn([replace(scene, caption=())], size, 1, white=True)
    Image.fromarray(picture).save(written, format="PNG", optimize=True)
    return written.getvalue()


def side_by_side(
    scene_a: Scene,
    scene_b: Scene,
    titles: tuple[str, str],
    path: str | os.PathLike[str],
    size: tuple[int, int] = (1600, 1000),
) -> Path:
    """Draw two scenes next to each other, seen by the same camera, each under its title.

    The camera is the first scene's; both fill half of the width.
    """
    from dataclasses import replace

    pair = [
        replace(scene, caption=(title, *scene.caption[1:]))
        for scene, title in zip((scene_a, scene_b), titles, strict=True)
    ]
    return write_picture(_drawn(pair, size, 2), path)


def _drawn(
    scenes: Sequence[Scene],
    size: tuple[int, int],
    columns: int,
    camera: Camera | None = None,
    white: bool = False,
) -> np.ndarray:
    from viewer.draw.screen import Screen
    from viewer.draw.stage import Stage, read_window, shrunk
    from viewer.draw.vtk_log import route_to_logging
    from viewer.scene.flat import Lettering

    check_size(size)
    route_to_logging()
    twice = 2 if max(size) <= LARGEST_SUPERSAMPLED_PX else 1
    screen = Screen(
        (size[0] * twice, size[1] * twice), off_screen=True, columns=columns, samples=4 if twice == 1 else 0
    )
    try:
        stages = [Stage(screen.window, renderer) for renderer in screen.renderers]
        for stage, scene in zip(stages, scenes, strict=True):
            stage.show(scene)
        if camera is None:
            stages[0].aim((0.0, 0.0, 1.0, 1.0 - band(scenes[0].caption, stages[0].aspect)))
        if camera is not None or white:
            stages[0].renderer.SetGradientBackground(False)
            stages[0].renderer.SetBackground(1.0, 1.0, 1.0)
        seen = camera or stages[0].camera()
        for stage in stages:
            stage.look(seen)
            if camera is None:
                stage.letter()
            else:
                stage.overlay.draw(Lettering())  # which has to hold something, be it nothing to be seen
        screen.window.Render()
        return shrunk(read_window(screen.window), twice)
    finally:
        screen.close()


def band(caption: Sequence[str], aspect: float) -> float:
    """Share of the height that a picture keeps free at its top for a caption of more lines than usual."""
    room = CHARACTERS * aspect
    lines = sum(math.ceil(len(line) / room) for line in caption)
    return min(BAND * max(0, lines - PLAIN_LINES), MOST_BAND)


def check_size(size: tuple[int, int]) -> None:
    """Refuse a size that cannot be drawn.

    Raises
    ------
    InputError
        When it is too small or too large.
    """
    if min(size) < 64 or max(size) > LARGEST_PX:
        raise refused("", "size", f"{size[0]} x {size[1]} cannot be drawn", f"64 to {LARGEST_PX} px each way")


def write_picture(picture: np.ndarray, path: str | os.PathLike[str]) -> Path:
    """Write (h, w, 3) uint8 as PNG or JPEG, by the name's ending.

    Raises
    ------
    InputError
        When the ending is none of these or the file cannot be written.
    """
    from PIL import Image

    return write_image(Image.fromarray(picture), path)


def write_image(image: Image.Image, path: str | os.PathLike[str]) -> Path:
    """Write an image as PNG or JPEG, by the name's ending; errors as ``write_picture``."""
    target = picture_place(path)
    drawn = BytesIO()
    image.save(drawn, format="PNG" if target.suffix.lower() == ".png" else "JPEG")
    return write_whole(target, drawn.getvalue())


def picture_place(path: str | os.PathLike[str]) -> Path:
    """The path of a picture, refused before anything is drawn where it is plain that it cannot be written."""
    return output_place(path, (".png", ".jpg", ".jpeg"), "cannot be written as a picture")


FILM_RATE = 24
FILMS = (".mp4", ".gif", ".webp")
Follow = Callable[[Iterable[int], int], Iterable[int]]
"""Passes on numbers of pictures as they are written, so many in all, and tells somebody of it."""


def write_film(
    frames: Iterable[np.ndarray],
    path: str | os.PathLike[str],
    rate: int = FILM_RATE,
    follow: Follow = lambda numbers, _: numbers,
) -> Path:
    """Write pictures (h, w, 3) uint8 as a film: MP4, GIF or WebP by the name's ending.

    Parameters
    ----------
    rate : pictures a second
    follow : sees what is written after the last picture was drawn, as GIF and WebP are

    Raises
    ------
    InputError
        When the ending is none of these, the film extra is not installed, or the file cannot be written.
    """
    target = check_film(path)
    ending = target.suffix.lower()
    with made_aside(target) as aside:
        if ending == ".mp4":
            _write_mp4(frames, aside, rate)
        else:
            (_write_gif if ending == ".gif" else _write_webp)(frames, aside, rate, follow)
    return target


def check_film(path: str | os.PathLike[str]) -> Path:
    """Refuse a film that could not be written, before any picture of it is drawn.

    Raises
    ------
    InputError
        When the ending is none of a film's, the film extra is not installed, or there is no such folder.
    """
    target = output_place(path, FILMS, "cannot be written as a film")
    if target.suffix.lower() == ".mp4" and importlib.util.find_spec("imageio_ffmpeg") is None:
        right = "pip install 'fullturn[film]', or a .webp or .gif name"
        raise refused(target, "", "films need an encoder", right)
    return target


@dataclass(slots=True)
class _Kept:
    """Pictures that are needed again, packed: 3 MB each otherwise, and a film has hundreds."""

    packed: list[bytes] = field(default_factory=list)
    shape: tuple[int, ...] = ()

    def add(self, frame: np.ndarray) -> None:
        self.shape = frame.shape
        self.packed.append(compress(frame.tobytes(), 1))

    def __getitem__(self, number: int) -> np.ndarray:
        return np.frombuffer(decompress(self.packed[number]), dtype=np.uint8).reshape(self.shape)


def _write_gif(frames: Iterable[np.ndarray], target: Path, rate: int, follow: Follow) -> None:
    """One palette over the whole film: every picture is looked at before the first is put into colours."""
    from PIL import Image

    from viewer.pictures.palette import Palette, counted

    kept, counts = _Kept(), np.zeros(0, dtype=np.int64)
    for frame in frames:
        found = counted(frame)
        counts = counts + found if kept.packed else found
        kept.add(frame)
    palette = Palette(counts)

    def drawn(number: int) -> Image.Image:
        image = Image.fromarray(palette.indexed(kept[number]))
        image.putpalette(palette.colours.tobytes())
        return image

    count = len(kept.packed)
    numbers = iter(follow(range(count), count))
    first, rest = drawn(next(numbers)), map(drawn, numbers)
    first.save(target, save_all=True, append_images=rest, duration=round(1000 / rate), loop=0)


def _write_webp(frames: Iterable[np.ndarray], target: Path, rate: int, follow: Follow) -> None:
    from PIL import Image

    from viewer.pictures.webp import write_webp

    kept = _Kept()
    for frame in frames:
        kept.add(frame)
    count = len(kept.packed)
    numbers = iter(follow(range(count), count))

    def drawn(number: int) -> Image.Image:
        next(numbers, None)  # asked for in their order
        return Image.fromarray(kept[number])

    write_webp(target, count, drawn, round(1000 / rate))
    next(numbers, None)  # whoever follows sees the end


def _write_mp4(frames: Iterable[np.ndarray], target: Path, rate: int) -> None:
    import imageio_ffmpeg

    writer = None
    try:
        for frame in frames:
            even = np.ascontiguousarray(frame[: frame.shape[0] // 2 * 2, : frame.shape[1] // 2 * 2])
            if writer is None:
                size = (even.shape[1], even.shape[0])
                writer = imageio_ffmpeg.write_frames(
                    str(target), size, fps=rate, quality=8, macro_block_size=2
                )
                writer.send(None)
            writer.send(even)
    finally:  # the encoder is a process of its own, and would go on writing to a file that is taken away
        if writer is not None:
            writer.close()
