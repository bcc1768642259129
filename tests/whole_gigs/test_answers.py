"""Answers to whole-gig problems are data: what cannot be read is named, the rest is marked, and nothing runs."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gigsums.gig import BadFile
from gigsums.whole_gigs import WholeGig, mark_whole, whole_gig
from gigsums.whole_gigs.answers import NotPossible, item_named, labels_of, read_answers


@pytest.fixture(scope="module")
def job() -> WholeGig:
    return whole_gig("boatyard_duo")


MALFORMED: dict[str, tuple[dict[str, Any], str]] = {
    "a count in words": ({"counts": {"strips": "a dozen"}}, "counts, strips: “dozen” is not a whole number in figures"),
    "a count of many digits": ({"counts": {"strips": "9" * 10_000}}, "counts, strips: 10000 characters stand there"),
    "a count as an enormous number": ({"counts": {"strips": 10**5000}}, "counts, strips: a number of more than 200 digits"),
    "a count that is not finite": ({"counts": {"strips": float("nan")}}, "counts, strips: “nan” is not a whole number in figures"),
    "a count as a list": ({"counts": {"strips": [7]}}, "counts, strips: [7] stands there"),
    "a count that is not asked for": ({"counts": {"strings": "4"}}, "counts: “strings” is not asked for"),
    "counts as a list": ({"counts": [1, 2]}, "counts: [1, 2] stands there; a table [counts] is wanted"),
    "a word that is none": ({"verdict": {"word": "maybe"}}, "verdict, word: “maybe” is none of fits, fits with care"),
    "a list that is a number": ({"verdict": {"short": 3}}, "verdict, short: 3 stands there; a list"),
    "an unknown key of the verdict": ({"verdict": {"wrod": "fits"}}, "verdict: “wrod” is not known"),
    "a row that is a text": ({"placement": {"rows": ["x"]}}, "placement, row 1: 'x' stands there; a table is wanted"),
    "rows that are a text": ({"placement": {"rows": "x"}}, "placement: 'x' stands there; rows = [...] is wanted"),
    "a socket that is none": (
        {"placement": {"rows": [{"item": "mains", "on": "plug", "at": "desk", "number": 1}]}},
        "placement, row 1 (mains): on: “plug” stands there; allowed are mic input",
    ),
    "a place that is none": (
        {"placement": {"rows": [{"item": "mains", "on": "output", "at": "roof", "number": 1}]}}, "at: “roof” stands there",
    ),
    "a number in words": (
        {"placement": {"rows": [{"item": "mains", "on": "output", "at": "desk", "number": "a few"}]}}, "number: “a few” stands there",
    ),
    "numbers that count backwards": (
        {"placement": {"rows": [{"item": "mains", "on": "output", "at": "desk", "number": "6-3"}]}}, "counts backwards",
    ),
    "a tap that is none": (
        {"placement": {"rows": [{"item": "Hester", "on": "bus", "number": 1, "tap": "mid"}]}}, "tap: “mid” stands there",
    ),
    "a row without its item": ({"placement": {"rows": [{"on": "output", "number": 1}]}}, "item is missing"),
    "a row with a key too many": (
        {"placement": {"rows": [{"item": "mains", "on": "output", "number": 1, "colour": "red"}]}}, "“colour” is not known here",
    ),
    "phantom that is neither": (
        {"inputs": {"rows": [{"source": "Concertina", "by": "mic", "channel": 1, "phantom": "48"}]}}, "phantom: “48” stands there",
    ),
    "a change without its kind": ({"changes": {"rows": [{"item": "Hester"}]}}, "changes, row 1 (Hester): kind is missing"),
    "a part that is not known": ({"code": "import os"}, "“code” is not known here"),
    "a newer format": ({"format": 2}, "format is 2; 1 is wanted"),
}  # fmt: skip


@pytest.mark.parametrize("case", MALFORMED)
def test_a_malformed_part_is_named_and_the_rest_is_marked(job, case):
    part, words = MALFORMED[case]
    marking = mark_whole(job, {**job.key_answers(), **part})
    assert any(words in fault for fault in marking.malformed), marking.malformed
    assert marking.total > 45  # all that the malformed part does not hold


def test_one_bad_row_of_a_placement_is_left_out_and_named(job):
    answers = job.key_answers()
    answers["placement"]["rows"][0] = {**answers["placement"]["rows"][0], "number": "?"}
    marking = mark_whole(job, answers)
    assert len(marking.malformed) == 1
    assert any("The mains take 2 outputs" in message for message in marking.messages)
    assert 0 < marking.section("allocation").marks < 15
    assert marking.section("counts").marks == 50


def test_a_name_that_is_nobodys_is_named(job):
    answers = job.key_answers()
    answers["placement"]["rows"].append({"item": "Bagpipes", "on": "mic input", "at": "desk", "number": 9})
    marking = mark_whole(job, answers)
    assert any("“Bagpipes” is nothing that is in this gig" in message for message in marking.messages)


@pytest.mark.parametrize(
    "spelt", ["piers.", "Piers (wedge)", "Piers (mix)", "Piers wedge", "“Piers”", "Piers (stage left)"]
)
def test_names_do_not_mind_case_and_paths_are_names_too(job, spelt):
    answers = job.key_answers()
    names = {
        "Concertina": "performer.Hester.sources.Concertina",
        "Reverb": "effect reverb",
        "Hester": "MIX hester",
        "Piers": spelt,
    }
    rows = answers["placement"]["rows"]
    answers["placement"]["rows"] = [{**row, "item": names.get(row["item"], row["item"])} for row in rows]
    assert mark_whole(job, answers).total == 100


def test_a_name_is_told_apart_by_its_kind_or_its_player_in_brackets():
    items = {
        "mix.Noor": "Noor", "effect.Noor": "Noor", "performer.Ada.sources.Vocal": "Vocal",
        "performer.Bo.sources.Vocal": "Vocal", "line.Bo’s loops": "Bo’s loops",
    }  # fmt: skip
    for typed, path in (
        ("Noor (in-ears)", "mix.Noor"), ("noor in ears", "mix.Noor"), ("Noor (effect)", "effect.Noor"),
        ("VOCAL (Bo)", "performer.Bo.sources.Vocal"), ("Bo's loops", "line.Bo’s loops"), ("bos loops!", "line.Bo’s loops"),
    ):  # fmt: skip
        assert item_named(typed, items) == path
    for typed in ("Noor", "Vocal (lead)"):
        with pytest.raises(NotPossible, match="may be"):
            item_named(typed, items)


@pytest.mark.parametrize(
    "typed", ["one, two", "One and two.", [1, 2], "1, 2", "1-2", "1 and 2", "1 2", "1 to 2"]
)
def test_socket_numbers_may_be_written_in_several_ways(typed):
    rows = {"rows": [{"item": "mains", "on": "outputs", "number": typed}]}
    assert read_answers({"placement": rows}).places[0].numbers == (1, 2)


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"counts = ", "this is not TOML"),
        (b"\xff\xfe", "this is not UTF-8"),
        (b"a = " + b"[" * 5000 + b"]" * 5000, "nested more than 50 deep"),
        (b"a = " + b"9" * 5000, "line 1: a number of more than 300 digits"),
        (b"# " + b"x" * 200_001, "more than 200 kB"),
        (b'{"cells": [{"source": "import os"}]}', "this is not TOML"),
        (b"\x80\x04\x95", "this is not UTF-8"),
        (b"a." * 60_000 + b"a = 1", "a key of more than 100 parts"),
    ],
    ids=[
        "cut off",
        "not text",
        "deep",
        "a long number",
        "too large",
        "a notebook",
        "a pickle",
        "a key of many parts",
    ],
)
def test_a_file_that_cannot_be_read_is_one_clear_message(job, tmp_path, content, words):
    path = tmp_path / "answers.toml"
    path.write_bytes(content)
    with pytest.raises(BadFile, match=r"answers\.toml") as caught:
        mark_whole(job, path)
    assert words in str(caught.value)
    assert len(str(caught.value)) < 300


def test_a_file_that_is_not_there_is_one_clear_message(job, tmp_path):
    with pytest.raises(BadFile, match=r"nobody\.toml: it cannot be read"):
        mark_whole(job, tmp_path / "nobody.toml")


def test_an_answer_file_filled_in_by_hand_is_marked(job, tmp_path):
    """The blank with two counts, the word and one line of the placement written into it."""
    text = job.blank()
    for old, new in (
        ('"strips" = ""', '"strips" = "7"'),
        ('"effects" = ""', '"effects" = "a few"'),
        ('word = ""', 'word = "Fits with changes"'),
        (
            '{ item = "mains", on = "", at = "", number = "" }',
            '{ item = "mains", on = "output", at = "", number = "1-2" }',
        ),
    ):
        assert old in text
        text = text.replace(old, new)
    path = tmp_path / "mine.toml"
    path.write_text(text, encoding="utf-8")
    marking = mark_whole(job, path)
    assert marking.section("counts").marks == pytest.approx(50 / 12, abs=0.05)
    assert marking.section("verdict").marks == 6
    assert [fault for fault in marking.malformed if "effects" in fault]


@pytest.mark.parametrize("name", ["<b>Ada</b>", "$(rm)", "=1+1", "| x |", "**bold**", "\u202e\u0007"])
def test_what_somebody_typed_is_never_markup(job, name):
    answers = {
        "placement": {"rows": [{"item": name, "on": "output", "at": "desk", "number": 1}]},
        "notes": name,
    }
    shown = mark_whole(job, answers)._repr_markdown_()
    for raw in ("<b>", "**bold**", "\u202e", "\u0007", " | x"):
        assert raw not in shown


VALUES = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4),
    max_leaves=12,
)
ITEMS = st.sampled_from(
    ["mains", "Hester", "Piers", "Concertina", "Reverb", "talkback", "Slide show", "nobody"]
)
PLACE = st.fixed_dictionaries(
    {
        "item": ITEMS | VALUES,
        "on": st.sampled_from(["mic input", "output", "bus", "stereo input", "two-track return", ""])
        | VALUES,
        "at": st.sampled_from(["desk", "stage", ""]) | VALUES,
        "number": st.integers(-2, 12) | st.text("0123456789-, ", max_size=5) | VALUES,
    },
    optional={"tap": st.sampled_from(["pre", "post"]) | VALUES},
)
CHANGE = st.fixed_dictionaries(
    {"kind": st.sampled_from(["relocate", "mono", "share", "phantom blocker", "drop", "sub-mixer", "stage box"]) | VALUES},
    optional={"item": ITEMS | VALUES, "to": ITEMS | VALUES, "count": st.integers(-1, 3) | VALUES},
)  # fmt: skip
INPUT = st.fixed_dictionaries(
    {
        "source": ITEMS | VALUES,
        "channel": st.integers(0, 9) | VALUES,
        "by": st.sampled_from(["mic", "DI"]) | VALUES,
    },
    optional={"phantom": st.booleans() | VALUES, "at": VALUES, "to": VALUES},
)


def rows(each: st.SearchStrategy) -> st.SearchStrategy:
    return st.fixed_dictionaries({"rows": st.lists(each, max_size=5)}) | VALUES


ANSWERS = st.fixed_dictionaries(
    {},
    optional={
        "counts": st.dictionaries(st.sampled_from(["strips", "buses", "monitor mixes"]), VALUES, max_size=3)
        | VALUES,
        "verdict": st.dictionaries(st.sampled_from(["word", "short", "ask"]), VALUES, max_size=3) | VALUES,
        "changes": rows(CHANGE),
        "placement": rows(PLACE),
        "inputs": rows(INPUT),
        "safety": st.dictionaries(st.sampled_from(["hum", "late"]), VALUES, max_size=2) | VALUES,
        "notes": VALUES,
        "strange": VALUES,
    },
)


@given(ANSWERS)
@settings(max_examples=60, deadline=None)
def test_whatever_is_answered_it_is_marked(answers):
    marking = mark_whole(FUZZED, answers)
    assert 0 <= marking.total <= marking.out_of == 100
    assert str(marking)
    assert marking._repr_markdown_()


FUZZED = whole_gig("boatyard_duo")


@pytest.mark.thorough
@given(ANSWERS)
@settings(max_examples=400, deadline=None)
def test_whatever_is_answered_it_is_marked_at_length(answers):
    marking = mark_whole(FUZZED, answers)
    assert 0 <= marking.total <= marking.out_of == 100


@pytest.mark.thorough
@given(
    st.binary(max_size=400)
    | st.text(max_size=400).map(str.encode)
    | st.binary(max_size=40).map(FUZZED.blank().encode().__add__)
)
@settings(max_examples=4000, deadline=None)
def test_whatever_stands_in_a_file_it_is_read_or_refused(tmp_path_factory, content):
    path = tmp_path_factory.getbasetemp() / "fuzzed.toml"
    path.write_bytes(content)
    refused = ""
    try:
        read_answers(path)
    except BadFile as fault:
        refused = str(fault)
    assert "\n" not in refused
    if not refused:
        tomllib.loads(content.decode("utf-8-sig"))


def test_what_is_told_stays_short_however_much_is_wrong(job):
    rows = [{"kind": "share", "item": f"nobody {n}", "to": ""} for n in range(1500)]
    counts = {f"strange {n}": "4" for n in range(1500)}
    marking = mark_whole(job, {"counts": counts, "changes": {"rows": rows}})
    assert len(marking.malformed) < 70
    assert marking.malformed[-1] == "And 1440 more."
    assert len(marking.section("remedies").messages) < 70
    assert len(str(marking)) < 20_000


@pytest.mark.parametrize(
    "kind", ["share", "mono", "drop", "relocate", "reroute", "outboard effect", "sub-mixer"]
)
@pytest.mark.parametrize("name", ["river_forum", "harvest_ball"])
def test_a_change_of_any_kind_may_be_asked_of_anything(name, kind):
    """Whatever somebody asks, it is made or refused with a reason; at first the sharing of a feed broke off."""
    big = whole_gig(name)
    things = [*labels_of(big.gig).values(), "desk", "nobody", ""]
    rows = [
        {"kind": kind, "item": thing, "to": to}
        for thing in things
        if thing
        for to in (things[1], "stage", "")
    ]
    marking = mark_whole(big, {"changes": {"rows": rows}})
    assert 0 <= marking.total <= 100
    assert marking.section("remedies").messages
