"""What is not in yet when trouble begins cannot be its cause; worked by hand from orders of assembly."""

from datetime import date
from pathlib import Path

import pytest

from geometry.assembly import assemble
from geometry.diagnose.candidates import Candidate
from geometry.diagnose.felt import Felt
from geometry.diagnose.order import NotYet, not_yet, read_order, recorded_order
from geometry.diagnose.ranking import diagnose
from geometry.errors import InputError
from geometry.mistakes.mistake import Signature
from geometry.record.load import record_of_data
from geometry.spec.load import load_engine

ROOT = Path(__file__).parents[3]


def one(place, *others, where="bore"):
    return Candidate(
        "made_up", "made up", where, place, (place, *others), Signature(bound=True), "below", "Look.", "Felt.", "Mend."
    )  # fmt: skip


@pytest.mark.parametrize(
    "felt, bores, mains",
    [
        (Felt(after_bore=3), (4, 5, 6, 7, 8), ()),
        (Felt(after_bore=8), (), ()),
        # Bank by bank from the front: after 5, bore 7 and the other bank are not in.
        (Felt(after_bore=5, order=(1, 3, 5, 7, 2, 4, 6, 8)), (7, 2, 4, 6, 8), ()),
        # The crank is turned in its mains before any rod is on it.
        (Felt(after_main=3), (1, 2, 3, 4, 5, 6, 7, 8), (4, 5)),
        (Felt(after_main=2, main_order=(3, 2, 4, 1, 5)), (1, 2, 3, 4, 5, 6, 7, 8), (4, 1, 5)),
        # An engine that has run has everything in it.
        (Felt(after_bore=3, when_hot=True), (), ()),
        (Felt(after_bore=3, running=frozenset({"knocks"})), (), ()),
        # What is told of bore 6 shows that it is in.
        (Felt(after_bore=3, high_mm=((6, 2.5),)), (4, 5, 7, 8), ()),
        (Felt(bound=True), (), ()),
    ],
)
def test_what_goes_in_later_is_not_in(felt, bores, mains):
    later = not_yet(felt, 8, 5)
    assert (later.bores, later.mains) == (bores, mains)


def test_an_exchange_can_be_felt_when_its_first_bore_is_in():
    later = NotYet((4, 5, 6, 7, 8), (4, 5))
    assert later.could_be(one(3, 4))
    assert not later.could_be(one(5, 6))
    assert later.could_be(one(4, where="main")) is False
    assert later.could_be(one(3, where="main"))


def test_no_cause_lies_in_a_bore_that_is_not_in_alone_or_beside_another():
    singles = tuple(one(place) for place in range(1, 9))
    answer = diagnose(Felt(bound=True, after_bore=3), singles, 8, 5)
    assert {part.place for cause in answer.causes for part in cause.parts} == {1, 2, 3}
    assert answer.causes[0].parts[0].place == 3
    assert answer.later.bores == (4, 5, 6, 7, 8)
    assert {look.place for look in answer.looks} <= {1, 2, 3}
    given = diagnose(Felt(bound=True, after_bore=3, order=(7, 3, 1, 2, 4, 5, 6, 8)), singles, 8, 5)
    assert {part.place for cause in given.causes for part in cause.parts} == {7, 3}


def test_the_chance_of_what_remains_is_that_of_bayes_rule():
    # What is not in keeps its share of the first chances: what is left is no likelier for that, against the unlisted.
    singles = tuple(one(place) for place in range(1, 9))
    odds = {}
    for name, some in (("all", singles), ("in", singles[:3])):
        answer = diagnose(Felt(bound=True, after_bore=3), some, 8, 5)
        odds[name] = answer.causes[0].chance / answer.unlisted
    assert odds["in"] / odds["all"] == pytest.approx(8 / 3)


def test_an_order_is_read_or_refused():
    assert read_order("--order", "1,3, 5,7", range(1, 9), "bore") == (1, 3, 5, 7, 2, 4, 6, 8)
    for text, said in (
        ("1,9", "no bore 9"),
        ("1,1", "bore 1 twice"),
        ("1;x", "not a list of bores"),
        ("", "not a list"),
    ):
        with pytest.raises(InputError, match=said):
            read_order("--order", text, range(1, 9), "bore")


def test_a_record_tells_the_order_when_it_tells_it_of_every_bore():
    spec = load_engine(ROOT / "demo_engines" / "dunlin.toml")
    bores = [site.bore for site in assemble(spec).layout.bores]
    days = dict(zip(sorted(bores), (4, 2, 3, 1), strict=True))

    def closed(told):
        return {
            "bore": {
                str(bore): {"bolt": {"major": {"torque": {"value": "40 N*m", "on": date(2026, 3, days[bore])}}}}
                for bore in told
            }
        }  # fmt: skip

    assert recorded_order(record_of_data(spec, closed(bores)), bores) == (4, 2, 3, 1)
    assert recorded_order(record_of_data(spec, closed(bores[:3])), bores) == ()
