"""Whatever is typed into a field: it says what it wants, keeps what was typed, and an old answer is shown as old."""

from __future__ import annotations

import math
from itertools import count

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gigsums.catalogue import CATALOGUE
from gigsums.quantities import Kind
from gigsums.views import Form, show

NUMBERS = count()
ALWAYS_BAD = (
    "loud", "Distance: 18 m", "18 m or so", "1,2.3", "1.2,3", "1..2", "1 2", "--3", "+-3", "1e3.5", "nan", "inf",
    "12 furlongs", "=1+1", "<b>1</b>", "1/0", "½ of it", "9" * 5000, "\u0000", "💥",
)  # fmt: skip


def typed(panel, name, text):
    """What a hand does in the view, and what the view is told."""
    panel.asked = {
        "by": f"v {next(NUMBERS)}", "light": False, "texts": {name: text}, "units": {}, "nudges": {},
    }  # fmt: skip
    return panel.state


def outside(each):
    """Texts below and above the range of a field, in its base unit; a whole number in between is not among them."""
    kind = each.kind
    texts = []
    if math.isfinite(kind.least):
        texts.append(f"{kind.least - max(1, abs(kind.least)):f}")
    if math.isfinite(kind.most):
        texts.append(f"{kind.most + max(1, abs(kind.most)):f}")
    return [f"{text} {kind.base.name}" for text in texts]


def bad_for(calculator, each):
    texts = [*ALWAYS_BAD, *outside(each)]
    if each.name in calculator.needed:
        texts += ["", "   "]
    if each.kind.least >= 0:
        texts.append("-5")
    if each.kind.whole:
        texts.append("2.5")
    return texts


@pytest.mark.parametrize("key", CATALOGUE)
def test_each_field_of_each_calculator_refuses_in_one_line_and_shows_the_answer_as_old(key):
    calculator, panel = CATALOGUE[key], show(key)
    good = dict(panel.state)
    for each in calculator.inputs:
        if not isinstance(each.kind, Kind):
            continue
        before = panel.state["fields"][each.name]["text"]
        for text in bad_for(calculator, each):
            state = typed(panel, each.name, text)
            field = state["fields"][each.name]
            assert field["text"] == text
            assert state["old"], (each.label, text)
            wrong = field["wrong"]
            assert 10 < len(wrong) < 260, (each.label, text, wrong)
            assert "\n" not in wrong
            assert "; type " in wrong
            assert state["answer"] == good["answer"]
            assert (state["moved"], state["words"]) == (good["moved"], good["words"])
            assert state["said"].startswith(f"old answer: {good['answer']['line']} ({each.label}: ")
            others = {name: now for name, now in state["fields"].items() if name != each.name}
            assert not any(now["wrong"] for now in others.values())
        state = typed(panel, each.name, before)
        assert not state["old"]
        assert state["said"] == good["answer"]["line"]
        assert state["answer"] == good["answer"]
        good = dict(state)  # the same picture, drawn anew: its parts have other names


@pytest.mark.thorough
@pytest.mark.parametrize("key", CATALOGUE)
def test_a_pasted_quantity_is_read_with_its_unit_spaces_and_decimal_comma(key):
    """The same value typed in other ways gives the same answer."""
    calculator = CATALOGUE[key]
    for each in calculator.inputs:
        if not isinstance(each.kind, Kind) or each.default is None:
            continue
        panel = show(key)
        text, unit = (panel.state["fields"][each.name][part] for part in ("text", "unit"))
        typed(panel, each.name, text)
        number = panel.form.values[calculator.main.name]
        ways = [f" {text} ", f"\u00a0{text}\t", text.replace("−", "-")]
        ways += [f"{text} {unit}", f"{text}{unit}", f"{text}\u202f{unit}"]
        if "." in text:
            ways.append(text.replace(".", ","))
        for way in ways:
            state = typed(panel, each.name, way)
            assert not state["old"], (each.label, way, state["fields"][each.name]["wrong"])
            assert state["fields"][each.name]["text"] == way
            assert panel.form.values[calculator.main.name] == number


TEXTS = st.one_of(
    st.sampled_from(
        [*ALWAYS_BAD, "", " ", "-5", "0", "1e-9", "18,5", "18.5 m", "60 ft", "1 h 30 min", "1/3"]
    ),
    st.text(max_size=12),
    st.floats(-1e6, 1e6).map(lambda value: f"{value:.3g}"),
)


@settings(max_examples=100, deadline=None)
@given(st.data())
def test_an_answer_is_new_only_while_every_field_can_be_read(data):
    """In any order, in any field: old or new is told apart, and the last good answer is the one that is shown."""
    key = data.draw(st.sampled_from(list(CATALOGUE)))
    panel, names = show(key), [each.name for each in CATALOGUE[key].inputs]
    shown, last = dict(panel.form.texts), panel.state["answer"]
    for _ in range(data.draw(st.integers(1, 8))):
        name, text = data.draw(st.sampled_from(names)), data.draw(TEXTS)
        shown[name] = text
        state = typed(panel, name, text)
        assert {each: now["text"] for each, now in state["fields"].items()} == shown
        alone = Form(key)  # in which the same is typed at once
        alone.fill(texts=shown)
        assert state["old"] == alone.old
        assert state["old"] == (
            bool(state["trouble"]) or any(now["wrong"] for now in state["fields"].values())
        )
        if state["old"]:
            assert state["answer"] == last
            assert state["said"].startswith("old answer: ")
        else:
            last = state["answer"]
            assert last["line"] == alone.line
            assert not state["said"].startswith("old")
