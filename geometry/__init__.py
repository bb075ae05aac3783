"""The reciprocating assembly as numbers: what a builder writes, how it moves, what comes close to what.

Nothing here draws; nothing here imports ``viewer``. Imports run one way only, in this order, which is also the
order to read in: ``units``, ``spec`` (the engine file), ``kinematics``, ``collision``, ``rings``, ``parts``,
``assembly``, ``clearance``, ``checks``, ``record``, ``mistakes``, ``diagnose``.

For other programs
------------------
The names used on this page, and what their docstrings say of them, are the API and stay; everything else may change.
Each is imported from its module, so that nothing is loaded that is not asked for. Lengths are mm, angles degrees,
volumes cm3, and a name carries its unit. Functions are pure.

Points and poses are in the engine frame E unless a frame is named: origin on the crank axis at the block's front
face, x to the rear, z up, y to the right seen from the rear. ``X_AB`` is frame B in frame A, (4, 4). Crank angle
counts in the running direction from the true top dead centre of the lowest bore number; bores go by the builder's
own numbers.

Load, and put together. ``load_engine`` raises ``errors.InputError`` with every problem of the file at once, each
with its line; ``assemble`` raises ``errors.GeometryError`` with the key of what cannot go together. Other values are
tried by their keys, as by ``--set``.

>>> from geometry.spec.load import load_engine
>>> from geometry.assembly import assemble
>>> engine = load_engine("demo_engines/knot.toml")
>>> engine.rod.length_mm, engine.crank.stroke_mm
(120.65, 63.5)
>>> load_engine("demo_engines/knot.toml", {"rod.length": "5 in"}).rod.length_mm
127.0
>>> knot = assemble(engine)

What a file leaves out is filled in by proportion; ``load_described`` says of each value where it comes from and how
far it may be out.

>>> from geometry.spec.described import load_described
>>> turnstone = load_described("demo_engines/turnstone.toml")
>>> sorted({value.origin for value in turnstone.values})
['about', 'filled', 'measured']

Pose at one angle (4, 4), or at many (m, 4, 4). At top dead centre the pin stands rod and throw above the crank
axis, and a quarter turn on at sqrt(rod^2 - throw^2):

>>> knot.pose("piston 1", [0.0, 90.0])[:, 2, 3].round(3)
array([152.4  , 116.397])

Certify one pair of places: the least signed distance over the period, and how far below it the truth may lie. For
crown and head it is the machinist's sum:

>>> from geometry.clearance.pairs import pairs_of
>>> from geometry.collision.certify import certify
>>> from geometry.stack import stack_of
>>> pairs, skipped = pairs_of(knot)
>>> squish = next(p for p in pairs if (p.a.feature, p.b.place) == ("head_face", "crown"))
>>> found = certify(squish.a, squish.b, squish.period_deg, tolerance_mm=0.01)
>>> abs(found.min_mm - stack_of(engine, knot.layout, bore=1).head_mm) < 0.01 and found.within_mm <= 0.01
True
>>> found.crank_deg, squish.limit
(0.0, 'piston_to_head')

Certify every pair, as ``check`` does: ``near`` is sorted, the closest first, ``far`` carries a proved bound for
each pair that was left out, ``skipped`` a reason. Hand one ``Memory`` to several calls and like problems are solved
once.

>>> from geometry.clearance.full_turn import full_turn
>>> from geometry.collision.certify import Memory
>>> turn = full_turn(knot, memory=Memory())
>>> turn.near[0].pair.limit, round(turn.near[0].approach.min_mm, 3), min(f.bound_mm for f in turn.far) > 6.0
('counterweight_to_block', 1.27, True)

Run the checks as data. Keys of a row carry units and are those of ``check --json``; a finding has its severity
(``stop``, ``look``, ``note``), the builder's bore, words and remedies.

>>> from geometry.checks.section import checks
>>> ask = {check.key: check.run for check in checks()}
>>> bores = ask["bores"](knot, "mm")
>>> bores.as_json()[0]["deck_clearance_mm"], bores.findings
(0.381, ())

Lay a build record over the design: the engine as it was put together, for the same checks. The Knot's rod went in
the wrong way round.

>>> from geometry.record.overlay import load_built
>>> built = load_built("demo_engines/knot.record.toml", engine)
>>> built.bore(1).rod_turned, assemble(engine, built).body("rod 1").X_FA.diagonal()
(True, array([-1., -1.,  1.,  1.]))

The ring clock of one bore, as planned or as found, judged. Ring angles run clockwise seen from above the crown, 0
at the front.

>>> from geometry.rings.clocked import bore_clock
>>> clock = bore_clock(engine, knot.layout.site(1), built.bore(1))
>>> clock.angles_deg["top"], clock.verdict.smallest_deg, clock.verdict.findings
(120.0, 60.0, ())
"""
