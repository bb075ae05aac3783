"""Values that are well written and cannot be: what is written, key of the message, part of it, part of the remedy.

Written over the Tern's file as in ``test_spoiled_files``: 4.030 in bore, 3.350 in stroke, 5.850 in rod.
"""

IMPOSSIBLE = {
    # crank
    "standing engine": ({"engine.speed": "'0 rpm'"}, "engine.speed", "stands still", "running speed"),
    "pin in the wrong unit": (
        {"crank.pin.diameter": "'2.05 mm'", "crank.pin.fillet": "'0.1 mm'"}, "crank.pin.diameter", "thinner", "unit"),
    "pin thicker than the mains": (
        {"crank.main.diameter": "'1.2 in'"}, "crank.pin.diameter", "thicker than the main", "like size"),
    "crown far above the deck": (
        {"rod.length": "'8.0 in'"}, "block.deck_height", "54.4 mm (2.14 in) above the deck", "rod.length"),
    "crown far below the deck": (
        {"crank.stroke": "'1.35 in'"}, "block.deck_height", "25.7 mm (1.01 in) below the deck", "crank.stroke"),
    "pin width without its point": ({"crank.pin.width": "'18.72 in'"}, "crank.pin.width", "far longer", "along"),
    "main width without its point": ({"crank.main.width": "'9.5 in'"}, "crank.main.width", "far longer", "along"),
    "cheek without its point": ({"crank.cheek.thickness": "'8 in'"}, "crank.cheek.thickness", "longer", "along"),
    "cheek radius without its point": (
        {"crank.cheek.main_radius": "'16.5 in'"}, "crank.cheek.main_radius", "further out", "radius"),
    "pin radius without its point": (
        {"crank.cheek.pin_radius": "'14.0 in'"}, "crank.cheek.pin_radius", "further out", "radius"),
    "counterweight without its point": (
        {"crank.counterweight.radius": "'30.2 in'"}, "crank.counterweight.radius", "further out", "radius"),
    "journals that leave no cheek": (
        {"crank.main.width": "'2.5 in'"}, "crank.pin.width", "for each crank cheek", "wider block.bore.spacing"),
    "cheeks that do not fit the spacing": (
        {"crank.cheek.thickness": "'1.2 in'"}, "crank.cheek.thickness", "for each cheek, not 30.48 mm", "leave"),
    "bores beside their rods": (
        {"block.bore.stagger": "'1.3 in'"}, "block.bore.stagger", "the bores 33.02 mm", "leave it out"),
    # bearings
    "main shells of another engine": (
        {"block.main_bearing.wall": "'0.06 in'"}, "block.main_bearing.wall", "far wider", "crank.main.diameter"),
    "main shells without room": (
        {"block.main_bearing.wall": "'0.0970 in'"}, "block.main_bearing.wall", "no clearance", "2 x"),
    "main shells wider than their journal": (
        {"block.main_bearing.width": "'1.1 in'"}, "block.main_bearing.width", "wider", "crank.main.width"),
    "thrust at a main that is not there": (
        {"block.thrust_bearing.main": "7"}, "block.thrust_bearing.main", "no such main", "1 to 5"),
    "thrust bearing wider than its faces": (
        {"block.thrust_bearing.width": "'0.951 in'"}, "block.thrust_bearing.width", "does not go", "faces"),
    "thrust bearing without its point": (
        {"block.thrust_bearing.width": "'0.09445 in'"}, "block.thrust_bearing.width", "far narrower", "a little below"),
    "bush of another pin": (
        {"rod.small_end.bore": "'0.990 in'"}, "rod.small_end.bore", "bore of such a pin", "piston.pin.diameter"),
    "bosses of another pin": (
        {"piston.boss.bore": "'0.90 in'"}, "piston.boss.bore", "bore of such a pin", "piston.pin.diameter"),
    "clips of a pressed pin": ({"rod.small_end.pin": "'press'"}, "piston.clips", "no clips", "floating"),
    "limits the wrong way round": (
        {"limits.pin_float": "'0.030 in'"}, "limits.pin_float_most", "below the least", "least, then most"),
    # rod
    "rib without its point": ({"rod.cap.rib_width": "'11 in'"}, "rod.cap.rib_width", "wider", "rod.big_end.outside"),
    "blade without its point": ({"rod.beam.thickness": "'7.0 in'"}, "rod.beam.thickness", "far thicker", "along"),
    "head height without its point": (
        {"rod.bolt.head_height": "'3.8 in'"}, "rod.bolt.head_height", "three times as high", "height"),
    "head width without its point": (
        {"rod.bolt.head_diameter": "'5.6 in'"}, "rod.bolt.head_diameter", "three times as wide", "corners"),
    "shoulder without its point": ({"rod.bolt.shoulder": "'8 in'"}, "rod.bolt.shoulder", "far above", "joint line"),
    "rods wider than their pin": (
        {"rod.big_end.width": "'0.94 in'"}, "rod.big_end.width", "no side clearance", "crank.pin.width"),
    "shells of another engine": ({"rod.bearing.wall": "'0.03 in'"}, "rod.bearing.wall", "far wider", "2 x"),
    "shells wider than the rod": ({"rod.bearing.width": "'1 in'"}, "rod.bearing.width", "wider", "rod.big_end.width"),
    "small end inside the pin": (
        {"rod.small_end.outside": "'0.9 in'", "rod.beam.width_small": "'0.8 in'"},
        "rod.small_end.outside", "no larger than the pin", "piston.pin.diameter"),
    "chamfers that meet": (
        {"rod.chamfer.other": "'0.25 in'", "rod.chamfer.cheek": "'0.25 in'", "rod.big_end.width": "'0.45 in'",
         "rod.bearing.width": "'0.4 in'"},
        "rod.chamfer.other", "meet", "rod.big_end.width"),
    "web thicker than the blade": ({"rod.beam.web": "'0.8 in'"}, "rod.beam.web", "thicker", "thinner"),
    "flanges thicker than the blade": ({"rod.beam.flange": "'0.5 in'"}, "rod.beam.flange", "thicker", "web between"),
    "web of an H": (
        {"rod.beam.section": "'H'", "rod.beam.web": "'0.9 in'"}, "rod.beam.web", "thicker", "thinner"),
    "flanges of an H": (
        {"rod.beam.section": "'H'", "rod.beam.flange": "'0.4 in'"}, "rod.beam.flange", "thicker", "web between"),
    "bolt without a head": (
        {"rod.bolt.head_diameter": "'3/8 in'"}, "rod.bolt.head_diameter", "no wider", "across the corners"),
    "nut smaller than its bolt": (
        {"rod.bolt.kind": "'bolt_and_nut'", "rod.bolt.length": "'2.4 in'", "rod.bolt.nut_diameter": "'0.3 in'",
         "rod.bolt.nut_height": "'0.4 in'"},
        "rod.bolt.nut_diameter", "no wider", "across the corners"),
    "threads to the inch": ({"rod.bolt.pitch": "'24 in'"}, "rod.bolt.pitch", "half the bolt", '"1/24 in"'),
    "bolts beside the rod": ({"rod.bolt.spacing": "'26.6 in'"}, "rod.bolt.spacing", "outside", "two bolts"),
    "seat below the cap": (
        {"rod.bolt.seat": "'1.55 in'", "rod.bolt.length": "'2 in'"}, "rod.bolt.seat", "below", "rod.cap.height"),
    "bolt as long as the rod": ({"rod.bolt.length": "'6 in'"}, "rod.bolt.length", "as long as the rod", "head"),
    "cap of another rod": ({"rod.cap.height": "'14.8 in'"}, "rod.cap.height", "further down", "bore's centre"),
    # piston
    "pin without a wall": ({"piston.pin.bore": "'0.94 in'"}, "piston.pin.bore", "hollow", "piston.pin.diameter"),
    "offset without its point": ({"piston.pin.offset": "'0.40 in'"}, "piston.pin.offset", "too far", '"0.040 in"'),
    "bosses smaller than the pin": (
        {"piston.boss.outside": "'0.9 in'"}, "piston.boss.outside", "no larger", "piston.pin.diameter"),
    "bosses wider than the bore": ({"piston.boss.outside": "'5 in'"}, "piston.boss.outside", "as wide", "bore"),
    "pin lost between the bosses": ({"piston.boss.gap": "'3 in'"}, "piston.boss.gap", "does not reach", "pin.length"),
    "crown down to the pin": (
        {"piston.crown.thickness": "'1 in'"}, "piston.crown.thickness", "down to the pin", "compression_height"),
    "skirt of solid metal": ({"piston.skirt.thickness": "'1.3 in'"}, "piston.skirt.thickness", "thicker", "wall"),
    "skirt without end": ({"piston.skirt.bottom": "'9 in'"}, "piston.skirt.bottom", "further down", "pin's centre"),
    "skirt clearance without its point": (
        {"piston.skirt.clearance": "'0.30 in'"}, "piston.skirt.clearance", "a fiftieth", '"0.0030 in"'),
    "ovality without its point": (
        {"piston.skirt.ovality": "'0.10 in'"}, "piston.skirt.ovality", "a fiftieth", '"0.008 in"'),
    "lands of another piston": (
        {"piston.land_clearance": "'0.45 in'"}, "piston.land_clearance", "a tenth", '"0.030 in"'),
    "pocket beside the piston": (
        {"piston.pockets[1].forward": "'9.2 in'"}, "piston.pockets[1].forward", "outside the crown", "inward"),
    "pocket wider than the piston": (
        {"piston.pockets[2].diameter": "'4.1 in'"}, "piston.pockets[2].diameter", "as wide", "below"),
    "pocket down to the pin": (
        {"piston.pockets[2].depth": "'0.80 in'", "piston.pockets[2].diameter": "'0.2 in'"},
        "piston.pockets[2].depth", "down to the pin", "crown's thickness"),
    "pocket into the ring": (
        {"piston.pockets[1].depth": "'0.28 in'"}, "piston.pockets[1].depth", "top groove", "land"),
    "groove through the pin": (
        {"piston.grooves[2].from_crown": "'1.0 in'", "piston.grooves[3].from_crown": "'1.2 in'"},
        "piston.grooves[2].from_crown", "as low as the pin", "above the pin"),
    "bottomless groove": ({"piston.grooves[1].root": "'2.0 in'"}, "piston.grooves[1].root", "deeper", "bottom"),
    # rings
    "ring deeper than its groove": ({"rings.top.wall": "'1.7 in'"}, "rings.top.wall", "far deeper", "groove is deep"),
    "rail deeper than its groove": (
        {"rings.oil.rail_wall": "'0.5 in'"}, "rings.oil.rail_wall", "far deeper", "groove is deep"),
    "gap without its point": ({"rings.top.gap": "'18 in'"}, "rings.top.gap", "a tenth of the bore", '"18 thou"'),
    "second gap without its point": ({"rings.second.gap": "'20 in'"}, "rings.second.gap", "a tenth", '"18 thou"'),
    "rail gap without its point": ({"rings.oil.rail_gap": "'25 in'"}, "rings.oil.rail_gap", "a tenth", '"18 thou"'),
    "free gap of another ring": ({"rings.top.free_gap": "'5 in'"}, "rings.top.free_gap", "than the bore", "bench"),
    "rails that fill the pack": (
        {"rings.oil.rail_height": "'0.093 in'"}, "rings.oil.rail_height", "no room", "half as high"),
    "set of another bore": ({"rings.oversize": "'0.5 in'"}, "rings.oversize", "a fiftieth", '"0.005 in"'),
    "gaps of another bore": ({"rings.gap_bore": "'3 in'"}, "rings.gap_bore", "another engine's", "diameter"),
    "gaps of no bore": ({"rings.gap_bore": "'-4 in'"}, "rings.gap_bore", "another engine's", "diameter"),
    "gaps a turn apart": (
        {"rings.minimum_separation": "'270 deg'"}, "rings.minimum_separation", "half a turn", '"45 deg"'),
    # block
    "wall into the next bore": ({"block.bore.wall": "'0.43 in'"}, "block.bore.wall", "neighbour", "spacing"),
    "bores of aluminium in iron": (
        {"block.bore.material": "'aluminium'"}, "block.bore.material", "no bores of aluminium", "block.material"),
    "chamfer through the wall": ({"block.bore.chamfer": "'0.20 in'"}, "block.bore.chamfer", "cuts through", "wall"),
    "notch round the bore": (
        {"block.bore.notch": "{ width = '4.1 in', height = '0.2 in', depth = '0.1 in' }"},
        "block.bore.notch.width", "as wide as the bore", "chord"),
    "notch up the bore": (
        {"block.bore.notch": "{ width = '1 in', height = '3 in', depth = '0.1 in' }"},
        "block.bore.notch.height", "half way up", "bottom"),
    "notch past the end of the bore": (
        {"block.bore.notch": "{ width = '2 in', height = '0.2 in', depth = '0.1 in', offset = '1.1 in' }"},
        "block.bore.notch.offset", "past the end of the bore", "half of block.bore.diameter"),
    "web thicker than its journal": ({"block.web": "'0.95 in'"}, "block.web", "cheeks", "crank.main.width"),
    "main cap thicker than its journal": (
        {"block.main_cap.thickness": "'1 in'"}, "block.main_cap.thickness", "cheeks", "crank.main.width"),
    "main cap inside the journal": (
        {"block.main_cap.height": "'1.2 in'"}, "block.main_cap.height", "inside the main journal", "half"),
    "main cap narrower than its bolts": (
        {"block.main_cap.width": "'3.5 in'"}, "block.main_cap.width", "outside the cap", "bolt_spacing"),
    "cap bolts through the journal": (
        {"block.main_cap.bolt_spacing": "'2.9 in'"}, "block.main_cap.bolt_spacing", "pass through", "plus a bolt"),
    "section across the middle": (
        {"block.crankcase.section": "[['3.85 in', '-2.4 in'], ['-1 in', '0.68 in']]"},
        "block.crankcase.section", "middle plane", "above zero"),
    "section without a width": (
        {"block.crankcase.section": "[['0 in', '-2.4 in'], ['1 in', '0.68 in']]"},
        "block.crankcase.section", "middle plane", "above zero"),
    "section upside down": (
        {"block.crankcase.section": "[['3.85 in', '-2.4 in'], ['3.85 in', '-3 in']]"},
        "block.crankcase.section", "runs down", "upwards"),
    "left section off the rail": (
        {"block.crankcase.section_left": "[['3.85 in', '0 in'], ['3.85 in', '1 in']]"},
        "block.crankcase.section_left", "start at the pan rail", "first point"),
    "bay that is not there": (
        {"block.crankcase.bays": "{ 5 = [['3.85 in', '-2.4 in'], ['3.85 in', '0.6 in']] }"},
        "block.crankcase.bays.5", "no such bay", "1 to 4"),
    "bay of one point": (
        {"block.crankcase.bays": "{ 2 = [['3.85 in', '-2.4 in']] }"},
        "block.crankcase.bays.2", "one point", "two points"),
    "bay without points": ({"block.crankcase.bays": "{ 2 = [] }"}, "block.crankcase.bays.2", "", "two points"),
    "engine on its head": ({"block.slant": "'180 deg'"}, "block.slant", "on its head", "90 deg"),
    "end wall without its point": ({"block.end_wall": "'80 in'"}, "block.end_wall", "thicker", "decimal point"),
    "case wall without its point": (
        {"block.crankcase.wall": "'24 in'"}, "block.crankcase.wall", "thicker", "decimal point"),
    "rail width without its point": ({"block.pan_rail.width": "'8 in'"}, "block.pan_rail.width", "thicker", "point"),
    "rail without its point": (
        {"block.pan_rail.thickness": "'4.2 in'"}, "block.pan_rail.thickness", "thicker", "decimal point"),
    "rail beside the wall": (
        {"block.pan_rail.inside": "'0.385 in'"}, "block.pan_rail.inside", "away from", "block.crankcase.section"),
    "main cap width without its point": (
        {"block.main_cap.width": "'47 in'"}, "block.main_cap.width", "four times", "decimal point"),
    "main cap height without its point": (
        {"block.main_cap.height": "'20.5 in'"}, "block.main_cap.height", "four times", "decimal point"),
    # over and under the block
    "gasket without lands": ({"gasket.bore": "'4.5 in'"}, "gasket.bore", "into each other", "spacing"),
    "gasket of wood": ({"gasket.thickness": "'4.0 in'"}, "gasket.thickness", "a fifth", '"0.040 in"'),
    "chamber of less than nothing": ({"head.chamber": "'-62 cc'"}, "head.chamber", "less than no", '"64 cc"'),
    "valve beside the bore": (
        {"head.valves[1].inward": "'5 in'"}, "head.valves[1].forward", "outside the bore", "axis"),
    "valve wider than the bore": (
        {"head.valves[2].diameter": "'15 in'"}, "head.valves[2].diameter", "as wide", "valve's head"),
    "lift said twice": (
        {"head.valves[1].lift": "'0.4 in'", "cam.rocker": "1.5"}, "head.valves[1].lift", "both say", "one of the two"),
    "valve that falls in": (
        {"cam.rocker": None, "head.valves[1].lift": "'1.2 in'"}, "head.valves[1].lift", "half its diameter", "mm"),
    "lobe centre said twice": (
        {"head.valves[2].centre": "'112 deg'"}, "head.valves[2].centre", "[cam]", "cam.exhaust_centre"),
    "valve that never shuts": (
        {"head.valves[1].duration": "'500 deg'"}, "head.valves[1].duration", "so long", "72 to 432"),
    "a lift without its duration": (
        {"head.valves[1].duration_at": "'0.05 in'"}, "head.valves[1].duration_at", "no duration", "beside"),
    "wide open too long": (
        {"head.valves[1].duration": "'420 deg'", "head.valves[1].duration_at": "'0.2 in'"},
        "head.valves[1].duration_at", "not open so long", "card"),
    "rocker without its point": ({"cam.rocker": "15"}, "cam.rocker", "no rocker", "1.5"),
    "cam among the crankpins": ({"cam.up": "'1.5 in'"}, "cam.up", "circle of the crankpins", "height"),
    "nose rounder than the cam": ({"cam.nose": "'0.6 in'"}, "cam.nose", "as round", "cam.base"),
    "lift without its point": ({"cam.lift": "'2.9 in'"}, "cam.lift", "more than the base", "at the lobe"),
    "shaft thicker than its lobes": (
        {"cam.core": "'1.8 in'"}, "cam.core", "do not stand out", "between lobes"),
    "shaft thicker than its journals": ({"cam.journal": "'0.9 in'"}, "cam.core", "thicker than its", "cam.journal"),
    "lobes in one another": ({"cam.lobe_gap": "'0.3 in'"}, "cam.lobe_gap", "run into", "cam.lobe_width"),
    "cam that spins": ({"cam.ratio": "50"}, "cam.ratio", "so fast", "0.5"),
    "floor above the rail": ({"pan.floor": "'-2 in'"}, "pan.floor", "above the rail", "below block.pan_rail"),
    "tray under the floor": ({"pan.tray": "'-8 in'"}, "pan.tray", "neither above", "pan.floor"),
    "tray over the crank": ({"pan.tray": "'1 in'"}, "pan.tray", "nor below", "zero"),
}  # fmt: skip
