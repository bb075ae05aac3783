"""Draws scenes; the one place that knows the renderer."""
