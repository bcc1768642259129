"""The command line as a person meets it: words in, text or JSON out, exit status, nothing half done."""

from __future__ import annotations

import json
from importlib import resources

import jsonschema
import pytest

from gigs import HEAD
from gigsums.cli import main
from gigsums.gig import bundled

SCHEMA = json.loads((resources.files("gigsums.sizing") / "fit.schema.json").read_text())


def test_size_with_nothing_said_sizes_the_demo_gig_on_every_bundled_desk(capsys):
    assert main(["size"]) == 0
    said = capsys.readouterr().out
    assert "LANTERN NIGHT" in said
    for name in "ABCD":
        assert f"DESK {name}" in said
    assert "SHORT" in said
    assert "hearing" in said


def test_no_line_is_wider_than_a_terminal(capsys):
    main(["size"])
    assert max(len(line) for line in capsys.readouterr().out.splitlines()) <= 80


@pytest.mark.parametrize("gig", bundled("gigs"))
def test_json_follows_the_schema(gig, capsys):
    assert main(["size", gig, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    jsonschema.validate(found, SCHEMA, cls=jsonschema.Draft202012Validator)
    assert [f["desk"] for f in found["fits"]] == ["Desk A", "Desk B", "Desk C", "Desk D"]


def test_the_schema_itself_is_sound_and_can_fail():
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate({"format": 1, "gig": "x", "fits": []}, SCHEMA)


def test_why_prints_the_reasons_of_one_ledger(capsys):
    assert main(["size", "--desk", "desk_b", "--why", "bus pairs"]) == 0
    said = capsys.readouterr().out
    assert "odd-even pair" in said
    assert "preamps" not in said


def test_why_an_unknown_ledger_lists_those_there_are(capsys):
    assert main(["size", "--why", "faders"]) == 2
    assert "bus pairs" in capsys.readouterr().err


@pytest.mark.parametrize("words", [["size", "nowhere.toml"], ["size", "--desk", "nowhere"]])
def test_a_missing_file_is_one_line_and_status_2(words, capsys):
    assert main(words) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.count("\n") == 1
    assert "nowhere" in told.err


def test_new_writes_what_size_reads(tmp_path, capsys, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert main(["new", "gig"]) == 0
    assert main(["new", "desk", "d.toml"]) == 0
    assert main(["size", "my_gig.toml", "--desk", "d.toml"]) == 0
    assert "MY GIG" in capsys.readouterr().out


@pytest.mark.parametrize("command", [None, "python3 toolkit/start.py"])
def test_new_says_the_next_command_as_it_was_started(command, tmp_path, capsys, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("GIGSUMS_COMMAND", raising=False)
    if command:
        monkeypatch.setenv("GIGSUMS_COMMAND", command)
    main(["new", "gig"])
    assert f'{command or "gigsums"} size "my_gig.toml"' in capsys.readouterr().out


def test_new_never_overwrites_unasked(tmp_path, capsys, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "my_gig.toml").write_text("mine")
    assert main(["new", "gig"]) == 2
    assert "--replace" in capsys.readouterr().err
    assert (tmp_path / "my_gig.toml").read_text() == "mine"
    assert main(["new", "gig", "--replace"]) == 0
    assert (tmp_path / "my_gig.toml").read_text() != "mine"


def test_a_bad_gig_writes_nothing_and_names_its_key(tmp_path, capsys):
    path = tmp_path / "bad.toml"
    path.write_text(HEAD + "[kit]\neffects = -1\n")
    assert main(["size", str(path)]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert "kit.effects" in told.err
    assert [p.name for p in tmp_path.iterdir()] == ["bad.toml"]
