"""handout and mark as a tutor types them."""

import pytest

from classes.trainees import answer_toml, class_file, issued, solved
from gigsums.classes.issuing import Handout
from gigsums.cli import main


def test_hand_out_return_mark(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    class_file(tmp_path)
    assert main(["handout", "night.toml"]) == 0
    said = capsys.readouterr().out
    assert "3 questions to 3 trainees" in said
    assert 'mark "night"' in said
    made = Handout(tmp_path / "night", 3, 3)
    one, sheet = next(iter(issued(made).items()))
    answer_toml(made, one, solved(sheet))
    (made.returned / "work.zip").write_bytes(b"PK")
    assert main(["mark", "night"]) == 0
    said = capsys.readouterr()
    assert "1 of 3 sheets marked, 100 % of the marks on average. One file was refused." in said.out
    assert "work.zip: an archive" in said.out
    assert said.err == ""  # no bar where there is no terminal


@pytest.mark.parametrize(
    ("trainees", "to", "kept"),
    [
        (1, "1 trainee in", "the printed keys, the record and the secret"),
        (["Ada", "Bo"], "2 trainees in", "the printed keys, the record, the secret and the list of names"),
    ],
)
def test_what_is_said_to_be_in_the_folders_is_there(tmp_path, monkeypatch, capsys, trainees, to, kept):
    monkeypatch.chdir(tmp_path)
    class_file(tmp_path, trainees)
    assert main(["handout", "night.toml"]) == 0
    said = capsys.readouterr().out
    assert to in said
    assert f"yours alone: {kept}\n" in said
    assert (tmp_path / "night" / "tutor" / "names.csv").exists() == isinstance(trainees, list)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["handout", "nowhere.toml"], "there is no such file"),
        (["mark", "nowhere"], "there is no such folder"),
        (["mark", "."], "--record"),
    ],
)
def test_what_is_wrong_is_one_line_and_status_2(tmp_path, monkeypatch, capsys, words, said):
    monkeypatch.chdir(tmp_path)
    assert main(words) == 2
    lines = capsys.readouterr().err.splitlines()
    assert len(lines) == 1
    assert said in lines[0]


def test_a_class_that_is_there_names_the_option(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    class_file(tmp_path, 1)
    assert main(["handout", "night.toml"]) == 0
    assert main(["handout", "night.toml"]) == 2
    assert "--replace" in capsys.readouterr().err
    assert main(["handout", "night.toml", "--replace"]) == 0
