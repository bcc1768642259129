"""What notebooks import: one face, lazy, that answers whatever room a thing stands in; and the last edition's places."""

import subprocess
import sys

import pytest

import gigsums


@pytest.mark.parametrize("name", gigsums.__all__)
def test_what_the_face_names_is_there(name):
    assert getattr(gigsums, name) is not None


def test_to_import_it_loads_no_room():
    code = "import sys, gigsums; print(*[m for m in sys.modules if m.startswith('gigsums.')])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.split() == []


def test_a_name_that_is_not_there_is_an_attribute_error():
    with pytest.raises(AttributeError, match="no_such_thing"):
        gigsums.no_such_thing  # noqa: B018


def test_the_last_editions_places_answer():
    from gigsums.calculators import LineUp, line_up, show
    from gigsums.practice import handout, mark_folder, mark_whole, whole_gig, write_blank

    assert (LineUp, line_up, show) == (gigsums.LineUp, gigsums.line_up, gigsums.show)
    assert (handout, mark_folder) == (gigsums.handout, gigsums.mark_folder)
    assert (mark_whole, whole_gig, write_blank) == (
        gigsums.mark_whole,
        gigsums.whole_gig,
        gigsums.write_blank,
    )
