"""Gigs and desks from outside the workbook, counted on paper before any of it was run.

Common practice, no source: each figure is a count of the line-up by the rules of the trade. Paper was wrong
twice: it linked subs that want an equaliser of their own, and fed the radio's own mix from the mains.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from gigsums.gig import load_desk, load_gig
from gigsums.sizing import check_placement, fit, smallest_changes

WORKED = Path(__file__).parent / "worked"

COUNTED = {
    # Twelve microphones and DI outputs; a receiver at line level and the reverb's return take the two stereo inputs,
    # the break music the two-track return. Three wedges before the fader on two such buses; reverb and zone after it.
    ("marquee_ceilidh", "grey_twelve"): (
        {"preamps": 12, "stereo inputs": 2, "strips": 14, "buses": 5, "outputs (desk)": 7, "equalisers": 5},
        28,
        ["outboard delay", "outboard effect", "share"],
    ),
    # 22 microphones and DI outputs and the talkback. Five stereo ears and a shaker are eleven channels before the
    # fader, two effects and the subs three after it: 5 + 1 + 2 pairs of the four there are.
    ("in_ears_band", "paired_twenty_four"): (
        {"preamps": 23, "line inputs": 2, "strips": 28, "buses": 14, "bus pairs": 8, "outputs (desk)": 14},
        22,
        ["drop nice", "mono", "mono", "mono", "reroute", "share"],
    ),
    # 22 on 16 sockets, and 14 outputs where there are 12: six sockets and two mixes move to the desk, two players share.
    ("in_ears_band", "travelling_thirty_two"): (
        {"preamps (stage)": 22, "preamps (desk)": 2, "buses": 12, "bus pairs": 6, "outputs (stage)": 14},
        18,
        ["relocate", "relocate", "relocate", "relocate", "relocate", "relocate", "share"],
    ),
    # Eight stems, a cue and a stereo line beside one microphone: twelve sockets where the desk has eight, and seven
    # outputs where it has four. A stereo line and two others, a stereo feed and a mix run to the stage box.
    ("silent_play", "travelling_thirty_two"): (
        {"preamps (desk)": 12, "strips": 11, "buses": 7, "bus pairs": 4, "outputs (desk)": 7, "matrices": 1},
        10,
        ["relocate", "relocate", "relocate", "relocate", "relocate"],
    ),
    # The same on a desk with everything in one place: eleven lines, of which two find line inputs, and talkback.
    ("silent_play", "paired_twenty_four"): (
        {"preamps": 11, "line inputs": 2, "strips": 13, "buses": 7, "bus pairs": 4, "outputs (desk)": 10},
        0,
        [],
    ),
    # 28 on the stage's 16: the second box.
    ("headset_musical", "travelling_thirty_two"): (
        {"preamps (stage)": 28, "preamps (desk)": 4, "strips": 27, "buses": 5, "bus pairs": 3, "outputs": 9},
        20,
        ["stage box"],
    ),
    # 28 + 4 channels on a desk that takes two for stereo.
    ("headset_musical", "great_seventy_two"): (
        {"preamps (stage)": 28, "stereo inputs": 2, "strips": 32, "buses": 5, "matrices": 2, "outputs": 9},
        0,
        [],
    ),
    # Ten mono channels and a stereo pair; two towers on two matrices, a stereo mix for the radio on a pair.
    ("brass_outdoors", "travelling_thirty_two"): (
        {"preamps (stage)": 12, "strips": 11, "buses": 2, "bus pairs": 1, "matrices": 2, "outputs (stage)": 6, "delays": 2},
        0,
        [],
    ),
}  # fmt: skip


@pytest.mark.parametrize("pair", COUNTED, ids=" on ".join)
def test_the_counts_and_the_least_changes_are_those_on_paper(pair):
    counts, points, kinds = COUNTED[pair]
    gig, desk = (load_gig(WORKED / f"{pair[0]}.toml"), load_desk(WORKED / f"{pair[1]}.toml"))
    it = fit(gig, desk)
    at_desk = {row.key: row.need for row in it.ledgers if row.where == "desk"}
    needs = at_desk | {row.label: row.need for row in it.ledgers}
    assert {label: needs[label] for label in counts} == counts
    least = smallest_changes(gig, desk, answers=1)[0]
    assert (least.points, sorted(change.kind for change in least.changes)) == (points, kinds)
    assert check_placement(least.gig, least.desk, least.places).legal


@pytest.mark.parametrize(
    ("pair", "short"),
    [
        (("headset_musical", "paired_twenty_four"), ["preamps (desk)"]),  # 29 and a line, of 24 inputs
        (("brass_outdoors", "grey_twelve"), ["preamps (desk)", "buses", "bus pairs", "delays"]),
    ],
)
def test_what_no_change_carries(pair, short):
    """The brass: phantom in both banks beside a ribbon, and four channels after the fader on two buses that do not link."""
    it = fit(load_gig(WORKED / f"{pair[0]}.toml"), load_desk(WORKED / f"{pair[1]}.toml"))
    assert it.placement == "does not fit"
    assert it.proven
    assert [row.label for row in it.ledgers if row.blocks and row.state == "short"] == short


def test_the_towers_in_the_coldest_air_on_paper():
    """331.3 m/s times the root of 277.15 / 273.15 is 333.7; 34 m and 71 m of it, and 10 ms: 111.9 and 222.8 ms."""
    gig, desk = load_gig(WORKED / "brass_outdoors.toml"), load_desk(WORKED / "travelling_thirty_two.toml")
    said = [reason.terms for reason in fit(gig, desk).ledger("delays").reasons if "coldest" in reason.rule]
    assert said == [(("First tower delay in ms", 111.9),), (("Second tower delay in ms", 222.8),)]


def test_nobody_rings_out_a_shaker():
    """Five in in-ears and a shaker under the stool: nothing on the floor that could howl."""
    gig, desk = load_gig(WORKED / "in_ears_band.toml"), load_desk(WORKED / "great_seventy_two.toml")
    serial = next(
        reason for reason in fit(gig, desk).ledger("minutes").reasons if "one after another" in reason.rule
    )
    assert not [label for label, _ in serial.terms if "ring out" in label]
    assert dict(serial.terms)["monitor mixes to build (6)"] == 18
