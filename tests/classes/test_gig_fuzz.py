"""The reader of answers to whole gigs under inputs that nobody would write: an answer or a refusal, and nothing else."""

from __future__ import annotations

import random

import pytest
import tomlkit
from hypothesis import given, settings
from hypothesis import strategies as st

from classes.test_fuzz import changed
from classes.trainees import WITH_A_GIG, answer_gig, answer_toml, class_file, issued
from gigsums.classes import handout, mark_folder
from gigsums.classes.answers import (
    MOST_LEFT_OUT,
    Answers,
    NotAnswers,
    read_again,
    read_returned,
    read_whole,
)
from gigsums.whole_gigs import whole_gig
from gigsums.whole_gigs.answers import LONGEST, MOST_IN_ALL, MOST_NUMBERS, Given
from gigsums.whole_gigs.problem import mark_given

JOB = whole_gig("tea_room_solo")
WHOSE = {"class": "Night", "trainee": "alder-100", "variant": "2222-3333", "question": 4}
SEEDS = [
    JOB.blank().encode(),
    tomlkit.dumps({**WHOSE, **JOB.key_answers()}).encode(),
    tomlkit.dumps({**JOB.key_answers(), **WHOSE, "notes": "Lift the earth? Never."}).encode("utf-16"),
]


def harmless(raw, mark=False):
    """Read one input. Whatever it is, there is an answer or a refusal; what is answered is of bounded size, and is marked."""
    reason = ""
    try:
        about, answered = read_whole(raw)
    except NotAnswers as refused:
        reason = str(refused)
    if reason:
        assert len(reason) < 300
        assert "\n" not in reason
        return False
    assert isinstance(about, Answers)
    assert isinstance(answered, Given)
    assert all(
        isinstance(each, str) and len(each) <= 300
        for each in (about.trainee, about.variant, about.class_name)
    )
    assert 0 <= about.whole_gig <= 999
    assert len(answered.faults) <= 51 + MOST_LEFT_OUT
    assert all(len(text) <= LONGEST for text in answered.counts.values())
    assert all(len(place.numbers) <= MOST_NUMBERS for place in answered.places)
    assert sum(len(place.numbers) for place in answered.places) <= MOST_IN_ALL
    if mark:
        marking = mark_given(JOB, answered)
        assert 0 <= marking.total <= marking.out_of
        assert len({slip.name for slip in marking.slips}) <= 100
    return True


def fuzzed(count, seed):
    draw = random.Random(seed)
    return sum(harmless(changed(draw.choice(SEEDS), draw), mark=n % 10 == 0) for n in range(count))


@pytest.mark.thorough
def test_changed_files_are_read_or_refused(tmp_path):
    assert all(harmless(seed, mark=True) for seed in SEEDS)
    for seed in SEEDS:
        (tmp_path / "gig.toml").write_bytes(seed)
        assert read_returned(tmp_path / "gig.toml").whole_gig is not None
    assert 100 < fuzzed(1000, "few") < 1000  # both ways are taken


@pytest.mark.thorough
@pytest.mark.parametrize("seed", range(5))
def test_fifty_thousand_changed_files_are_read_or_refused(seed):
    assert 1000 < fuzzed(10_000, seed) < 10_000


VALUE = (
    st.none().map(lambda _: "")
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.text(max_size=20)
    | st.dates()
)
CELLS = st.dictionaries(
    st.sampled_from(["item", "on", "at", "number", "tap", "kind", "to", "count", "channel", "source", "by", "phantom", "x"]),
    VALUE | st.lists(VALUE, max_size=3),
    max_size=6,
)  # fmt: skip
PART = st.fixed_dictionaries({"rows": st.lists(CELLS, max_size=4)}) | st.dictionaries(
    st.text(max_size=12), VALUE, max_size=4
)
TABLE = st.dictionaries(
    st.sampled_from(
        ["counts", "verdict", "changes", "placement", "inputs", "safety", "notes", "trainee", "variant", "class", "question", "x"]
    ),
    PART | VALUE,
    max_size=8,
)  # fmt: skip


def as_toml(table):
    try:
        return tomlkit.dumps(table).encode("utf-8", "surrogatepass")
    except Exception:  # what cannot be written as TOML comes as something else
        return repr(table).encode("utf-8", "surrogatepass")


@given(st.binary(max_size=300))
def test_any_bytes(raw):
    harmless(raw)


@settings(deadline=None, max_examples=60)
@given(TABLE)
def test_any_table_is_read_and_marked(table):
    harmless(as_toml(table), mark=True)


@pytest.mark.thorough
@settings(deadline=None, max_examples=3000)
@given(TABLE)
def test_many_tables_are_read_and_marked(table):
    harmless(as_toml(table), mark=True)


def test_few_characters_cannot_ask_for_many_numbers():
    row = '{ item = "mains", on = "output", at = "desk", number = "1-256" },'
    inner = ",".join(['"1-250"'] * 50)
    nested = f"[{','.join([f'[{inner}]'] * 100)}]"
    rows = [row] * 1500 + [row.replace('"1-256"', nested)]
    one = f"[placement]\nrows = [{rows[-1]}]".encode()
    about, answered = read_whole(f"[placement]\nrows = [{''.join(rows)}]".encode())
    assert sum(len(place.numbers) for place in answered.places) <= MOST_IN_ALL
    assert any(
        f"more than {MOST_NUMBERS} numbers stand there" in fault for fault in read_whole(one)[1].faults
    )
    assert any(f"more than {MOST_IN_ALL} numbers stand in the file" in fault for fault in answered.faults)
    assert not about.blank


def test_what_is_fuzzed_is_what_is_used(tmp_path):
    for n, seed in enumerate(SEEDS):
        path = tmp_path / f"{n}.toml"
        path.write_bytes(seed)
        about, answered = read_whole(seed)
        assert read_returned(path) == about
        assert read_again(path, about) == answered


@pytest.mark.thorough
@pytest.mark.parametrize("lot", range(12))
def test_whatever_comes_back_every_trainee_is_marked_or_missing_and_every_file_accounted_for(tmp_path, lot):
    """Answers right, broken, doubled, swapped and left out by lot, of a class with topics and a gig."""
    made = handout(class_file(tmp_path, 6, WITH_A_GIG), tmp_path / "night")
    sheets = issued(made)
    draw = random.Random(f"lot {lot}")
    dropped = 0
    for trainee, sheet in sheets.items():
        typed = [str(each.answer) for each in sheet.problems[:3]]
        files = [answer_toml(made, trainee, typed), answer_gig(made, trainee, 4, JOB.key_answers())]
        for file in files:
            what = draw.randrange(6)
            if what == 0:
                file.unlink()
                continue
            if what in (1, 2):
                file.write_bytes(changed(file.read_bytes(), draw))
            elif what == 3:
                other = draw.choice([each.variant for each in sheets.values()])
                file.write_text(
                    file.read_text(encoding="utf-8").replace(sheet.variant, other), encoding="utf-8"
                )
            elif what == 4:
                file.with_name(f"again {file.name}").write_bytes(changed(file.read_bytes(), draw))
                dropped += 1
            dropped += 1
    marked = mark_folder(made.folder).overview
    assert {sheet.trainee for sheet in marked.sheets} | set(marked.missing) == set(sheets)
    assert not {sheet.trainee for sheet in marked.sheets} & set(marked.missing)
    for each in (each for sheet in marked.sheets for each in sheet.marks):
        assert each.why if each.worth is None else 0 <= each.worth <= 1
    assert all(each.reason for each in marked.refused)
    told = " ".join(
        [
            *(f"{sheet.file} {sheet.remarks}" for sheet in marked.sheets),
            *(each.file for each in marked.refused),
        ]
    )
    blank = {"answers.toml", "whole_gig_4.toml"}
    there = [
        path for path in made.returned.rglob("*.toml") if path.name not in blank or path.stat().st_size > 0
    ]
    assert len(there) == dropped
    lost = [path for path in there if path.relative_to(made.returned).as_posix() not in told]
    for path in lost:  # only what answers nothing may be passed over without a word
        assert read_returned(path).blank
