"""What is shown, as plain data: items, poses, looks, labels, callouts; no renderer.

Read ``model`` first, then ``build``, which makes it from an assembly and a named view (``views``, ``arrange``,
``framing``); ``groups`` is the families of parts that people hide, cut and pick; ``lettering``, ``flat`` and
``placing`` are the flat layer.
"""

from viewer.scene.build import build_scene, move
from viewer.scene.model import Callout, CutPlane, Framing, Item, Label, Scale, Scene, Strokes, ViewOptions
from viewer.scene.views import Camera, aim, project, read_view

__all__ = [
    "Callout", "Camera", "CutPlane", "Framing", "Item", "Label", "Scale", "Scene", "Strokes", "ViewOptions",
    "aim", "build_scene", "move", "project", "read_view",
]  # fmt: skip
