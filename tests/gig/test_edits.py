"""Steps carried out on a gig and a desk: what is named, split, joined and left out. Geometry of names, no outside value."""

from __future__ import annotations

from dataclasses import replace

import pytest

from gigs import desk, gig
from gigsums.gig import Step, apply

GIG = """
[[performer]]
name = "Ada"
sources = [
  { name = "Voice", by = "mic" }, { name = "Toms", by = "mic", count = 3 }, { name = "Toms (2)", by = "mic" },
  { name = "Bob", by = "mic", keep = "nice" },
]
[[performer]]
name = "Bob"
sources = [{ name = "Voice", by = "mic" }]
[[mix]]
name = "Ada"
for = ["Ada"]
keep = "nice"
[[mix]]
name = "Bob"
for = ["Bob"]
[[mix]]
name = "Ears"
for = ["Bob"]
through = "in-ears"
[[effect]]
name = "Hall"
heard_in = ["mains", "Ada", "Ears", "Foyer"]
[[zone]]
name = "Foyer"
own_level = true
keep = "want"
[[feed]]
name = "Caller"
without = ["Voice", "Toms", "Bob"]
"""
ASKED, ON = gig(GIG), desk('[[option]]\nname = "Box"\nat = "desk"\nmic = 8\nline_out = 2\n')
TOMS = "performer.Ada.sources.Toms"


def after(*steps: Step):
    return apply(ASKED, ON, steps).gig


def test_no_step_changes_nothing_but_says_that_they_must_be_spoken_to():
    assert apply(ASKED, ON, ()).gig == replace(ASKED, talkback=True)
    assert apply(ASKED, ON, ()).desk == ON


def test_units_that_differ_get_names_that_are_free_and_stay_out_of_the_feed():
    moved = apply(ASKED, ON, [Step("relocate", "desk", TOMS, unit=2)])
    toms = [(s.name, s.at, s.count) for s in moved.gig.performers[0].sources if s.name.startswith("Toms")]
    assert toms == [("Toms", "stage", 2), ("Toms (3)", "desk", 1), ("Toms (2)", "stage", 1)]
    assert [moved.names[TOMS, unit][-8:] for unit in (1, 2, 3)] == ["ces.Toms", "Toms (3)", "ces.Toms"]
    assert moved.gig.feeds[0].without == ("Voice", "Toms", "Toms (3)", "Bob")


def test_a_sub_mix_is_left_out_of_a_feed_like_the_voice_in_it():
    mixed = after(Step("sub-mixer", item="performer.Ada"))
    assert [s.name for s in mixed.performers[0].sources] == ["Ada's sub-mix"]
    assert mixed.feeds[0].without == ("Ada's sub-mix", "Voice", "Bob")


def test_a_name_goes_only_when_nothing_of_that_name_is_left():
    """The player Ada stays when her mix goes; the zone's name goes with it; a source takes no mix of its name along."""
    gone = after(Step("drop nice", item="mix.Ada"), Step("drop want", item="zone.Foyer"))
    assert gone.effects[0].heard_in == ("mains", "Ada", "Ears")
    gone = after(Step("drop nice", item="performer.Ada.sources.Bob"))
    assert [m.name for m in gone.mixes] == ["Ada", "Bob", "Ears"]
    assert gone.feeds[0].without == ("Voice", "Toms", "Bob")


def test_who_shares_is_heard_where_they_went_and_counted_once():
    shared = after(Step("share", "Bob", "mix.Ada"), Step("share", "Bob", "mix.Ears"))
    assert [(m.name, m.listeners, m.boxes) for m in shared.mixes] == [("Bob", ("Bob", "Ada"), 3)]
    assert shared.effects[0].heard_in == ("mains", "Bob", "Foyer")


def test_a_box_brings_inputs_and_outputs_and_is_no_longer_offered():
    boxed = apply(ASKED, ON, [Step("stage box", "Box", "option.Box")]).desk
    assert (sum(i.mic for i in boxed.inputs), sum(o.line for o in boxed.outputs)) == (72, 66)
    assert boxed.options == ()


@pytest.mark.parametrize("step", [Step("mono", item="mix.Nobody"), Step("relocate", "desk", TOMS, unit=4)])
def test_what_is_not_there_cannot_be_changed(step):
    with pytest.raises(ValueError, match="there is no"):
        apply(ASKED, ON, [step])
