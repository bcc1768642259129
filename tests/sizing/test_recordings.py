"""Feeds that keep every source apart: on tracks inside the desk, or by its direct outs.

Counting one track or one direct out for each channel that is mixed is common practice, no source.
"""

import pytest

from gigs import desk, gig
from gigsums.sizing import check_placement, demand, fit, smallest_changes

EACH = '[[feed]]\nname = "Each"\ncarries = "each source"\n'
STEREO = '[[feed]]\nname = "Mix"\nstereo = true\nrecorded = true\n'
INSIDE = "recorded = true\n"


def choir(count: int, more: str = "") -> str:
    source = f'{{ name = "Voice", by = "mic", count = {count} }}'
    return f'[[performer]]\nname = "Choir"\nsources = [{source}{more}]\n'


def made(direct: int = 0, tracks: int = 0, source: str = "channels", inputs: str = "mic = 16"):
    about = f'kind = "digital"\nchannels = 32\ntalkback = "own input"\ndirect_outs = {direct}'
    return desk(f'[recording]\ntracks = {tracks}\nfrom = "{source}"\n', inputs=inputs, about=about)


def taken(found, on: str, item: str = "feed.Each") -> int:
    return sum(place.on == on for place in found.places if place.item == item)


@pytest.mark.parametrize(
    ("text", "on", "tracks", "outs"),
    [
        (EACH + INSIDE, made(tracks=10), 10, 0),
        (EACH, made(direct=10), 0, 10),
        (EACH + INSIDE, made(direct=10, tracks=2, source="mains"), 0, 10),
        (EACH + INSIDE, made(direct=10, tracks=9), 0, 10),
        (EACH + INSIDE + STEREO, made(direct=10, tracks=10), 0, 10),
        (EACH + STEREO, made(direct=10, tracks=2, source="mains"), 0, 10),
        (EACH + INSIDE + STEREO, made(tracks=12), 10, 0),
        (EACH + INSIDE + STEREO, made(tracks=11), 10, 0),  # the stereo mix by outputs
    ],
)
def test_ten_voices_are_kept_apart_by_tracks_or_by_direct_outs(text, on, tracks, outs):
    found = fit(gig(choir(10) + text), on)
    assert found.placement == "fits"
    assert (taken(found, "track"), taken(found, "direct out")) == (tracks, outs)
    assert check_placement(found.gig, found.desk, found.places).legal
    assert not [row.label for row in found.ledgers if row.blocks and row.state == "short"]


@pytest.mark.parametrize(
    ("text", "on", "short"),
    [
        (EACH + INSIDE, made(tracks=9), "tracks"),
        (EACH + INSIDE, made(tracks=16, source="mains"), "tracks"),
        (EACH, made(direct=9, tracks=16), "direct outs"),
    ],
)
def test_what_is_missing_is_named(text, on, short):
    found = fit(gig(choir(10) + text), on)
    assert found.placement == "does not fit"
    assert [row.label for row in found.ledgers if row.blocks and row.state == "short"] == [short]


def test_too_few_tracks_are_counted_as_direct_outs_where_there_are_enough():
    counted = demand(gig(choir(10) + EACH + INSIDE), made(direct=10, tracks=9))
    assert (counted.ledger("direct outs").need, counted.ledger("tracks").need) == (10, 0)
    assert demand(gig(choir(10) + EACH + INSIDE), made(direct=9, tracks=9)).ledger("tracks").state == "short"


def test_a_recorder_of_the_mains_says_why_it_keeps_no_source_apart():
    row = fit(gig(choir(10) + EACH + INSIDE), made(tracks=16, source="mains")).ledger("tracks")
    assert row.have == 0
    assert any("the mains alone" in reason.rule for reason in row.reasons)


def test_a_source_that_is_left_out_takes_no_track():
    """Seventeen microphones on sixteen sockets and sixteen tracks: without the one that is nice to have they fit."""
    text = choir(16, ', { name = "Room", by = "mic", keep = "nice" }') + EACH + INSIDE
    found = smallest_changes(gig(text), made(tracks=16))[0]
    assert [change.kind for change in found.changes] == ["drop nice"]
    assert taken(found, "track") == 16
    assert fit(gig(text), made(tracks=15)).placement == "does not fit"


def test_a_sub_mix_is_recorded_as_the_two_channels_it_is():
    found = smallest_changes(gig(choir(18) + EACH + INSIDE + "[kit]\nsub_mixers = 1\n"), made(tracks=2))
    assert [change.kind for change in found[0].changes] == ["sub-mixer"]
    assert taken(found[0], "track") == 2


def test_two_such_feeds_and_a_personal_mixer_share_the_direct_outs_of_an_analogue_desk():
    text = (
        choir(8)
        + EACH
        + '[[mix]]\nname = "Ada"\nfor = ["Choir"]\nfed_by = "personal mixer"\npersonal_feeds = 4\n'
    )
    about = 'kind = "analogue"\ntalkback = "own input"\ndirect_outs = {}'
    wide, narrow = (desk(inputs="mic = 12", about=about.format(outs)) for outs in (12, 11))
    found = fit(gig(text), wide)
    assert found.placement == "fits"
    assert check_placement(found.gig, found.desk, found.places).legal
    assert (taken(found, "direct out"), taken(found, "direct out", "mix.Ada")) == (8, 4)
    found = fit(gig(text), narrow)
    assert found.placement == "does not fit"
    assert (found.ledger("direct outs").need, found.ledger("direct outs").have) == (12, 11)


def test_what_is_dropped_frees_its_tracks():
    text = choir(10) + EACH.replace("Each", "Extra") + INSIDE + 'keep = "nice"\n' + STEREO
    found = smallest_changes(gig(text), made(tracks=2))[0]
    assert [change.kind for change in found.changes] == ["drop nice"]
    assert taken(found, "track", "feed.Mix") == 2


def test_the_judge_wants_one_way_and_the_right_number():
    found = fit(gig(choir(4) + EACH + INSIDE), made(tracks=4, direct=4))
    kept = [place for place in found.places if place.item != "feed.Each"]
    tracks = [place for place in found.places if place.item == "feed.Each"]
    assert not check_placement(found.gig, found.desk, [*kept, *tracks[:3]]).legal
    unrecorded = gig(choir(4) + EACH)
    assert not check_placement(unrecorded, found.desk, found.places).legal


def test_a_personal_mixer_on_an_analogue_desk_wants_direct_outs_and_says_so():
    """Line sockets are no help: they carry mixes, and four sources are wanted apart."""
    text = (
        choir(4) + '[[mix]]\nname = "Ada"\nfor = ["Choir"]\nfed_by = "personal mixer"\npersonal_feeds = 4\n'
    )
    about = 'kind = "analogue"\ntalkback = "own input"\ndirect_outs = {}'
    found = fit(gig(text), desk(about=about.format(3)))
    assert found.placement == "does not fit"
    assert [row.label for row in found.ledgers if row.blocks and row.state == "short"] == ["direct outs"]
    assert fit(gig(text), desk(about=about.format(4))).placement == "fits"
    assert fit(gig(text), made()).placement == "fits"
