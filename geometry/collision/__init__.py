"""Collision of moving convex pieces, knowing no engine: signed distance, certified minimum over a period, swept volume.

From the ground up: ``support`` (support functions), ``gjk`` (distance), ``epa`` and ``penetration`` (depth),
``broad_phase`` (what can never be near), ``branch_and_bound`` (the minimum over the period, with its proof),
``certify`` (the way in), and beside it ``distance_curve``, ``closest_approach``, ``overlap``, ``swept_volume``.
"""
