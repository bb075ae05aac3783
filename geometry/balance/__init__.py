"""How the engine shakes, what a crank is balanced to, and how far the weights of the bores are apart.

Read ``phasors`` first: forces and couples of the first and second order, turning with the crank and against it.
``factor`` finds what share of the reciprocating weight belongs in a bob weight, ``weights`` what the parts weigh and
who says so, ``bob`` puts both together pin by pin, ``counterweights`` holds the modelled crank against that in two
planes, ``shaking`` is what is left at a speed, ``spread`` which part to lighten.

Across the crank every vector is a complex number: the real part points up, the imaginary part to the engine's left,
which is the right hand of who stands in front of the engine. Its angle then grows clockwise seen from the front.
"""
