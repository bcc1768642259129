"""Published values: the toolkit works out what is printed, and the printing is one of those on record."""

import csv
from pathlib import Path

import pytest

from gigsums.catalogue import CATALOGUE
from gigsums.practice import PUBLISHED, mark, published
from gigsums.practice.sums import published_problem
from gigsums.quantities import read

RECORDS = Path(__file__).parents[1] / "reference"
ON_RECORD = {  # file of tests/reference, a word of the source and of the inputs, and the value there
    "two equal sources": ("decibels.csv", "Davis & Patronis", "90 dB; 90 dB", "93"),
    "two unequal sources": ("decibels.csv", "Davis & Patronis", "90 dB; 96 dB", "96.97"),
    "five decibels apart": ("speakers.csv", "Farina", "80 dB; 85 dB", "86.2"),
    "a room in feet, 1 kHz": ("rooms.csv", "Everest", "A=339.5 sabin", "0.54"),
    "a room in feet, 125 Hz": ("rooms.csv", "Everest", "A=370.4 sabin", "0.49"),
    "four distances": ("feedback.csv", "Boner & Boner", "D0=7; Ds=1; D1=4; D2=6", "13.5"),
    "twenty microphones": ("feedback.csv", "magazine column on PAG/NAG", "NOM=20", "13"),
    "three tasks in a day": ("exposure.csv", "ISO 9612:2009 Annex D", "70.0 dB(A) 1.5 h; 80.8", "84.3"),
    "eighty-eight decibels, NIOSH": ("exposure.csv", "CDC/NIOSH sound level meter", "TWA=88 dBA", "240"),
    "ninety-five decibels, OSHA": ("exposure.csv", "29 CFR 1910.95(b) Table G-16", "L=95 dBA", "4"),
    "ninety-two decibels, OSHA": ("exposure.csv", "29 CFR 1910.95(b) Table G-16", "L=92 dBA", "6"),
    "eighty-six decibels, EU lower": ("exposure.csv", "SCENIHR 2008 Table 3", "level=80 dB(A); L=86", "2"),
    "four octaves wide": ("equalisers.csv", "W3C Audio WG Note", "", "1/Q = 2 sinh"),
    "European line-up": ("decibels.csv", "EBU R68, read in a summary", "", "-18 dBFS = 0.775 V"),
}


def printed(name):
    """The printed answer [unit of the answer's half step], and the toolkit's in the same unit."""
    each = PUBLISHED[name]
    kind = CATALOGUE[each.calculator].main.kind
    return read(each.answer, kind, check=False), published_problem(name).answer.value


@pytest.mark.parametrize("name", PUBLISHED)
def test_the_toolkit_works_out_what_is_printed(name):
    is_printed, worked = printed(name)
    assert worked == pytest.approx(is_printed, abs=PUBLISHED[name].half_step * (1 + 1e-9))


@pytest.mark.parametrize("name", PUBLISHED)
def test_what_is_printed_is_right_and_every_slip_is_itself(name):
    asked = published(name)
    assert asked.check(PUBLISHED[name].answer).good
    for slip in asked.problem.slips:
        given = f"{asked.problem.answer.show(slip.values)}"
        assert mark(asked.problem, given).slip == slip.name


@pytest.mark.parametrize("name", PUBLISHED)
def test_the_citation_is_one_on_record(name):
    file, source, inputs, value = ON_RECORD[name]
    with (RECORDS / file).open(newline="", encoding="utf-8") as handle:
        found = [row for row in csv.DictReader(handle) if source in row["source"] and inputs in row["inputs"]]
    assert any(row["expected"].startswith(value) and "read" in row["how_known"] for row in found)


def test_a_remark_stands_where_the_last_figure_differs():
    for name, each in PUBLISHED.items():
        shown = published_problem(name).answer.show()
        is_printed, worked = printed(name)
        if abs(worked - is_printed) > 0.01 * abs(is_printed) or "ft" in str(each.given):
            assert each.remark, (name, shown)


def test_an_unknown_name_is_refused_with_those_near_it():
    with pytest.raises(ValueError, match="did you mean two equal sources"):
        published("two equal source")
