"""Problems on paper and at the command line: nothing of the answer on the sheet, everything of it in the key."""

from __future__ import annotations

import json
import re
from dataclasses import replace

import pytest

from gigsums.cli import main
from gigsums.gig import bundled
from gigsums.practice import (
    TOPICS,
    print_key,
    print_key_of,
    print_problems,
    print_worksheet,
    problem,
    worksheet,
)
from gigsums.practice.problems import Part, RightAnswer
from gigsums.practice.worksheets import paragraphs, to_write, variant_of, write_forms
from gigsums.quantities import ANGLE, DELAY, DURATION
from pages import off_the_paper, text, texts

EACH = [problem(topic, 5) for topic in TOPICS]
SOURCES = bundled("worksheets")
TWO = """
format = 1
title = "Two *counts*"
about = "Count **twice**.\\n\\nThen *rest*."
on_screen = "Run a cell."
closing = "Change the seed."
[[question]]
topic = "monitor mixes"
seed = 1
lead = "First."
[[question]]
topic = "setting a delay loudspeaker"
seed = "word"
level = 3
"""


@pytest.fixture
def two(tmp_path):
    source = tmp_path / "two.toml"
    source.write_text(TWO, encoding="utf-8")
    return source


def flat(words):
    return " ".join(words.split())


def close(words):
    """Without spaces: a line may end after a hyphen."""
    return "".join(words.split())


@pytest.mark.thorough
def test_every_topic_prints_whole_and_in_the_font():
    made = print_problems("All", EACH, variant="V")
    read = text(made.pdf)
    assert made.missing == ()
    assert off_the_paper(made.pdf) == []
    for each in EACH:
        for words in (each.scene, *each.facts, each.caution):
            assert close(words) in close(read), each.topic
    assert not re.search(r"Type |, type\b", read)


def test_nothing_of_the_answer_reaches_the_sheet():
    """The same sheet, to the byte, is made of problems with other answers, workings and slips."""

    def blank(part):
        return replace(part, value=part.value if part.choices else 3 * part.value + 1)

    for each in EACH:
        parts = tuple(blank(part) for part in each.answer.parts)
        ticked = tuple(replace(part, value=part.choices[-1]) if part.choices else part for part in parts)
        other = replace(
            each, answer=RightAnswer(ticked), workings=(), slips=(), notes=(), nudge="", wanted="", shown={}
        )
        assert print_problems("One", [each]).pdf == print_problems("One", [other]).pdf, each.topic


@pytest.mark.thorough
def test_the_key_has_answers_workings_and_slips_with_their_values():
    made = print_key_of("All", EACH, variant="V")
    read = close(text(made.pdf))
    assert made.missing == ()
    assert off_the_paper(made.pdf) == []
    for each in EACH:
        show = each.answer.show
        expected = [f"Answer: {show()}", f"level {each.level}, seed 5", *each.workings]
        expected += [words for slip in each.slips for words in (show(slip.values), slip.name, slip.hint)]
        expected += [words for note in each.notes for words in (show(note.values), note.text)]
        for words in expected:
            assert close(words) in read, each.topic


@pytest.mark.parametrize("name", SOURCES)
def test_bundled_worksheets_print_without_words_for_the_screen(name):
    sheet = worksheet(name)
    made = print_worksheet(sheet, variant="V")
    read = flat(text(made.pdf))
    assert made.missing == print_key(sheet).missing == ()
    assert sheet.source.title in read
    assert f"about {sheet.source.minutes} minutes" in read
    for screen in ("Shift and Enter", "a cell", "check(", "`", "**"):
        assert screen not in read


def test_a_worksheet_prints_its_own_words_and_leaves_out_those_for_the_screen(two):
    read = text(print_worksheet(worksheet(two)).pdf)
    assert "Two *counts*" in read
    assert "Count twice. Then rest." in read
    assert "First." in read
    assert "Run a cell" not in read
    assert "Change the seed" not in read


def test_emphasis_is_bold_and_the_rest_stands_as_it_is():
    made = paragraphs("A **box** is *one*, `b` not.\nMore 2 * 3 * 4 and #x.\n\n\n$y$ **open")
    assert made == (
        (("A ", False), ("box", True), (" is ", False), ("one", True), (", ", False), ("b", False),
         (" not. More 2 * 3 * 4 and #x.", False)),
        (("$y$ **open", False),),
    )  # fmt: skip


COUNT = Part(3, name="mixes")
VERDICT = Part("fits", choices=("fits", "does not fit"))


@pytest.mark.parametrize(
    ("parts", "said"),
    [
        ((COUNT,), "Write a whole number."),
        ((COUNT, Part(5, name="buses")), "Write two whole numbers, one in each box."),
        ((Part(74.8, DELAY),), "Write a number in ms."),
        ((Part(1.5, DURATION, given_in="min"),), "Write a number in min."),
        ((Part(12.0, ANGLE),), "Write a number in degrees."),
        ((VERDICT,), "Tick one."),
        ((VERDICT, COUNT), "Tick one and write a whole number."),
        ((Part(1.0, DELAY), COUNT), "Write two numbers, one in each box, in the unit beside it."),
    ],
)
def test_what_to_write_is_said_in_words_for_paper(parts, said):
    assert to_write(RightAnswer(parts)) == said


def test_the_key_says_how_far_off_is_right():
    read = text(
        print_key_of("K", [problem("echo in time with the music", 1), problem("adding levels", 1)]).pdf
    )
    assert "ms, within 2 %" in read
    assert "dB, within 0.2 dB" in read


def test_three_forms_are_written_beside_the_source_with_one_mark(two, capsys):
    assert main(["problem", str(two)]) == 0
    names = ["two.ipynb", "two.pdf", "two.toml", "two_key.pdf"]
    assert sorted(each.name for each in two.parent.iterdir()) == names
    assert json.loads(two.with_suffix(".ipynb").read_text(encoding="utf-8"))["nbformat"] == 4
    variant = f"Variant {variant_of(worksheet(two).problems)}"
    sheet, key = (texts((two.parent / name).read_bytes()) for name in ("two.pdf", "two_key.pdf"))
    assert all(variant in page for page in [*sheet, *key])
    assert "Answer: " in key[0]
    assert "Answer: " not in " ".join(sheet)
    said = capsys.readouterr()
    assert all(name in said.out for name in ("two.ipynb", "two.pdf", "two_key.pdf"))
    assert said.err == ""


def test_other_problems_have_another_mark():
    marks = {variant_of([problem("monitor mixes", seed)]) for seed in range(50)}
    assert len(marks) == 50
    assert all(len(each) == 5 and each.isalnum() and each == each.upper() for each in marks)


def test_forms_go_where_they_are_sent_on_the_paper_asked_for(two, tmp_path):
    made = write_forms(two, tmp_path / "there" / "deep", paper="us-letter")
    assert [each.name for each in made.files] == ["two.ipynb", "two.pdf", "two_key.pdf"]
    assert all(each.parent == tmp_path / "there" / "deep" for each in made.files)
    assert b"/MediaBox[0 0 612 792]" in made.files[1].read_bytes()


@pytest.mark.parametrize("there", ["two.ipynb", "two.pdf", "two_key.pdf"])
def test_forms_are_all_refused_where_one_is_there(there, two, capsys):
    (two.parent / there).write_text("mine")
    assert main(["problem", str(two)]) == 2
    assert sorted(each.name for each in two.parent.iterdir()) == sorted(["two.toml", there])
    assert (two.parent / there).read_text() == "mine"
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    assert there in said
    assert "--replace" in said
    assert main(["problem", str(two), "--replace"]) == 0
    assert (two.parent / there).read_bytes() != b"mine"


def test_a_character_that_cannot_be_printed_is_told(two, capsys):
    two.write_text(TWO.replace("First.", "First 🎧."), encoding="utf-8")
    assert main(["problem", str(two)]) == 0
    assert "U+1F3A7 HEADPHONE in questions 1.lead" in capsys.readouterr().err
    assert "First [HEADPHONE]." in text(two.with_suffix(".pdf").read_bytes())


def test_without_words_every_topic_is_listed(capsys, monkeypatch):
    monkeypatch.delenv("GIGSUMS_COMMAND", raising=False)  # a longer command may make its line longer
    assert main(["problem"]) == 0
    said = capsys.readouterr().out
    assert all(topic in flat(said) for topic in TOPICS)
    assert max(map(len, said.splitlines())) <= 80


def test_a_problem_is_shown_with_its_seed_and_the_same_again(capsys):
    assert main(["problem", "Monitor mixes"]) == 0
    first = capsys.readouterr().out
    seed = first.partition(", seed ")[2].split()[0]
    level = first.partition("level ")[2][0]
    assert main(["problem", "monitor mixes", "--seed", seed]) == 0
    assert capsys.readouterr().out == first
    found = problem("monitor mixes", seed)
    assert str(found.level) == level
    assert flat(found.scene) in flat(first)
    assert not any(flat(line) in flat(first) for line in found.workings)
    assert main(["problem", "monitor mixes", "--seed", seed, "--workings"]) == 0
    said = flat(capsys.readouterr().out)
    assert all(flat(line) in said for line in found.workings)


@pytest.mark.parametrize(("topic", "kind"), [("monitor mixes", 0), ("setting a delay loudspeaker", 1)])
def test_an_answer_is_marked(topic, kind, capsys):
    found = problem(topic, 11, 2)
    words = ["problem", topic, "--seed", "11", "--level", "2", "--answer"]
    assert main([*words, str(found.answer)]) == 0
    assert capsys.readouterr().out.startswith("Right: ")
    slip = found.slips[0]
    assert main([*words, found.answer.show(slip.values)]) == 0
    assert flat(capsys.readouterr().out).startswith(f"Named slip: {slip.name}")
    assert main([*words, "plenty"]) == 0
    assert capsys.readouterr().out.startswith("Malformed: ")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["monitor mixs"], "did you mean monitor mixes?"),
        (["monitor mixes", "--answer", "2"], "--answer needs --seed"),
        (["monitor mixes", "--seed", ""], "seed has 0 characters"),
        (["monitor mixes", "--to", "x"], "--to, --paper and --replace are for a worksheet"),
        (["monitor mixes", "--paper", "a4"], "are for a worksheet"),
        (["nowhere.toml"], "there is no such file"),
        (["monitor_mixes", "--seed", "1"], "are for a topic"),
    ],
)
def test_words_that_cannot_be_used_are_one_line_and_status_2(words, said, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    assert main(["problem", *words]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.count("\n") == 1
    assert said in told.err
    assert list(tmp_path.iterdir()) == []


def test_the_card_is_written_and_never_over_another_file(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    assert main(["sheets", "card"]) == 0
    assert "50 mm" in capsys.readouterr().out
    card = tmp_path / "pocket_card.pdf"
    assert card.read_bytes().startswith(b"%PDF")
    card.write_bytes(b"mine")
    assert main(["sheets", "card"]) == 2
    assert "--replace" in capsys.readouterr().err
    assert card.read_bytes() == b"mine"
    assert main(["sheets", "card", "mine.pdf", "--paper", "us-letter"]) == 0
    assert b"/MediaBox[0 0 612 792]" in (tmp_path / "mine.pdf").read_bytes()
