"""What a person would say of a mistake: its signature with noise laid over it, seeded.

The noise is written independently of the model that ``diagnose`` assumes, and harsher in places: angles with a
standard deviation of 5 degrees, whole observations left out, bound said for heavy, the wrong bore remembered.
"""

import numpy as np

from geometry.diagnose.candidates import Expected, expected
from geometry.diagnose.felt import Felt
from geometry.mistakes.mistake import family

ANGLE_SD_DEG = 5.0


def feel(parts, rng, bores, mains, thorough=False):
    """One report of one mistake, or of several at once.

    ``thorough``: nothing is left out, though it may still be wrong.
    """

    def says(share):
        return bool(rng.random() < share) or thorough

    what: Expected = expected(*parts)
    head = bool(what.head_arcs) or (rng.random() < 0.5)
    arcs = (*what.arcs, *what.head_arcs) if head else what.arcs
    changes = {"head_on": head if says(0.7) else None}
    if what.bound:
        changes |= {"bound": True} if rng.random() < 0.85 else {"heavy": True}
    elif what.heavy:
        changes |= {"heavy": True} if rng.random() < 0.85 else {"bound": True}
    elif arcs:
        changes |= _tight(arcs, rng, says, thorough)
    else:
        changes["free"] = says(0.8)
    silent = not (what.bound or what.heavy or arcs or what.clicks_deg)
    if what.clicks_deg and says(0.6):
        kept = [a for a in what.clicks_deg if rng.random() < 0.8]
        changes["clicks_deg"] = tuple(float((a + rng.normal(0, ANGLE_SD_DEG)) % 360) for a in kept)
    if not silent and says(0.7):
        changes |= _began(what, rng, bores, mains)
    changes |= _play(what, rng, bores, says)
    changes |= _measured(what, says, rng)
    if what.when_hot and says(0.9):
        changes["when_hot"] = True
    told = _heard(what, rng, says)
    if rng.random() < 0.05:
        told.add(str(rng.choice(["burns_oil", "low_compression", "knocks"])))
    if what.scored_pins and says(0.3):
        near = rng.random() < 0.95
        changes["scored_pins"] = (int(rng.choice(sorted(what.scored_pins) if near else bores)),)
    placed = {w for w in sorted(told) if what.running_in.get(w) and says(0.6)}
    changes["running"] = frozenset(told - placed)
    changes["running_in"] = tuple(
        (w, int(rng.choice(sorted(what.running_in[w]) if rng.random() < 0.9 else bores)))
        for w in sorted(placed)
    )
    return Felt(**changes)


def _heard(what, rng, says):
    """Symptoms of the running engine: of each kind the exact word, or only the wide one, as often as not."""
    kinds = {}
    for word in sorted(what.running):
        kinds.setdefault(family(word), []).append(word)
    return {str(rng.choice(words)) for _, words in sorted(kinds.items()) if says(0.8)}


def _tight(arcs, rng, says, thorough):
    said = []
    for arc, _ in arcs:
        if len(arcs) > 1 and rng.random() < 0.25:
            continue
        middle, half = (arc.start_deg + arc.end_deg) / 2, (arc.end_deg - arc.start_deg) / 2
        at = rng.choice([arc.start_deg, arc.end_deg, middle + rng.uniform(-half, half)])
        said.append(float((at + rng.normal(0, ANGLE_SD_DEG)) % 360))
    if not thorough and rng.random() < 0.1:
        return {"in_places": True}
    found = {"tight_deg": tuple(said)}
    if says(0.6):
        found["period_deg"] = arcs[0][1]
    return found


def _began(what, rng, bores, mains):
    right = rng.random() < 0.85
    if what.mains:
        chosen = rng.choice(sorted(what.mains)) if right else rng.choice(mains)
        return {"after_main": int(chosen)}
    chosen = rng.choice(sorted(what.bores)) if right else rng.choice(bores)
    return {"after_bore": int(chosen)}


def _play(what, rng, bores, says):
    gone = {bore for bore, left in what.side_play_mm.items() if left < 0.1}
    if not says(0.5):
        return {}
    tried = int(rng.choice(sorted(gone) or bores))
    said_gone = (tried in gone) == (rng.random() < 0.92)
    return {"no_side_play": (tried,)} if said_gone else {"side_play_good": (tried,)}


def _measured(what, says, rng):
    found = {}
    if what.top_late_deg and says(0.4):
        found["top_late_deg"] = tuple(
            (b, round(v + rng.normal(0, 0.25), 2)) for b, v in what.top_late_deg.items()
        )
    if what.high_mm and says(0.4):
        found["high_mm"] = tuple((b, round(v + rng.normal(0, 0.1), 2)) for b, v in what.high_mm.items())
    return found


def seeded(*numbers):
    """A generator that gives the same every time."""
    return np.random.default_rng(numbers)
