"""Reading a record: errors with their lines, and a bad one is never rewritten."""

import pytest

from geometry.errors import InputError
from geometry.record.entries import set_entries
from geometry.record.form import FORM
from geometry.record.load import load_record, record_path
from geometry.record.place import main_numbers
from geometry.record.store import previous_path
from tests.geometry import fleet
from tests.geometry.record.bench_fixtures import DEMOS, tern

HEAD = '[record]\nengine = "Tern"\n\n'


def problems_of(tmp_path, text):
    path = tmp_path / "bench.record.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputError) as refused:
        load_record(path, tern())
    return refused.value.problems


def test_the_usual_place_is_beside_the_engine_file():
    assert record_path("shed/tern.toml").as_posix() == "shed/tern.record.toml"
    assert record_path("shed/tern").as_posix() == "shed/tern.record.toml"


@pytest.mark.parametrize("text", [None, "", "# nothing yet\n", "\n\n"])
def test_no_file_and_no_entry_are_an_empty_record(tmp_path, text):
    path = tmp_path / "bench.record.toml"
    if text is not None:
        path.write_text(text)
    assert load_record(path, tern()) == FORM()


@pytest.mark.parametrize("name", ["tern", "tern_binding"])
def test_the_demo_records_are_read(name):
    record = load_record(DEMOS / f"{name}.record.toml", tern())
    assert record.record.engine == "Tern"
    assert record.bore


@pytest.mark.parametrize(
    "name, mains",
    # One more main bearing than throws: a cross-plane V8 has 4 throws, a straight engine one for each bore.
    [("tern", 5), ("knot", 2)],
)
def test_mains_are_one_more_than_throws(name, mains):
    assert len(main_numbers(fleet.spec(name))) == mains


@pytest.mark.parametrize(
    "body, line, key, what, right",
    [
        ('[bore.3]\nrod.way = { value = "sideways" }\n', 5, "bore.3.rod.way.value", "sideways", "turned"),
        ('[bore.3]\n\n# late\nring.top.gap = { go = "18" }\n', 7, "bore.3.ring.top.gap.go", "has no unit", '"18 thou"'),
        ('[bore.3]\nrod.wya = { value = "turned" }\n', 5, "bore.3.rod.wya", "not a known key", "did you mean way?"),
        ('[bore.9]\nrod.way = { value = "turned" }\n', 4, "bore.9", "there is no bore 9", "1, 2, 3"),
        ('[main.6]\nway = { value = "turned" }\n', 4, "main.6", "there is no main 6", "1, 2, 3, 4, 5"),
        ('[bore.x]\nrod.way = { value = "turned" }\n', 4, "bore.x", "not a number", "[bore.3]"),
        ("[bore.3]\nrod.number = { value = 12 }\n", 5, "bore.3.rod.number.value", "no bore 12", "1, 2, 3"),
        ('[bore.3]\nshell.upper.seat = { value = "cap" }\nshell.lower.seat = { value = "cap" }\n', 6,
         "bore.3.shell.lower.seat", "both shells", "one lies in the rod"),
        ('[bore.3]\nring.top.gap = { go = "19 thou", tight = "18 thou" }\n', 5, "bore.3.ring.top.gap.tight",
         "not thicker", "thicker"),
        ('[limits]\ntop_gap = { source = "the box" }\n', 5, "limits.top_gap", "needs least, most", "add"),
    ],
)  # fmt: skip
def test_a_mistake_is_named_with_line_key_and_remedy(tmp_path, body, line, key, what, right):
    (problem,) = problems_of(tmp_path, HEAD + body)
    assert problem.line == line
    assert problem.key == key
    assert what in problem.what
    assert right in problem.right


def test_the_record_of_another_engine_is_refused(tmp_path):
    (problem,) = problems_of(tmp_path, '[record]\nengine = "Knot"\n')
    assert (problem.line, problem.key) == (2, "record.engine")
    assert '"Knot"' in problem.what
    assert '"Tern"' in problem.what


def test_text_that_is_no_toml_is_named_by_its_line(tmp_path):
    (problem,) = problems_of(tmp_path, HEAD + "[bore.3]\nrod.way = turned\n")
    assert problem.line == 5


def test_every_mistake_is_said_at_once(tmp_path):
    body = '[bore.3]\nrod.way = { value = "sideways" }\nring.top.gap = { go = "18" }\n'
    assert sorted(problem.line for problem in problems_of(tmp_path, HEAD + body)) == [5, 6]


@pytest.mark.parametrize(
    "body",
    [
        "[bore.3]\nrod.way = turned\n",
        '[bore.3]\nrod.way = { value = "sideways" }  # typed late at night\n',
        '[bore.9]\nrod.way = { value = "turned" }\n',
    ],
)
def test_a_bad_record_is_never_rewritten(tmp_path, body):
    path = tmp_path / "bench.record.toml"
    path.write_text(HEAD + body)
    with pytest.raises(InputError) as refused:
        set_entries(path, tern(), "bore 5", ["rod.way", "correct"])
    assert refused.value.problems[0].file == str(path)
    assert path.read_text() == HEAD + body
    assert not previous_path(path).exists()


def test_a_record_that_is_not_text_is_never_rewritten(tmp_path):
    path = tmp_path / "bench.record.toml"
    path.write_bytes(b"# fine\n\xff\xfe = 1\n")
    with pytest.raises(InputError) as refused:
        set_entries(path, tern(), "bore 5", ["rod.way", "correct"])
    assert refused.value.problems[0].line == 2
    assert path.read_bytes() == b"# fine\n\xff\xfe = 1\n"


@pytest.mark.parametrize("key", ["x ||| y", "key=main.1 ||| z", "3\\n4"])
def test_what_a_person_wrote_is_never_read_as_part_of_the_message(tmp_path, key):
    (problem,) = problems_of(tmp_path, f'[bore."{key}"]\n')
    assert problem.what == f"{key} is not a number between 1 and 99".replace("\\n", "\n")
    assert problem.right == "right: write [bore.3], for example"
    assert problem.key.startswith("bore.")
    assert len(str(problem).splitlines()) == 1
