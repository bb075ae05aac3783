"""Pistons put in wrong, or standing too high."""
