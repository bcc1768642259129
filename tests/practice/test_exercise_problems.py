"""The bundled whole-gig problems, each counted by hand from its gig's text. Common practice, no source.

Every line of a tally is somebody's own addition, written as it was done on paper: what, how many, and the sum is left
to the test. The key comes from the engine and has to agree with all of it.
"""

from __future__ import annotations

import tomllib

import pytest

from gigsums.gig import bundled
from gigsums.sizing import check_placement
from gigsums.whole_gigs import WholeGig, mark_whole, whole_gig

TALLIES = {
    "saturday_brunch": {
        "monitor mixes": "Tamsin, two boxes with one balance 1",
        "monitor buses": "Tamsin 1",
        "talkback": "one floor mix alone 0",
        "preamps (desk)": "vocal 1 + looper left and right 2 + stomp box 1",
        "stereo inputs (desk)": "tablet 1",
        "strips": "vocal, looper, stomp box 4 + tablet 1",
        "buses": "Tamsin 1 + reverb send 1",
        "bus pairs": "Tamsin on aux 3 beside the send on aux 4 1",
        "outputs (desk)": "mains 2 + Tamsin 1",
        "equalisers": "mains 2 + Tamsin 1",
        "inserts": "nothing outboard 0",
        "effects": "reverb 1",
    },
    "tea_room_solo": {
        "monitor mixes": "Orla 1",
        "monitor buses": "Orla 1",
        "talkback": "one floor mix alone 0",
        "preamps (desk)": "vocal 1 + guitar 1",
        "stereo inputs (desk)": "phone 1",
        "strips": "vocal 1 + guitar 1 + phone 1",
        "buses": "Orla 1 + reverb send 1",
        "bus pairs": "aux 3 with aux 4 1",
        "outputs (desk)": "mains 2 + Orla 1",
        "equalisers": "mains 2 + Orla 1",
        "inserts": "nothing outboard 0",
        "effects": "reverb 1",
    },
    "parish_meeting": {
        "talkback": "no mixes 0",
        "preamps (desk)": "lectern 2 + table 4 + receivers 3 + announcements 1",
        "stereo inputs (desk)": "laptop 1 + music player 1",
        "strips": "microphones 10 + lines 2",
        "buses": "loop 1 + foyer 1",
        "bus pairs": "aux 3 with aux 4, both after the fader 1",
        "outputs (desk)": "mains 2 + loop 1 + foyer 1 + recorder on its own sockets 0",
        "equalisers": "mains 2",
        "inserts": "nothing outboard 0",
        "effects": "none 0",
    },
    "boatyard_duo": {
        "monitor mixes": "Hester 1 + Piers 1",
        "monitor buses": "Hester 1 + Piers 1",
        "talkback": "two mixes 1",
        "preamps (desk)": "Hester 1 + concertina 2 + ribbon 1 + Piers 1 + talkback 1",
        "stereo inputs (desk)": "slide show 1",
        "strips": "preamps 6 + slide show 1",
        "buses": "Hester 1 + Piers 1 + reverb send 1",
        "bus pairs": "one of the two alone 1 + the other or the send 1",
        "outputs (desk)": "mains 2 + Hester 1 + Piers 1",
        "equalisers": "mains 2 + Hester 1 + Piers 1",
        "inserts": "nothing outboard 0",
        "effects": "reverb 1",
    },
    "loft_quartet": {
        "monitor mixes": "Odile 1 + piano and bass 1 + Nadia 1",
        "monitor buses": "Odile 1 + piano and bass 1 + Nadia 2",
        "talkback": "in-ears 1",
        "preamps (desk)": "vocal 1 + piano 2 + pickup 1 + bass microphone 1 + kick 1 + snare 1 + overheads 2 "
        "+ talkback 1 + walk-in 2",
        "strips": "microphones and DI 9 + walk-in 2 + talkback 1 + reverb return 2",
        "buses": "mixes 4 + reverb on its own send 0",
        "bus pairs": "Nadia 1 + the two floor mixes 1",
        "outputs (desk)": "mains 2 + Odile 1 + piano and bass 1 + Nadia 2 + recording inside 0",
        "equalisers": "mains 2 + mixes 4",
        "compressors": "vocal 1 + pickup 1",
        "gates": "none 0",
        "delays": "none 0",
        "effects": "reverb 1",
        "tracks": "recording 2",
    },
    "tidewrack_trio": {
        "monitor mixes": "Sunniva 1 + Marek 1 + Joss 1",
        "monitor buses": "Sunniva 2 + Marek 2 + Joss 2",
        "talkback": "in-ears 1",
        "preamps (desk)": "lead 1 + synthesiser 2 + drum module 2 + bass 1 + Joss 1 + talkback 1 + tracks 2 + click 1",
        "strips": "players 7 + tracks 2 + click 1 + talkback 1 + reverb return 2 + delay return 2",
        "buses": "mixes 6",
        "bus pairs": "Sunniva 1 + Marek 1 + Joss 1",
        "outputs (desk)": "mains 2 + mixes 6",
        "equalisers": "mains 2 + mixes 6",
        "compressors": "lead 1 + bass 1",
        "gates": "none 0",
        "delays": "none 0",
        "effects": "reverb 1 + delay 1",
        "tracks": "recording 2",
    },
    "bandstand_brass": {
        "monitor mixes": "Gus 1 + low brass 1 + high brass 1 + Priya 1 + Rowan 1",
        "monitor buses": "Gus, top and sub apart 2 + low brass 1 + high brass 1 + Priya 1 + Rowan 2",
        "talkback": "in-ears 1",
        "preamps (desk)": "kick 1 + snare 1 + toms 2 + overheads 2 + sousaphone 1 + trumpets 3 + saxophones 2 "
        "+ trombone 1 + lead 1 + guitar 1 + Rowan 1 + talkback 1",
        "strips": "players 16 + talkback 1 + reverb return 2",
        "buses": "mixes 7",
        "bus pairs": "Rowan 1 + Gus and three more, five mono 3",
        "outputs (desk)": "mains 2 + mixes 7",
        "equalisers": "mains 2 + mixes 7",
        "compressors": "sousaphone 1 + lead 1",
        "gates": "kick 1 + toms 2",
        "delays": "none 0",
        "effects": "reverb 1",
        "tracks": "none 0",
    },
    "two_desk_revue": {
        "monitor mixes": "Cleo 1 + Benno 1 + Iris and Sol 1",
        "monitor buses": "all on the other desk 0",
        "talkback": "in-ears 1",
        "preamps (stage)": "lead 1 + kick 1 + snare 1 + overheads 2 + bass 1 + keys 2 + Sol 1",
        "preamps (desk)": "walk-in 2",
        "strips": "stage 9 + walk-in 2",
        "buses": "reverb send 1",
        "bus pairs": "reverb send 1",
        "outputs (stage)": "mains 2",
        "outputs (desk)": "recording inside 0",
        "outputs": "mains 2",
        "matrices": "none 0",
        "equalisers": "mains 2",
        "compressors": "lead 1 + bass 1",
        "gates": "kick 1",
        "delays": "none 0",
        "effects": "reverb 1",
        "tracks": "recording 2",
    },
    "chapel_recording": {
        "monitor mixes": "Anwen 1 + Lowri 1",
        "monitor buses": "Anwen 1 + Lowri on a personal mixer 0",
        "talkback": "in-ears 1",
        "preamps (stage)": "choir, two pairs 4 + organ 2 + soloists 2 + strings 4 + welcome 1",
        "preamps (desk)": "announcement player 1",
        "strips": "stage 13 + announcement player 1",
        "buses": "Anwen 1 + reverb send 1 + stream 2",
        "bus pairs": "stream 1 + Anwen with the send 1",
        "outputs (stage)": "mains 2 + Anwen 1 + Lowri's personal mixer 4 + gallery 1",
        "outputs (desk)": "stream 2",
        "outputs": "stage 8 + desk 2",
        "matrices": "gallery 1",
        "equalisers": "mains 2 + Anwen 1 + gallery 1",
        "compressors": "none 0",
        "gates": "none 0",
        "delays": "gallery 1",
        "effects": "reverb 1",
        "tracks": "stage 13 + announcement player 1",
    },
    "cellar_small_desk": {
        "monitor mixes": "Delphine 1 + Jory 1 + Saskia 1 + Imre 1 + Rafe 1",
        "monitor buses": "five mono 5",
        "talkback": "the gig asks for it 1",
        "preamps (desk)": "kick 1 + snare 1 + hat 1 + toms 3 + overheads 2 + bass 1 + Saskia 1 + guitar 2 + Jory 1 "
        "+ keys 2 + Imre 1 + lead 1 + talkback 1",
        "stereo inputs (desk)": "playback 1 + the second effect's return 1",
        "strips": "preamps 18 + stereo 2",
        "buses": "mixes 5 + reverb send 1 + delay send 1 + subs 1",
        "bus pairs": "eight buses fill 4",
        "outputs (desk)": "mains 2 + mixes 5 + subs 1 + send to the unit for the second effect 1",
        "equalisers": "mains 2 + mixes 5",
        "compressors": "kick 1 + snare 1 + bass 1 + vocals 4",
        "gates": "kick 1 + toms 3",
        "inserts": "kick, with both in one 1 + snare 1 + toms 3 + bass 1 + vocals 4",
        "effects": "reverb 1 + delay 1",
    },
    "undercroft_five_piece": {
        "monitor mixes": "Delphine 1 + Jory 1 + Saskia 1 + Imre 1 + Rafe 1",
        "monitor buses": "five mono 5",
        "talkback": "the gig asks for it 1",
        "preamps (desk)": "kick 1 + snare 1 + hat 1 + toms 3 + overheads 2 + bass 1 + Saskia 1 + guitar 2 + Jory 1 "
        "+ keys 2 + Imre 1 + lead 1",
        "stereo inputs (desk)": "playback 1 + reverb return 1 + delay return 1",
        "strips": "preamps 17 + stereo 3",
        "buses": "mixes 5 + sends 2 + subs 1",
        "bus pairs": "five before the fader 3 + three after it 2",
        "outputs (desk)": "mains 2 + mixes 5 + subs 1 + sends to two units 2",
        "matrices": "none 0",
        "equalisers": "mains 2 + mixes 5",
        "compressors": "kick 1 + snare 1 + bass 1 + vocals 4",
        "gates": "kick 1 + toms 3",
        "inserts": "kick, with both in one 1 + snare 1 + toms 3 + bass 1 + vocals 4",
        "effects": "reverb 1 + delay 1",
    },
    "lantern_night": {
        "monitor mixes": "Ines 1 + Tobiah 1 + Maud 1 + Fenwick 1 + keys and fiddle 1",
        "monitor buses": "Ines 2 + Tobiah 2 + Maud 1 + Fenwick 1 + keys and fiddle 1",
        "talkback": "in-ears 1",
        "preamps (desk)": "lectern 1 + lead 1 + acoustic 1 + kick 1 + snare 1 + rack 1 + floor 1 + overheads 2 + bass 1 "
        "+ guitar 1 + Fenwick 1 + keys 2 + Ottoline 1 + fiddle 1",
        "stereo inputs (desk)": "walk-in 1 + film 1 + reverb return 1",
        "strips": "preamps 16 + stereo 3",
        "buses": "mixes 7 + reverb send 1",
        "bus pairs": "Ines 1 + Tobiah 1 + three mono 2 + the send 1",
        "outputs (desk)": "mains 2 + mixes 7 + back of shed 1 + recording 2 + reverb send 1",
        "matrices": "back of shed 1",
        "groups": "recording 2",
        "equalisers": "mains 2 + mixes 7 + back of shed 1",
        "compressors": "lead 1 + bass 1",
        "gates": "kick 1 + rack 1 + floor 1",
        "inserts": "lead 1 + bass 1 + kick 1 + rack 1 + floor 1",
        "delays": "back of shed 1",
        "effects": "reverb 1",
    },
    "school_musical": {
        "monitor mixes": "stage 1 + pit 1 + drummer 1 + prompt corner 1",
        "monitor buses": "stage 1 + pit 1 + drummer 1 + prompt corner 1",
        "talkback": "four mixes 1",
        "preamps (desk)": "packs 12 + floor 3 + kick 1 + snare 1 + overheads 2 + bass 1 + keys 2 + reeds 2 + narrator 1",
        "stereo inputs (desk)": "sound effects 1 + reverb return 1",
        "strips": "preamps 25 + stereo 2",
        "buses": "mixes 4 + reverb send 1",
        "bus pairs": "four before the fader 2 + the send 1",
        "outputs (desk)": "mains 2 + mixes 4 + dressing rooms 1 + archive 2 + reverb send 1",
        "matrices": "dressing rooms 1",
        "groups": "archive, for which one matrix is too few 2",
        "equalisers": "mains 2 + mixes 4",
        "compressors": "bass 1 + narrator 1",
        "inserts": "bass 1 + narrator 1",
    },
    "market_ceilidh": {
        "monitor mixes": "left 1 + right 1 + front 1",
        "monitor buses": "left 1 + right 1 + front 1",
        "talkback": "three mixes 1",
        "preamps (desk)": "fiddle 1 + whistle 1 + accordion 2 + guitar 1 + bass 1 + hand drum 1 + caller 1 "
        "+ pipes at most 2 + guests at most 5 + talkback 1 + walk-in 2",
        "strips": "players 15 + walk-in 2 + talkback 1 + reverb return 2",
        "buses": "mixes 3 + far side 1",
        "bus pairs": "four mono 2",
        "outputs (desk)": "mains 2 + mixes 3 + far side 1",
        "equalisers": "mains 2 + mixes 3 + far side 1",
        "compressors": "none 0",
        "gates": "none 0",
        "delays": "far side 1",
        "effects": "reverb 1",
        "tracks": "none 0",
    },
    "river_forum": {
        "monitor mixes": "panel 1",
        "monitor buses": "panel 1",
        "talkback": "one floor mix alone 0",
        "preamps (stage)": "lectern 2 + headsets 5 + question microphones 3",
        "preamps (desk)": "laptops 4 + film 2 + upstream 2 + downstream 2 + walk-in 2",
        "strips": "stage 10 + desk 12",
        "buses": "panel 1 + to upstream 1 + to downstream 1 + interpreter 1 + stream 2",
        "bus pairs": "stream 1 + four mono 2",
        "outputs (stage)": "mains 2 + panel 1 + front fill 1",
        "outputs (desk)": "overflow 1 + loop 1 + press 1 + to upstream 1 + to downstream 1 + interpreter 1 + stream 2",
        "outputs": "stage 4 + desk 8",
        "matrices": "front fill 1 + overflow 1 + loop 1 + press 1",
        "equalisers": "mains 2 + panel 1 + front fill 1",
        "compressors": "none 0",
        "gates": "none 0",
        "delays": "none 0",
        "effects": "none 0",
        "tracks": "recording 2",
    },
    "hybrid_assembly": {
        "monitor mixes": "foldback 1",
        "monitor buses": "foldback 1",
        "talkback": "one floor mix alone 0",
        "preamps (stage)": "lectern 2 + headsets 6 + audience 4",
        "preamps (desk)": "video 2 + laptops 4 + walk-in 2 + caller 2",
        "strips": "stage 12 + desk 10",
        "buses": "foldback 1 + caller's return 1 + interpreter 1 + stream 2",
        "bus pairs": "stream 1 + three mono 2",
        "outputs (stage)": "mains 2 + front fill 1 + ring 1 + foldback 1",
        "outputs (desk)": "foyer 1 + loop 1 + press 1 + caller's return 1 + interpreter 1 + stream 2 + recorder 2",
        "outputs": "stage 5 + desk 9",
        "matrices": "front fill 1 + ring 1 + foyer 1 + loop 1 + press 1",
        "equalisers": "mains 2 + front fill 1 + ring 1 + foldback 1",
        "compressors": "none 0",
        "gates": "none 0",
        "delays": "ring 1",
        "effects": "none 0",
        "tracks": "none 0",
    },
    "harvest_ball": {
        "monitor mixes": "Mabel 1 + Teddy 1 + Roz 1 + Hal 1 + Effie 1 + Quill 1 + horns 1 + Opal 1",
        "monitor buses": "five in-ears 10 + Quill 1 + horns 1 + Opal 1",
        "talkback": "in-ears 1",
        "preamps (stage)": "Mabel 1 + Teddy 1 + kick 1 + snare 1 + hat 1 + toms 3 + overheads 2 + tracks 2 + click 1 + bass 1 "
        "+ keys 2 + Effie 1 + guitar 1 + Quill 1 + trumpet 1 + saxophone 1 + trombone 1 + congas 2 + hand percussion 1",
        "preamps (desk)": "speeches 1 + walk-in 2",
        "strips": "stage 25 + desk 3",
        "buses": "mixes 13 + sends 2 + subs 1",
        "bus pairs": "five in-ears 5 + three mono mixes, two sends and the subs 3",
        "outputs (stage)": "mains 2 + mixes 13 + subs 1",
        "outputs (desk)": "none 0",
        "outputs": "stage 16",
        "matrices": "none 0",
        "equalisers": "mains 2 + mixes 13",
        "compressors": "Mabel 1 + Teddy 1 + bass 1",
        "gates": "kick 1 + toms 3",
        "delays": "none 0",
        "effects": "reverb 1 + delay 1",
        "tracks": "none 0",
    },
}  # fmt: skip

DELAYS = {  # (main - own) / c + 10 ms, c = 331.3 * sqrt(1 + t / 273.15), by pocket calculator
    "lantern_night": ("Back of shed delay", 18 / 339.7 * 1000 + 10),  # 14 degrees
    "chapel_recording": ("Gallery delay", 24 / 336.1 * 1000 + 10),  # 8 degrees
    "market_ceilidh": ("Far side delay", 30 / 334.9 * 1000 + 10),  # 6 degrees
    "hybrid_assembly": ("Delay ring delay", 18 / 343.8 * 1000 + 10),  # 21 degrees
}

VERDICTS = {  # word, short, without spare, to bring, to ask, points of the cheapest changes by the house's prices
    "saturday_brunch": ("fits", [], [], [], [], 0),
    "tea_room_solo": ("fits with care", [], [], ["equalisers"], [], 0),
    "parish_meeting": ("fits with care", [], ["preamps (desk)"], ["equalisers"], [], 0),
    "boatyard_duo": ("fits with changes", ["preamps (desk)"], [], [], [], 9),  # a blocker
    "loft_quartet": ("fits with care", [], [], [], [], 0),  # talkback on a channel
    "tidewrack_trio": ("fits with care", [], ["outputs (desk)"], [], [], 0),
    "bandstand_brass": (
        "does not fit", ["preamps (desk)", "buses", "bus pairs", "outputs (desk)"], ["strips"], ["equalisers"], [], None,
    ),
    "two_desk_revue": ("does not fit", [], [], [], [], None),  # no splitter
    "chapel_recording": ("fits", [], [], [], [], 0),
    "cellar_small_desk": (
        "fits with changes", ["preamps (desk)", "strips", "buses", "bus pairs", "outputs (desk)", "effects"], ["minutes"],
        ["equalisers", "compressors", "gates", "inserts"], [], 60,  # another desk
    ),
    "undercroft_five_piece": (
        "fits with changes", ["bus pairs", "effects"], ["buses", "minutes"], ["equalisers", "compressors", "gates"], [],
        1 + 11 + 11,  # subs another way, two units
    ),
    "lantern_night": (
        "fits with changes", ["bus pairs", "delays", "effects"], ["buses"], ["equalisers"], [], 4 + 11 + 11,  # one in mono
    ),
    "school_musical": ("fits with changes", ["preamps (desk)"], [], [], [], 8),  # one receiver at line level
    "market_ceilidh": ("fits with changes", ["preamps (desk)"], ["strips"], [], ["Guest vocals"], 14),  # a sub-mixer
    "river_forum": ("fits with care", [], ["preamps (desk)", "outputs (desk)"], [], [], 0),
    "hybrid_assembly": ("fits with changes", ["outputs (desk)", "matrices"], [], [], [], 1 + 2),
    "harvest_ball": (
        "fits with changes", ["preamps (stage)", "buses", "bus pairs", "outputs (stage)"], [], [], [], 1 + 2 + 2 + 4,
    ),
}  # fmt: skip

SLIPS = {  # a usual slip carried through by somebody who reckons on with it; it costs one count and no more
    "saturday_brunch": ("stereo as one", {"preamps (desk)": 3, "strips": 4}),
    "tea_room_solo": ("a return that is dedicated takes a channel", {"strips": 4}),
    "parish_meeting": ("the spare counted as need", {"preamps (desk)": 12, "strips": 14}),
    "boatyard_duo": ("talkback forgotten", {"talkback": 0, "preamps (desk)": 5, "strips": 6}),
    "loft_quartet": ("stereo as one", {"preamps (desk)": 11, "strips": 13}),
    "tidewrack_trio": (
        "in-ears as one bus each",
        {"monitor buses": 3, "buses": 3, "bus pairs": 2, "outputs (desk)": 5, "equalisers": 5},
    ),
    "bandstand_brass": (
        "top and sub on one send",
        {"monitor buses": 6, "buses": 6, "bus pairs": 3, "outputs (desk)": 8, "equalisers": 8},
    ),
    "two_desk_revue": (
        "the other desk's mixes on this one",
        {"monitor buses": 5, "buses": 6, "bus pairs": 3, "outputs (stage)": 7, "outputs": 7, "equalisers": 7},
    ),
    "chapel_recording": ("two pairs as two", {"preamps (stage)": 11, "strips": 12, "tracks": 12}),
    "cellar_small_desk": (
        "boxes as mixes",
        {
            "monitor mixes": 7,
            "monitor buses": 7,
            "buses": 10,
            "bus pairs": 5,
            "outputs (desk)": 11,
            "equalisers": 9,
        },
    ),
    "undercroft_five_piece": (
        "boxes as mixes",
        {
            "monitor mixes": 7,
            "monitor buses": 7,
            "buses": 10,
            "bus pairs": 6,
            "outputs (desk)": 12,
            "equalisers": 9,
        },
    ),
    "lantern_night": (
        "boxes as mixes",
        {
            "monitor mixes": 6,
            "monitor buses": 8,
            "buses": 9,
            "bus pairs": 5,
            "outputs (desk)": 14,
            "equalisers": 11,
        },
    ),
    "school_musical": (
        "people as mixes",
        {
            "monitor mixes": 6,
            "monitor buses": 6,
            "buses": 7,
            "bus pairs": 4,
            "outputs (desk)": 12,
            "equalisers": 8,
        },
    ),
    "market_ceilidh": ("the least taken for the most", {"preamps (desk)": 14, "strips": 16}),
    "river_forum": (
        "one mix-minus for two callers",
        {"buses": 5, "bus pairs": 3, "outputs (desk)": 7, "outputs": 11},
    ),
    "hybrid_assembly": ("the total alone", {"outputs (stage)": 7, "outputs (desk)": 7}),
    "harvest_ball": (
        "in-ears as one bus each",
        {
            "monitor buses": 8,
            "buses": 11,
            "bus pairs": 6,
            "outputs (stage)": 11,
            "outputs": 11,
            "equalisers": 10,
        },
    ),
}


def added(sum_: str) -> int:
    """What a line of a tally comes to."""
    return sum(int(term.split()[-1]) for term in sum_.split(" + "))


@pytest.fixture(scope="module")
def problems() -> dict[str, WholeGig]:
    return {name: whole_gig(name) for name in bundled("problems")}


def test_every_bundled_problem_has_a_tally():
    assert set(TALLIES) == set(VERDICTS) == set(SLIPS) == set(bundled("problems"))
    assert len(TALLIES) >= 12


def test_verdicts_of_every_kind_are_there():
    words = [word for word, *_ in VERDICTS.values()]
    assert {word: words.count(word) >= 2 for word in words} == dict.fromkeys(
        ("fits", "fits with care", "fits with changes", "does not fit"), True
    )


@pytest.mark.parametrize("name", TALLIES)
def test_the_key_agrees_with_the_tally_made_by_hand(name, problems):
    rows = {row.label: row.need for row in problems[name].solution.rows if not row.unit}
    assert rows == {label: added(sum_) for label, sum_ in TALLIES[name].items()}


@pytest.mark.parametrize("name", TALLIES)
def test_delays_agree_with_the_pocket_calculator(name, problems):
    rows = {row.label: row.need for row in problems[name].solution.rows if row.unit}
    label, delay = DELAYS.get(name, ("", 0.0))
    assert rows == (pytest.approx({label: delay}, abs=0.05) if label else {})


@pytest.mark.parametrize("name", VERDICTS)
def test_the_verdict_agrees_with_the_one_made_by_hand(name, problems):
    key = problems[name].solution
    word, short, no_spare, bring, ask, points = VERDICTS[name]
    assert key.word == word
    found = [list(key.lists[each]) for each in ("short", "no_spare", "bring", "ask")]
    assert found == [short, no_spare, bring, ask]
    assert [answer.points for answer in key.answers[:1]] == ([] if points is None else [points])


@pytest.mark.parametrize("name", TALLIES)
def test_the_keys_own_placement_is_legal_and_the_key_earns_everything(name, problems):
    job = problems[name]
    for answer in job.solution.answers:
        assert check_placement(answer.gig, answer.desk, answer.places).legal
    marking = mark_whole(job, job.key_answers())
    assert (marking.total, marking.messages, marking.flags) == (100, (), ())


@pytest.mark.parametrize("name", TALLIES)
def test_a_blank_answer_file_reads_and_earns_nothing(name, problems):
    marking = mark_whole(problems[name], tomllib.loads(problems[name].blank()))
    assert (marking.total, marking.malformed, marking.flags) == (0, (), ())
    assert marking.out_of == 100


@pytest.mark.parametrize("name", SLIPS)
def test_a_slip_that_is_carried_through_costs_one_count(name, problems):
    job = problems[name]
    slip, counts = SLIPS[name]
    answers = job.key_answers()
    answers["counts"] |= {label: str(number) for label, number in counts.items()}
    section = mark_whole(job, answers).section("counts")
    rows = len(TALLIES[name]) + (name in DELAYS)
    assert section.marks == pytest.approx(section.out_of * (rows - 1) / rows, abs=0.11), slip


@pytest.mark.parametrize("name", SLIPS)
def test_the_same_slip_not_carried_costs_what_it_touches(name, problems):
    """Only the last of the counts is wrong, with nothing before it to follow from."""
    job = problems[name]
    label, number = list(SLIPS[name][1].items())[-1]
    answers = job.key_answers()
    answers["counts"][label] = str(number)
    marking = mark_whole(job, answers)
    assert [count.label for count in marking.counts if not count.good] == [label]
    assert marking.carried == ()
