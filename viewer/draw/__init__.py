"""Draws scenes with PyVista; the one place that knows the renderer."""
