"""Worksheets and keys as pages: marks on every page, questions kept whole, nothing that only colour says."""

import re
from io import BytesIO

import pytest
from pypdf import PdfReader

from gigsums.sheets import Asked, Box, Grid, Solved, print_asked, print_solved
from pages import in_the_margin, texts

MANY = [
    Asked(
        scene=f"Scene {n} begins.",
        question=f"Question {n}, how many?",
        facts=tuple(f"Fact {n}.{k}" for k in range(n % 9)),
        write="Write a whole number.",
        boxes=(Box("Mixes"), Box("Delay", "ms")),
    )
    for n in range(1, 18)
]


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_variant_page_number_and_name_stand_on_every_page(paper):
    made = print_asked("Counting", MANY, variant="K7-Q2", who="Heron 7", paper=paper)
    read = texts(made.pdf)
    assert len(read) == made.pages > 3
    for n, page in enumerate(read, start=1):
        assert "Variant K7-Q2" in page
        assert f"Page {n} of {made.pages}" in page
        assert "Heron 7" in page
        assert "Counting" in page


def test_the_key_carries_its_variant_on_every_page_and_says_what_it_is():
    solved = [Solved(f"{n} mixes", workings=("One by one.",) * 5) for n in range(40)]
    made = print_solved("Counting", solved, variant="K7-Q2")
    read = texts(made.pdf)
    assert len(read) == made.pages > 1
    assert all("Variant K7-Q2" in page and "Key, not for trainees" in page for page in read)


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_a_question_that_fits_on_a_page_is_kept_on_one(paper):
    read = texts(print_asked("Counting", MANY, paper=paper).pdf)
    for n, asked in enumerate(MANY, start=1):
        page = next(each for each in read if f"Scene {n} begins." in each)
        whole = page[page.index(f"Scene {n} begins.") :]
        assert asked.question in whole
        assert all(fact in whole for fact in asked.facts)
        ends = [whole.index("Delay", whole.index(asked.question))]
        nexts = [m.start() for m in re.finditer("Scene", whole)][1:2]
        assert ends < nexts if nexts else ends


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
@pytest.mark.parametrize("facts", range(20, 44, 3))
def test_a_question_of_any_height_keeps_to_the_page(facts, paper):
    """Nothing runs into the foot of the page, whether the question was measured or taken to fit."""
    long = " ".join(["Fifteen letters"] * 12)
    for asked in (
        Asked(long, "How many?", facts=("Short.",) * facts, boxes=(Box("Mixes"), Box(choices=("yes", "no")))),
        Asked(long, "How many?", facts=(long,) * (facts // 2), caution=long, boxes=(Box("Mixes"),)),
        Asked(
            long,
            "?",
            grids=(Grid(("a", "b"), ((long, ""),) * (facts // 4), widths=(1, 2)),),
            lines=facts // 4,
        ),
    ):
        made = print_asked("C", [MANY[0], asked], paper=paper)
        assert in_the_margin(made.pdf) == []
    solved = Solved(
        "3", asked=long, workings=("Way.",) * (facts // 2), slips=((long[:60], long, long),) * (facts // 12)
    )
    assert in_the_margin(print_solved("C", [solved, solved], paper=paper).pdf) == []


def test_without_a_name_there_is_a_line_for_one_and_without_a_variant_no_word_of_it():
    read = texts(print_asked("Counting", [MANY[0]]).pdf)[0]
    assert "Name or pseudonym" in read
    assert "Variant" not in read


def test_minutes_and_number_of_questions_are_said():
    assert "17 questions, about 20 minutes." in texts(print_asked("C", MANY, minutes=20).pdf)[0]
    assert "1 question, about 1 minute." in texts(print_asked("C", MANY[:1], minutes=1).pdf)[0]


def test_a_table_prints_its_cells_and_leaves_empty_ones_to_write_in():
    grid = Grid(("Source", "Socket"), (("Kick", ""), ("Snare", ""), ("Hat", "")), "Places", (2, 1))
    read = texts(print_asked("C", [Asked("", "Fill it in.", grids=(grid,))]).pdf)[0]
    assert "Places Source Socket Kick Snare Hat" in read


def test_a_long_table_goes_over_pages_with_its_head():
    rows = tuple((f"Source {n}", "") for n in range(90))
    made = print_asked("C", [Asked("", "Fill it in.", grids=(Grid(("What it is", "Socket"), rows),))])
    read = texts(made.pdf)
    assert made.pages > 2
    assert sum("What it is" in page for page in read) >= made.pages - 1
    assert all(any(f"Source {n} " in f"{page} " for page in read) for n in range(90))


@pytest.mark.parametrize(
    "make", [lambda: print_asked("C", MANY, variant="V"), lambda: print_solved("C", [Solved("3")])]
)
def test_everything_is_black_on_white(make):
    """Every colour that the pages set is black: grey 0, or the three of RGB at 0."""
    for page in PdfReader(BytesIO(make().pdf)).pages:
        content = page.get_contents().get_data().decode("latin-1")
        colours = re.findall(r"((?:[\d.]+ )+)(?:g|G|rg|RG|k|K|scn?|SCN?)\s", content)
        assert colours
        assert {float(number) for colour in colours for number in colour.split()} == {0.0}


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ({"variant": "v" * 41}, "variant has 41 characters; it may have 40"),
        ({"who": "w" * 41}, "who has 41 characters; it may have 40"),
        ({"paper": "A4"}, "paper is 'A4'"),
    ],
)
def test_marks_that_do_not_fit_are_refused(words, said):
    with pytest.raises(ValueError, match=said):
        print_asked("C", MANY, **words)
    with pytest.raises(ValueError, match=said):
        print_solved("C", [Solved("3")], **words)


def test_a_sheet_without_questions_is_refused():
    with pytest.raises(ValueError, match="no question"):
        print_asked("C", [])


@pytest.mark.parametrize(
    ("rows", "widths", "said"),
    [((("a",),), (), "row 1 of the table"), ((("a", "b"),), (1,), r"widths are \(1,\); 2 are wanted")],
)
def test_a_table_that_does_not_square_is_refused(rows, widths, said):
    with pytest.raises(ValueError, match=said):
        Grid(("x", "y"), rows, widths=widths)
