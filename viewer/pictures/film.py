"""Films of a scene: one camera, the crank turning."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from geometry.arrays import Array
from geometry.assembly import Assembly
from viewer.scene import ViewOptions, build_scene, move, read_view
from viewer.scene.views import BORE_VIEWS

SAMPLES = 4
FOLLOWING = ("rings", "chamfer")
"""Views that hang on a moving part: the scene is made anew for each angle, and the camera goes along."""
assert set(FOLLOWING) <= set(BORE_VIEWS)


def turn_angles(start_deg: float, turns: float, frames: int) -> Array:
    """Crank angles (frames,) of a film, evenly spaced; the last one leads on to the first of the next round."""
    count = max(frames, 1)
    return np.asarray(start_deg + 360.0 * turns * np.arange(count) / count)


def filmed(
    assembly: Assembly, options: ViewOptions, angles_deg: Sequence[float] | Array, size: tuple[int, int]
) -> Iterator[np.ndarray]:
    """Draw the pictures of a film off-screen, one at a time: (height, width, 3) uint8 each.

    Raises
    ------
    InputError
        When the view is unknown or the size cannot be drawn.
    """
    from viewer.draw.screen import Screen
    from viewer.draw.stage import Stage, read_window
    from viewer.pictures.media import check_size

    check_size(size)
    cycle = assembly.layout.firing.cycle_deg
    scene = build_scene(assembly, replace(options, crank_deg=float(angles_deg[0]) % cycle))
    follows = read_view(options.view, assembly.layout).name in FOLLOWING
    screen = Screen(size, off_screen=True, samples=SAMPLES)
    try:
        stage = Stage(screen.window, screen.renderers[0])
        stage.show(scene)
        stage.aim()
        for angle in angles_deg:
            turned = float(angle) % cycle
            if follows:
                stage.show(build_scene(assembly, replace(options, crank_deg=turned)))
                stage.aim()
            else:
                scene = move(scene, assembly, turned)
                stage.pose(scene)
            stage.letter()
            screen.window.Render()
            yield read_window(screen.window)
    finally:
        screen.close()
