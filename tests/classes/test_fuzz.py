"""The readers under a hundred thousand inputs that nobody would write: answers or a refusal, and nothing else."""

import json
import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gigsums.classes.answers import Answers, NotAnswers, _from_notebook, _from_toml, read_answers

READERS = {".toml": _from_toml, ".ipynb": _from_notebook}
TOML = b"""\xef\xbb\xbf# Answers.\r
format = 1
class = "Night"
trainee = "alder-100"
variant = "2222-3333"
[answers]
1 = "4, 6"  # mixes
2 = '74,8 ms'
3 = 12.5
4 = \xe2\x80\x9cfits\xe2\x80\x9d
"""
NOTEBOOK = json.dumps(
    {
        "cells": [
            {"cell_type": "markdown", "id": "question-1", "metadata": {}, "source": ["# One\n", "a"]},
            {"cell_type": "code", "id": "whose", "source": ['trainee = "alder-100"\n', 'variant = "2222-3333"'], "outputs": []},
            {"cell_type": "code", "id": "answer-1", "source": 'answer_1 = "4, 6"', "outputs": [{"text": "1"}]},
            {"cell_type": "code", "id": "answer-2", "source": ["answer_2 = '74,8 ms'  # \\u00e9"], "execution_count": 1e3},
        ],
        "metadata": {"kernelspec": {"name": "python3"}}, "nbformat": 4, "nbformat_minor": 5,
    }
).encode()  # fmt: skip
PIECES = [
    b"[", b"]", b"{", b"}", b'"', b"'", b"\\", b"\n", b"\r", b"\0", b"=", b"#", b",", b".", b"[[", b"]]", b'"""', b"'''", b"\\u0000",
    b"\\ud800", b"\xff\xfe", b"\xef\xbb\xbf", b"\xe9", b"\xf0\x9f\x8e\xb8", b"9" * 400, b"[" * 60, b"a." * 60, b"inf", b"nan", b"1e999",
    b"0x", b"-", b"null", b"true", b"answer_1 = ", b"trainee = ", b"variant = ", b"1 = ", b'"cells":', b'"source":', b"1979-05-27T07:32:00Z",
    b"\xe2\x80\xa8", b"\x1b[31m", b"\x7f", b"__import__('os')", b"answer_999 = 1\n",
]  # fmt: skip
SEEDS = {".toml": TOML, ".ipynb": NOTEBOOK}


def harmless(suffix, raw):
    """Read one input. Whatever it is, there is an answer or a refusal; the answer is text of bounded size."""
    try:
        read = READERS[suffix](raw)
    except NotAnswers as refused:
        reason = str(refused)
    else:
        reason = ""
    if reason:
        assert len(reason) < 200
        return False
    assert isinstance(read, Answers)
    assert isinstance(read.trainee, str)
    assert isinstance(read.variant, str)
    assert not set(read.given) & set(read.unread)
    for n, text in read.given.items():
        assert 0 <= n <= 100
        assert isinstance(text, str)
        assert 0 < len(text) <= 300
    return True


def changed(raw, draw):
    """A file with a few changes of bytes or of structure."""
    raw = bytearray(raw)
    for _ in range(draw.choice((1, 1, 2, 3, 8))):
        at = draw.randrange(len(raw) + 1)
        what = draw.randrange(6)
        if what == 0:
            raw[at:at] = draw.choice(PIECES)
        elif what == 1:
            del raw[at : at + draw.choice((1, 2, 5, 40, 400))]
        elif what == 2 and at < len(raw):
            raw[at] = draw.randrange(256)
        elif what == 3:
            raw[at:at] = raw[draw.randrange(len(raw) + 1) :][: draw.choice((1, 10, 100))]
        elif what == 4:
            raw[at : at + draw.choice((1, 4, 20))] = draw.choice(PIECES)
        elif what == 5:
            raw = raw[:at] if draw.random() < 0.2 else raw[at:] + raw[:at] if draw.random() < 0.2 else raw
    return bytes(raw)


def fuzzed(suffix, count, seed):
    draw = random.Random(seed)
    return sum(harmless(suffix, changed(SEEDS[suffix], draw)) for _ in range(count))


@pytest.mark.parametrize("suffix", READERS)
def test_changed_files_are_read_or_refused(suffix):
    assert harmless(suffix, SEEDS[suffix])
    read = fuzzed(suffix, 1500, "few")
    assert 150 < read < 1500  # both ways are taken


@pytest.mark.thorough
@pytest.mark.parametrize("suffix", READERS)
@pytest.mark.parametrize("seed", range(5))
def test_a_hundred_thousand_changed_files_are_read_or_refused(suffix, seed):
    assert 1000 < fuzzed(suffix, 10_000, seed) < 10_000


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20),
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(
            st.sampled_from(["cells", "source", "cell_type", "id", "metadata", "x"]), inner, max_size=4
        )
    ),
    max_leaves=12,
)
LINE = st.one_of(
    st.text(max_size=60),
    st.builds("answer_{} = {}".format, st.integers(0, 1200), st.text(max_size=30)),
    st.builds('answer_{} = "{}"'.format, st.integers(0, 12), st.text(max_size=30)),
    st.builds("{} = {}".format, st.integers(0, 1200), st.text(max_size=30)),
    st.builds(
        '{} = "{}"'.format, st.sampled_from(["trainee", "variant", "class", "1", "2"]), st.text(max_size=20)
    ),
)
CELL = st.fixed_dictionaries(
    {
        "cell_type": st.sampled_from(["code", "markdown", "raw"]),
        "source": st.lists(LINE, max_size=5).map("\n".join),
    }
)


@given(st.binary(max_size=300), st.sampled_from(sorted(READERS)))
def test_any_bytes(raw, suffix):
    harmless(suffix, raw)


@given(JSON | st.builds(lambda cells: {"cells": cells}, st.lists(CELL | JSON, max_size=4)))
def test_any_json(value):
    harmless(".ipynb", json.dumps(value).encode("utf-8", "surrogatepass"))


@given(st.lists(LINE, max_size=8), st.booleans())
def test_any_lines(lines, headed):
    text = "\n".join([*(["[answers]"] if headed else []), *lines])
    harmless(".toml", text.encode("utf-8", "surrogatepass"))


@pytest.mark.thorough
@settings(max_examples=5000)
@given(st.lists(CELL, max_size=4), st.lists(LINE, max_size=8))
def test_many_cells_and_lines(cells, lines):
    harmless(".ipynb", json.dumps({"cells": cells}).encode("utf-8", "surrogatepass"))
    harmless(".toml", "\n".join(["[answers]", *lines]).encode("utf-8", "surrogatepass"))


def test_what_is_fuzzed_is_what_is_used(tmp_path, monkeypatch):
    for suffix, reader in READERS.items():
        path = tmp_path / f"x{suffix}"
        path.write_bytes(SEEDS[suffix])
        assert read_answers(path) == reader(SEEDS[suffix])
