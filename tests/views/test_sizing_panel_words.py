"""What the sizing panel says of a fit: changes that are alike once, and the clock where only the clock is against it."""

from __future__ import annotations

from gigsums.views.sizing.panel import answer
from gigsums.views.sizing.sheet import Sheet

DESK = 'format = 1\n[desk]\nname = "Small"\nkind = "digital"\n[[inputs]]\nat = "desk"\nmic = 2\n[[outputs]]\nat = "desk"\nline = 2\n'
GIG = 'format = 1\n[gig]\nname = "Choir"\n{clock}{crew}[[performer]]\nname = "Choir"\nsources = [{{ name = "Voice", by = "mic", count = 4, keep = "nice" }}]\n'


def said(tmp_path, clock: tuple[str, str] = ("", "")):
    (tmp_path / "gig.toml").write_text(GIG.format(clock=clock[0], crew=clock[1]), encoding="utf-8")
    (tmp_path / "desk.toml").write_text(DESK, encoding="utf-8")
    return answer(Sheet(tmp_path / "gig.toml", tmp_path / "desk.toml"))


def test_changes_that_are_alike_are_said_once(tmp_path):
    assert said(tmp_path)["changes"] == [
        "Leave out Voice (nice to have), 2 of them (6 points; lost: it is not heard)"
    ]


def test_the_clock_is_said_first_and_once(tmp_path):
    words = said(
        tmp_path,
        ("load_in = 18:00:00\ndoors = 18:01:00\n", "[crew]\npeople = [{ name = 'Nan', skill = 'novice' }]\n"),
    )
    assert words["verdict"] == "Does not fit"
    assert words["because"].startswith(
        "Everything finds a socket once changed (leave out Voice (nice to have), 2 of them), but the work does"
    )
    assert not [care for care in words["cares"] if "before doors" in care]
