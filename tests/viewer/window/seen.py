"""What a test needs of a window off the display: a clock in its hand, and the words that are on the screen."""

SIZE = (640, 420)


class Hands:
    """A clock that is turned by hand."""

    def __init__(self):
        self.now = 100.0

    def __call__(self):
        return self.now


def words(view):
    return [a.GetInput() for a in view.stage.overlay._texts if a.GetVisibility()]


def panel_words(view):
    overlays = (view._panels._still, view._panels._moving)
    return [a.GetInput() for overlay in overlays for a in overlay._texts if a.GetVisibility()]
