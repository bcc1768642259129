"""The working copy of the workbook: what is renewed, what is kept, and that nobody's work is ever lost."""

import errno
import hashlib
import json
import tempfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import gigsums.workbook
from gigsums.workbook import FOLDERS, RECORD, WorkbookError, copy_workbook, open_workbook, workbook_path

LESSON = "notebooks/1 mixes.ipynb"
GIG = "exercises/gigs/supper.toml"


def notebook(source, output="", **metadata):
    outputs = [{"output_type": "stream", "name": "stdout", "text": output}] if output else []
    cell = {
        "cell_type": "code",
        "metadata": {},
        "source": [source],
        "outputs": outputs,
        "execution_count": None,
    }
    return json.dumps({"cells": [cell], "metadata": metadata, "nbformat": 4, "nbformat_minor": 5})


def shipped(folder, **files):
    """A workbook to hand out; the arguments are added to a lesson and a gig, or replace them (None: left out)."""
    files = {LESSON: notebook("1 + 1", "2"), GIG: "heads = 80\n"} | files
    for name in FOLDERS:
        (folder / name).mkdir(parents=True)
    for name, text in files.items():
        if text is not None:
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            (folder / name).write_text(text)
    return folder


def contents(at):
    return {
        path.relative_to(at).as_posix(): path.read_text()
        for path in at.rglob("*")
        if path.is_file() and path != at / RECORD
    }


def said(changes):
    return [(change.what, change.file) for change in changes]


@pytest.fixture
def at(tmp_path):
    return tmp_path / "work"


@pytest.fixture
def old(tmp_path, at):
    """Version 1, handed out."""
    source = shipped(tmp_path / "old")
    copy_workbook(at, source, "1")
    return source


def test_it_runs_from_the_checkout_here():
    assert workbook_path() == Path(__file__).resolve().parent.parent


def test_a_first_copy_is_whole_and_says_so(tmp_path, at):
    source = shipped(
        tmp_path / "old", **{"notebooks/.hidden/junk.txt": "x", "notebooks/__pycache__/junk.pyc": "x"}
    )
    assert said(copy_workbook(at, source, "1")) == [("added", LESSON), ("added", GIG)]
    assert contents(at) == {LESSON: notebook("1 + 1", "2"), GIG: "heads = 80\n"}


def test_a_second_copy_of_the_same_does_nothing(at, old):
    before = contents(at)
    assert copy_workbook(at, old, "1") == []
    assert contents(at) == before


def test_untouched_files_are_replaced_and_new_ones_added(tmp_path, at, old):
    new = shipped(tmp_path / "new", **{LESSON: notebook("1 + 2", "3"), "notebooks/2.ipynb": notebook("2")})
    assert said(copy_workbook(at, new, "2")) == [("replaced", LESSON), ("added", "notebooks/2.ipynb")]
    assert contents(at) == contents(new)


def test_an_edited_file_is_kept_and_the_new_one_put_beside_it_once(tmp_path, at, old):
    new = shipped(tmp_path / "new", **{LESSON: notebook("1 + 2", "3"), GIG: "heads = 90\n"})
    (at / LESSON).write_text(notebook("my own"))
    (at / GIG).write_text("heads = 7\n")
    changes = copy_workbook(at, new, "2")
    assert [(c.what, c.file, c.beside) for c in changes] == [
        ("kept", LESSON, "1 mixes (new 2).ipynb"),
        ("kept", GIG, "supper (new 2).toml"),
    ]
    assert "supper (new 2).toml" in str(changes[1])
    assert contents(at) == {
        LESSON: notebook("my own"),
        "notebooks/1 mixes (new 2).ipynb": notebook("1 + 2", "3"),
        GIG: "heads = 7\n",
        "exercises/gigs/supper (new 2).toml": "heads = 90\n",
    }
    assert copy_workbook(at, new, "2") == []


def test_an_edited_file_is_left_in_peace_while_nothing_new_comes(at, old):
    (at / LESSON).write_text(notebook("my own"))
    assert copy_workbook(at, old, "2") == []
    assert sorted(contents(at)) == [GIG, LESSON]


def test_what_stands_beside_is_never_overwritten_either(tmp_path, at, old):
    new = shipped(tmp_path / "new", **{GIG: "heads = 90\n"})
    (at / GIG).write_text("heads = 7\n")
    beside = at / GIG.replace(".toml", " (new 2).toml")
    beside.write_text("also mine\n")
    (change,) = copy_workbook(at, new, "2")
    assert change.beside == "supper (new 2, 2).toml"
    assert beside.read_text() == "also mine\n"


def test_a_notebook_that_was_only_run_keeps_its_outputs_until_a_new_one_comes(tmp_path, at, old):
    (at / LESSON).write_text(notebook("1 + 1", "2 as I ran it", kernelspec={"name": "python3"}))
    assert copy_workbook(at, old, "1") == []
    assert "as I ran it" in (at / LESSON).read_text()
    new = shipped(tmp_path / "new", **{LESSON: notebook("1 + 1", "2, made again")})
    assert said(copy_workbook(at, new, "2")) == [("replaced", LESSON)]
    assert contents(at) == contents(new)


@pytest.mark.parametrize("record", ["kept", "lost"])
@pytest.mark.parametrize("mine", [notebook("1 + 2", "3"), notebook("1 + 2", "3 as I ran it")])
def test_a_file_that_is_the_new_one_already_needs_nothing(tmp_path, at, old, mine, record):
    new = shipped(tmp_path / "new", **{LESSON: notebook("1 + 2", "3")})
    (at / LESSON).write_text(mine)
    if record == "lost":
        (at / RECORD).unlink()
    assert copy_workbook(at, new, "2") == []
    assert contents(at) == {LESSON: mine, GIG: "heads = 80\n"}


def test_what_an_interrupted_upgrade_replaced_already_is_not_replaced_again(tmp_path, at, old):
    new = shipped(tmp_path / "new", **{LESSON: notebook("1 + 1", "2, made again"), GIG: "heads = 90\n"})
    (at / LESSON).write_text(notebook("1 + 1", "2, made again"))
    assert said(copy_workbook(at, new, "2")) == [("replaced", GIG)]


def test_a_file_that_was_deleted_comes_back(at, old):
    (at / LESSON).unlink()
    assert said(copy_workbook(at, old, "1")) == [("added", LESSON)]


def test_what_is_no_longer_shipped_goes_only_if_untouched(tmp_path, at, old):
    new = shipped(tmp_path / "new", **{LESSON: None, GIG: None})
    (at / LESSON).write_text(notebook("1 + 1", "2 as I ran it"))
    assert said(copy_workbook(at, new, "2")) == [("left", LESSON), ("removed", GIG)]
    assert sorted(contents(at)) == [LESSON]
    assert copy_workbook(at, new, "2") == []


def prints(text):
    digest = hashlib.sha256(text.encode()).hexdigest()
    return {"whole": digest, "written": digest}


DAMAGED = {
    "gone": None,
    "empty": "",
    "cut": '{"format": 1, "fil',
    "a list": "[]",
    "no files": '{"format": 1}',
    "wrong files": '{"format": 1, "files": [1]}',
    "wrong prints": json.dumps({"format": 1, "files": {GIG: {"whole": "x"}}}),
    "newer": json.dumps({"format": 2, "files": {GIG: prints("heads = 80\n")}}),
    "deep": "[" * 100_000,
    "outside": json.dumps(
        {"format": 1, "files": {"notebooks/../../victim": prints("theirs"), GIG: prints("heads = 80\n")}}
    ),
    "absolute": json.dumps(
        {"format": 1, "files": {"/victim": prints("theirs"), GIG: prints("heads = 80\n")}}
    ),
}


@pytest.mark.parametrize("record", DAMAGED.values(), ids=DAMAGED)
def test_without_a_sound_record_every_file_counts_as_edited(tmp_path, at, old, record):
    (at / RECORD).unlink()
    if record is not None:
        (at / RECORD).write_text(record)
    victim = tmp_path / "victim"
    victim.write_text("theirs")
    new = shipped(tmp_path / "new", **{GIG: "heads = 90\n"})
    assert said(copy_workbook(at, new, "2")) == [("kept", GIG)]
    assert (at / GIG).read_text() == "heads = 80\n"
    assert victim.read_text() == "theirs"
    assert copy_workbook(at, new, "2") == []


texts = st.sampled_from(["a", "b", "c", "d"])
steps = st.lists(
    st.one_of(
        st.tuples(st.just("ship"), st.dictionaries(st.sampled_from([LESSON, GIG]), texts)),
        st.tuples(st.just("write"), st.sampled_from([LESSON, GIG]), texts),
        st.tuples(st.just("delete"), st.sampled_from([LESSON, GIG])),
        st.tuples(st.just("damage")),
    ),
    max_size=12,
)


@settings(max_examples=60, deadline=None)
@given(steps)
def test_nothing_a_person_wrote_is_ever_lost(steps):
    with tempfile.TemporaryDirectory() as folder:
        at, source, mine = Path(folder) / "work", Path(folder) / "0", {}
        shipped(source)
        for number, (step, *details) in enumerate(steps, start=1):
            if step == "ship":
                source = Path(folder) / str(number)
                shipped(source, **{name: notebook(f"new {text}") for name, text in details[0].items()})
            elif step == "write" and (at / details[0]).exists():
                mine[details[0]] = notebook(f"mine {details[1]}")
                (at / details[0]).write_text(mine[details[0]])
            elif step == "delete":
                (at / details[0]).unlink(missing_ok=True)
                mine.pop(details[0], None)
            elif step == "damage" and at.exists():
                (at / RECORD).write_text("?")
            copy_workbook(at, source, str(number))
            there = contents(at)
            assert {name: there.get(name) for name in mine} == mine
            if ("damage",) not in steps:
                assert {**contents(source), **mine}.items() <= there.items()


@pytest.mark.parametrize("inside", ["", "notebooks", "exercises/gigs"])
def test_the_workbook_itself_is_no_folder_to_work_in(tmp_path, inside):
    source = shipped(tmp_path / "source")
    before = contents(source)
    with pytest.raises(WorkbookError, match="holds the workbook itself; choose another"):
        copy_workbook(source / inside, source, "1")
    assert contents(source) == before


def test_a_full_disk_leaves_every_file_whole(tmp_path, at, old, monkeypatch):
    new = shipped(tmp_path / "new", **{LESSON: notebook("1 + 2", "3"), GIG: "heads = 90\n"})
    before, write = contents(at), Path.write_bytes

    def full(path, content):
        write(path, content[:4])
        raise OSError(errno.ENOSPC, "No space left on device", str(path))

    monkeypatch.setattr(Path, "write_bytes", full)
    with pytest.raises(WorkbookError, match="No space left on device; the workbook needs a folder"):
        copy_workbook(at, new, "2")
    assert contents(at) == before
    monkeypatch.setattr(Path, "write_bytes", write)
    assert said(copy_workbook(at, new, "2")) == [("replaced", LESSON), ("replaced", GIG)]


@pytest.mark.parametrize("where", ["work", "work/deeper", "work2"])
def test_a_file_where_a_folder_belongs_is_one_clear_error(tmp_path, monkeypatch, capsys, where):
    monkeypatch.setattr(gigsums.workbook, "workbook_path", lambda: shipped(tmp_path / "source"))
    (tmp_path / "work").write_text("a file")
    (tmp_path / "work2").mkdir()
    (tmp_path / "work2" / "notebooks").write_text("a file")
    assert open_workbook(tmp_path / where) == 2
    error = capsys.readouterr().err
    assert error.startswith("gigsums open: ")
    assert "choose one with --at FOLDER" in error
    assert error.count("\n") == 1
    assert (tmp_path / "work").read_text() == "a file"


def test_an_installation_without_its_notebooks_says_so(tmp_path, monkeypatch):
    monkeypatch.setattr(
        gigsums.workbook, "__file__", str(tmp_path / "site-packages" / "gigsums" / "workbook.py")
    )
    with pytest.raises(WorkbookError, match="missing from this installation of gigsums; install it again"):
        workbook_path()


def test_what_a_kernel_says_in_small_pieces_leaves_at_once(tmp_path, monkeypatch):
    from jupyter_server.services.kernels.connection.channels import ZMQChannelsWebsocketConnection
    from jupyter_server.services.kernels.websocket import KernelWebsocketHandler

    from gigsums.prompt import PromptConnection

    gigsums.workbook._configure(tmp_path, "token")
    settings = json.loads((tmp_path / "jupyter_server_config.json").read_text(encoding="utf-8"))
    room, name = settings["ServerApp"]["kernel_websocket_connection_class"].rsplit(".", 1)
    assert (room, name) == (PromptConnection.__module__, PromptConnection.__name__)

    done = []
    monkeypatch.setattr(ZMQChannelsWebsocketConnection, "connect", lambda _: done.append("connected"))
    line = PromptConnection.__new__(PromptConnection)
    handler = KernelWebsocketHandler.__new__(KernelWebsocketHandler)
    monkeypatch.setattr(handler, "set_nodelay", done.append, raising=False)
    line.websocket_handler = handler
    line.connect()
    assert done == [True, "connected"]
