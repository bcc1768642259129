"""Danger in somebody's own words: plainly said it caps, plainly forbidden it is none, the rest is for a person to read.

What is dangerous is the trade's (common practice, no source); the phrasings are made up here, as people write.
"""

import pytest

from gigsums.practice.safety import dangers_in, dangers_said, house_safety

HOUSE = dangers_in(*house_safety())
EARTH, SUPPLY, LIMITER, RIGGING, STANDING, HAND = (danger.what for danger in HOUSE)


def said(words):
    return [(each.what, each.plain) for each in dangers_said(words, HOUSE)]


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
        ("if it hums, lift the earth in the plug", EARTH),
        ("li\u200bft the e\xadarth", EARTH),
        ("take the earth pin off", EARTH),
        ("tape the earth", EARTH),
        ("TAPE THE EARTH", EARTH),
        ("hold the RCD in", SUPPLY),
        ("Hold in the RCD", SUPPLY),
        ("bypass the breaker", SUPPLY),
        ("earth off", EARTH),
        ("keep pushing the RCD until it stays in", SUPPLY),
        ("hang the PA from the rafters with rope", RIGGING),
        ("lean over the wedge while someone raises it", HAND),
        ("earth pin removed", EARTH),
        ("The earth wire is disconnected at the amp", EARTH),
        ("Tape over the protective earth. Then it is quiet.", EARTH),
        ("Hum: cut the earth pin off the extension.", EARTH),
        ("If it hums I lift the earth in the plug of the amplifier.", EARTH),
        ("Lift the earth, not the signal", EARTH),
        ("Lift the earth in the plug, not in the DI", EARTH),
        ("get rid of the earth", EARTH),
        ("break off the earth pin", EARTH),
        ("the RCD is held in with tape", SUPPLY),
        ("tape the RCD so it cannot trip", SUPPLY),
        ("bridge the fuse", SUPPLY),
        ("put a nail in the fuse", SUPPLY),
        ("take the RCD out of circuit", SUPPLY),
        ("turn the limiters off", LIMITER),
        ("Limiter off", LIMITER),
        ("leave out the limiter", LIMITER),
        ("leave the limiter out, it sounds better", LIMITER),
        ("bypass limiters on the packs", LIMITER),
        ("switch off the limiter", LIMITER),
        ("the limiters are bypassed", LIMITER),
        ("hang the speakers from a beam that is not rated", RIGGING),
        ("hang the box from a water pipe", RIGGING),
        ("we hang the tops with cable ties on the truss", RIGGING),
        ("stand on a flight case", STANDING),
        ("I stand on the table and hang it", STANDING),
        ("climb on the subs", STANDING),
        ("climb up the truss", STANDING),
        ("we climb onto the speakers", STANDING),
        ("hold your hand before the wedge while you turn it up", HAND),
        ("put a hand in front of the wedge and raise it until it rings", HAND),
        ("cup a hand over the microphone and bring it up until it howls", HAND),
        ("I keep my head near the wedge to hear which one howls", HAND),
        ("adaptor: earth disconnected", EARTH),
        ("remove the earth conductor of the amp's plug", EARTH),
        ("Simply lift the earth of the rack", EARTH),
        ("I'd just lift the earth", EARTH),
        ("Kill the hum by lifting the earth", EARTH),
        ("Lifting the earth kills the hum", EARTH),
        ("the earth gets lifted", EARTH),
        ("lift EARTH", EARTH),
        ("Lift earth at the plug", EARTH),
        ("Leave the earth off", EARTH),
        ("leave the earth out of the plug", EARTH),
    ],
)
def test_what_is_plainly_dangerous_is_plain(words, what):
    assert said(words) == [(what, True)]


@pytest.mark.parametrize(
    ("words", "what"),
    [
        ("If it hums, don't worry, just lift the earth", EARTH),
        ("No hum if we lift the earth", EARTH),
        ("There is no other way: lift the earth of the rack", EARTH),
        ("Lifting the earth is dangerous but I would do it", EARTH),
        ("use a two-pin adapter on the guitar amp", EARTH),
        ("run the amp on a lead without an earth", EARTH),
        ("use an unearthed extension for the keys", EARTH),
        ("ground lift the amp's mains plug", EARTH),
        ("lift the signal earth at the DI and the earth pin too", EARTH),
        ("Never lift the earth unless there is no time", EARTH),
        ("lift the ground", EARTH),
        ("The safe way: lift at the DI. The unsafe way: lifting the mains earth", EARTH),
        ("Kit took the earth off: put it back on and tell Bram", EARTH),
        ("It is not dangerous to lift the earth", EARTH),
        ("There is no harm in lifting the earth", EARTH),
        ("I don't mind lifting the earth", EARTH),
        ("don't hesitate to bypass the breaker", SUPPLY),
        ("the packs need no limiter", LIMITER),
        ("put a hand in front of the wedge", HAND),
        ("take the supply from before the RCD", SUPPLY),
        ("I would not normally lift the earth, but I would do it here", EARTH),
    ],
)
def test_what_may_be_dangerous_is_for_a_person_to_read(words, what):
    assert said(words) == [(what, False)]


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
        "Lift at the DI, not at the mains",
        "lift at the di, not at the mains.",
        "LIFT AT THE DI, NOT AT THE MAINS",
        "Lift the ground at the DI, not at the mains",
        "Lift the earth at the DI, never in the plug",
        "lift the signal earth at the DI, not the earth pin",
        "lift the ground on the DI",
        "use the ground lift",
        "Use the ground lift on the DI box",
        "ground lift on the DI",
        "Press the lift on the DI, leave the mains earth alone",
        "DI lift, never the mains",
        "I would never lift the earth",
        "I'd never lift the earth in a plug",
        "Don't lift the earth",
        "dont lift the earth",
        "Do not, under any circumstances, lift the earth",
        "we must not, under any circumstances, lift the earth",
        "Lift the earth? Never!",
        "Never bypass the breaker",
        "Never hold the RCD in",
        "An RCD is never held in",
        "The RCD must not be bypassed or taped",
        "never cut the earth and never bypass the RCD",
        "Never lift the earth, hold the RCD in or bypass a breaker",
        "Press the test button of the RCD before load-in",
        "press and hold the test button of the RCD",
        "Test the RCD, then leave it alone",
        "unplug, find the fault, leave the RCD off",
        "reset the RCD once it is mended",
        "Leave the breaker off until the fault is found",
        "The limiter stays in",
        "leave the limiters in",
        "limiters in before anybody listens",
        "never leave the limiter out",
        "Check that no limiter is bypassed",
        "nothing is hung from what is not rated",
        "We do not hang anything from a pipe",
        "never hang a box from what is not rated",
        "Nobody stands on a flight case",
        "Do not climb on the subs",
        "never stand on a chair",
        "Nobody's hand before a wedge that is raised",
        "Never hold a hand before the wedge while raising it",
        "Turn the wedge down first, hold the hand round the microphone, step back, then raise it",
        "No need to lift the earth, the DI does it",
        "Instead of lifting the earth, use an isolating transformer",
        "It is wrong to lift the earth, but the lift of the DI is fine",
        "Never lift the earth, but use the ground lift of the DI",
        "The tops stand on the subs",
        "the desk stands on a flight case",
        "speakers on stands, subs on the floor",
        "lift the bass boxes with two people",
        "cut the low end until the hum is gone",
        "Lifting an earth is against the law",
        "Down to earth: lift with your knees.",
        "Nobody removes an earth pin here.",
        "I use the earth lift of the DI box.",
        "break the loop in the signal line, with the lift of the DI box or an isolating transformer",
        "lift pin 1 at the DI, keep the earth",
        "The earth stays on. Lift the shield at one end.",
        "avoid lifting the earth",
        "The wedge trips the breaker",
        "I switch the amplifiers on one after another so that the breaker holds",
        "the earth pin is broken so that extension stays out of use",
        "No earth is ever lifted",
        "Find out why it hums; the earth stays",
        "I take the load off the breaker",
        "Click goes to F.O.H.",
        "Put the click in the mains too",
        "Never lift, cut or tape the earth",
        "lifting earths = death",
        "Lifting the earth, as Kit did, is dangerous",
        "Leave the plug alone, lift the earth at the DI",
    ],
)
def test_what_forbids_it_or_is_safe_is_no_danger(words):
    assert said(words) == []


def test_a_long_text_is_read_to_its_end():
    assert said("and then we set up the drums " * 60 + "lift the earth") == [(EARTH, True)]


def test_a_file_from_before_the_words_stood_in_it_is_read_with_the_houses():
    name, text = house_safety()
    assert dangers_in(name, text.partition("[[danger]]")[0]) == HOUSE
