"""The side force of a slider-crank by statics alone, to check the thrust side against."""

import numpy as np


def side_force(bank_deg, sense, after_tdc_deg, throw, rod, offset):
    """Force of the wall on the piston along the bore's +y per unit of gas force, from statics in the engine's plane.

    Nothing of the program's motion is used: the bore axis, its right-hand normal and the crankpin are placed as
    plane vectors (y, z); the small end is found by intersecting the line it slides on with the rod's circle; then
    two equations of balance for rod force and wall force.
    """
    bank, turned = np.radians(bank_deg), np.radians(sense * after_tdc_deg)
    along = np.array([-np.sin(bank), np.cos(bank)])
    across = np.array([np.cos(bank), np.sin(bank)])
    start = bank - np.arcsin(offset / (throw + rod))  # throw and rod in line: the top of the stroke
    pin = throw * np.array([-np.sin(start + turned), np.cos(start + turned)])
    foot = offset * across
    b, c = along @ (foot - pin), (foot - pin) @ (foot - pin) - rod**2
    small_end = foot + (-b + np.sqrt(b * b - c)) * along
    rod_direction = (small_end - pin) / rod
    _, wall = np.linalg.solve(np.column_stack([rod_direction, across]), along)
    return wall
