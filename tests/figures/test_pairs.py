"""Bus pairs: what a cell says is what the placement holds, and moved is as drawn anew."""

import io

import numpy as np
import pytest
from PIL import Image

from gigs import desk, gig, singers
from gigsums.figures import picture
from gigsums.figures.gig import BusPairs
from gigsums.figures.picture import DARK, LIGHT
from gigsums.gig import bundled, load_desk, load_gig
from gigsums.sizing import fit

FITS = {
    (band, mixer): fit(load_gig(band), load_desk(mixer))
    for band in ("lantern_night", "tea_room_solo", "hybrid_assembly")
    for mixer in bundled("desks")
}


def pixels(drawn):
    return np.asarray(Image.open(io.BytesIO(drawn.png())))


def names(drawn):
    return [each.get_text() for each in drawn._names if each.get_text()]


@pytest.mark.parametrize("light", [False, True])
def test_moved_there_it_is_what_it_would_be_drawn_there(light):
    moved = BusPairs(light)
    for each in (*FITS.values(), next(iter(FITS.values()))):
        moved.update({"fit": each})
        anew = BusPairs(light)
        anew.update({"fit": each})
        assert (pixels(moved) == pixels(anew)).all()


@pytest.mark.parametrize("which", FITS)
def test_the_picture_says_every_bus_of_the_placement(which):
    each = FITS[which]
    drawn = picture("bus pairs", fit=each)
    for place in each.places:
        if place.on == "bus":
            tap = "before" if place.tap == "pre" else "after"
            name = place.item.split(".", 1)[1]
            said = [part for part in drawn.words.split(": ", 1)[1].split("; ") if name in part]
            assert len(said) == 1
            assert str(place.number) in said[0].split(name)[0]
            assert said[0].endswith(f"{tap} the fader")
    marks = sum(len(line.get_xdata()) for line in (drawn._before, drawn._after))
    taken = {(p.item) if _stereo(each, p) else (p.item, p.number) for p in each.places if p.on == "bus"}
    assert marks == len(taken) + 2 * bool(each.places)


def _stereo(each, place):
    return sum(other.item == place.item and other.on == "bus" for other in each.places) == 2


def test_stereo_sits_across_both_and_mono_in_half():
    asked = gig(singers(1, 'through = "in-ears"') + singers(2, "").replace('"P', '"Q'))
    drawn = picture("bus pairs", fit=fit(asked, desk('[[mix_buses]]\ncount = 4\ntap = "each"\n')))
    assert names(drawn) == ["M0, stereo", "free", "free"]


def test_what_is_not_there_is_drawn_as_missing():
    drawn = picture("bus pairs", fit=FITS["lantern_night", "desk_a"])
    assert names(drawn).count("not there") == 3
    assert drawn.words == "Nothing is placed on the buses of Desk A: 5 pairs asked for, 2 there."


def test_a_desk_with_more_buses_than_there_is_room_for_says_so():
    asked = gig(singers(30, 'through = "in-ears"'))
    drawn = picture(
        "bus pairs", fit=fit(asked, desk('[[mix_buses]]\ncount = 96\ntap = "each"\n', inputs="mic = 80"))
    )
    assert "more not shown" in drawn._said.get_text()
    none = picture("bus pairs", fit=fit(gig(singers(1)), desk()))
    assert none.words == "Test desk has no buses."


@pytest.mark.parametrize("which", FITS)
@pytest.mark.parametrize(("light", "look"), [(False, DARK), (True, LIGHT)])
def test_it_stands_on_its_paper_and_fits(which, light, look):
    drawn = BusPairs(light)
    drawn.update({"fit": FITS[which]})
    paper = [int(look.paper[i : i + 2], 16) for i in (1, 3, 5)]
    shown = pixels(drawn)
    edge = np.concatenate([shown[0], shown[-1], shown[:, 0], shown[:, -1]])
    assert (edge == paper).all(), "something runs over the edge"
