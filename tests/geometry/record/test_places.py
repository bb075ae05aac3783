"""Several places at once, as they are typed."""

import pytest

from geometry.errors import InputError
from geometry.record.entries import set_entries
from geometry.record.place import BenchPlace, read_places
from geometry.record.words import read_words
from tests.geometry.record.bench_fixtures import tern


@pytest.mark.parametrize(
    "text, numbers",
    [
        ("bore 1-8", range(1, 9)), ("bore 1,3,5,7", (1, 3, 5, 7)), ("bore all", range(1, 9)), ("BORE  3", (3,)),
        ("bores 1 - 3, 5", (1, 2, 3, 5)), ("bore 8 2-4 2", (8, 2, 3, 4)), ("bore 1 to 3 and 7", (1, 2, 3, 7)),
        ("bore 1–4", range(1, 5)), ("bore every", range(1, 9)),
    ],
)  # fmt: skip
def test_several_places_in_one(text, numbers):
    assert read_places(tern(), text) == tuple(BenchPlace("bore", number) for number in numbers)


def test_mains_and_the_crank():
    assert [place.words for place in read_places(tern(), "main all")] == [f"main {n}" for n in range(1, 6)]
    assert read_places(tern(), "main 2-3") == (BenchPlace("main", 2), BenchPlace("main", 3))
    assert read_places(tern(), "crank") == (BenchPlace("crank"),)


@pytest.mark.parametrize(
    "text, said",
    [
        ("bore 1-9", "bore 1-9: there is no bore 9; this engine has bore 1, 2, 3, 4, 5, 6, 7, 8"),
        ("bore 7-10", "bore 7-10: there is no bore 9 or 10; this engine"),
        ("bore 0,3,9,12", "there is no bore 0, 9 or 12"),
        ("main 4-6", "there is no main 6; this engine has main 1, 2, 3, 4, 5"),
        ("bore 8-1", "8-1 runs backwards; write 1-8"),
        ("bore 1-x", "1-x is not a number of a place; write a number, a range or both"),
        ("bore 1;2", "1;2 is not a number of a place"),
        ("bore 9", "there is no bore 9"),
        ("bore", "which bore is not said"),
        ("crank 1-2", "is not a place"),
        ("boar 1-2", "is not a place on this engine"),
        ("bore 1-99999", "is not a number of a place"),
    ],
)
def test_one_clear_refusal(text, said):
    with pytest.raises(InputError) as refusal:
        read_places(tern(), text)
    assert said in str(refusal.value)
    assert "\n" not in str(refusal.value)


def test_a_side_is_that_of_each_bore():
    """Tern turns clockwise: the thrust side is inboard in the odd bores and outboard in the even ones."""
    written = read_words(tern(), "bore 1,2", ["bolt.inboard.torque", "45lbf*ft"])
    assert [one.path for one in written] == ["bolt.major.torque", "bolt.minor.torque"]


def test_all_or_nothing(tmp_path):
    file = tmp_path / "tern.record.toml"
    with pytest.raises(InputError, match="18 has no unit") as refusal:
        set_entries(file, tern(), "bore 1-8", ["deck", "18"])
    assert len(refusal.value.problems) == 1
    assert not file.exists()
