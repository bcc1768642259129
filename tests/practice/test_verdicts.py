"""One reader of verdicts: what people type, read alike in questions and in whole gigs; what is open is none."""

import pytest

from gigsums.practice.marking import MALFORMED, RIGHT, VERDICTS, mark, verdict_in
from gigsums.practice.problems import Part
from gigsums.whole_gigs.answers import read_answers
from practice.test_marking import made

WRITTEN = {
    "fits with changes": (
        "Fits, with changes", "fits with change", "does fit with changes", "FITS WITH CHANGES!", "fits w/ changes",
        "It fits - with changes", "It fits—with changes", "fits – with changes", "With changes.", "yes, with changes",
        "Yes, but only with changes", "Does not fit as it stands, but with changes it does", "no, but fits with changes",
        "No, not without changes", "does not fit without changes", "fits with 2 changes", "fits_with_changes",
        "Fits (with changes)", "fits\nwith changes", "It will fit with some small changes", "fits if changed",
        "needs changes", "Fits, changes needed", "Fits with changes: mono for Ada", "with changes it fits",
        "fits with changes, otherwise it does not fit", "Without changes it doesn’t fit", "Fits, with changes and care",
    ),
    "does not fit": (
        "Does not fit.", "doesn't fit", "doesn’t fit", "doesnt fit", "no, it does not fit", "NO.", "it won’t fit",
        "can't fit", "cannot fit", "does not fit, because there are 8", "Does not fit as there are only 8 buses",
        "does not fit, even with changes", "doesn't fit with changes", "It does not fit: short of buses", "not fits",
        "the gig does not fit on this desk", "does not fit (buses short)",
    ),
    "fits": (
        "fits", "Fits.", "It fits", "yes", "Yes, it fits", "fits without changes", "Fits, no changes", "fits with 0 changes",
        "no changes needed", "It fits as it is", "does fit", "fits, there are 8 buses",
    ),
    "fits with care": ("Fits, with care", "It fits with care.", "fits (with care)", "yes, with care", "fits but with care"),
}  # fmt: skip
OPEN = (
    "maybe", "fits / does not fit", "fits or does not fit", "yes and no", "does not fit, with changes", "changes: none",
    "fits, changes: another desk", "Desk B", "the stage box would fit better", "fits, does not fit", "unfit", "0", "none",
)  # fmt: skip
CASES = [(text, verdict) for verdict, texts in WRITTEN.items() for text in texts]


@pytest.mark.parametrize(("text", "verdict"), CASES)
def test_a_verdict_is_read_alike_in_a_question_and_in_a_whole_gig(text, verdict):
    asked = made(Part(verdict, choices=VERDICTS), Part(3, name="mixes to go mono"), Part(9, name="buses"))
    assert mark(asked, f"{text}; 3; 9").outcome == RIGHT
    read = read_answers({"verdict": {"word": text}})
    assert (read.word, read.faults) == (verdict, ())


@pytest.mark.parametrize("text", OPEN)
def test_what_is_no_verdict_or_two_is_asked_for_again(text):
    assert verdict_in(text) == ""
    assert mark(made(Part("fits", choices=VERDICTS)), text).outcome == MALFORMED
    read = read_answers({"verdict": {"word": text}})
    assert read.word == ""
    assert "is none of fits, fits with care" in read.faults[0]


@pytest.mark.parametrize(
    "typed", ["Fits, with changes, 3, 9", "3; 9; fits, with changes", "No, it doesn’t fit, 3, 9"]
)
def test_commas_in_a_verdict_do_not_count_as_parts(typed):
    verdict = "does not fit" if "doesn" in typed else "fits with changes"
    asked = made(Part(verdict, choices=VERDICTS), Part(3, name="mixes to go mono"), Part(9, name="buses"))
    assert mark(asked, typed).outcome == RIGHT


def test_care_is_no_third_word_where_a_question_asks_for_two():
    asked = made(Part("fits", choices=("fits", "fits with changes", "does not fit")), Part(9, name="buses"))
    assert mark(asked, "It fits, with care; 9").outcome == RIGHT
