"""The judge takes what the solver places, and refuses each kind of illegal placement for the right reason."""

from __future__ import annotations

from dataclasses import replace

import pytest

from gigs import desk, gig
from gigsums.sizing import Place, check_placement, fit

GIG = """
[[performer]]
name = "Ada"
sources = [
  { name = "Voice", by = "mic", phantom = "needed" }, { name = "Ribbon", by = "mic", phantom = "forbidden" },
  { name = "Keys", by = "DI", stereo = true },
]
[[line]]
name = "Music"
stereo = true
[[mix]]
name = "Ears"
for = ["Ada"]
through = "in-ears"
[[mix]]
name = "Wedge"
for = ["Ada"]
[[effect]]
name = "Reverb"
[[zone]]
name = "Back"
distance_m = { main = 30, own = 5 }
[[feed]]
name = "Caller"
without = ["Ada"]
"""
DESK = """
[[inputs]]
at = "stage"
mic = 8
phantom = "bank"
bank_of = 4
[[outputs]]
at = "stage"
line = 8
delay_up_to_ms = 50
[[outputs]]
at = "stage"
line = 2
delay_up_to_ms = 300
[[mix_buses]]
count = 8
tap = "pair"
[[mix_buses]]
count = 1
tap = "always pre"
[[mix_buses]]
count = 1
kind = "group"
tap = "always post"
[effects]
count = 1
send = "takes a bus"
"""


@pytest.fixture(scope="module")
def legal():
    asked = gig(GIG)
    on = desk(
        DESK,
        about='kind = "digital"\nchannels = 20\ntalkback = "takes a channel"',
        inputs="mic = 4",
        outputs="line = 4",
    )
    it = fit(asked, on)
    assert it.placement == "fits"
    return asked, on, it.places


def test_the_solvers_placement_is_legal(legal):
    assert check_placement(*legal).legal


def moved(places, item, on, **what):
    """The first place of that item on that kind of socket, changed."""
    n = next(n for n, p in enumerate(places) if p.item == item and p.on == on)
    return (*places[:n], replace(places[n], **what), *places[n + 1 :])


def swapped(places, first, second, on):
    """Two items' sockets of a kind, exchanged."""
    other = {first: second, second: first}
    return tuple(replace(p, item=other.get(p.item, p.item)) if p.on == on else p for p in places)


def without(places, item):
    return tuple(p for p in places if p.item != item)


VOICE, RIBBON, KEYS = (f"performer.Ada.sources.{n}" for n in ("Voice", "Ribbon", "Keys"))
ILLEGAL = {
    "a source left out": (lambda p: without(p, VOICE), "Voice takes 1 microphone inputs"),
    "a mix left out": (lambda p: without(p, "mix.Wedge"), "Wedge takes 1 buses"),
    "somebody who is not in the gig": (lambda p: (*p, Place("performer.Bob.sources.Bass", "mic input", "stage", 8)), "not in this gig"),
    "two on one socket": (lambda p: moved(p, VOICE, "mic input", number=next(q.number for q in p if q.item == KEYS)), "used 2 times"),
    "a socket the desk has not": (lambda p: moved(p, VOICE, "mic input", number=9), "no mic input 9"),
    "the wrong place": (lambda p: moved(p, VOICE, "mic input", at="desk", number=4), "stands at the stage"),
    "one leg of a stereo source": (lambda p: tuple(q for n, q in enumerate(p) if n != next(k for k, r in enumerate(p) if r.item == KEYS)), "Keys takes 2"),
    "phantom on the bank of a ribbon": (lambda p: moved(moved(p, VOICE, "mic input", number=4), RIBBON, "mic input", number=3), "would harm"),
    "stereo on an even bus and the next": (lambda p: tuple(replace(q, number={1: 2, 2: 3}.get(q.number, q.number)) if q.item == "mix.Ears" and q.on == "bus" else q for q in shifted(p)), "odd bus with the next even"),
    "a monitor after the fader": (lambda p: moved(p, "mix.Wedge", "bus", tap="post"), "before the fader"),
    "a monitor on a group": (lambda p: moved(p, "mix.Wedge", "bus", number=10, tap="pre"), "group"),
    "a send before the fader": (lambda p: moved(p, "effect.Reverb", "bus", tap="pre"), "after the fader"),
    "a send on a bus that is always before": (lambda p: moved(p, "effect.Reverb", "bus", number=9), "always before"),
    "both taps in one pair": (lambda p: moved(p, "mix.Wedge", "bus", number=pair_mate(p, "effect.Reverb")), "switch their tap together"),
    "an effect with no unit": (lambda p: tuple(q for q in p if q.on != "effects unit"), "one effects unit"),
    "a delay that does not reach": (lambda p: moved(p, "zone.Back", "output", number=8), "gives less"),
    "a mix-minus from the mains": (lambda p: tuple(q for q in p if not (q.item == "feed.Caller" and q.on == "bus")), "mix of its own"),
    "no talkback": (lambda p: without(p, "desk.talkback"), "talkback takes 1"),
    "mains without outputs": (lambda p: without(p, "mains"), "mains take 2 outputs"),
    "an output in the wrong place": (lambda p: moved(p, "mix.Wedge", "output", at="desk", number=4), "outputs at the stage"),
}  # fmt: skip


def shifted(places):
    """Everything else moved out of the way of buses 2 and 3."""
    return tuple(
        replace(p, number=p.number + 40)
        if p.on == "bus" and p.item != "mix.Ears"
        else replace(p, number=p.number - first_of(places) + 1)
        if p.on == "bus"
        else p
        for p in places
    )


def first_of(places):
    return min(p.number for p in places if p.item == "mix.Ears" and p.on == "bus")


def pair_mate(places, item):
    number = next(p.number for p in places if p.item == item and p.on == "bus")
    return number + 1 if number % 2 else number - 1


@pytest.mark.parametrize("case", ILLEGAL)
def test_each_kind_of_illegal_placement_is_refused_for_its_reason(case, legal):
    asked, on, places = legal
    spoil, words = ILLEGAL[case]
    judged = check_placement(asked, on, spoil(places))
    assert not judged.legal
    assert any(words in fault.text() for fault in judged.faults), [f.text() for f in judged.faults]


def test_more_channels_than_the_desk_mixes_are_refused(legal):
    asked, on, places = legal
    small = replace(on, about=replace(on.about, channels=5))
    assert any("the desk mixes 5" in f.text() for f in check_placement(asked, small, places).faults)


def test_an_empty_placement_is_wrong_everywhere(legal):
    asked, on, _ = legal
    assert len(check_placement(asked, on, ()).faults) >= 10


def test_a_monitor_on_a_fixed_post_bus_is_legal_with_care():
    asked = gig(
        '[[performer]]\nname = "Ada"\nsources = [{ name = "V", by = "mic" }]\n[[mix]]\nname = "W"\nfor = ["Ada"]\n'
    )
    on = desk('[[mix_buses]]\ncount = 2\ntap = "always post"\n')
    places = fit(asked, on).places
    assert [place.tap for place in places if place.on == "bus"] == ["post"]
    judged = check_placement(asked, on, places)
    assert judged.legal
    assert any("after the fader" in care.rule for care in judged.cares)
    said = tuple(replace(place, tap="pre") if place.on == "bus" else place for place in places)
    assert any("always after the fader" in fault.rule for fault in check_placement(asked, on, said).faults)


@pytest.mark.parametrize("at", ["desk", "stage", "remote"])
def test_a_bus_is_the_same_bus_wherever_it_is_said_to_be(legal, at):
    asked, on, places = legal
    number = next(p.number for p in places if p.item == "mix.Wedge" and p.on == "bus")
    twice = moved(places, "feed.Caller", "bus", number=number, at=at)
    rules = [fault.rule for fault in check_placement(asked, on, twice).faults]
    assert f"bus {number} is used 2 times" in rules


SUPERFLUOUS = {
    "a wedge on a microphone input": ("mix.Wedge", "mic input", "Wedge sits on no mic input"),
    "a wedge on a matrix": ("mix.Wedge", "matrix", "Wedge sits on no matrix"),
    "a wedge on a direct out too": ("mix.Wedge", "direct out", "fed by a bus"),
    "the mains on a microphone input": ("mains", "mic input", "mains sits on no mic input"),
    "mains at the desk too": ("mains", "output", "mains take 2 outputs"),
    "talkback on an output": ("desk.talkback", "output", "talkback sits on no output"),
    "talkback twice": ("desk.talkback", "mic input", "talkback takes 1"),
    "an effect on an output": ("effect.Reverb", "output", "takes no output"),
    "an effect whose return takes an input": ("effect.Reverb", "mic input", "takes no input"),
    "a zone in an effects unit": ("zone.Back", "effects unit", "Back sits on no effects unit"),
    "a caller on a direct out": ("feed.Caller", "direct out", "carries one source"),
}


@pytest.mark.parametrize("case", SUPERFLUOUS)
def test_nothing_sits_where_it_has_no_business(legal, case):
    item, on, words = SUPERFLUOUS[case]
    asked, desk_, places = legal
    roomy = replace(
        desk_,
        matrices=replace(desk_.matrices, count=2),
        effects=replace(desk_.effects, count=2),
        about=replace(desk_.about, direct_outs=4),
    )
    assert check_placement(asked, roomy, places).legal
    taken = {p.number for p in places if (p.on, p.at) == (on, "desk")}
    free = next(n for n in range(1, 20) if n not in taken)
    judged = check_placement(asked, roomy, (*places, Place(item, on, "desk", free)))
    assert any(words in fault.rule for fault in judged.faults), [fault.rule for fault in judged.faults]


@pytest.mark.parametrize("halves", [("pre", "post"), ("post", "pre"), ("post", "post"), ("pre", "pre")])
def test_both_halves_of_a_stereo_mix_share_a_tap(halves):
    """A pair of which one bus can be switched and the other is always after the fader: both after it, or neither."""
    text = '[[performer]]\nname = "Ada"\n[[mix]]\nname = "Ears"\nfor = ["Ada"]\nthrough = "in-ears"\n[mains]\noutputs = "mono"\n'
    asked = replace(gig(text), talkback=False)
    on = desk('[[mix_buses]]\ncount = 1\n[[mix_buses]]\ncount = 1\ntap = "always post"\n')
    places = [Place("mains", "output", "desk", 1), *(Place("mix.Ears", "output", "desk", n) for n in (2, 3))]
    places += [Place("mix.Ears", "bus", "desk", n, tap) for n, tap in enumerate(halves, start=1)]
    judged = check_placement(asked, on, places)
    assert judged.legal == (halves == ("post", "post"))
    assert any("both halves of Ears" in fault.rule for fault in judged.faults) == (halves[0] != halves[1])
    assert len(judged.cares) == (halves == ("post", "post"))


@pytest.mark.parametrize("on", ["output", "bus"])
def test_a_stereo_line_sits_on_inputs_alone(legal, on):
    asked, desk_, places = legal
    taken = {p.number for p in places if p.on == on and p.at == "desk"}
    free = next(n for n in range(1, 20) if n not in taken)
    judged = check_placement(
        asked, desk_, (*places, Place("line.Music", on, "desk", free, "post" * (on == "bus")))
    )
    assert any("Music takes a stereo input" in fault.rule for fault in judged.faults)


def test_a_return_comes_back_at_the_desk():
    asked = gig('[[effect]]\nname = "Hall"\nby = "unit"\n[kit]\neffects = 1\n')
    more = '[[inputs]]\nat = "stage"\nmic = 4\n[[mix_buses]]\ncount = 2\n'
    it = fit(asked, desk(more, inputs="mic = 4"))
    assert check_placement(it.gig, it.desk, it.places).legal
    away = tuple(replace(p, at="stage") if p.on == "mic input" else p for p in it.places)
    assert any("the return of Hall" in fault.rule for fault in check_placement(it.gig, it.desk, away).faults)
    more_of_it = (*it.places, Place("effect.Hall", "mic input", "stage", 1))
    assert any("the return of Hall" in f.rule for f in check_placement(it.gig, it.desk, more_of_it).faults)


def test_talkback_is_plugged_at_the_desk_alone(legal):
    asked, on, places = legal
    taken = {p.number for p in places if (p.on, p.at) == ("mic input", "stage")}
    free = next(n for n in range(1, 9) if n not in taken)
    judged = check_placement(asked, on, (*places, Place("desk.talkback", "mic input", "stage", free)))
    assert [fault.rule for fault in judged.faults] == ["talkback takes 1 microphone inputs at the desk"]


def test_a_personal_mixer_takes_its_feeds_and_no_bus():
    text = '[[performer]]\nname = "Ada"\n[[mix]]\nname = "Own"\nfor = ["Ada"]\nfed_by = "personal mixer"\npersonal_feeds = 2\n'
    it = fit(gig(text), desk("[[mix_buses]]\ncount = 2\n"))
    assert check_placement(it.gig, it.desk, it.places).legal
    judged = check_placement(it.gig, it.desk, (*it.places, Place("mix.Own", "bus", "desk", 1, "pre")))
    assert any("fed by 2 of output" in fault.rule for fault in judged.faults)
