"""Reading what trainees return: every kind of file is data, and none is more than that."""

import contextlib
import json
import os
import tracemalloc

import pytest

from gigsums.classes import NotAnswers, read_answers

TOML = 'format = 1\nclass = "Night"\ntrainee = "alder-100"\nvariant = "2222-3333"\n[answers]\n'


def toml(tmp_path, text, encoding="utf-8"):
    path = tmp_path / "answers.toml"
    path.write_bytes(text.encode(encoding))
    return read_answers(path)


def notebook(tmp_path, *cells, **more):
    whose = ["trainee = 'alder-100'\n", 'variant = "2222-3333"']
    book = {"cells": [{"cell_type": "code", "source": whose}, *cells], "nbformat": 4, **more}
    path = tmp_path / "worksheet.ipynb"
    path.write_text(json.dumps(book), encoding="utf-8")
    return read_answers(path)


def code(*lines):
    return {"cell_type": "code", "source": "\n".join(lines), "outputs": [], "metadata": {}}


def test_a_file_of_answers(tmp_path):
    read = toml(tmp_path, TOML + '1 = "4, 6"\n2 = ""\n3 = \'74,8 ms\'\n')
    assert (read.trainee, read.variant, read.class_name) == ("alder-100", "2222-3333", "Night")
    assert read.given == {1: "4, 6", 3: "74,8 ms"}
    assert not read.unread
    assert not read.remarks
    assert not read.blank


def test_a_notebook(tmp_path):
    read = notebook(
        tmp_path, code('answer_1 = "4, 6"'), code("answer_2 = ''"), code("answer_3 = '74,8 ms'  # ?")
    )
    assert (read.trainee, read.variant) == ("alder-100", "2222-3333")
    assert read.given == {1: "4, 6", 3: "74,8 ms"}
    assert not read.unread


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ('"4, 6"', "4, 6"),
        ("'4, 6'", "4, 6"),
        ('"4, 6" # sure', "4, 6"),
        ('"12\' 6\\""', "12' 6\""),
        ('"a # b"', "a # b"),
        ("“4, 6”", "4, 6"),
        ("4, 6", "4, 6"),
        ("74.8", "74.8"),
        ("-35.8 dB", "-35.8 dB"),
        ("4  # sure", "4"),
        ("fits with changes", "fits with changes"),
        ('"\\x34"', "\\x34"),
        ('"\\u0034"', "\\u0034"),
        ('f"{1}"', None),
        ('"4" + "6"', None),
        ('("4")', None),
        ('["4"]', None),
        ('"4", "6"', None),
        ('"4', None),
        ("__import__('os').system('x')", None),
        ("eval(input())", None),
        ('"""4"""', None),
        ("lambda: 4", "lambda: 4"),
    ],
)
def test_one_text_between_quotes_is_read_and_nothing_is_worked_out(tmp_path, typed, read):
    for found in (
        notebook(tmp_path, code(f"answer_2 = {typed}")),
        toml(tmp_path, TOML + f"1 = oops\n2 = {typed}\n"),
    ):
        assert found.given.get(2) == read
        assert (2 in found.unread) == (read is None)


def test_numbers_without_quotes_are_read_as_typed(tmp_path):
    read = toml(
        tmp_path, TOML + "1 = 74.80\n2 = -3\n3 = true\n4 = [4, 6]\n5 = 2026-01-01\n6 = 1e400\n7 = inf\n"
    )
    assert read.given == {1: "74.80", 2: "-3", 6: "1e400", 7: "inf"}
    assert set(read.unread) == {3, 4, 5}


def test_a_forgotten_quote_costs_one_remark_and_not_the_sheet(tmp_path):
    read = toml(tmp_path, TOML + '1 = "4, 6"\n2 = 74,8 ms\n3 = "5\n')
    assert read.given == {1: "4, 6", 2: "74,8 ms"}
    assert set(read.unread) == {3}
    assert (read.trainee, read.variant) == ("alder-100", "2222-3333")
    assert any("line by line" in each for each in read.remarks)


def test_two_answers_to_one_question_cancel_each_other(tmp_path):
    read = notebook(
        tmp_path, code('answer_1 = "4"', 'answer_1 = "5"'), code('answer_2 = "4"', 'answer_2 = "4"')
    )
    assert read.given == {2: "4"}
    assert read.unread == {1: "two different answers stand there"}


def test_only_code_cells_answer_and_comments_do_not(tmp_path):
    read = notebook(
        tmp_path,
        {"cell_type": "markdown", "id": "question-1", "source": 'answer_1 = "4"'},
        code('# answer_2 = "4"'),
    )
    assert read.blank
    assert set(read.prints) == {1}


def test_whose_it_is_cannot_be_said_twice(tmp_path):
    read = notebook(tmp_path, code('variant = "9999-9999"'))
    assert read.variant == "2222-3333"
    assert read.remarks == ("variant stands there twice",)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "latin-1"])
@pytest.mark.parametrize("newline", ["\n", "\r\n"])
def test_encodings_and_line_ends_of_every_editor(tmp_path, encoding, newline):
    read = toml(tmp_path, (TOML + '1 = "21 °C"\n').replace("\n", newline), encoding)
    assert read.given == {1: "21 °C"}
    assert bool(read.remarks) == (encoding == "latin-1")


def test_nothing_in_a_notebook_runs(tmp_path):
    canary = tmp_path / "canary"
    sly = f"__import__('pathlib').Path({str(canary)!r}).touch()"
    notebook(
        tmp_path, code(sly), code(f"answer_1 = {sly}"), code(f'answer_2 = f"{{{sly}}}"'), code(f"%run {sly}"),
        code(f"!touch {canary}"), {"cell_type": "code", "source": [f"answer_3 = {sly}"]},
        metadata={"kernelspec": {"argv": ["touch", str(canary)]}},
    )  # fmt: skip
    (tmp_path / "x.toml").write_text(TOML + f"1 = {sly}\n")
    read_answers(tmp_path / "x.toml")
    assert not canary.exists()


def nested(depth, opening, closing):
    return opening * depth + closing * depth


@pytest.mark.parametrize(
    ("name", "content", "why"),
    [
        ("a.zip", b"PK\x03\x04", "unpack it first"),
        ("a.tar.gz", b"\x1f\x8b", "unpack it first"),
        ("a.pickle", b"\x80\x04c__builtin__\neval\n", "neither a notebook"),
        ("a.py", b"print()", "neither a notebook"),
        ("a", b"", "neither a notebook"),
        ("a.ipynb", b"", "not a notebook"),
        ("a.ipynb", b"{}", "not a notebook"),
        ("a.ipynb", b"[]", "not a notebook"),
        ("a.ipynb", b"null", "not a notebook"),
        ("a.ipynb", b'{"cells": {}}', "not a notebook"),
        ("a.ipynb", b'{"cells": [4]}', "not a notebook"),
        ("a.ipynb", b'{"cells": [{"source": 4}]}', "not a notebook"),
        ("a.ipynb", b'{"cells": [{"source": [4]}]}', "not a notebook"),
        ("a.ipynb", b'{"cells": [' + b",".join([b'{"source": ""}'] * 1001) + b"]}", "1001 cells"),
        ("a.ipynb", nested(60, b"[", b"]"), "nested more than 50"),
        ("a.ipynb", nested(1_000_000, b"[", b"]"), "nested more than 50"),
        ("a.ipynb", nested(500_000, b'{"a":', b"}"), "nested more than 50"),
        ("a.ipynb", b"\x80\x04\x95", "not a notebook"),
        ("a.ipynb", b'{"cells": \0}', "NUL"),
        ("a.toml", b"", "no [answers]"),
        ("a.toml", b"answers = 4", "no [answers]"),
        ("a.toml", b"x = [" + nested(40_000, b"[", b"]") + b"]", "nested more than 50"),
        ("a.toml", b"\0" * 100, "NUL"),
        ("a.toml", b"\xff\xfe\x00", "NUL"),
        ("a.toml", b"hello there", "not a file of answers"),
        ("a.toml", b"#\n" * 30_000 + b"x", "30001 lines"),
        ("a.toml", b"#" * 100_001, "at most 0.1 MB"),
        ("a.ipynb", b" " * 5_000_001, "at most 5.0 MB"),
    ],
    ids=lambda value: str(value)[:30],
)
def test_what_is_no_sheet_of_answers_is_refused_with_a_reason(tmp_path, name, content, why):
    (tmp_path / name).write_bytes(content)
    with pytest.raises(NotAnswers) as refused:
        read_answers(tmp_path / name)
    assert why in str(refused.value)
    assert len(str(refused.value)) < 120


def test_a_gigabyte_is_not_read(tmp_path):
    path = tmp_path / "a.ipynb"
    with open(path, "wb") as file:
        file.truncate(1_000_000_000)
    tracemalloc.start()
    with pytest.raises(NotAnswers, match=r"1000\.0 MB"):
        read_answers(path)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak < 1_000_000


def test_numbers_of_ten_thousand_digits(tmp_path):
    digits = "9" * 10_000
    read = toml(tmp_path, TOML + f"1 = {digits}\n2 = '{digits}'\n3 = 0x{'f' * 5000}\n")
    assert all(set(read.given[n]) == {"9"} and len(read.given[n]) == 300 for n in (1, 2))
    (tmp_path / "w.ipynb").write_text(
        f'{{"nbformat": {digits}, "cells": [{{"source": "answer_1 = {digits}"}}]}}'
    )
    assert read_answers(tmp_path / "w.ipynb").blank  # no cell type: prose
    read = notebook(tmp_path, code(f"answer_1 = {digits}"))
    assert read.given == {1: digits[:300]}


@pytest.mark.skipif(os.name != "posix", reason="links, pipes and devices of POSIX systems")
def test_links_pipes_folders_and_devices_are_not_opened(tmp_path):
    (tmp_path / "real.toml").write_text(TOML + '1 = "4"')
    (tmp_path / "link.toml").symlink_to(tmp_path / "real.toml")
    (tmp_path / "device.toml").symlink_to("/dev/zero")
    (tmp_path / "folder.toml").mkdir()
    os.mkfifo(tmp_path / "pipe.toml")
    for name, why in (
        ("link", "a link"),
        ("device", "a link"),
        ("folder", "not a plain"),
        ("pipe", "not a plain"),
    ):
        with pytest.raises(NotAnswers, match=why):
            read_answers(tmp_path / f"{name}.toml")
    with pytest.raises(NotAnswers, match="cannot be read"):
        read_answers(tmp_path / "nowhere.toml")


@pytest.mark.parametrize(
    "text",
    [
        '{"cells": ["' + '\\"' * 1_000_000,
        '"' * 1_000_000,
        '["' * 24 + "\\" * 1_000_000,
        "{" * 40 + '"\\' * 1_000_000,
    ],
    ids=["escaped quotes", "quotes", "backslashes", "both"],
)
def test_no_text_makes_reading_slow(tmp_path, text):
    (tmp_path / "a.ipynb").write_text(text)
    with pytest.raises(NotAnswers):  # a search that starts over at each quote takes hours
        read_answers(tmp_path / "a.ipynb")


@pytest.mark.parametrize(
    "piece", ["a.", '"\\"', "'", "[[a]]\n", "a.b = 1\n", "x = {", "1 = '\n", "#\r", 'answer_1 = "\\']
)
def test_no_toml_makes_reading_slow(tmp_path, piece):
    (tmp_path / "a.toml").write_text(TOML + piece * (95_000 // len(piece)) + " = 1\n")
    with contextlib.suppress(NotAnswers):
        read_answers(tmp_path / "a.toml")
