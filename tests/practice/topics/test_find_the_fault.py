"""Find the fault: what is called right or wrong in a patch is what the judge of placements finds so."""

import pytest

from gigsums.practice import mark, problem
from gigsums.practice.drawing import Draw
from gigsums.practice.topics import judging as topic
from gigsums.sizing import check_placement

SAYS = {
    topic.TWICE: "used 2 times",
    topic.KIND: "microphone inputs",
    topic.PAIR: "an odd bus with the next even one",
    topic.TAP: "the fader",
    topic.ABSENT: "this desk has no",
}


def judged(rows, gig, desk):
    places = [place for row in rows for place in row.places]
    return check_placement(gig, desk, [*places, *topic.units_unlisted(gig)])


def agrees(seed):
    """The fault drawn, once the judge has found it, and nothing wrong with the patch before."""
    made = topic.FIND_THE_FAULT.build(Draw("trial of patches", seed), 1 + seed % 3)
    gig, desk, rows = (made.shown[key] for key in ("gig", "desk", "patch"))
    whole, _ = topic.patch(gig)
    assert judged(whole, gig, desk).legal
    line, fault = made.answer.values
    found = judged(rows, gig, desk)
    assert found.legal == (fault == topic.NOTHING)
    if line:
        said = [reason.text() for reason in found.faults]
        assert any(SAYS[fault] in text for text in said), said
        assert rows[line - 1] != whole[line - 1]
    return fault


def test_faults_are_those_of_the_judge():
    assert {agrees(seed) for seed in range(40)} == set(topic.FAULTS)


@pytest.mark.thorough
def test_faults_are_those_of_the_judge_for_many():
    for seed in range(40, 400):
        agrees(seed)


def test_a_half_that_is_right_is_named():
    asked = problem("find the fault", seed=5, level=1)
    line, fault = asked.answer.values
    other = next(
        word for word in topic.FAULTS if word != fault and (line, word) not in {s.values for s in asked.slips}
    )
    assert "Right so far: the number. The rest is not." in mark(asked, f"{line}; {other}").message
