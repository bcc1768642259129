"""Gigs as they stand once changed: every name says what it said before, however people name their things."""

from __future__ import annotations

import pytest

from gigs import desk, gig
from gigsums.sizing import check_placement, compare, demand, fit, report, smallest_changes

DIGITAL = 'kind = "digital"\nchannels = 32\ntalkback = "own input"'
ANALOGUE = 'kind = "analogue"\ntalkback = "own input"'


def player(name: str, *sources: str) -> str:
    return f'[[performer]]\nname = "{name}"\nsources = [{", ".join(sources)}]\n'


def mic(name: str, more: str = "") -> str:
    return f'{{ name = "{name}", by = "mic"{", " if more else ""}{more} }}'


def mix(name: str, who: str, more: str = "") -> str:
    return f'[[mix]]\nname = "{name}"\nfor = ["{who}"]\n{more}\n'


def least(text: str, on):
    """The least changes; the search stops with an error where what it found is not legal."""
    found = smallest_changes(gig(text), on)[0]
    assert check_placement(found.gig, found.desk, found.places).legal
    return found


@pytest.mark.parametrize(
    ("text", "on"),
    [
        (  # four receivers of which one goes to line level, beside a source that has the second one's name
            player("Ada", mic("Kick", "count = 4, radio = true"), mic("Kick (2)")),
            desk(about=ANALOGUE, inputs="mic = 4\nstereo = 1"),
        ),
        (
            "[kit]\nsub_mixers = 1\n"
            + player(
                "Ada", mic("Voice", "count = 5"), '{ name = "Ada\'s sub-mix", by = "line", stereo = true }'
            ),
            desk(about=DIGITAL, inputs="mic = 4"),
        ),
    ],
)
def test_a_name_that_is_taken_is_not_given_again(text, on):
    found = least(text, on)
    names = [source.name for _, source in found.gig.sources]
    assert len(names) == len(set(names))


def test_a_source_that_is_left_out_takes_no_mix_of_its_name_along():
    """The return reaches the mains alone, so an effect heard in the singer's wedge still takes two inputs."""
    text = player("Ada", mic("Guest", 'keep = "nice"'), mic("Voice", "count = 4")) + mix("Guest", "Ada")
    text += '[[effect]]\nname = "Hall"\nheard_in = ["mains", "Guest"]\n'
    effects = '[effects]\ncount = 1\nsend = "own"\nreturn = "dedicated"\nreturn_to = "mains"\n'
    buses = "[[mix_buses]]\ncount = 2\n"
    found = least(text, desk(buses + effects, about=ANALOGUE, inputs="mic = 6"))
    assert [change.kind for change in found.changes] == ["drop nice"]
    assert found.gig.effects[0].heard_in == ("mains", "Guest")
    assert demand(found.gig, found.desk).ledger("preamps").need == 6


def test_whoever_goes_is_no_longer_left_out_of_a_feed_and_others_still_are():
    text = player("Ada", mic("Voice"), mic("Chorus", 'keep = "nice"')) + player("Bea", mic("Voice"))
    text += '[[feed]]\nname = "Back"\nwithout = ["Chorus", "Voice"]\n'
    found = least(text, desk("[[mix_buses]]\ncount = 1\n", inputs="mic = 2"))
    assert found.gig.feeds[0].without == ("Voice",)
    text = text.replace('"Chorus", "Voice"', '"Voice"').replace(
        '{ name = "Voice", by = "mic" }', mic("Voice", 'keep = "nice"'), 1
    )
    found = least(
        text.replace('"Chorus"', '"Chorus 2"'), desk("[[mix_buses]]\ncount = 1\n", inputs="mic = 1")
    )
    assert [source.name for _, source in found.gig.sources] == ["Voice"]
    assert found.gig.feeds[0].without == ("Voice",)


def test_a_mix_that_is_shared_is_heard_where_it_went():
    text = player("Ada", mic("Voice")) + mix("Left", "Ada", 'may = ["share"]')
    text += (
        mix("Right", "Ada", 'may = ["share"]') + '[[effect]]\nname = "Hall"\nheard_in = ["Left", "Right"]\n'
    )
    on = desk('[[mix_buses]]\ncount = 1\n[effects]\ncount = 1\nsend = "own"\nreturn = "dedicated"\n')
    assert least(text, on).gig.effects[0].heard_in == ("Left",)


def test_names_with_points_are_said_whole():
    text = player("Dr. Bones", mic("St. Mary", 'keep = "nice"'), mic("Voice", "count = 4"))
    text += mix("No. 1", "Dr. Bones", 'may = ["share"]') + mix("No. 2", "Dr. Bones", 'may = ["share"]')
    found = least(text, desk("[[mix_buses]]\ncount = 1\n", inputs="mic = 4"))
    assert {change.text() for change in found.changes} == {
        "leave out St. Mary (nice to have)",
        "let No. 2 share the mix No. 1",
    }


def test_changes_that_are_alike_are_said_once_with_their_number_and_their_sum():
    asked, on = gig(player("Ada", mic("Voice", 'count = 9, keep = "nice"'))), desk(inputs="mic = 4")
    assert len(fit(asked, on).changes) == 5
    said = " ".join(report(compare(asked, [on])).split())
    assert "FITS WITH CHANGES: leave out Voice (nice to have), 5 of them" in said
    assert "leave out Voice (nice to have), 5 of them (15 points; lost: it is not heard)" in said
    assert said.count("leave out Voice") == 2


def test_who_hears_in_stereo_joins_a_mix_that_stays_stereo():
    """One bus and one pair: Ada goes to mono, and of the other two one joins the other, not her."""
    text = player("Ada", mic("Voice"))
    text += mix("Ada", "Ada", 'through = "in-ears"\nmay = ["mono", "share"]')
    text += mix("Bea", "Ada", 'through = "in-ears"\nmay = ["share"]') + mix(
        "Cy", "Ada", 'through = "in-ears"\nmay = ["share"]'
    )
    found = least(text, desk("[[mix_buses]]\ncount = 3\n"))
    assert [(c.kind, c.item, c.to) for c in found.changes] == [
        ("mono", "mix.Ada", ""),
        ("share", "mix.Cy", "Bea"),
    ]
