"""One place has one name, the sides of the engine first; and a place is found by the words of the table."""

from copy import deepcopy

import pytest

from geometry.assembly import assemble
from geometry.clearance.named import called, typed_name
from geometry.clearance.pairs import listed
from geometry.clearance.words import body_words, place_words, short_words
from geometry.errors import InputError
from geometry.spec.engine import Engine
from tests.geometry import fleet
from tests.geometry.fleet import assembly, turned_round


@pytest.fixture(scope="module")
def places():
    return listed(assembly("tern")).places


@pytest.mark.parametrize(
    "engine,inner",
    [
        # The major thrust side by statics: a crank that turns clockwise seen from the front goes to the right at the
        # top, so the rod leans there on the way down and its piston is pushed to the left of the rear, +y of the bore.
        (assembly("tern"), {1: "inboard (major thrust side)", 2: "outboard (major thrust side)"}),
        (
            assemble(turned_round("tern")),
            {1: "outboard (major thrust side)", 2: "inboard (major thrust side)"},
        ),
        (assembly("dunlin"), {1: "right (major thrust side)", 2: "right (major thrust side)"}),
    ],
    ids=["vee", "the other way round", "inline"],
)
def test_a_side_is_the_engines_own_with_the_thrust_side_beside_it(engine, inner):
    for bore, side in inner.items():
        bolt = engine.body(f"rod_bolt {bore} major")
        assert body_words(bolt, engine.layout) == f"rod bolt, bore {bore}, {side}"
        (head,) = [place for place in listed(engine).places if place.body is bolt and place.place == "head"]
        assert place_words(head) == f"rod bolt head, bore {bore}, {side}"


def test_parts_are_called_by_bore_or_main_bearing():
    engine = assembly("tern")
    said = [
        body_words(engine.body(name), engine.layout)
        for name in ("main_cap 2", "crank", "rod 3", "top_ring 3")
    ]
    assert said == ["main cap 2", "crank", "rod, bore 3", "top ring, bore 3"]


def test_no_two_places_that_can_meet_share_a_name_unless_they_are_parts_of_one(places):
    found = {}
    for place in places:
        if place.feature not in ("bearing_shell", "gasket"):  # they are held by what they run in
            found.setdefault(place_words(place), set()).add((place.feature, place.place, place.body.name))
    assert all(len(places) == 1 for places in found.values())
    assert {
        "bore wall, bore 2",
        "crank cheek 8, throw 4",
        "main web 5",
        "main cap bolt, main 1, left",
    } <= set(found)
    assert {"crank cheek 8, rear counterweight", "crank cheek 3, counterweight"} <= set(found)
    # The thrust bearing of Tern is the front main, which has one cheek behind it.
    assert {name for name in found if "thrust cheek" in name} == {
        "crank thrust cheek 1, throw 1", "crank thrust cheek 1, front counterweight"
    }  # fmt: skip


def test_a_thrust_bearing_in_the_middle_has_a_cheek_on_either_side():
    # Of a crank with a main between every two throws, main 3 stands between the rear cheek of throw 2 and the front
    # cheek of throw 3: the fourth and the fifth.
    raw = deepcopy(fleet.raw("dunlin"))
    raw["block"]["thrust_bearing"]["main"] = 3
    engine = assemble(Engine.model_validate(raw))
    cheeks = {f.place for f in engine.body("crank").part.features if f.name == "cheek"}
    assert {place for place in cheeks if "thrust" in place} == {
        "thrust cheek 4, throw 2",
        "thrust cheek 5, throw 3",
    }


def test_the_short_name_is_the_name_without_bore_and_side(places):
    for place in places:
        name, short = place_words(place), short_words(place)
        assert name == short or name.startswith(f"{short}, ")
    assert {short_words(p) for p in places if p.feature == "bore_wall"} >= {"bore wall, bore 2"}


@pytest.mark.parametrize(
    "text,features,bores",
    [
        ("rod bolt head, bore 1, inboard (major thrust side)", {"rod_bolt"}, {1}),
        ("Rod Bolt Head", {"rod_bolt"}, set(range(1, 9))),
        ("rod bolt head inboard", {"rod_bolt"}, {1, 3, 5, 7, 2, 4, 6, 8}),
        ("BORE WALL, BORE 2", {"bore_wall"}, {2}),
        ("bore_wall 2", {"bore_wall"}, {2}),
        ("rod_bolt 3", {"rod_bolt"}, {3}),
        ("crank cheek 8", {"cheek"}, {None}),
        ("counterweight 8", {"counterweight"}, {None}),
        ("crank cheek 8, rear counterweight", {"counterweight"}, {None}),
        ("exhaust valve", {"exhaust_valve"}, set(range(1, 9))),
        ("piston under the exhaust valve, bore 1", {"piston_crown"}, {1}),
    ],
)
def test_a_place_is_found_by_words_of_the_table_and_as_typed(places, text, features, bores):
    typed = typed_name(places, text, "--curve")
    found = [place for place in places if called(place, typed)]
    assert {place.feature for place in found} == features
    assert {place.bore for place in found} == bores


def test_every_name_of_the_table_finds_its_own_place(places):
    for place in places[::6]:
        typed = typed_name(places, place_words(place).upper(), "--curve")
        assert called(place, typed)
        assert {place_words(one) for one in places if called(one, typed)} >= {place_words(place)}
        assert {one.feature for one in places if called(one, typed)} == {place.feature}


@pytest.mark.parametrize(
    "text,words",
    [
        ("bolt", "may be several places; one of: main cap bolt, rod bolt head, rod bolt shank"),
        ("valve", "one of: exhaust valve, intake valve, piston under the exhaust valve"),
        ("moon", "no place is called so; places are: bank side, "),
        ("rod bolt head, bore 9", "no place is called so"),
    ],
)
def test_what_could_be_several_places_lists_them_and_what_is_none_says_so(places, text, words):
    with pytest.raises(InputError) as refused:
        typed_name(places, text, "--curve")
    assert words in str(refused.value)
