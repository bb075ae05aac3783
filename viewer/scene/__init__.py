"""What is shown, as plain data: items, poses, looks, labels, callouts; no renderer."""

from viewer.scene.build import build_scene, move
from viewer.scene.model import (
    Callout,
    CutPlane,
    Framing,
    Item,
    Label,
    Nearness,
    Scale,
    Scene,
    Strokes,
    ViewOptions,
)
from viewer.scene.views import Camera, aim, project, read_view

__all__ = [
    "Callout", "Camera", "CutPlane", "Framing", "Item", "Label", "Nearness", "Scale", "Scene", "Strokes", "ViewOptions",
    "aim", "build_scene", "move", "project", "read_view",
]  # fmt: skip
