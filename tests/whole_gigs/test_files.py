"""A whole gig kept as the texts of its files, and made again without them."""

from __future__ import annotations

import json
import shutil
from dataclasses import replace

import pytest

from gigsums.gig import BadFile, bundled
from gigsums.whole_gigs import whole_gig
from gigsums.whole_gigs.files import Files
from gigsums.whole_gigs.problem import made_of


def kept(job):
    """The texts as they come back from JSON."""
    return Files.from_json(json.loads(json.dumps(job.files.as_json())))


@pytest.mark.parametrize("name", bundled("problems"))
def test_every_bundled_problem_is_made_again_from_its_texts(name):
    job = whole_gig(name)
    again = made_of(kept(job))
    assert again == job
    assert again.files.id == job.files.id


def test_neither_the_problems_files_nor_the_houses_are_read_again(tmp_path, monkeypatch):
    for kind, name in (("problems", "tea_room_solo"), ("gigs", "tea_room_solo"), ("desks", "desk_a")):
        shutil.copy(bundled(kind)[name], tmp_path / f"{kind}.toml")
    problem = tmp_path / "problems.toml"
    text = problem.read_text(encoding="utf-8")
    problem.write_text(
        text.replace('gig = "tea_room_solo"', 'gig = "gigs.toml"').replace('desk = "desk_a"', 'desk = "desks.toml"'),
        encoding="utf-8",
    )  # fmt: skip
    job = whole_gig(problem)
    files = kept(job)
    for path in tmp_path.iterdir():
        path.unlink()
    offset = job.gig.policy.delay.offset_ms
    policy = files.policy._replace(text=files.policy.text.replace("offset_ms = 10", "offset_ms = 17"))
    marking = files.marking._replace(text=files.marking.text.replace("danger = 40 ", "danger = 30 "))
    safety = files.safety._replace(text=files.safety.text.replace("cut the low end", "cut the top end"))
    earlier = made_of(replace(files, policy=policy, marking=marking, safety=safety))
    assert made_of(files) == job
    assert (offset, earlier.gig.policy.delay.offset_ms) == (10, 17)
    assert (job.marks.danger, earlier.marks.danger) == (40, 30)
    assert earlier.files.id != job.files.id
    told = " ".join(one for question in earlier.safety for one in question.choices)
    assert ("cut the top end" in told) == any("cut the low end" in str(q.choices) for q in job.safety)


def test_a_setting_that_a_kept_file_does_not_know_is_the_houses():
    files = whole_gig("tea_room_solo").files
    lines = [line for line in files.marking.text.splitlines() if not line.startswith("near")]
    older = replace(files, marking=files.marking._replace(text="\n".join(lines)))
    assert made_of(older).marks == whole_gig("tea_room_solo").marks


@pytest.mark.parametrize(
    ("part", "text", "said"),
    [
        ("problem", "[", "tea_room_solo.toml: this is not TOML"),
        ("gig", "format = 1", "tea_room_solo.toml: gig"),
        ("desk", "format = 2", "desk_a.toml: line 1: format"),
        ("policy", "format = 1\n[delay]\noffset_ms = -1", "house.toml: line 3: delay.offset_ms"),
        ("marking", "format = 1", "marking.toml: marks"),
        ("safety", "format = 1\n[[question]]", "safety.toml: line 2: question"),
    ],
)
def test_a_damaged_text_is_named(part, text, said):
    files = whole_gig("tea_room_solo").files
    with pytest.raises(BadFile) as refused:
        made_of(replace(files, **{part: getattr(files, part)._replace(text=text)}))
    assert str(refused.value).startswith(said)


@pytest.mark.parametrize("change", [{"gig": None}, {"gig": ["a", 1]}, {"at_hand": 3}, {"desk": ["a"]}])
def test_what_is_no_set_of_files_is_refused(change):
    plain = {**whole_gig("tea_room_solo").files.as_json(), **change}
    with pytest.raises((TypeError, ValueError)):
        Files.from_json(plain)
