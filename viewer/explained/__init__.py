"""A mistake explained in pictures: right and wrong beside each other, alike in all but what differs.

======== ========================================================================================
case     what is explained: the two engines, the mistake, what it does
pen      fills, lines, dimensions and words of one half; words can be switched off
drawing  what a kind of drawing is
drawings one file each; a mistake names its own in ``Spot.drawing``; ``catalogue`` finds them
solid    a half that is a picture of the solids rather than a plane drawing
locator  where in the engine this is
sheet    both halves under their signs, numbers under them, the caution at the foot
======== ========================================================================================

To add a drawing: one file in ``drawings`` with ``DRAWING = Drawing(...)`` at its end, and a test.
"""
