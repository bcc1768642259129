"""What a trainee is given, what only the tutor keeps, and that nothing of the second is in the first."""

import csv
import json
import os
import re
import stat
import tomllib
import zlib
from dataclasses import replace
from hashlib import md5, sha1, sha256

import nbformat
import pypdf
import pytest

from classes.trainees import CLASS, class_file, issued
from gigsums.classes import handout, issuing, read_answers
from gigsums.classes.class_file import read_class
from gigsums.classes.record import PSEUDONYM, VARIANT, Head, Record, Secret, keep_problem, restore_problem
from gigsums.gig import BadFile
from gigsums.practice import TOPICS, problem
from gigsums.practice.problems import Accepted, NamedSlip
from gigsums.practice.worksheets import print_problems

HEAD = Head("Night class", "Week 4", "a4", 40, "Work alone.", 1, ())


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    folder = tmp_path_factory.mktemp("class")
    names = ["Ada Lovage", "=SUM(A1)", "con", "<b>Bo</b>", "../../etc"]
    return handout(class_file(folder, names), folder / "night")


def everything(folder):
    """All files but the lock, which stays."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file() and path.name != ".lock"
    }


def test_each_trainee_has_a_folder_named_by_a_pseudonym(made):
    folders = sorted(each.name for each in made.handed_out.iterdir())
    assert len(folders) == 5
    assert all(PSEUDONYM.fullmatch(name) for name in folders)
    for name in folders:
        assert sorted(each.name for each in (made.handed_out / name).iterdir()) == [
            "answers.toml", "how to return this.txt", "worksheet.ipynb", "worksheet.pdf",
        ]  # fmt: skip
    assert list(made.returned.iterdir()) == []


def test_notebook_and_answer_file_are_what_they_are_called(made):
    for trainee, sheet in issued(made).items():
        folder = made.handed_out / trainee
        book = nbformat.read(folder / "worksheet.ipynb", as_version=4)
        nbformat.validate(book)
        assert [cell.source for cell in book.cells if cell.id.startswith("answer-")] == [
            f'answer_{n} = ""' for n in (1, 2, 3)
        ]
        table = tomllib.loads((folder / "answers.toml").read_text(encoding="utf-8"))
        assert table["trainee"] == trainee
        assert table["variant"] == sheet.variant
        assert table["answers"] == {"1": "", "2": "", "3": ""}
        printed = "".join(page.extract_text() for page in pypdf.PdfReader(folder / "worksheet.pdf").pages)
        assert printed.count(sheet.variant) == len(pypdf.PdfReader(folder / "worksheet.pdf").pages)


def test_everybody_reads_what_the_record_says(made):
    for trainee, sheet in issued(made).items():
        book = nbformat.read(made.handed_out / trainee / "worksheet.ipynb", as_version=4)
        read = "\n".join(cell.source for cell in book.cells)
        assert not sheet.altered(read_answers(made.handed_out / trainee / "worksheet.ipynb").prints)
        for each in sheet.problems:
            assert all(re.sub(r"\W", "", fact) in re.sub(r"\W", "", read) for fact in each.facts)


@pytest.mark.skipif(os.name != "posix", reason="modes of files are of POSIX systems")
def test_what_the_tutor_keeps_is_for_the_tutor_alone(made):
    tutor = made.record.parent
    assert stat.S_IMODE(tutor.stat().st_mode) == 0o700
    kept = {path.name: stat.S_IMODE(path.stat().st_mode) for path in tutor.iterdir()}
    assert kept == {"record.jsonl": 0o600, "secret.txt": 0o600, "names.csv": 0o600, "keys": 0o700}
    assert {stat.S_IMODE(path.stat().st_mode) for path in (tutor / "keys").iterdir()} == {0o600}


def test_the_tutor_has_a_printed_key_of_every_sheet(made):
    for trainee, sheet in issued(made).items():
        pages = pypdf.PdfReader(made.record.parent / "keys" / f"{trainee}.pdf").pages
        printed = "".join(page.extract_text() for page in pages).replace("\u200b", "")
        assert printed.count(sheet.variant) == len(pages)
        assert all(str(each.answer) in printed for each in sheet.problems)
        assert not any(each.seed in printed for each in sheet.problems)


def test_real_names_are_in_the_map_and_nowhere_else(made):
    rows = list(csv.reader((made.record.parent / "names.csv").read_text(encoding="utf-8").splitlines()))
    assert rows[0] == ["name", "trainee"]
    assert [row[0] for row in rows[1:]] == ["Ada Lovage", "'=SUM(A1)", "con", "<b>Bo</b>", "../../etc"]
    assert {row[1] for row in rows[1:]} == set(issued(made))
    for name, content in everything(made.folder).items():
        if name != "tutor/names.csv":
            assert b"Lovage" not in content, name
            assert "Lovage" not in name


# nothing in a trainee's folder lets the problem be drawn again


def unpacked(content: bytes) -> bytes:
    """A file with every compressed stream in it laid open."""
    found = [content]
    for stream in re.findall(rb"stream\r?\n(.*?)endstream", content, re.DOTALL):
        try:
            found.append(zlib.decompressobj().decompress(stream))
        except zlib.error:
            continue
    return b"\n".join(found)


def test_no_seed_no_secret_and_no_digest_of_them_leaves(made):
    secret = Secret((made.record.parent / "secret.txt").read_text().strip())
    given = unpacked(b"\n".join(unpacked(each) for each in everything(made.handed_out).values())).lower()
    assert b"flatedecode" in given  # the streams of the PDFs are looked into
    for trainee, sheet in issued(made).items():
        assert trainee.encode() in given
        seeds = [each.seed for each in sheet.problems]
        assert seeds == [secret.seed(trainee, n) for n in (1, 2, 3)]
        for hidden in (secret.text, *seeds):
            for digest in (md5, sha1, sha256):
                assert digest(hidden.encode()).hexdigest().encode() not in given
                assert digest(bytes.fromhex(hidden)).hexdigest().encode() not in given
            for length in (8, 16, 64):
                assert hidden[:length].encode() not in given
                assert bytes.fromhex(hidden)[: length // 2] not in given


def test_metadata_name_the_sheet_and_nothing_else(made):
    for folder in made.handed_out.iterdir():
        book = json.loads((folder / "worksheet.ipynb").read_text(encoding="utf-8"))
        assert set(book["metadata"]) == {"kernelspec", "language_info"}
        assert all(cell["metadata"] == {} and cell.get("outputs", []) == [] for cell in book["cells"])
        assert set(pypdf.PdfReader(folder / "worksheet.pdf").metadata) <= {"/Title", "/Creator", "/Producer"}


def with_another_key(drawn):
    """The same problem to read, with another answer, other slips, notes, workings, seed and drawn values."""

    def other(part):
        if part.choices:
            return replace(part, value=next(each for each in part.choices if each != part.value))
        return replace(part, value=3 if part.value != 3 else 2)

    answer = replace(drawn.answer, parts=tuple(other(part) for part in drawn.answer.parts))
    slip = NamedSlip("Other", answer.values, "Other.")
    return replace(
        drawn, answer=answer, seed="other", slips=(slip,), notes=(Accepted("Other", answer.values, "Other."),),
        workings=("Other.",), nudge="Other.", shown={"other": 1}, wanted="something else",
    )  # fmt: skip


def given_for(drawn):
    """All that a trainee would get of a problem."""
    stripped = issuing.opened(drawn)
    return (
        issuing.notebook(HEAD, "alder-100", "2222-3333", [stripped]),
        issuing.answer_file(HEAD, "alder-100", "2222-3333", [stripped]),
        print_problems("Week 4", [stripped], variant="2222-3333", who="alder-100").pdf,
    )


@pytest.mark.parametrize("topic", ["monitor mixes", "will it fit", "delay for a distance", "what is short"])
def test_another_key_would_give_the_same_files(topic):
    drawn = problem(topic, "a seed", 2)
    assert with_another_key(drawn) != drawn
    assert issuing.opened(with_another_key(drawn)) == issuing.opened(drawn)
    assert given_for(with_another_key(drawn)) == given_for(drawn)


def test_what_is_printed_for_trainees_has_been_stripped_of_its_key(tmp_path, monkeypatch):
    seen = []

    def spied(title, problems, **more):
        seen.extend(problems)
        return print_problems(title, problems, **more)

    monkeypatch.setattr("gigsums.practice.worksheets.print_problems", spied)
    handout(class_file(tmp_path, 1), tmp_path / "c")
    assert len(seen) == 3
    assert all(each == issuing.opened(each) for each in seen)


@pytest.mark.thorough
@pytest.mark.parametrize("topic", TOPICS)
def test_another_key_would_give_the_same_files_in_every_topic(topic):
    for seed in range(6):
        drawn = problem(topic, seed)
        assert given_for(with_another_key(drawn)) == given_for(drawn)


def test_what_to_type_says_the_same_whatever_the_answer_is():
    drawn = [problem("will it fit", seed, 1) for seed in range(40)]
    assert len({each.answer.parts[0].value for each in drawn}) == 3
    assert len({issuing.opened(each).wanted for each in drawn}) == 1


# the record


@pytest.mark.parametrize("topic", TOPICS)
def test_a_problem_comes_back_from_the_record_as_it_was(topic):
    drawn = problem(topic, "a seed")
    assert restore_problem(json.loads(json.dumps(keep_problem(drawn), allow_nan=False))) == drawn


def test_the_record_holds_values_topic_and_version(made):
    for line in made.record.read_text(encoding="utf-8").splitlines()[1:]:
        for kept in json.loads(line)["problems"]:
            assert kept["version"] == TOPICS[kept["topic"]].version
            assert kept["shown"]
            assert kept["form"] == "drawn"


@pytest.mark.parametrize(
    ("line", "change", "said"),
    [
        (0, "{}", "line 1"),
        (0, '{"format": 2}', "newer"),
        (0, "[1]", "line 1"),
        (1, "{", "line 2"),
        (1, '{"trainee": "alder-100"}', "line 2"),
        (1, "[" * 100_000, "line 2"),
    ],
)
def test_a_damaged_record_is_refused_with_its_line(made, tmp_path, line, change, said):
    lines = made.record.read_text(encoding="utf-8").splitlines()
    lines[line] = change
    (tmp_path / "record.jsonl").write_text("\n".join(lines) + "\n", encoding="utf-8")
    with pytest.raises(BadFile, match=said):
        list(Record(tmp_path / "record.jsonl"))


def test_a_record_with_a_sheet_missing_or_too_many_is_refused(made, tmp_path):
    lines = made.record.read_text(encoding="utf-8").splitlines(keepends=True)
    for kept in (lines[:-1], [*lines, lines[-1]]):
        (tmp_path / "record.jsonl").write_text("".join(kept), encoding="utf-8")
        with pytest.raises(BadFile, match=f"{len(kept) - 1} sheets are in the record of 5"):
            list(Record(tmp_path / "record.jsonl"))


def test_a_record_that_was_replaced_while_it_is_read_is_refused(made, tmp_path):
    path = tmp_path / "record.jsonl"
    path.write_text(made.record.read_text(encoding="utf-8"), encoding="utf-8")
    record = Record(path)
    path.write_text(path.read_text(encoding="utf-8").replace("monitor mixes", "bus pairs"), encoding="utf-8")
    with pytest.raises(BadFile, match="handed out again in the meantime"):
        list(record)


# who gets what


def test_sheets_differ_and_what_is_the_same_for_all_is_the_same(tmp_path):
    text = CLASS.replace(
        'topic = "delay for a distance"', 'topic = "delay for a distance"\nsame_for_all = true'
    )
    sheets = issued(handout(class_file(tmp_path, 4, text), tmp_path / "c")).values()
    assert len({sheet.variant for sheet in sheets}) == 4
    assert all(VARIANT.fullmatch(sheet.variant) for sheet in sheets)
    assert len({sheet.problems[0].text() for sheet in sheets}) == 4
    assert len({sheet.problems[1].text() for sheet in sheets}) == 1


def test_a_level_left_open_is_one_for_the_class(tmp_path):
    text = CLASS.replace("level = 1\n", "").replace("level = 2\n", "number = 3\n")
    made = handout(class_file(tmp_path, 5, text), tmp_path / "c")
    for at in range(5):
        assert len({sheet.problems[at].level for sheet in issued(made).values()}) == 1


def test_no_problem_stands_twice_on_a_sheet(tmp_path):
    text = CLASS.replace(
        'topic = "monitor mixes"\nlevel = 1', 'topic = "open microphones"\nlevel = 1\nnumber = 60'
    )
    for sheet in issued(handout(class_file(tmp_path, 1, text), tmp_path / "c")).values():
        texts = [each.text() for each in sheet.problems]
        assert len(set(texts)) == len(texts)


def test_two_classes_have_nothing_in_common(tmp_path):
    one, two = (issued(handout(class_file(tmp_path), tmp_path / name)) for name in "ab")
    assert not set(one) & set(two)
    assert not {sheet.variant for sheet in one.values()} & {sheet.variant for sheet in two.values()}


def test_pseudonyms_are_stable_and_different():
    secret = Secret("ab" * 32)
    assert secret.pseudonyms(50) == secret.pseudonyms(2000)[:50]
    assert len(set(secret.pseudonyms(10_000))) == 10_000
    assert "ab" * 32 not in repr(secret)


def test_handing_out_again_keeps_sheets_and_what_was_returned(tmp_path):
    made = handout(class_file(tmp_path, ["Ada", "Bo"]), tmp_path / "c")
    before = {trainee: sheet.variant for trainee, sheet in issued(made).items()}
    (made.returned / "mine.toml").write_text("kept")
    (made.handed_out / next(iter(before)) / "answers.toml").write_text("worked here")
    again = handout(class_file(tmp_path, ["Cy", "Ada", "Bo"]), tmp_path / "c", replace=True)
    after = {trainee: sheet.variant for trainee, sheet in issued(again).items()}
    assert before.items() <= after.items()
    assert len(after) == 3
    assert (made.returned / "mine.toml").read_text() == "kept"
    assert (
        made.folder / "hand-out (earlier 1)" / next(iter(before)) / "answers.toml"
    ).read_text() == "worked here"
    assert (made.folder / "tutor (earlier 1)" / "record.jsonl").is_file()
    names = dict(csv.reader((again.record.parent / "names.csv").read_text().splitlines()))
    assert names["Ada"] in before


def test_another_paper_for_the_same_class_has_other_variants(tmp_path):
    made = handout(class_file(tmp_path, 3), tmp_path / "c")
    before = {sheet.variant for sheet in issued(made).values()}
    again = handout(class_file(tmp_path, 3, CLASS.replace("Week 4", "Week 5")), tmp_path / "c", replace=True)
    assert set(issued(again)) == set(issued(made))
    assert not before & {sheet.variant for sheet in issued(again).values()}


# what goes wrong


def test_a_class_that_is_there_is_left_alone(tmp_path):
    made = handout(class_file(tmp_path), tmp_path / "c")
    before = everything(made.folder)
    with pytest.raises(BadFile, match="--replace"):
        handout(class_file(tmp_path), tmp_path / "c")
    assert everything(made.folder) == before
    assert not list(made.folder.glob(".*"))


def test_nothing_is_left_half_written(tmp_path, monkeypatch):
    def broken(*_, **__):
        raise OSError(28, "No space left on device")

    made = handout(class_file(tmp_path), tmp_path / "c")
    before = everything(tmp_path)
    monkeypatch.setattr("gigsums.practice.worksheets.print_problems", broken)
    for folder, replace_ in (("c", True), ("d", False)):
        with pytest.raises(BadFile, match="No space left"):
            handout(tmp_path / "night.toml", tmp_path / folder, replace=replace_)
    assert everything(tmp_path) == before
    assert made.folder.is_dir()
    assert not (tmp_path / "d").exists()


def test_a_lost_secret_is_not_replaced_silently(tmp_path):
    made = handout(class_file(tmp_path), tmp_path / "c")
    (made.record.parent / "secret.txt").write_text("gone")
    with pytest.raises(BadFile, match="secret"):
        handout(class_file(tmp_path), tmp_path / "c", replace=True)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (("[class]", "[klass]"), ["class", "missing"]),
        (('name = "Night class"', ""), ["class.name", "missing"]),
        (("trainees = 3", "trainees = 0"), ["class.trainees", "1 to 10000"]),
        (("trainees = 3", "trainees = 10001"), ["class.trainees", "1 to 10000"]),
        (("trainees = 3", "trainees = true"), ["class.trainees", "a count or a list of names"]),
        (("trainees = 3", "trainees = []"), ["class.trainees", "a count or a list of names"]),
        (("trainees = 3", 'trainees = ["Ada", 3]'), ["class.trainees number 2", "a name"]),
        (("trainees = 3", 'trainees = ["Ada", "Ada "]'), ["class.trainees number 2", "twice"]),
        (("trainees = 3", ""), ["class.trainees", "missing"]),
        (('title = "Week 4"', "paper = 'A3'"), ["class.paper", "a4"]),
        (('title = "Week 4"', "seed = 3"), ["class.seed"]),
        (("monitor mixes", "monitor mixs"), ["question.number 1.topic", "did you mean monitor mixes"]),
        (("level = 2", "level = 4"), ["question.number 2.level", "1, 2, 3"]),
        (("level = 2", "number = 0"), ["question.number 2.number"]),
        (("level = 2", "number = 99"), ["question", "1 to 100"]),
        (("level = 2", "seed = 5"), ["question.number 2.seed"]),
        (("[[question]]", "[[questoin]]"), ["questoin"]),
        (("format = 1", "format = 2"), ["format", "newer"]),
    ],
    ids=str,
)
def test_a_class_file_that_cannot_be_used_is_refused_with_its_key(tmp_path, change, said):
    path = class_file(tmp_path)
    path.write_text(path.read_text().replace(*change, 1))
    with pytest.raises(BadFile) as refused:
        handout(path, tmp_path / "c")
    assert all(words in str(refused.value) for words in ["night.toml", *said]), str(refused.value)
    assert not (tmp_path / "c").exists()


def test_the_bundled_class_can_be_read():
    _, read = read_class("evening_class")
    assert (read.size, len(read.asked)) == (12, 9)


@pytest.mark.thorough
def test_the_bundled_class_can_be_handed_out(tmp_path):
    made = handout("evening_class", tmp_path / "c")
    assert (made.trainees, made.questions) == (12, 9)
    assert made.missing == ()


def test_a_name_that_the_font_lacks_is_reported(tmp_path):
    made = handout(class_file(tmp_path, 1, CLASS.replace("Week 4", "Week \u6f22")), tmp_path / "c")
    assert any("6F22" in each for each in made.missing)
