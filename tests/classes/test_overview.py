"""The numbers of an overview, against hand-worked classes and published procedures."""

import pytest
from scipy import stats

from gigsums.classes import marking as copying
from gigsums.classes.disk import as_csv, safe_cell
from gigsums.classes.marking import FEWEST, Keys, Marked, MarkedSheet, copies, groups, overview, pending
from gigsums.classes.record import Head
from gigsums.classes.results import MOST_ROWS, Cell, OverviewTable, in_parts
from gigsums.practice.marking import RIGHT, SLIP, WRONG
from gigsums.practice.problems import Part, RightAnswer
from gigsums.quantities import DELAY

HEAD = Head(
    "Night class", "Week 4", "a4", 40, "", 30,
    ({"topic": "a", "skill": "level", "level": 1}, {"topic": "b", "skill": "time", "level": 2}, {"topic": "c", "skill": "level", "level": 3}),
)  # fmt: skip


def sheet(name, worths, slips=()):
    marks = [pending("") if worth is None else Marked(RIGHT if worth else WRONG, worth) for worth in worths]
    for at, slip in slips:
        marks[at] = Marked(SLIP, 0.0, "", slip)
    return MarkedSheet(name, "2222-2222", f"{name}.toml", tuple(marks))


def seen(sheets, hints=None, copied=(), refused=(), missing=()):
    return overview(HEAD, sheets, hints or {}, copied, refused, missing)


def test_facility_is_the_share_of_the_marks():
    items = seen(
        [sheet("a", (1, 0, 1)), sheet("b", (1, 1, 0)), sheet("c", (1, 0, 0)), sheet("d", (1, 0, 0.5))]
    ).items
    assert [item.facility for item in items] == [1, 0.25, 0.375]


def test_discrimination_by_hand():
    """Of 20 sheets the best and the weakest 5 count (27 per cent of 20 is 5.4): worked by hand."""
    best = [sheet(f"a{n}", (1, 1, 1)) for n in range(5)]
    middle = [sheet(f"m{n}", (1, 1, 0)) for n in range(10)]
    weakest = [sheet(f"z{n}", (1 if n < 2 else 0, 0, 0)) for n in range(5)]
    items = seen([*middle, *weakest, *best]).items
    assert [item.discrimination for item in items] == [pytest.approx(1 - 2 / 5), 1.0, 1.0]


def test_a_question_that_the_weakest_get_right_discriminates_backwards():
    best = [sheet(f"a{n}", (1, 1, 0)) for n in range(10)]
    weakest = [sheet(f"z{n}", (0, 0, 1)) for n in range(10)]
    assert seen([*best, *weakest]).items[2].discrimination == -1


def test_discrimination_is_hidden_in_a_small_class():
    sheets = [sheet(f"a{n:02}", (1, 0, n % 2)) for n in range(FEWEST)]
    assert FEWEST == 20
    assert all(item.discrimination is None for item in seen(sheets[:-1]).items)
    assert all(item.discrimination is not None for item in seen(sheets).items)


@pytest.mark.parametrize("count", [20, 23, 30, 100, 301])
def test_groups_are_27_per_cent_and_whoever_is_level_at_the_border_shares(count):
    upper, lower = groups([float(n % 7) for n in range(count)])
    assert sum(upper) == pytest.approx(round(0.27 * count))
    assert sum(lower) == pytest.approx(round(0.27 * count))
    everyone = groups([3.0] * count)
    assert everyone[0] == everyone[1] == pytest.approx([round(0.27 * count) / count] * count)


def test_what_is_pending_is_in_no_number():
    """Worked by hand: of 24 sheets four have nothing for the third question, and it is as if they had not been asked."""
    best = [sheet(f"a{n}", (1, 1, 1)) for n in range(5)]
    middle = [sheet(f"m{n}", (1, 0, 1)) for n in range(10)]
    weakest = [sheet(f"z{n}", (0, 0, 0)) for n in range(5)]
    without = [sheet(f"p{n}", (1, 1, None)) for n in range(4)]
    found = seen([*best, *middle, *weakest, *without])
    third, alone = found.items[2], seen([*best, *middle, *weakest]).items[2]
    assert (third.facility, third.discrimination) == (alone.facility, alone.discrimination) == (0.75, 1)
    assert third.outcomes["pending"] == 4
    assert found.items[1].facility == 9 / 24
    assert (
        found.items[1].discrimination == 1
    )  # those four are among the best by what they have: 6 of 9, shared out
    one = next(each for each in found.sheets if each.trainee == "p0")
    assert (one.total, one.of, one.share, one.pending) == (2, 2, 1, (3,))
    assert found.skills(one) == {"level": (1, 1), "time": (1, 1)}
    assert (
        seen([*best, *middle, *weakest[1:], *without]).items[2].discrimination is None
    )  # nineteen have a mark


def test_a_slip_is_counted_among_those_who_have_a_mark_there():
    found = seen([sheet("a", (0, 1, 1), [(0, "Boxes")]), sheet("b", (1, 1, 1)), sheet("c", (None, 1, 1))])
    assert [(each.trainees, each.of) for each in found.slips] == [(1, 2)]


def test_the_order_of_names_decides_nothing():
    sheets = [sheet(f"s{n:02}", ((n * 7) % 3 > 0, n % 2, (n * 5) % 4 > 1)) for n in range(25)]
    renamed = [
        MarkedSheet(f"r{99 - n}", each.variant, each.file, each.marks) for n, each in enumerate(sheets)
    ]
    assert [i.discrimination for i in seen(sheets).items] == pytest.approx(
        [i.discrimination for i in seen(renamed).items]
    )


def test_skills_and_slips_are_counted():
    sheets = [
        sheet("a", (0, 0, 0), [(0, "Boxes"), (2, "Boxes")]),
        sheet("b", (1, 0, 0), [(1, "Feet"), (2, "Boxes")]),
        sheet("c", (1, 1, 0)),
    ]
    found = seen(sheets, {("c", "Boxes"): "Look again."})
    assert found.skills(found.sheets[1]) == {"level": (1, 2), "time": (0, 1)}
    assert [(each.name, each.topic, each.times, each.hint) for each in found.slips] == [
        ("Boxes", "c", 2, "Look again."), ("Boxes", "a", 1, ""), ("Feet", "b", 1, ""),
    ]  # fmt: skip


def test_an_empty_class_has_an_overview():
    found = seen([], missing=["b", "a"])
    assert [item.facility for item in found.items] == [None] * 3
    assert found.missing == ("a", "b")


# copies


def whole(number):
    return RightAnswer((Part(number, name="mixes"), Part(2 * number, name="buses")))


def quantity(value):
    return RightAnswer((Part(value, DELAY, share=0.02),))


def keys_of(count, questions, key):
    keys = Keys()
    for n in range(count):
        keys.add(f"t{n}", [key(n, q) for q in range(questions)])
    return keys


def test_the_chance_of_a_match_is_the_binomial_of_an_independent_library():
    for n, p in ((5, 1 / 29), (10, 0.2), (3, 1.0)):
        assert copying._tail([p] * n) == pytest.approx([stats.binom.sf(k - 1, n, p) for k in range(n + 1)])
    unlike = copying._tail([0.1, 0.5, 0.7])
    assert unlike[3] == pytest.approx(0.1 * 0.5 * 0.7)
    assert unlike[1] == pytest.approx(1 - 0.9 * 0.5 * 0.3)
    assert unlike[0] == pytest.approx(1)


@pytest.mark.parametrize("key", [lambda n, q: whole(n + 100 * q), lambda n, q: quantity(1.1**n * (1 + q))])
def test_a_copied_sheet_is_named_and_nobody_else(key):
    keys = keys_of(30, 10, key)
    copied = [(q, key(7, q - 1).values) for q in range(1, 11)]
    own = [(q, (1e6,) if len(key(0, 0).parts) == 1 else (999, 999)) for q in range(1, 11)]
    found = copies(keys, [("t3", copied), ("t4", own), ("t5", copied[:2])])
    assert [(each.trainee, each.other, each.questions, each.wrong) for each in found] == [
        ("t3", "t7", tuple(range(1, 11)), 10)
    ]


def test_keys_are_found_as_near_as_a_full_search_finds_them():
    def key(n, q):
        return quantity([10.0, 10.1, 10.3, 10.5, -10.0, 0.0, 5.0, 10.2][n])

    keys = keys_of(8, 1, key)
    for given in (10.0, 10.25, 9.8, 10.71, -10.1, 0.0, 1e-12, 1e9, -1e9, 5.1, 5.11):
        all_ = [n for n in range(8) if key(n, 0).near((given,), key(n, 0).values)]
        assert sorted(keys.fitting(1, (given,))) == all_, given


def test_what_many_keys_share_says_little():
    """Half of the class has the same key: three such matches are nothing to talk about."""
    keys = keys_of(30, 3, lambda n, q: whole(4 if n % 2 else 5))
    assert copies(keys, [("t0", [(1, (4, 8)), (2, (4, 8)), (3, (4, 8))])]) == []


@pytest.mark.parametrize(
    ("fitting", "of", "named"), [(2, 2, False), (3, 3, False), (4, 4, True), (4, 9, False), (5, 9, True)]
)
def test_how_much_evidence_is_enough_in_a_class_of_thirty(fitting, of, named):
    """Each match 1 in 29: over 30 x 29 pairs, the binomial tail of scipy says how many classes would show such a pair."""
    keys = keys_of(30, 10, lambda n, q: whole(n + 100 * q))
    alone = [(q, (9999, 1)) for q in range(1, of + 1)]
    wrong = [(q, whole(7 + 100 * (q - 1)).values if q <= fitting else (9999, 1)) for q in range(1, of + 1)]
    found = copies(keys, [("t3", wrong), *((f"t{n}", alone) for n in range(30) if n != 3)])
    assert bool(found) == named
    expected = stats.binom.sf(fitting - 1, of, 1 / 29) * 29 * 30
    assert named == (fitting >= 3 and expected < 0.01)
    assert not found or found[0].expected == pytest.approx(expected)


def test_whoever_could_hardly_be_named_hardly_counts():
    """Trainees with 3, 5, 7 and 9 wrong answers, each match 1 in 29: of each, the likeliest tail that is no likelier."""
    keys = keys_of(30, 10, lambda n, q: whole(n + 100 * q))
    copied = [(q, whole(7 + 100 * (q - 1)).values) for q in range(1, 5)]
    wrong = {n: [(q, (9999, 1)) for q in range(1, k + 1)] for n, k in ((11, 3), (12, 5), (13, 7), (14, 9))}
    found = copies(keys, [("t3", copied), *((f"t{n}", answers) for n, answers in wrong.items())])
    p = stats.binom.sf(3, 4, 1 / 29)
    reached = [[stats.binom.sf(n - 1, k, 1 / 29) for n in range(3, k + 1)] for k in (4, 3, 5, 7, 9)]
    expected = 29 * sum(max((each for each in tail if each <= p * 1.000001), default=0) for tail in reached)
    assert [(each.trainee, each.other) for each in found] == [("t3", "t7")]
    assert found[0].expected == pytest.approx(expected)


def test_words_and_numbers_are_both_looked_up():
    def key(n, q):
        words = ("fits", "fits with changes", "does not fit")
        return RightAnswer((Part(words[n % 3], choices=words), Part(n, name="mixes")))

    keys = keys_of(9, 1, key)
    assert list(keys.fitting(1, ("fits with changes", 4))) == [4]
    assert list(keys.fitting(1, ("fits", 4))) == []
    assert list(keys.fitting(1, (4,))) == []


# cells


@pytest.mark.parametrize(
    ("value", "cell"),
    [
        ("=1+1", "'=1+1"), ("+1+1", "'+1+1"), ("-1+1", "'-1+1"), ("@SUM(A1)", "'@SUM(A1)"), ("\t=1", "' =1"), ("\r=1", "' =1"),
        (" =1", "' =1"), ("\n=1", "' =1"), ("＝1", "'＝1"), ("-", "'-"), ("-12.5", "-12.5"), ("-12,5", "-12,5"), ("−3", "-3"), ("+3", "+3"),
        ("-1e5", "-1e5"), ("-5 dB", "'-5 dB"), ("a=1", "a=1"), ("", ""), (None, ""), (0, "0"), (-3, "-3"), (0.5, "0.5"), (-0.25, "-0.25"),
        ("a\nb", "a b"), ("\ud800x", " x"), ("x\x00y", "x y"),
    ],
)  # fmt: skip
def test_cells_that_a_spreadsheet_would_run_are_text_and_numbers_are_numbers(value, cell):
    assert safe_cell(value) == cell


def test_a_csv_is_read_back_as_it_was_meant():
    import csv
    import io

    rows = [["a,b", 'c"d', "=1", -2]]
    assert list(csv.reader(io.StringIO(as_csv(["x", "y", "z", "n"], rows)))) == [
        ["x", "y", "z", "n"], ["a,b", 'c"d', "'=1", "-2"],
    ]  # fmt: skip


# printed parts


def test_a_long_overview_is_printed_in_parts_and_every_row_stands_in_one():
    def row(n):
        return (Cell(f"t{n}"), Cell("1 of 2", 0.5))

    whole = [
        OverviewTable("Few", "Word.", ("a", "b"), tuple(row(n) for n in range(3)), (1, 1)),
        OverviewTable("None", "Alone."),
        OverviewTable("Many", "Word.", ("a", "b"), tuple(row(n) for n in range(3, 1000)), (1, 1)),
    ]
    parts = in_parts(whole)
    assert [sum(len(each.rows) for each in part) <= MOST_ROWS for part in parts] == [True] * 3
    rows = [row[0].text for part in parts for each in part for row in each.rows]
    assert rows == [f"t{n}" for n in range(1000)]
    assert [each.title for part in parts for each in part] == [
        "Few",
        "None",
        "Many",
        "Many, continued",
        "Many, continued",
    ]
    assert [each.prose for part in parts for each in part] == ["Word.", "Alone.", "Word.", "", ""]
    assert in_parts(whole[:2]) == [whole[:2]]
