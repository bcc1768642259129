"""Handing out and marking under mishap: cut short at every step, done twice at once, on a full disk, in odd places.

The rule: where sheets stand, the record of just these sheets stands beside them; nothing that stood there is lost, and the
next call finds all as it was or all as it was to be.
"""

import itertools
import multiprocessing
import os
import shutil
import stat
import subprocess
import tomllib
from contextlib import suppress

import pytest

from classes import mishaps
from classes.trainees import answer_toml, class_file, issued, solved
from gigsums.classes import handout, mark_folder
from gigsums.classes.issuing import Handout
from gigsums.cli import main
from gigsums.gig import BadFile

resource = pytest.importorskip("resource") if os.name == "posix" else None

ONE = """
format = 1
[class]
name = "Night class"
trainees = {trainees}
[[question]]
topic = "monitor mixes"
level = 1
"""
OTHER = ONE.replace("monitor mixes", "inputs by kind")
APART = multiprocessing.get_context("spawn")


@pytest.fixture
def unprinted(monkeypatch):
    """Without the PDFs, which take most of the time and are files like the others."""
    monkeypatch.setattr("gigsums.classes.issuing._print", lambda *_: ())
    monkeypatch.setattr("gigsums.classes.results.overview_pdf", lambda *_: b"%PDF")


@pytest.fixture(scope="module")
def handed_out(tmp_path_factory):
    """A class with one sheet returned and marked."""
    folder = tmp_path_factory.mktemp("class")
    made = handout(class_file(folder, ["Ada", "Bo"], ONE), folder / "night")
    trainee, sheet = next(iter(issued(made).items()))
    answer_toml(made, trainee, solved(sheet))
    mark_folder(made.folder)
    return made


def a_class(handed_out, to):
    shutil.copytree(handed_out.folder, to)
    return Handout(to, 2, 1)


def everything(folder):
    """What a person sees in a folder: all files but the hidden ones, with what is in them."""
    there = ((path.relative_to(folder), path) for path in folder.rglob("*") if path.is_file())
    return {
        name.as_posix(): path.read_bytes()
        for name, path in there
        if not any(part.startswith(".") for part in name.parts)
    }


def variants(record):
    return {trainee: sheet.variant for trainee, sheet in issued(record).items()}


def assert_sheets_have_their_record(folder):
    if (folder / "hand-out").exists():
        given = {
            each.name: tomllib.loads((each / "answers.toml").read_text())["variant"]
            for each in (folder / "hand-out").iterdir()
        }
        assert given == variants(Handout(folder, 0, 0))


def assert_nothing_is_lost(folder, before):
    """Everything that a folder held is there, where it was or moved aside whole."""
    places = ("{}", "{} (earlier 1)", ".again.part/old/{}")
    for top in {name.partition("/")[0] for name in before}:
        old = {name: content for name, content in before.items() if name.partition("/")[0] == top}
        found = [[folder / name.replace(top, place.format(top), 1) for name in old] for place in places]
        assert any(
            all(
                path.is_file() and path.read_bytes() == content
                for path, content in zip(paths, old.values(), strict=True)
            )
            for paths in found
        ), top


def assert_old_or_new(folder, before, new_trainees):
    """A class is as it was, or it is handed out again, whole, with the secret it had."""
    assert_sheets_have_their_record(folder)
    now = everything(folder)
    if "hand-out (earlier 1)" in {each.name for each in folder.iterdir()}:
        assert len(variants(Handout(folder, 0, 0))) == new_trainees
        assert now["tutor/secret.txt"] == before["tutor/secret.txt"]
        assert_nothing_is_lost(folder, before)
    else:
        assert {name: now.get(name) for name in before} == before
    assert not list(folder.glob(".gigsums-*"))


STOPS = [
    pytest.param(mishaps.interrupted, False, id="Ctrl-C", marks=pytest.mark.thorough),
    pytest.param(mishaps.full, False, id="one error", marks=pytest.mark.thorough),
    pytest.param(mishaps.interrupted, True, id="nothing works any more"),
]


@pytest.mark.parametrize(("by", "for_good"), STOPS)
def test_a_first_handout_may_stop_at_any_step(tmp_path, unprinted, by, for_good):
    """The class is there whole, or nothing of it is; the next call makes it."""
    source = class_file(tmp_path, 2, ONE)
    whole = None
    for at in itertools.count(1):
        folder = tmp_path / f"c{at}" / "night"
        with mishaps.stopped(at, by, for_good) as steps, suppress(KeyboardInterrupt, BadFile):
            handout(source, folder)
        if folder.exists():
            names = {name.split("/")[0] for name in everything(folder)} | {"returned"}
            assert {each.name for each in folder.iterdir()} == names == {"hand-out", "returned", "tutor"}
            assert_sheets_have_their_record(folder)
            whole = whole or at
        else:
            assert for_good or not folder.parent.exists()
            handout(source, folder)
            assert_sheets_have_their_record(folder)
        if steps() < at:
            break
    assert at > 15
    assert whole > 10


@pytest.mark.parametrize("mended_by", ["handout", "mark"])
@pytest.mark.parametrize(("by", "for_good"), STOPS)
def test_handing_out_again_may_stop_at_any_step(tmp_path, handed_out, unprinted, by, for_good, mended_by):
    """The next call, whichever, finds the class as it was or as it was to be."""
    source = class_file(tmp_path, ["Ada", "Bo", "Cy"], OTHER)
    before = everything(handed_out.folder)
    after = 0
    for at in itertools.count(1):
        folder = a_class(handed_out, tmp_path / f"c{at}").folder
        with mishaps.stopped(at, by, for_good) as steps, suppress(KeyboardInterrupt, BadFile):
            handout(source, folder, replace=True)
        assert_sheets_have_their_record(folder)
        assert_nothing_is_lost(folder, before)
        if not for_good and not (folder / ".again.part").exists():  # it may be stopped while it clears away
            assert_old_or_new(folder, before, 3)
        if steps() < at:
            break
        if mended_by == "mark":  # of those who came back, from the first time
            marked = mark_folder(folder if at % 2 else folder / "returned", to=tmp_path / f"r{at}")
            after += not marked.overview.sheets
            assert bool(marked.overview.sheets) != (folder / "hand-out (earlier 1)").exists()
        else:
            with pytest.raises(BadFile, match="there already"):
                handout(source, folder)
            after += (folder / "hand-out (earlier 1)").exists()
        assert_old_or_new(folder, before, 3)
    assert at > 20
    assert 0 < after < at


@pytest.mark.parametrize("replace", [False, True])
@pytest.mark.parametrize(("by", "for_good"), STOPS)
def test_marking_may_stop_at_any_step(tmp_path, handed_out, unprinted, by, for_good, replace):
    before = everything(handed_out.folder)
    (old,) = (handed_out.folder / "results").glob("[!.]*")
    for at in itertools.count(1):
        folder = a_class(handed_out, tmp_path / f"c{at}").folder
        to = folder / "results" / old.name if replace else None
        with mishaps.stopped(at, by, for_good) as steps, suppress(KeyboardInterrupt, BadFile):
            mark_folder(folder, to=to, replace=replace)
        now = everything(folder)
        if replace:
            aside = {
                name.replace(f"{old.name}/", f"{old.name} (earlier 1)/"): content
                for name, content in before.items()
            }
            assert before.items() <= now.items() or aside.items() <= now.items()
        else:
            assert before.items() <= now.items()
        for each in (folder / "results").glob("[!.]*"):  # whatever stands there is whole
            assert {path.name for path in each.iterdir()} >= {"feedback", "marks.csv", "overview.pdf"}
        if not for_good:
            assert not list((folder / "results").glob(".gigsums-*/new"))
        if steps() < at:
            break
    assert len(now) > len(before)
    assert at > 12


@pytest.mark.thorough
@pytest.mark.skipif(os.name != "posix", reason="only POSIX systems can kill a process at once")
@pytest.mark.parametrize("work", ["handout", "mark"])
def test_a_process_may_be_killed_at_any_step(tmp_path, handed_out, work):
    """Killed for good (SIGKILL), PDFs and all; the next call mends what it finds."""
    source = class_file(tmp_path, ["Ada", "Bo"], OTHER)
    before = everything(handed_out.folder)
    for at in itertools.count(1):
        folder = a_class(handed_out, tmp_path / f"c{at}").folder
        words = (source, folder) if work == "handout" else (folder,)
        process = APART.Process(target=mishaps.killed_at, args=(at, work, *words), kwargs={"replace": True})
        process.start()
        process.join()
        assert_sheets_have_their_record(folder)
        assert_nothing_is_lost(folder, before)
        if process.exitcode == 0:
            break
        assert process.exitcode == -9
        mark_folder(folder)
        assert_old_or_new(folder, before, 2)
    assert at > 10


@pytest.fixture(scope="module")
def cut_short(handed_out, tmp_path_factory):
    """Handing out again was stopped for good where the record had arrived and the sheets had not."""
    place = tmp_path_factory.mktemp("cut")
    folder = a_class(handed_out, place / "c").folder
    kept, moved = os.rename, []

    def rename(old, new):
        if moved[-1:] == [folder / "tutor"]:
            raise KeyboardInterrupt
        moved.append(new)
        kept(old, new)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("gigsums.classes.issuing._print", lambda *_: ())
        patch.setattr(os, "rename", rename)
        with pytest.raises(KeyboardInterrupt):
            handout(class_file(place, 3, OTHER), folder, replace=True)
    assert sorted(each.name for each in folder.glob("[!.]*")) == ["results", "returned", "tutor"]
    return folder


@pytest.mark.thorough
def test_taking_back_may_be_cut_short_as_well(tmp_path, handed_out, cut_short, unprinted):
    before = everything(handed_out.folder)
    for at in itertools.count(1):
        folder = shutil.copytree(cut_short, tmp_path / f"c{at}")
        with mishaps.stopped(at, mishaps.interrupted, for_good=True) as steps, suppress(KeyboardInterrupt):
            mark_folder(folder, to=tmp_path / f"r{at}")
        assert_sheets_have_their_record(folder)
        assert_nothing_is_lost(folder, before)
        mark_folder(folder, to=tmp_path / f"s{at}")
        assert_old_or_new(folder, before, 0)
        if steps() < at:
            break
    assert at > 25


def test_clearing_away_may_be_cut_short_in_any_order(tmp_path, handed_out, cut_short, unprinted, monkeypatch):
    """What was taken back stays, though the folder that held the new record is cleared only in part."""
    folder = shutil.copytree(cut_short, tmp_path / "c")
    kept = shutil.rmtree

    def in_part(part, **more):
        kept(part / "done" / "tutor")
        raise KeyboardInterrupt

    monkeypatch.setattr(shutil, "rmtree", in_part)
    with pytest.raises(KeyboardInterrupt):
        mark_folder(folder)
    monkeypatch.setattr(shutil, "rmtree", kept)
    mark_folder(folder)
    assert_old_or_new(folder, everything(handed_out.folder), 0)


def test_what_is_moved_aside_goes_under_one_number(tmp_path, handed_out, unprinted):
    folder = a_class(handed_out, tmp_path / "c").folder
    (folder / "tutor (earlier 1)").mkdir()
    handout(class_file(tmp_path, 2, OTHER), folder, replace=True)
    assert sorted(each.name for each in folder.glob("*(earlier 2)")) == [
        "hand-out (earlier 2)",
        "tutor (earlier 2)",
    ]
    assert list((folder / "tutor (earlier 1)").iterdir()) == []


def test_moves_that_cannot_be_taken_back_are_said(tmp_path, handed_out, unprinted, monkeypatch):
    folder = a_class(handed_out, tmp_path / "c").folder
    kept = os.rename

    def open_elsewhere(old, new):
        if old.name in ("tutor", "hand-out") and new != folder / ".again.part" / "old" / "hand-out":
            raise PermissionError(13, "The file is open in another program")
        kept(old, new)

    monkeypatch.setattr(os, "rename", open_elsewhere)
    for _ in range(2):
        with pytest.raises(
            BadFile, match=r"cannot be taken back \(The file is open in another program\)\. Close"
        ):
            handout(class_file(tmp_path, 3, OTHER), folder, replace=True)
    monkeypatch.undo()
    mark_folder(folder)
    assert_old_or_new(folder, everything(handed_out.folder), 0)


def test_what_a_killed_process_left_is_cleared_away_after_a_day(tmp_path, handed_out, unprinted):
    folder = a_class(handed_out, tmp_path / "c").folder
    old, new, theirs = (folder / "results" / name for name in (".gigsums-old", ".gigsums-new", ".theirs"))
    for each in (old, new, theirs):
        each.mkdir()
    for each in (old, theirs):
        os.utime(each, (1e9, 1e9))
    mark_folder(folder)
    assert [each.exists() for each in (old, new, theirs)] == [False, True, True]


# two at once


def test_while_a_class_is_handed_out_again_others_are_refused(tmp_path, handed_out):
    folder = a_class(handed_out, tmp_path / "c").folder
    words = (class_file(tmp_path, 2, OTHER), folder)
    inside, other_done = APART.Event(), APART.Event()
    first = APART.Process(
        target=mishaps.waits_inside, args=(inside, other_done, "handout", *words), kwargs={"replace": True}
    )
    first.start()
    assert inside.wait(mishaps.PATIENCE)
    there = everything(folder)
    for other in (lambda: handout(*words, replace=True), lambda: mark_folder(folder)):
        with pytest.raises(BadFile, match="at work there") as refused:
            other()
        assert "\n" not in str(refused.value)
    assert everything(folder) == there
    other_done.set()
    first.join()
    assert first.exitcode == 0
    assert_old_or_new(folder, everything(handed_out.folder), 2)


@pytest.mark.parametrize("work", ["first handout", "mark"])
def test_two_that_start_together_lose_nothing(tmp_path, handed_out, work):
    """Of two that hand out a class for the first time one succeeds; of two that mark, both, each in a folder of its own."""
    folder = tmp_path / "c"
    words = (class_file(tmp_path, 2, OTHER), folder)
    if work == "mark":
        a_class(handed_out, folder)
        words = (folder,)
    answers, start = APART.Queue(), APART.Barrier(2)
    what = work.split()[-1]
    processes = [APART.Process(target=mishaps.tries, args=(answers, start, what, *words)) for _ in range(2)]
    for each in processes:
        each.start()
    said = sorted(answers.get(timeout=mishaps.PATIENCE) for _ in processes)
    for each in processes:
        each.join()
    assert said[0] == ""
    assert said[1] == "" if work == "mark" else "there already" in said[1]
    assert_sheets_have_their_record(folder)
    if work == "mark":
        assert len({path.parent for path in (folder / "results").glob("*/overview.pdf")}) == 3
        assert not list((folder / "results").glob(".*"))
    assert sorted(each.name for each in tmp_path.iterdir()) == ["c", "night.toml"]


# no room, no leave, odd names


def at_most(limit, work, *arguments, **more):
    """Do some work while the system lets no file grow over a limit."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (limit, hard))
    try:
        return work(*arguments, **more)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


@pytest.mark.skipif(os.name != "posix", reason="only POSIX systems limit the size of files")
@pytest.mark.parametrize("work", ["handout", "mark"])
def test_a_file_that_can_only_be_written_in_part_leaves_all_as_it_was(tmp_path, handed_out, work):
    """The system itself ends each write at a limit, at every size from nothing up."""
    made = a_class(handed_out, tmp_path / "c")
    source = class_file(tmp_path, 2, OTHER)
    before = everything(tmp_path)
    words = (source, made.folder) if work == "handout" else (made.folder,)
    limits = (0, 1, 60, 70, 100, 300, 700, 1000, 3000, 8000, 20_000, 10_000_000)
    said = [at_most(limit, mishaps.tried, work, *words, replace=True) for limit in limits[:-1]]
    too_large = [each for each in said if each]
    assert all("File too large" in each and "\n" not in each for each in too_large)
    assert len(too_large) >= 8
    if len(too_large) == len(said):
        assert everything(tmp_path) == before
    assert at_most(limits[-1], mishaps.tried, work, *words, replace=True) == ""
    assert_nothing_is_lost(made.folder, everything(handed_out.folder))


@pytest.mark.parametrize("work", ["handout", "mark"])
def test_a_full_disk_is_one_error_that_says_so(tmp_path, handed_out, unprinted, capsys, work):
    made = a_class(handed_out, tmp_path / "c")
    words = ["handout", str(class_file(tmp_path, 2, OTHER)), "--to"] if work == "handout" else ["mark"]
    refused = 0
    for at in itertools.count(1):
        with mishaps.stopped(at, mishaps.full) as steps:
            status = main([*words, str(made.folder), "--replace"])
        said = capsys.readouterr().err.splitlines()
        if steps() < at:
            break
        if status == 0:  # only a step that makes what is there already, or clears away, may fail unnoticed
            assert at == 1 or steps() - at < 4
            continue
        assert len(said) == 1
        assert "No space left on device" in said[0]
        assert "Make room" in said[0]
        refused += 1
    assert refused > 8
    assert_sheets_have_their_record(made.folder)


@pytest.fixture
def small_disk(tmp_path):
    """A disk of its own, of 8 MB."""
    place = tmp_path / "disk"
    place.mkdir()
    words = ["mount", "-t", "tmpfs", "-o", "size=8m", "tmpfs", str(place)]
    if shutil.which("mount") is None or subprocess.run(words, capture_output=True).returncode:
        pytest.skip("only an administrator of Linux can make a small disk")
    yield place
    subprocess.run(["umount", str(place)], check=True)


@pytest.mark.thorough
@pytest.mark.parametrize("work", ["handout", "mark"])
def test_a_disk_that_is_really_full_keeps_what_it_holds(tmp_path, handed_out, small_disk, work):
    source = class_file(tmp_path, 2, OTHER)
    folder = a_class(handed_out, small_disk / "c").folder
    before = everything(folder)
    refused = 0
    for room in range(0, 4_000_000, 8192):
        free = os.statvfs(small_disk)
        (small_disk / "filler").write_bytes(b"x" * (free.f_bavail * free.f_bsize - room))
        said = mishaps.tried(work, *((source, folder) if work == "handout" else (folder,)), replace=True)
        (small_disk / "filler").unlink()
        if said == "":
            break
        assert "No space left on device" in said
        assert everything(folder) == before
        assert not list(folder.glob(".again*"))
        refused += 1
    assert said == ""
    assert refused > 5
    assert_nothing_is_lost(folder, before)
    assert_sheets_have_their_record(folder)


def test_a_folder_that_may_not_be_written_is_one_error(tmp_path, handed_out, unprinted, monkeypatch):
    """As the system answers on a disk that can only be read; leave to write would be no hindrance to an administrator."""
    made = a_class(handed_out, tmp_path / "c")
    source = class_file(tmp_path, 2, OTHER)
    before = everything(tmp_path)

    def read_only():
        raise OSError(30, "Read-only file system")

    for work in (
        lambda: handout(source, tmp_path / "new"),
        lambda: handout(source, made.folder, replace=True),
        lambda: mark_folder(made.folder, replace=True),
        lambda: mark_folder(made.folder, to=tmp_path / "deep" / "results"),
    ):
        said = r"Read-only file system\)\. Choose a folder that you may write to"
        with mishaps.stopped(1, read_only, for_good=True), pytest.raises(BadFile, match=said):
            work()
        assert everything(tmp_path) == before


def test_a_class_file_of_a_name_that_is_too_long_is_one_error(capsys):
    assert main(["handout", "x" * 300]) == 2
    assert capsys.readouterr().err.endswith("it cannot be read (File name too long).\n")


@pytest.mark.parametrize(
    "name", ["x" * 300, "/".join(["x" * 200] * 30), "a\0b", "\ud800", "file/below"], ids=["long", "deep", "nul", "surrogate", "file"]
)  # fmt: skip
def test_a_name_that_the_system_refuses_is_one_short_error(tmp_path, handed_out, unprinted, name):
    (tmp_path / "file").write_text("x")
    source = class_file(tmp_path, 1, ONE)
    before = everything(tmp_path)
    for work in (
        lambda: handout(source, tmp_path / name),
        lambda: mark_folder(tmp_path / name),
        lambda: mark_folder(handed_out.folder, tmp_path / name, tmp_path / "r"),
        lambda: mark_folder(handed_out.folder, to=tmp_path / name),
    ):
        with pytest.raises(BadFile) as refused:
            work()
        assert len(str(refused.value)) < 400
        assert "\n" not in str(refused.value)
    assert everything(tmp_path) == before
    assert len(list(tmp_path.iterdir())) == 2


@pytest.mark.skipif(os.name != "posix", reason="links need leave elsewhere")
def test_a_folder_of_returned_sheets_may_be_a_link_or_unreadable(tmp_path, handed_out, monkeypatch):
    made = a_class(handed_out, tmp_path / "c")
    made.returned.rename(tmp_path / "elsewhere")
    made.returned.symlink_to(tmp_path / "elsewhere")
    assert len(mark_folder(made.folder, replace=True).overview.sheets) == 1
    (made.returned / "more").mkdir()
    (made.returned / "link.toml").symlink_to(made.returned)
    kept = os.scandir

    def scan(path="."):
        if str(path).endswith(locked):
            raise PermissionError(13, "Permission denied", str(path))
        return kept(path)

    monkeypatch.setattr(os, "scandir", scan)
    locked = "more"
    seen = mark_folder(made.folder, replace=True).overview
    assert len(seen.sheets) == 1
    assert {each.file: each.reason for each in seen.refused} == {
        "more": "the folder cannot be read (Permission denied)", "link.toml": "a link to another file; put the file itself here",
    }  # fmt: skip
    locked = "returned"
    with pytest.raises(BadFile, match=r"this folder cannot be read \(Permission denied\)"):
        mark_folder(made.folder, replace=True)
    monkeypatch.undo()
    made.returned.unlink()
    made.returned.symlink_to(tmp_path / "nowhere")
    with pytest.raises(BadFile, match="no such folder"):
        mark_folder(made.returned)


@pytest.mark.parametrize("to", [".", "returned", "..", "/"])
def test_results_do_not_replace_what_they_are_made_from(tmp_path, handed_out, monkeypatch, to):
    folder = a_class(handed_out, tmp_path / "c").folder
    monkeypatch.chdir(folder)
    before = everything(tmp_path)
    with pytest.raises(BadFile, match="the returned sheets lie in this folder"):
        mark_folder(".", to=to, replace=True)
    assert everything(tmp_path) == before


def test_a_file_where_sheets_are_to_come_back_is_left_alone(tmp_path, unprinted):
    (tmp_path / "c").mkdir()
    (tmp_path / "c" / "returned").write_text("mine")
    before = everything(tmp_path / "c")
    with pytest.raises(BadFile, match="a file of that name is there"):
        handout(class_file(tmp_path, 1, ONE), tmp_path / "c", replace=True)
    assert everything(tmp_path / "c") == before


def test_sheets_whose_record_is_gone_are_not_handed_out_over(tmp_path, handed_out, unprinted):
    folder = a_class(handed_out, tmp_path / "c").folder
    (folder / "tutor").rename(tmp_path / "kept")
    before = everything(folder)
    with pytest.raises(BadFile, match="Put tutor back"):
        handout(class_file(tmp_path, 2, ONE), folder, replace=True)
    with pytest.raises(BadFile, match=r"tutor.record\.jsonl: there is no such record"):
        mark_folder(folder, replace=True)
    assert everything(folder) == before


@pytest.mark.parametrize(
    "content",
    [b"name;trainee\r\nAda;alder-100\r\n", b"name,trainee\r\nAda\r\n", "name,trainee\r\nÅda,alder-100\r\n".encode("latin-1"),
     b"name,trainee\r\nAda,alder-100\r\nBo,alder-100\r\n", b"name,trainee\r\nAda,Bo\r\n"],
)  # fmt: skip
def test_a_list_of_names_that_was_spoilt_gives_nobody_anothers_pseudonym(
    tmp_path, handed_out, unprinted, content
):
    folder = a_class(handed_out, tmp_path / "c").folder
    (folder / "tutor" / "names.csv").write_bytes(content)
    before = everything(folder)
    with pytest.raises(BadFile, match=r"names\.csv: this is not the list of names"):
        handout(class_file(tmp_path, ["Bo", "Ada"], ONE), folder, replace=True)
    assert everything(folder) == before


@pytest.mark.skipif(os.name != "posix", reason="modes of files are of POSIX systems")
def test_what_is_half_done_is_for_the_tutor_alone_too(tmp_path, unprinted):
    seen = []

    def tell(what, done, of):
        seen.extend(stat.S_IMODE(each.stat().st_mode) for each in tmp_path.glob(".gigsums-*"))

    handout(class_file(tmp_path, 1, ONE), tmp_path / "c", tell=tell)
    assert set(seen) == {0o700}
