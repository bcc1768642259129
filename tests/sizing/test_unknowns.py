"""Counts that are not settled, a click that may not leak, a second desk for the monitors, and the clock."""

from __future__ import annotations

import pytest

from gigs import desk, gig, singers
from gigsums.gig import BadFile
from gigsums.sizing import compare, fit, needs, questions, report, smallest_changes
from gigsums.sizing.report import study_json

OPEN = """
[[performer]]
name = "Choir"
sources = [
  { name = "Stands", by = "mic", count = { least = 2, most = 6 } },
  { name = "Soloists", by = "mic", count = { least = 1, most = 2 } },
]
"""


def test_only_the_question_that_changes_the_verdict_matters():
    """Eight preamps: 6 + 2 leave no spare, 2 + 2 leave four; 6 + 1 leave the one that seven inputs want."""
    asked = questions(gig(OPEN), desk(inputs="mic = 8"))
    assert {q.name: (q.at_least, q.at_most) for q in asked} == {
        "Stands": ("fits with care", "fits with care"),
        "Soloists": ("fits with care", "fits with care"),
    }
    assert not any(q.matters for q in asked)
    tight = questions(gig(OPEN), desk(inputs="mic = 7"))
    assert [q.name for q in tight if q.matters] == ["Stands", "Soloists"]
    assert tight[0].text().startswith("How many of Stands?")


def test_at_least_none_leaves_it_out():
    text = OPEN.replace("least = 2, most = 6", "least = 0, most = 6")
    stands = questions(gig(text), desk(inputs="mic = 4"))[0]
    assert (stands.name, stands.at_least != stands.at_most) == ("Stands", True)


def test_nothing_open_nothing_asked():
    assert questions(gig(singers(2)), desk()) == ()


CLICK = '[[line]]\nname = "Click"\nto_mains = false\nheard_in = [{where}]\n'


@pytest.mark.parametrize("where", ['"mains"', '"Back"', '"Stream"'])
def test_a_click_sent_to_the_public_is_refused(where):
    text = CLICK.format(where=where) + '[[zone]]\nname = "Back"\n[[feed]]\nname = "Stream"\n'
    with pytest.raises(BadFile, match="reaches the public"):
        gig(text)


def test_a_click_kept_to_a_mix_is_a_care_that_names_it():
    it = fit(
        gig(singers(1, 'through = "in-ears"') + CLICK.format(where='"M0"')),
        desk("[[mix_buses]]\ncount = 4\n"),
    )
    assert it.placement == "fits"
    assert any("Click" in care.rule and "never to the mains" in care.rule for care in it.cares)


@pytest.mark.parametrize(
    ("split", "placement", "words"),
    [
        ("", "does not fit", "gets no inputs"),
        ('[split]\nby = "splitter"\n', "fits", "direct side"),
        ('[split]\nby = "shared preamps"\n', "fits", "owner of the gain"),
    ],
)
def test_a_monitor_desk_takes_no_bus_here_but_needs_the_inputs(split, placement, words):
    text = split + singers(3, 'fed_by = "monitor desk"')
    it = fit(gig(text), desk())
    assert needs(gig(text))["monitor buses"] == 0
    assert it.ledger("outputs").need == 2
    assert it.placement == placement
    assert any(words in care.rule for care in it.cares)


class TestTheClock:
    """Two microphones on one socket, and ten minutes to doors: work that no change of sockets makes shorter."""

    CREW = '[crew]\npeople = [{ name = "Nan", skill = "novice" }]\n'
    TEXT = CREW + singers(1) + singers(1, source='by = "mic", keep = "nice"').replace("0", "1")
    HEAD = 'format = 1\n[gig]\nname = "Late"\nload_in = 18:00:00\ndoors = 18:10:00\n'

    def test_what_would_make_it_fit_is_still_said(self):
        it = fit(gig(self.TEXT, self.HEAD), desk(inputs="mic = 1"))
        assert it.placement == "does not fit"
        assert [reason.rule for reason in it.barred] == [
            "everything finds a socket once changed (leave out S1 (nice to have)), but the work does not end "
            "before doors: come earlier, bring more hands, or leave work out"
        ]
        assert set(it.barred) <= set(it.cares)

    def test_the_report_leads_with_the_clock_and_offers_nothing_that_does_not_help(self):
        asked, on = gig(self.TEXT, self.HEAD), desk(inputs="mic = 1")
        compared = compare(asked, [on])
        said = " ".join(report(compared, smallest_changes(asked, on)).split())
        assert "DOES NOT FIT: everything finds a socket once changed" in said
        assert "OTHER ANSWERS" not in said
        assert said.count("come earlier") == 1

    def test_nothing_bars_a_gig_that_only_lacks_sockets(self):
        assert fit(gig(singers(2)), desk(inputs="mic = 1")).barred == ()


def test_an_unsettled_count_is_said_as_a_span():
    it = fit(gig(singers(1, source='by = "mic", count = { least = 0, most = 1 }')), desk())
    assert "how many of S0 is not settled: 0 to 1, counted as 1" in [care.text() for care in it.cares]


def test_the_report_asks_what_changes_the_verdict_and_nothing_else():
    """Six stands and two soloists on six inputs: with two stands they fit, with one soloist fewer they do not."""
    asked, on = gig(OPEN), desk(inputs="mic = 6")
    found = questions(asked, on)
    said = " ".join(report(compare(asked, [on]), asked=found).split())
    assert "ASK BEFORE YOU SAY YES, FOR TEST DESK - How many of Stands? With 2 it fits" in said
    assert "How many of Soloists?" not in said
    assert "ASK BEFORE" not in report(compare(asked, [on]), asked=[q for q in found if not q.matters])
    told = study_json(compare(asked, [on]), asked=found)["questions"]
    assert {one["name"]: one["matters"] for one in told} == {"Stands": True, "Soloists": False}
