"""Changes that somebody asks for, carried out: the same gig that the engine makes of them, and nothing unagreed."""

from __future__ import annotations

import random
from collections import Counter
from dataclasses import replace

import pytest

from gigs import desk, gig
from gigsums.gig.model import Kit
from gigsums.sizing import fit, smallest_changes
from gigsums.whole_gigs import mark_whole, whole_gig
from gigsums.whole_gigs.answers import GivenChange
from gigsums.whole_gigs.changes import KINDS, Applied, apply_changes
from sizing.random_gigs import namesakes, random_desk, random_gig

GIG = """
[kit]
preamps = 1
delays = 1
effects = 1
phantom_blockers = 1
sub_mixers = 1
[[performer]]
name = "Ada"
sources = [
  { name = "Voice", by = "mic", radio = true, phantom = "indifferent" }, { name = "Ribbon", by = "mic", phantom = "forbidden" },
  { name = "Toms", by = "mic", count = 3 }, { name = "Bells", by = "mic", keep = "nice" },
]
[[performer]]
name = "Bob"
sources = [{ name = "Bass", by = "DI" }]
[[line]]
name = "Music"
stereo = true
keep = "want"
[[mix]]
name = "Ada"
for = ["Ada"]
may = ["share"]
[[mix]]
name = "Bob"
for = ["Bob"]
may = ["share"]
[[mix]]
name = "Ears"
for = ["Bob"]
through = "in-ears"
may = ["mono"]
[[mix]]
name = "Alone"
for = ["Ada"]
[[effect]]
name = "Reverb"
heard_in = ["mains", "Ada"]
[[zone]]
name = "Subs"
from = "bus"
[[zone]]
name = "Back"
distance_m = { main = 30, own = 5 }
from = "matrix"
[[feed]]
name = "Caller"
without = ["Ada"]
"""
DESK = """
[[inputs]]
at = "stage"
mic = 16
[[outputs]]
at = "stage"
line = 8
[[mix_buses]]
count = 16
[[option]]
name = "Box"
at = "stage"
mic = 8
"""


def asked() -> tuple:
    return gig(GIG), desk(DESK)


def done(*changes: tuple[str, str, str]) -> Applied:
    return apply_changes(*asked(), [GivenChange(n, *change) for n, change in enumerate(changes, start=1)])


REFUSED = {
    ("mono", "Ada", ""): "nobody has agreed that the mix Ada may be mono",
    ("share", "Alone", "Ada"): "nobody has agreed that the mix Alone may be shared",
    ("share", "Ada", "Ears"): "nobody has agreed that the mix Ears may be shared",
    ("share", "Ada", "mix Ada"): "one of the two has to stay",
    ("drop want", "Bells", ""): "Bells is a “nice”",
    ("drop", "Bass", ""): "Bass is a “must” and stays",
    ("drop nice", "Bass", ""): "Bass is a “must” and stays",
    ("relocate", "Bass", "stage"): "Bass is at the stage already",
    ("relocate", "Bass", "remote"): "there are no sockets for Bass at “remote”",
    ("line level", "Bass", ""): "no receiver",
    ("phantom blocker", "Bass", ""): "that is nothing for Bass",
    ("sub-mixer", "Bob", ""): "fewer than three channels",
    ("reroute", "Back", "mains"): "a delay or a level of its own",
    ("reroute", "Subs", "bus"): "may be fed so without any change",
    ("reroute", "Subs", "elsewhere"): "say where Subs is fed from",
    ("reroute", "Caller", "mains"): "would carry what it must not",
    ("outboard delay", "Subs", ""): "that is nothing for Subs",
    ("stage box", "Barrel", ""): "no box “Barrel”",
    ("another desk", "", "Desk Z"): "not among the desks at hand",
    ("pray", "Bass", ""): "there is no such change",
    ("relocate", "Nobody", "desk"): "nothing that is in this gig",
    ("relocate", "mains", "desk"): "nothing about mains may be changed",
}


@pytest.mark.parametrize("change", REFUSED, ids=" ".join)
def test_what_nobody_agreed_to_is_refused_with_a_reason(change):
    after = done(change)
    assert len(after.refused) == 1
    assert REFUSED[change] in after.refused[0]
    assert after.changes == ()
    given, _ = asked()
    assert replace(after.gig, talkback=given.talkback) == given


@pytest.mark.parametrize(
    ("kind", "item"), [("outboard preamp", "Toms"), ("phantom blocker", "Ribbon"), ("sub-mixer", "Ada")]
)
def test_the_kit_is_only_as_large_as_it_is(kind, item):
    after = apply_changes(replace(asked()[0], kit=Kit()), asked()[1], [GivenChange(1, kind, item, "")])
    assert "the kit has 0" in after.refused[0]


def test_some_of_a_counted_source_may_be_moved():
    after = done(("relocate", "Toms", "desk"), ("relocate", "Toms", "desk"))
    counts = {s.name: (s.at, s.count) for _, s in after.gig.sources if s.name.startswith("Toms")}
    assert counts == {"Toms": ("stage", 1), "Toms (2)": ("desk", 2)}
    assert after.points == 4
    more = apply_changes(*asked(), [GivenChange(1, "relocate", "Toms", "desk", 4)])
    assert "more than that would be changed" in more.refused[0]


def test_whoever_shares_is_heard_of_under_the_other_name():
    after = done(("share", "mix Ada", "mix Bob"))
    assert [mix.name for mix in after.gig.mixes] == ["Bob", "Ears", "Alone"]
    assert after.gig.mixes[0].listeners == ("Bob", "Ada")
    assert after.gig.effects[0].heard_in == ("mains", "Bob")
    assert after.gig.wants_talkback


def test_a_box_is_added_once():
    after = done(("stage box", "Box", ""), ("stage box", "Box", ""))
    assert sum(i.mic for i in after.desk.inputs if i.at == "stage") == 24
    assert len(after.refused) == 1


def agree(seeds: range) -> set[str]:
    kinds = set()
    for seed in seeds:
        draw = random.Random(seed)
        given, on = random_gig(draw), random_desk(draw)
        if seed % 2:
            given = replace(given, kit=Kit(effects=1, delays=2, preamps=2, sub_mixers=1, phantom_blockers=2))
        for answer in smallest_changes(given, on):
            if not answer.changes:
                continue
            wanted = [GivenChange(1, c.kind, c.item, c.to) for c in answer.changes]
            after = apply_changes(given, on, wanted)
            assert after.refused == ()
            assert (after.gig, after.desk) == (answer.gig, answer.desk), seed
            assert sorted(map(str, after.changes)) == sorted(map(str, answer.changes))
            assert fit(after.gig, after.desk).placement == "fits"
            kinds |= {c.kind for c in answer.changes}
    return kinds


def test_the_engines_own_changes_lead_to_the_same_gig():
    """What the solver takes is what somebody may ask for, on random gigs and desks."""
    assert len(agree(range(60))) >= 6


@pytest.mark.thorough
def test_the_engines_own_changes_lead_to_the_same_gig_many_times():
    assert len(agree(range(400))) >= 10 < len(KINDS)


def keys_earn_everything(seeds: range) -> Counter[str]:
    """The key of drawn gigs full of namesakes, handed in: every mark, no slip, and no word but a legal care."""
    job, met = whole_gig("tea_room_solo"), Counter[str]()
    for seed in seeds:
        draw = random.Random(f"namesakes {seed}")
        one = replace(job, gig=namesakes(draw), desk=random_desk(draw), at_hand=())
        marked = mark_whole(one, one.key_answers())
        said = [line for line in marked.messages if "Legal, and a care" not in line]
        assert (marked.earned, said, marked.slips) == (marked.out_of, [], ()), seed
        met.update(change.kind for answer in one.solution.answers[:1] for change in answer.changes)
    return met


def test_the_key_of_a_gig_full_of_namesakes_earns_everything():
    assert len(keys_earn_everything(range(12))) >= 4


@pytest.mark.thorough
def test_the_keys_of_three_hundred_gigs_full_of_namesakes_earn_everything():
    met = keys_earn_everything(range(300))
    assert (
        min(met[kind] for kind in ("share", "mono", "drop nice", "relocate", "sub-mixer", "line level")) >= 5
    ), met


def test_the_same_changes_on_other_units_are_read_as_the_placement_has_them():
    """Two of three are plugged at the desk and one goes by a preamp of the kit: the third, or one of the two."""
    asked = gig(
        '[kit]\npreamps = 1\n[[performer]]\nname = "Ada"\nsources = [{ name = "Toms", by = "mic", count = 3 }]\n'
    )
    on = desk(
        '[[inputs]]\nat = "stage"\nline = 4\n',
        about='kind = "analogue"\ntalkback = "own input"',
        inputs="mic = 2",
    )
    job = replace(whole_gig("tea_room_solo"), gig=asked, desk=on, at_hand=())
    assert sorted(change.kind for change in job.solution.answers[0].changes) == [
        "outboard preamp",
        "relocate",
        "relocate",
    ]
    marked = mark_whole(job, job.key_answers())
    assert (marked.earned, marked.messages) == (marked.out_of, ())


@pytest.mark.parametrize(
    ("changes", "refused"),
    [
        ((("share", "mix Ada", "mix Bob"), ("share", "mix Bob", "mix Ada")), "one of the two has to stay"),
        ((("sub-mixer", "performer.Ada", ""), ("relocate", "Toms", "desk")), "goes into the sub-mix"),
        ((("sub-mixer", "performer.Ada", ""), ("sub-mixer", "performer.Ada", "")), "sub-mixed already"),
        ((("drop", "Bells", ""), ("relocate", "Bells", "desk")), "more than that would be changed"),
    ],
)
def test_changes_that_exclude_each_other_are_refused(changes, refused):
    after = done(*changes)
    assert len(after.changes) == len(after.refused) == 1
    assert refused in after.refused[0]


def test_nobody_hears_in_mono_who_has_not_agreed_to_it():
    text = GIG.replace(
        'name = "Ears"\nfor = ["Bob"]\nthrough = "in-ears"\nmay = ["mono"]',
        'name = "Ears"\nfor = ["Bob"]\nstereo = true\nmay = ["share"]',
    )
    after = apply_changes(gig(text), desk(DESK), [GivenChange(1, "share", "Ears", "mix Bob")])
    assert "nobody has agreed to hear Ears in mono" in after.refused[0]
