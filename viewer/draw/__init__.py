"""Draws scenes; the one place that knows the renderer.

Read ``stage`` first: it puts a scene into a part of a ``screen``, by ``batches`` of items, with ``light`` and
``shadow``, and the flat layer of ``overlay`` before it; a ``sheet_picture`` can cover the parts.
"""
