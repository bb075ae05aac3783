"""Plane sections drawn to scale, right and wrong side by side, readable in black and white."""
