"""How everything moves with the crank, in closed form: slider-crank, poses, speeds, layout, firing, valve lift."""
