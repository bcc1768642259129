"""What a gig asks for. The counts are habits of the trade: common practice, no source."""

from __future__ import annotations

import pytest

from gigs import gig, singers
from gigsums.gig import load_gig
from gigsums.sizing import needs
from published import reference

DRUMS = """
[[performer]]
name = "Dru"
sources = [
  { name = "Kick", by = "mic" }, { name = "Snare", by = "mic" }, { name = "Hat", by = "mic" },
  { name = "Toms", by = "mic", count = 3 }, { name = "Overheads", by = "mic", stereo = true },
]
"""
FIVE_PIECE = (
    DRUMS
    + """
[[performer]]
name = "Bo"
sources = [{ name = "Bass DI", by = "DI" }, { name = "Bass mic", by = "mic" }]
[[performer]]
name = "Gus"
sources = [{ name = "Guitar 1", by = "mic" }, { name = "Gus's vocal", by = "mic" }]
[[performer]]
name = "Kay"
sources = [
  { name = "Guitar 2", by = "mic" }, { name = "Keys", by = "DI", stereo = true }, { name = "Kay's vocal", by = "mic" },
]
[[performer]]
name = "Val"
sources = [{ name = "Lead vocal", by = "mic" }, { name = "Spare vocal", by = "mic" }]
"""
)
PLAYERS = ("Dru", "Bo", "Gus", "Kay", "Val")


def mixes(through: str, extra: str = "") -> str:
    return "".join(f'[[mix]]\nname = "{p}"\nfor = ["{p}"]\nthrough = "{through}"\n{extra}\n' for p in PLAYERS)


def practice(quantity: str) -> str:
    """The row of common practice, as its author put it."""
    return reference("practice.csv", quantity)[0].expected


def test_a_five_piece_on_floor_monitors_needs_six_auxes():
    assert practice("monitor mixes, five-piece rock band on floor monitors").endswith("= 6")
    counted = needs(gig(FIVE_PIECE + mixes("wedge") + '[[effect]]\nname = "Reverb"\n'))
    assert counted["monitor mixes"] == 5
    assert counted["auxes"] == 6


def test_five_stereo_in_ears_take_ten_outputs():
    assert practice("monitor outputs, five-piece band all on stereo in-ear") == "10"
    counted = needs(gig(FIVE_PIECE + mixes("in-ears", "stereo = true")))
    assert counted["monitor buses"] == 10
    assert counted["outputs"] - 2 == 10


def test_in_ears_are_stereo_unless_the_file_says_mono():
    assert practice("monitor mixes needed, in-ear") == "2"
    assert needs(gig(singers(1, 'through = "in-ears"')))["monitor buses"] == 2
    assert needs(gig(singers(1, 'through = "in-ears"\nstereo = false')))["monitor buses"] == 1


def test_a_mixed_stage_takes_eight_outputs():
    row = reference("practice.csv", "monitor outputs, mixed stage")[0]
    assert row.expected == "8"
    text = singers(5) + "".join(f'[[mix]]\nname = "W{n}"\nfor = ["P{n}"]\n' for n in range(3))
    text += "".join(f'[[mix]]\nname = "E{n}"\nfor = ["P{n}"]\nthrough = "in-ears"\n' for n in (3, 4))
    text += '[[mix]]\nname = "Seat"\nfor = ["P0"]\nthrough = "shaker"\n'
    assert needs(gig(text))["monitor buses"] == 8


def test_a_five_piece_takes_eighteen_channels():
    assert practice("channel count, five-piece rock band") == "18"
    assert needs(gig(FIVE_PIECE))["microphone-level inputs"] == 18


def test_a_small_rock_kit_takes_eight_channels():
    assert practice("channel count, small rock kit") == "7 to 8"
    assert needs(gig(DRUMS))["microphone-level inputs"] == 8


def test_playback_takes_two_channels_a_source():
    assert practice("playback and computer inputs").startswith("2 ")
    assert needs(gig('[[line]]\nname = "Laptop"\nstereo = true\n'))["stereo line channels"] == 2


def test_one_mix_however_many_wedges_play_it():
    assert practice("monitor mixes needed, floor monitors") == "1"
    assert needs(gig(singers(1, "boxes = 4")))["monitor buses"] == 1


def test_a_shared_mix_is_one():
    text = singers(3) + '[[mix]]\nname = "All"\nfor = ["P0", "P1", "P2"]\n'
    assert needs(gig(text))["monitor mixes"] == 1


@pytest.mark.parametrize(
    ("source", "mic", "mono_line", "stereo_line"),
    [
        ('by = "mic"', 1, 0, 0),
        ('by = "DI"', 1, 0, 0),
        ('by = "DI", stereo = true', 2, 0, 0),
        ('by = "mic", radio = true', 1, 0, 0),
        ('by = "mic", radio = true, level = "line"', 0, 1, 0),
        ('by = "DI", stereo = true, level = "line"', 0, 0, 2),
        ('by = "line"', 0, 1, 0),
        ('by = "line", stereo = true', 0, 0, 2),
        ('by = "line", level = "mic"', 1, 0, 0),
        ('by = "mic", stereo = true, count = 3', 6, 0, 0),
        ('by = "mic", count = { least = 1, most = 4 }', 4, 0, 0),
    ],
)
def test_what_a_source_takes(source, mic, mono_line, stereo_line):
    """A DI output is at microphone level, stereo is two, an unsettled count is taken at its most."""
    counted = needs(gig(singers(1, source=source)))
    assert counted["microphone-level inputs"] == mic
    assert counted["mono line inputs"] == mono_line
    assert counted["stereo line channels"] == stereo_line


@pytest.mark.parametrize(
    ("mix", "buses", "outputs"),
    [
        ("boxes = 1", 1, 1),
        ("stereo = true", 2, 2),
        ('through = "drum fill"', 1, 1),
        ('through = "drum fill"\nsub_send = true', 2, 2),
        ('through = "side fill"\nstereo = true', 2, 2),
        ('fed_by = "personal mixer"\npersonal_feeds = 8', 0, 8),
    ],
)
def test_what_a_mix_takes(mix, buses, outputs):
    counted = needs(gig(singers(1, mix)))
    assert counted["monitor buses"] == buses
    assert counted["outputs"] - 2 == outputs


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        (singers(1), 0),
        (singers(1, 'through = "wedge"'), 0),
        (singers(1, 'through = "in-ears"'), 1),
        (singers(2, 'through = "wedge"'), 1),
    ],
)
def test_talkback_is_wanted_with_in_ears_or_two_mixes(text, wanted):
    assert needs(gig(text))["talkback"] == wanted


def test_equalisers_are_one_a_channel_not_one_a_wedge():
    counted = needs(gig(singers(2, "boxes = 3") + "[mains]\nequaliser = false\n"))
    assert counted["equalisers"] == 2


def test_a_zone_with_nothing_of_its_own_is_linked_through():
    linked = needs(gig('[[zone]]\nname = "Fill"\n'))["outputs"]
    own = needs(gig('[[zone]]\nname = "Fill"\nown_level = true\n'))["outputs"]
    assert (linked, own) == (2, 3)


def test_every_count_says_why():
    counted = needs(load_gig("lantern_night"))
    for row in counted.rows:
        assert row.count == row.reason.result
        assert sum(number for _, number in row.reason.terms) == row.count
        assert row.reason.rule in row.reason.text()


def test_a_key_that_is_not_counted_is_named():
    with pytest.raises(KeyError, match="monitor mixes"):
        needs(gig(singers(1)))["faders"]
