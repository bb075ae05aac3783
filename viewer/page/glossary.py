"""Terms of the trade in one plain sentence each, and the marking of them in what a customer reads.

An explanation uses no other term than those of ``BASE``, which every customer's page explains first.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Final

# fmt: off
TERMS: Final[dict[tuple[str, ...], str]] = {
    ("piston", "pistons"):
        "the plug that slides up and down in its cylinder and is pushed by the burning mixture",
    ("crankshaft", "crank"): "the cranked shaft that turns the up and down of the pistons into rotation",
    ("cylinder", "cylinders"): "the round hole in which one piston slides",
    ("bore", "bores"): "the trade's word for a cylinder, and for how wide it is; each has its number",
    ("stroke",): "how far a piston travels from its lowest to its highest point",
    ("connecting rod", "connecting rods", "rod", "rods"): "the bar that links a piston to the crankshaft",
    ("rod bolt", "rod bolts"):
        "one of the two bolts that hold the lower end of the bar between piston and crankshaft together",
    ("rod cap", "bearing cap", "rod caps"):
        "the removable half by which the bar from a piston is closed round the crankshaft",
    ("main cap", "main caps", "main bearing cap", "main bearing caps"):
        "the removable half that holds the crankshaft in the engine",
    ("main bearing", "main bearings"): "one of the places in which the crankshaft turns in the engine",
    ("big end", "big-end", "big ends"):
        "the lower end of the bar between piston and crankshaft, which goes round the crankshaft",
    ("crankpin", "crankpins", "pin of the crankshaft"):
        "the round part of the crankshaft that the bar from a piston takes hold of",
    ("cheek", "crank cheek", "cheeks"): "the flat side of an arm of the crankshaft",
    ("fillet", "fillets"): "the rounded inner corner of the crankshaft, which keeps it from cracking there",
    ("chamfer", "chamfers"): "an edge cut off at a slant so that it clears a rounded corner",
    ("shell", "shells", "bearing shell", "bearing shells", "bearing half", "bearing halves"):
        "a thin half ring of soft metal in which a shaft turns on a film of oil",
    ("tang", "tangs"): "the small lip by which a thin half ring of a bearing is set in its seat",
    ("oil clearance",): "the thin gap round a shaft that is filled with oil",
    ("side clearance", "side play"): "the free play sideways along the crankshaft",
    ("piston pin", "piston pins"): "the short tube on which the piston swings",
    ("crown", "piston crown"): "the top of the piston",
    ("deck",): "the flat top face of the engine block, on which the head sits",
    ("skirt", "piston skirt"): "the lower side of the piston, which guides it",
    ("top ring", "top rings"):
        "the uppermost springy ring in the side of a piston, which keeps the burning gas above it",
    ("second ring", "second rings"): "the springy ring below the uppermost one",
    ("oil ring", "oil rings"): "the ring of three thin parts that wipes oil off the cylinder",
    ("rail", "rails"): "one of two thin steel rings that wipe oil off the cylinder",
    ("expander",): "the wavy spring that presses the two wiping rings outwards",
    ("compression ring", "compression rings", "piston ring", "piston rings"):
        "a springy ring in the side of a piston that keeps the gas above it",
    ("ring gap", "ring gaps", "end gap"): "the opening that a ring has so that it can grow when it is hot",
    ("thrust side", "major thrust side"):
        "the side of the cylinder that the piston is pressed against as it is driven down",
    ("top dead centre",): "the highest point of a piston's travel",
    ("bottom dead centre",): "the lowest point of a piston's travel",
    ("valve", "valves", "intake valve", "exhaust valve"):
        "a lid that opens and shuts to let gas into or out of a cylinder",
    ("camshaft", "cam lobe", "cam lobes"): "the shaft with raised noses that push the lids for the gas open",
    ("head face", "cylinder head"): "the cover that closes the cylinders at the top",
    ("main web", "crankcase"): "the part of the engine's block in which the crankshaft turns",
    ("counterweight", "counterweights"): "a mass on the crankshaft that balances the moving parts",
    ("feeler blade", "feeler blades", "feeler gauge", "feeler"):
        "a strip of steel of a known thickness with which a gap is measured",
    ("torque", "torqued"): "how hard a bolt is turned tight",
    ("build record",):
        "what was measured and looked at while the engine was put together, written down with name and day",
    ("piston pocket", "pockets"): "a hollow in the top of a piston that makes room for a lid of the gas",
    ("pin offset",): "how far to the side of its middle a piston is hung",
}
# fmt: on
BASE: Final = ("piston", "pistons", "crankshaft", "cylinder", "cylinders")
"""Terms that an explanation may use."""
MEANING: Final = {form: meaning for forms, meaning in TERMS.items() for form in forms}
_FORMS: Final = "|".join(re.escape(form) for form in sorted(MEANING, key=len, reverse=True))
_FOUND: Final = re.compile(rf"(?<![\w-])(?:{_FORMS})(?![\w-])", re.IGNORECASE)


@dataclass(slots=True)
class Marking:
    """Marks the terms in what is read, in its order, and keeps those that were.

    Attributes
    ----------
    wanted : a builder needs no such thing, and reads everything as it is
    used : the forms that stand in the text, in small letters, and what they mean
    """

    wanted: bool = True
    used: dict[str, str] = field(default_factory=dict)

    def marked(self, text: str) -> str:
        """The text with every term in ``[[ ]]``."""
        if not self.wanted:
            return text
        return _FOUND.sub(self._one, text.replace("[[", "[ [").replace("]]", "] ]"))

    def _one(self, found: re.Match[str]) -> str:
        form = found[0].lower()
        self.used[form] = MEANING[form]
        return f"[[{found[0]}]]"
