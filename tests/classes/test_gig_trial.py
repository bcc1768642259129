"""A trial as a tutor would run it: six trainees, three topics and a whole gig, known mistakes, and just those are found.

What is expected is tallied here from what each simulated trainee was made to do; what a mistake costs is worked out here
from the marks that the problem's file and the house's settings state.
"""

from __future__ import annotations

import csv
import io
import tomllib
from collections import Counter
from copy import deepcopy

import nbformat
import pytest

from classes.trainees import answer_gig, answer_notebook, answer_toml, issued
from gigsums.classes.issuing import Handout
from gigsums.cli import main
from gigsums.gig import bundled
from gigsums.whole_gigs import whole_gig
from pages import in_the_margin, off_the_paper, text

CLASS = """
format = 1
[class]
name = "Thursday evening"
title = "Week 9: a whole evening"
trainees = 6
[[question]]
topic = "monitor mixes"
level = 2
[[question]]
whole_gig = "lantern_night"
[[question]]
topic = "delay for a distance"
level = 2
[[question]]
topic = "inputs by kind"
level = 2
"""
GIG = 2
JOB = whole_gig("lantern_night")
HOUSE = tomllib.loads(bundled("policy")["marking"].read_text(encoding="utf-8"))["marks"]
COUNTS, SOURCES = 18, 16  # counted on the printed sheet, and in the gig's file


def nothing_wrong(answers):
    return 1.0, []


def two_counts(answers):
    answers["counts"] |= {"matrices": "3", "compressors": "7"}
    return 1 - 2 / COUNTS * HOUSE["counts"] / 100, [
        "matrices: counted otherwise",
        "compressors: counted otherwise",
    ]


def one_count_and_the_word(answers):
    answers["counts"] |= {"matrices": "4"}
    answers["verdict"] |= {"word": "fits"}
    word = (1 - HOUSE["reasons"] / 100) * HOUSE["verdict"] / 100
    return 1 - HOUSE["counts"] / COUNTS / 100 - word, ["matrices: counted otherwise", "verdict: another word"]


def phantom_and_place(answers):
    for row in answers["inputs"]["rows"]:
        if row["source"] == "Lectern":
            row["phantom"] = False
        if row["source"] == "Walk-in music":
            row["at"] = "stage"
    lost = 2 / 4 / SOURCES * (1 - HOUSE["safety"] / 100) * HOUSE["document"] / 100
    return 1 - lost, ["input list: phantom", "input list: where it is plugged"]


def a_fiddle_left_out(answers):
    rows = answers["placement"]["rows"]
    rows[:] = [row for row in rows if row["item"] != "Fiddle"]
    things = len({row["item"] for row in rows}) + 1
    lost = (1 - HOUSE["illegal"] / 100 * (things - 1) / things) * HOUSE["allocation"] / 100
    return 1 - lost, ["placement: Fiddle takes 1 microphone inputs and nothing else"]


def something_dangerous(answers):
    answers["safety"] |= {"hum": "lift the protective earth in one of the mains plugs"}
    return HOUSE["danger"] / 100, ["safe working: hum"]


MADE = (
    nothing_wrong,
    two_counts,
    one_count_and_the_word,
    phantom_and_place,
    a_fiddle_left_out,
    something_dangerous,
)


def run(*words):
    assert main([str(word) for word in words]) == 0


def table(path):
    return list(csv.DictReader(io.StringIO(path.read_text(encoding="utf-8"))))


def in_full(problem, values):
    return problem.answer.show(values)


@pytest.mark.thorough
def test_the_overview_finds_exactly_the_mistakes_that_were_made(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("secrets.token_hex", lambda size: "5e" * size)  # the same sheets each time
    (tmp_path / "thursday.toml").write_text(CLASS, encoding="utf-8")
    run("handout", "thursday.toml")
    made = Handout(tmp_path / "thursday", 6, 4)
    sheets = issued(made)
    worth, slips, slipped_in_a_topic = {}, Counter(), Counter()
    for at, ((trainee, sheet), mistake) in enumerate(zip(sheets.items(), MADE, strict=True)):
        answers = deepcopy(JOB.key_answers())
        worth[trainee], names = mistake(answers)
        slips.update((JOB.title, name) for name in names)
        typed = [str(each.answer) if n != GIG else "" for n, each in enumerate(sheet.problems, start=1)]
        if at % 2:  # and every other one makes a slip in a topic besides
            problem = sheet.problems[0]
            typed[0] = in_full(problem, problem.slips[0].values)
            slipped_in_a_topic[trainee] = 1
            slips[problem.topic, problem.slips[0].name] += 1
        if at % 2:
            answer_toml(made, trainee, typed)
        else:
            (made.returned / trainee).mkdir()
            answer_notebook(made, trainee, typed, made.returned / trainee / "mine.ipynb")
        answer_gig(made, trainee, GIG, answers)
    run("mark", "thursday")
    (results,) = (made.folder / "results").iterdir()

    marked = {row["trainee"]: row for row in table(results / "marks.csv")}
    assert set(marked) == set(sheets)
    for trainee, row in marked.items():
        assert float(row[f"question {GIG}"]) == pytest.approx(worth[trainee], abs=0.0006), trainee
        assert float(row["total"]) == pytest.approx(
            worth[trainee] + 3 - slipped_in_a_topic[trainee], abs=0.0006
        )
        assert row["remarks"] == ""

    long = table(results / "overview.csv")
    found, slip = Counter(), {}
    for row in long:
        if row["section"] == "What to teach again":
            slip |= {row["column"]: row["value"]}
            if row["column"] == "Times":
                found[slip["Topic"], row["row"]] = int(row["value"])
    assert found == slips
    facility = {
        int(row["row"]): float(row["value"])
        for row in long
        if row["section"] == "Question by question" and row["column"] == "Facility"
    }
    assert facility[GIG] == pytest.approx(sum(worth.values()) / 6, abs=0.0006)
    assert facility[1] == pytest.approx(3 / 6)
    assert facility[3] == facility[4] == 1
    parts = {
        row["row"]: row["value"]
        for row in long
        if row["section"] == f"Question {GIG}, part by part" and row["column"] == "Earned all"
    }
    assert parts == {
        "Counts": "4 of 6", "Placement": "5 of 6", "Verdict": "5 of 6", "Changes": "6 of 6", "Input list and safe working": "4 of 6",
    }  # fmt: skip
    dangerous = list(sheets)[5]
    looked_at = [
        row["row"] for row in long if row["section"] == "A person has to look" and row["column"] == "Question"
    ]
    assert looked_at == [dangerous]
    grid = {
        row["row"]: row["value"]
        for row in long
        if row["section"] == "Trainee by skill" and row["column"] == "whole gigs"
    }
    assert float(grid[dangerous]) == pytest.approx(HOUSE["danger"] / 100)
    assert not [row for row in long if row["section"] == "Not marked"]
    assert not [row for row in long if row["column"] == "Fits the sheet of"]

    pdf = (results / "overview.pdf").read_bytes()
    assert off_the_paper(pdf) == in_the_margin(pdf) == []
    printed = " ".join(text(pdf).split())
    book = nbformat.read(results / "overview.ipynb", as_version=4)
    shown = " ".join(cell.source for cell in book.cells)
    for words in ("A person has to look", "part by part", JOB.title, "answers to it are not compared"):
        assert words in printed
        assert words in shown
    for trainee in sheets:
        said = (results / "feedback" / f"{trainee}.txt").read_text(encoding="utf-8")
        assert f"{JOB.title}, a whole gig" in " ".join(said.split())
        assert max(map(len, said.splitlines())) <= 78
