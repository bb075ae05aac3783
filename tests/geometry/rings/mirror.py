"""The mirror image of a clock and of a piston, in the plane through the bore and the crank axis."""

from dataclasses import replace


def mirrored_deg(angle_deg):
    """Left and right change places."""
    return -angle_deg % 360.0


def mirrored_piston(places):
    """Thrust side, bosses and pockets of a piston, all on their other side."""

    def image(arcs):
        return tuple(replace(arc, centre_deg=mirrored_deg(arc.centre_deg)) for arc in arcs)

    return replace(
        places,
        thrust_deg=mirrored_deg(places.thrust_deg),
        bosses=image(places.bosses),
        pockets=image(places.pockets),
    )
