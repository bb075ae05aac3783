"""How everything moves with the crank, in closed form: slider-crank, poses, speeds, layout, firing, valve lift.

Read ``poses`` (frames and how they chain) and ``slider_crank`` (the triangle, its motion, dead centres) first;
``laws`` is the same motion of one body as one row of numbers with bounds, for the search; ``speeds`` the true
peaks. ``lift_curve``, ``firing``, ``layout`` and ``valve_lift`` go from the engine file to those numbers.
"""
