"""From what a hand on the crank felt to the mistake behind it, and the next look."""
