"""Danger in somebody's own words: plainly said it caps, plainly forbidden it is none, the rest is for a person to read."""

import pytest

from gigsums.whole_gigs.words import CLICK, EARTH, dangers_said, is_public


@pytest.mark.parametrize(
    ("words", "what"),
    [
        ("Lift the earth on the amp", EARTH),
        ("lift the ground pin on the bass amp", EARTH),
        ("I would put tape over the ground pin", EARTH),
        ("pull the earth wire out of the plug", EARTH),
        ("Cut the earth. It is not needed.", EARTH),
        ("unearth the amp", EARTH),
        ("Lifting the earth stops the hum", EARTH),
        ("the green and yellow wire is taken out of the plug", EARTH),
        ("we snip off the earth", EARTH),
        ("disconnect the protective conductor", EARTH),
        ("if it hums, lift the\nearth in the plug", EARTH),
        ("li\u200bft the e\u00adarth", EARTH),
        ("Put the click in the mains too", CLICK),
        ("Click goes to F.O.H.", CLICK),
        ("the audience hears the click", CLICK),
        ("the click is sent to the main mix", CLICK),
        ("click out front", CLICK),
    ],
)
def test_what_is_plainly_dangerous_is_plain(words, what):
    assert [(said.what, said.plain) for said in dangers_said(words)] == [(what, True)]


@pytest.mark.parametrize(
    ("words", "what"),
    [
        ("If it hums, don't worry, just lift the earth", EARTH),
        ("No hum if we lift the earth", EARTH),
        ("There is no other way: lift the earth of the rack", EARTH),
        ("Lifting the earth is dangerous but I would do it", EARTH),
        ("we must not, under any circumstances, lift the earth", EARTH),
        ("use a two-pin adapter on the guitar amp", EARTH),
        ("run the amp on a lead without an earth", EARTH),
        ("use an unearthed extension for the keys", EARTH),
        ("ground lift the amp's mains plug", EARTH),
        ("lift the signal earth at the DI and the earth pin too", EARTH),
        ("play the click through the PA so that they don't lose time", CLICK),
        ("The click goes to the ears and the tracks to the mains", CLICK),
    ],
)
def test_what_may_be_dangerous_is_for_a_person_to_read(words, what):
    assert [(said.what, said.plain) for said in dangers_said(words)] == [(what, False)]


@pytest.mark.parametrize(
    "words",
    [
        "Never lift the earth",
        "Do not ever lift the earth on anything",
        "Nobody lifts an earth",
        "Lifting the earth is forbidden",
        "I would refuse to lift the earth",
        "It is dangerous to lift an earth",
        "lifting a mains earth kills",
        "The earth must never be lifted",
        "I leave the earth connected",
        "Use the lift switch of the DI box: the signal earth only",
        "use the earth lift of the DI at the amp",
        "Rather than lifting the earth, change the power to one circuit",
        "Break the earth loop by feeding everything from one circuit",
        "lift the flight case off the ground",
        "the stage is lifted on the ground floor",
        "cut 3 dB at 200 Hz; all kit is earthed",
        "The click must not go to the mains",
        "keep the click out of the mains",
        "Click is for in-ears only, never in the mains",
        "the audience must never hear the click",
        "Click in Marek's ears before we open the mains",
    ],
)
def test_what_forbids_it_is_no_danger(words):
    assert not list(dangers_said(words))


@pytest.mark.parametrize(
    "to", ["mains", "Mains L", "FOH", "the PA", "main mix", "L/R", "house speakers", "P.A."]
)
def test_the_audience_has_many_names(to):
    assert is_public(to)


@pytest.mark.parametrize("to", ["Ada", "Marek's ears", "drum fill", "monitor desk", "main singer", "Lara"])
def test_players_are_not_the_audience(to):
    assert not is_public(to)
