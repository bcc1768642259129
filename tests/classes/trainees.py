"""Simulated trainees: they answer through the files they were given, as a person would with an editor."""

from __future__ import annotations

import json
import shutil
import tomllib
from pathlib import Path
from typing import Any

import tomlkit

from gigsums.classes.record import Record

CLASS = """
format = 1
[class]
name = "Night class"
title = "Week 4"
trainees = {trainees}
[[question]]
topic = "monitor mixes"
level = 1
[[question]]
topic = "delay for a distance"
level = 2
[[question]]
topic = "will it fit"
level = 1
"""


def class_file(folder: Path, trainees: object = 3, text: str = CLASS) -> Path:
    """A class file in a folder."""
    path = folder / "night.toml"
    shown = json.dumps(trainees, ensure_ascii=False)
    path.write_text(text.replace("{trainees}", shown), encoding="utf-8")
    return path


WITH_A_GIG = (
    CLASS
    + """
[[question]]
whole_gig = "tea_room_solo"
"""
)
"""The same class with a whole gig as its fourth question."""


def issued(made):
    """Every sheet that was issued, by pseudonym."""
    return {each.trainee: each for each in Record(made.record)}


def solved(sheet) -> list[str]:
    """Right answers, as typed."""
    return [str(problem.answer) for problem in sheet.problems]


def answer_toml(made, trainee: str, answers: list[str], to: Path | None = None) -> Path:
    """Copy the folder a trainee was given to where sheets are returned, and fill in its answer file."""
    to = to or made.returned / trainee
    shutil.copytree(made.handed_out / trainee, to)
    file = to / "answers.toml"
    text = file.read_text(encoding="utf-8")
    for n, answer in enumerate(answers, start=1):
        text = text.replace(f'\n{n} = ""', f"\n{n} = {json.dumps(answer, ensure_ascii=False)}")
    file.write_text(text, encoding="utf-8")
    return file


def answer_notebook(made, trainee: str, answers: list[str], to: Path | None = None) -> Path:
    """Fill in the notebook a trainee was given, and drop it alone where sheets are returned."""
    book = json.loads((made.handed_out / trainee / "worksheet.ipynb").read_text(encoding="utf-8"))
    cells = {cell["id"]: cell for cell in book["cells"]}
    for n, answer in enumerate(answers, start=1):
        if f"answer-{n}" not in cells:  # a whole gig, which has a file of its own
            continue
        cells[f"answer-{n}"]["source"] = [f"answer_{n} = {json.dumps(answer, ensure_ascii=False)}"]
    to = to or made.returned / f"{trainee}.ipynb"
    to.write_text(json.dumps(book, ensure_ascii=False), encoding="utf-8")
    return to


def answer_gig(made, trainee: str, n: int, answers: dict[str, Any], to: Path | None = None) -> Path:
    """Fill in the answer file of a whole gig that a trainee was given, and drop it alone where sheets are returned."""
    name = f"whole_gig_{n}.toml"
    table = tomllib.loads((made.handed_out / trainee / name).read_text(encoding="utf-8")) | answers
    file = (to or made.returned / trainee) / name
    file.parent.mkdir(exist_ok=True)
    file.write_text(tomlkit.dumps(table), encoding="utf-8")
    return file
