"""The pocket card: one page at its true scale, large enough to read, its values those of outside tables."""

import re
from io import BytesIO

import pytest
from pypdf import PdfReader

from gigsums.sheets import PAPERS, print_card
from gigsums.sheets.card import card_sums
from pages import lines_of, off_the_paper, sizes_mm, text
from published import half_step, reference

SUMS = {each.name: {row[0]: row[1:] for row in each.rows} for each in card_sums()}
MM = 72 / 25.4


def row(name, line):
    return [float(value.replace("−", "-")) for value in SUMS[name][line]]


@pytest.mark.parametrize("paper", PAPERS)
def test_it_is_one_page_with_ten_sums_and_the_cautions(paper):
    made = print_card(paper)
    read = text(made.pdf)
    assert made.pages == len(PdfReader(BytesIO(made.pdf)).pages) == 1
    assert made.missing == ()
    for n, each in enumerate(card_sums(), start=1):
        assert f"{n} {each.name}" in read
        assert each.rule in read
        assert each.mind in read
        assert all(" ".join(line) in read for line in each.rows)
    assert n == 10
    for caution in ("Hearing. Loud sound harms it", "Never lift a protective earth", "licensed rigger"):
        assert caution in read
    assert off_the_paper(made.pdf) == []


@pytest.mark.parametrize(("paper", "said"), [("a4", "105 × 148.5 mm"), ("us-letter", "108 × 139.7 mm")])
def test_it_says_the_size_of_its_quarters(paper, said):
    pdf = print_card(paper).pdf
    wide, high = (float(number) for number in said.removesuffix(" mm").split(" × "))
    assert said in text(pdf)
    ((page_wide, page_high),) = sizes_mm(pdf)
    assert (2 * wide, 2 * high) == pytest.approx((page_wide, page_high), abs=0.11)


@pytest.mark.parametrize("paper", PAPERS)
def test_the_check_rule_is_50_mm_and_no_letter_is_too_small(paper):
    (page,) = PdfReader(BytesIO(print_card(paper).pdf)).pages
    content = page.get_contents().get_data().decode("latin-1")
    lengths = [float(x) / MM for x in re.findall(r"0 0 m ([\d.]+) 0 l\s", content)]
    assert 50 in [pytest.approx(length, abs=0.01) for length in lengths]
    sizes = [float(size) for size in re.findall(r"/f\d+ ([\d.]+) Tf", content)]
    assert len(sizes) > 100
    assert min(sizes) >= 8.5


def test_every_quarter_keeps_to_itself():
    """Text of one quarter never begins in another: ten names, in their places."""
    (page,) = PdfReader(BytesIO(print_card().pdf)).pages
    found = {}

    def look(line, cm, tm, _font, size):
        if size > 13:
            found[" ".join(line.split())] = (
                cm[4] < page.mediabox.width / 2,
                cm[5] > page.mediabox.height / 2,
            )

    page.extract_text(visitor_text=look)
    for n, each in enumerate(card_sums(), start=1):
        place = next(where for name, where in found.items() if each.name in name)
        quarter = 0 if n == 1 else (n + 1) // 3
        assert place == [(True, True), (False, True), (True, False), (False, False)][quarter], each.name


@pytest.mark.parametrize("paper", PAPERS)
def test_nothing_comes_near_the_folds_and_the_edges(paper):
    ((wide, high, lines),) = lines_of(print_card(paper).pdf)
    assert len(lines) > 100
    for line, left, up, size in lines:
        along, over = left % (wide / 2), up % (high / 2)
        assert along > 5 * MM, line
        assert 5 * MM < over < high / 2 - 5 * MM - 0.6 * size, line


def table(name, key, line):
    return dict(zip(row(name, key), row(name, line), strict=True))


def test_minutes_are_those_of_the_published_table():
    """NIOSH's levels and durations, as quoted with their source in tests/reference/exposure.csv."""
    minutes = table("Ears", "dBA", "Minutes")
    rows = reference("exposure.csv", "maximum duration, NIOSH REL (85 dBA, 8 h, 3 dB exchange)")
    rows = [each for each in rows if each.named["L"] in minutes]
    assert len(rows) >= 4
    for each in rows:
        assert 60 * minutes[each.named["L"]] == half_step(each)


def test_adding_levels_is_that_of_the_published_sums():
    """90 dB and 90 dB make 93, 90 and 96 make 96.97: Davis and Patronis, see tests/reference/decibels.csv."""
    add = table("Adding levels", "dB apart", "dB to add")
    assert add[0] == pytest.approx(3, abs=0.05)
    assert add[6] == pytest.approx(0.97, abs=0.05)


def test_delays_are_those_of_the_usual_speed_of_sound():
    """343.2 m/s at 20 °C, computed here: no table was looked up."""
    metres = row("Delay", "Metres")
    assert row("Delay", "Delay, ms") == pytest.approx([1000 * m / 343.2 for m in metres], abs=0.51)
    assert row("Delay", "and 10 ms") == pytest.approx([10 + 1000 * m / 343.2 for m in metres], abs=0.51)


def test_other_rows_agree_with_sums_on_the_fingers():
    """6 dB a doubling and 20 dB for ten times; power half of that; a half wave of sound at 343 m/s; Ohm; 0.8."""
    far = table("Level over distance", "Times as far", "dB")
    assert [far[n] for n in (2, 4, 8, 16)] == pytest.approx([-6, -12, -18, -24], abs=0.11)
    assert far[10] == -20
    watts, volts = (table("Watts and volts", "Times", line) for line in ("Watts, dB", "Volts, dB"))
    assert (watts[10], watts[100], volts[10], volts[100]) == (10, 20, 20, 40)
    assert [2 * watts[n] for n in (2, 3, 4, 5, 8)] == pytest.approx(
        [volts[n] for n in (2, 3, 4, 5, 8)], abs=0.11
    )
    fewer = table("Open microphones", "Open", "dB less")
    assert [fewer[n] for n in (2, 4, 8, 16)] == [3, 6, 9, 12]
    assert [fewer[12] - fewer[6], fewer[6] - fewer[3]] == pytest.approx([3, 3], abs=0.11)
    assert table("Three to one", "Times as far", "Leaks, dB")[3] == -9.5
    gaps = table("One sound twice", "Metres longer", "First gap, Hz")
    assert [gap * metres for metres, gap in gaps.items()] == pytest.approx([171.6] * 6, rel=0.006)
    for ohms in (4, 8, 16):
        loads = table("Boxes on one channel", "Boxes", f"of {ohms} Ω, Ω")
        assert [load * boxes for boxes, load in loads.items()] == pytest.approx([ohms] * 4, abs=0.11)
    assert row("Load on a circuit", "230 V, VA") == [
        184 * amps for amps in row("Load on a circuit", "Amperes")
    ]
    assert row("Load on a circuit", "120 V, VA") == [
        96 * amps for amps in row("Load on a circuit", "Amperes")
    ]
