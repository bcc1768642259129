"""Reading gigs, desks and policies: what is right comes through whole, what is wrong is said in one sentence."""

from __future__ import annotations

import contextlib
import os
import random
import re
import tomllib
from dataclasses import fields, is_dataclass
from pathlib import Path
from typing import get_args, get_origin, get_type_hints

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gigs import HEAD, gig
from gigsums.classes.answers import NotAnswers, read_returned
from gigsums.classes.class_file import read_class
from gigsums.gig import (
    BadFile,
    bundled,
    load_desk,
    load_gig,
    load_policy,
    read_gig,
    write_template,
    write_whole,
)
from gigsums.gig.desk import Desk
from gigsums.gig.explain import line_at
from gigsums.gig.model import Gig
from gigsums.practice.worksheets import worksheet
from gigsums.whole_gigs.answers import read_answers
from gigsums.whole_gigs.problem import is_whole_gig, whole_gig

ADA = '[[performer]]\nname = "Ada"\nsources = [{ name = "Kick", by = "mic" }]\n'
MIX = '[[mix]]\nname = "M"\n'
DESK = 'format = 1\n[desk]\nname = "D"\nkind = "digital"\n[[inputs]]\nmic = 8\n[[outputs]]\nline = 8\n'


def written(folder: Path, text: str | bytes) -> Path:
    path = folder / "mine.toml"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


@pytest.mark.parametrize("name", bundled("gigs"))
def test_every_bundled_gig_reads(name):
    assert load_gig(name).name


@pytest.mark.parametrize("name", bundled("desks"))
def test_every_bundled_desk_reads(name):
    assert load_desk(name).name


def test_a_gig_comes_through_as_it_was_written():
    it = gig(ADA + MIX + 'for = ["Ada"]\nthrough = "in-ears"\nmay = ["mono"]\n')
    assert it.performers[0].sources[0].by == "mic"
    assert it.mixes[0].listeners == ("Ada",)
    assert it.mixes[0].may == ("mono",)


def test_di_may_be_written_small():
    assert gig(ADA.replace('"mic"', '"di"')).performers[0].sources[0].by == "DI"


WRONG = {
    "unknown key": (HEAD + '[[performer]]\nname = "Ada"\nsorces = []\n', "performer.Ada.sorces", "not known"),
    "unknown table": (HEAD + "[venu]\n", "venu", "not known"),
    "wrong type": (HEAD + '[[performer]]\nname = "Ada"\nat_m = "left"\n', "performer.Ada.at_m", "list"),
    "text for a number": (HEAD + "[venue]\nlimit_dba = \"98\"\n", "venue.limit_dba", "number is wanted"),
    "true for a number": (HEAD + "[kit]\neffects = true\n", "kit.effects", "whole number"),
    "number for a text": (HEAD.replace('"Test gig"', "7"), "gig.name", "text"),
    "half a thing": (HEAD + "[kit]\neffects = 1.5\n", "kit.effects", "whole number"),
    "negative count": (HEAD + "[kit]\neffects = -1\n", "kit.effects", "0 or more"),
    "negative source count": (HEAD + ADA.replace('"mic"', '"mic", count = -2'), "performer.Ada.sources.Kick.count", "1"),
    "count of a thousand and one": (HEAD + ADA.replace('"mic"', '"mic", count = 1001'), "sources.Kick.count", "1000"),
    "range the wrong way": (HEAD + ADA.replace('"mic"', '"mic", count = { least = 4, most = 2 }'), "Kick.count", "least is more"),
    "word not allowed": (HEAD + ADA.replace('"mic"', '"mike"'), "performer.Ada.sources.Kick.by", '"mic", "DI", "line"'),
    "missing name": (HEAD + "[[performer]]\nplays = \"x\"\n", "performer.number 1.name", "missing"),
    "stranger in a mix": (HEAD + ADA + MIX + 'for = ["Bea"]\n', "mix.M.for", '"Bea" is not in this gig. Allowed: Ada'),
    "stereo mix for nobody": (HEAD + ADA + MIX + "for = []\nstereo = true\n", "mix.M.for", "a stereo mix for nobody"),
    "mix for nobody": (HEAD + ADA + MIX, "mix.M.for", "a mix for nobody"),
    "two of a name": (HEAD + ADA + ADA, "performer.Ada", "2 times"),
    "two mixes of a name": (HEAD + ADA + 2 * (MIX + 'for = ["Ada"]\n'), "mix.M", "2 times"),
    "effect heard nowhere": (HEAD + '[[effect]]\nname = "R"\nheard_in = ["moon"]\n', "effect.R.heard_in", '"moon"'),
    "feed without a stranger": (HEAD + '[[feed]]\nname = "F"\nwithout = ["Bea"]\n', "feed.F.without", '"Bea"'),
    "feed that leaves out from a matrix": (
        HEAD + ADA + '[[feed]]\nname = "F"\nwithout = ["Ada"]\nfrom = "matrix"\n',
        "feed.F.from",
        "leaves something out",
    ),
    "doors before load-in": (HEAD + "load_in = 18:00:00\ndoors = 17:00:00\n", "gig.doors", "not after load-in"),
    "sub send on a wedge": (HEAD + ADA + MIX + 'for = ["Ada"]\nsub_send = true\n', "mix.M.sub_send", "drum fill"),
    "newer format": (HEAD.replace("format = 1", "format = 2"), "format", "2 is newer"),
    "no format": (HEAD.replace("format = 1\n", ""), "format", "missing"),
    "format as text": (HEAD.replace("format = 1", 'format = "1"'), "format", "1 is allowed"),
    "broken TOML": (HEAD + "[[mix\n", "", "not TOML"),
    "not a number": (HEAD + "[venue]\nlimit_dba = nan\n", "venue.limit_dba", "finite"),
    "policy that is no table": ("format = 1\npolicy = 3\n" + HEAD[11:], "policy", "table"),
    "policy setting unknown": (HEAD + "[policy.spares]\ninputs = 3\n", "policy.spares.inputs", "not known"),
    "two of a name in small letters": (HEAD + ADA + MIX + 'for = ["ada"]\n', "mix.M.for", 'Did you mean "Ada"?'),
    "effect heard where nobody spells it so": (
        HEAD + '[[effect]]\nname = "R"\nheard_in = ["mians"]\n', "effect.R.heard_in", 'Did you mean "mains"?',
    ),
    "a mix in single brackets": (HEAD + '[mix]\nname = "M"\n', "mix", "[[mix]] in double brackets"),
    "a source without its list": (
        HEAD + '[[performer]]\nname = "Ada"\nsources = { name = "Kick", by = "mic" }\n',
        "performer.Ada.sources",
        '{ name = "Kick", by = "mic" } stands there; a list in [brackets] is wanted, even of one',
    ),
    "a zone behind its listeners": (
        HEAD + '[[zone]]\nname = "Z"\ndistance_m = { main = 6, own = 24 }\n', "zone.Z.distance_m", "main = 6 and own = 24",
    ),
    "a click to the mains": (
        HEAD + ADA.replace('"mic"', '"mic", to_mains = false, heard_in = ["mains"]'), "Kick.heard_in", "take that name out",
    ),
    "two heights": (HEAD + "[venue]\nsize_m = [24, 12]\n", "venue.size_m", "missing"),
}  # fmt: skip


NOT_TOML = {
    "curly quotes": ("name = \u201cKick\u201d", "\u201cKick\u201d stands there", "straight quotation marks"),
    "curly quotes within straight ones": (
        'name = "K\u201d\nby = 1',
        'name = "K',
        "straight quotation marks",
    ),
    "a quotation mark too few": ('name = "K\nby = 1', 'name = "K stands', "quotation mark is missing"),
    "semicolons": ('a = "x"; b = 2', 'a = "x"; b = 2 stands there', "semicolons"),
    "a spreadsheet": ("name;by;count", "name;by;count stands there", "semicolons"),
    "a big True": ("radio = True", "radio = True stands there", "small and without quotes"),
    "yes": ("radio = yes", "radio = yes", "true or false"),
    "a time of two figures": ("doors = 19:00", "doors = 19:00", "with its seconds"),
    "a time as it is said": ("doors = 7 pm", "doors = 7 pm", "with its seconds"),
    "a date with points": ("date = 18.9.2027", "date = 18.9.2027", "2027-09-18"),
    "a decimal comma": ("a = { main = 24,5, own = 6 }", "24,5", "not a comma"),
    "a key twice": ("a = 1\na = 2", "a = 2", "stands there twice"),
    "single brackets and double ones": (
        '[mix]\nname = "M"\n[[mix]]',
        "[[mix]]",
        "[[mix]] in double brackets",
    ),
    "a table over two lines": ('s = [{ name = "K",\n by = "mic" }]', 'name = "K",', "one line"),
    "a list left open": ("[[line]]\na = [1,\n[[mix]]", "[[mix]]", "not closed with ]"),
    "a text without quotes": ("name = Kick", "name = Kick", "in quotes"),
    "nothing behind the sign": ("name =", "name =", "behind the equals sign"),
    "no sign": ("name", "name", "equals sign"),
}


@pytest.mark.parametrize("case", NOT_TOML)
def test_what_is_not_toml_is_shown_with_its_line_and_what_to_write(case, tmp_path):
    text, stood, advice = NOT_TOML[case]
    with pytest.raises(BadFile, match=r"^mine\.toml: line \d+: this is not TOML: ") as caught:
        load_gig(written(tmp_path, HEAD + text + "\n"))
    assert stood in caught.value.problem
    assert advice in caught.value.advice


READERS = {
    "gigs": (load_gig, "tea_room_solo"),
    "desks": (load_desk, "desk_b"),
    "policy": (load_policy, "house"),
    "worksheets": (worksheet, "rooms"),
    "classes": (read_class, "loft_evening"),
    "problems": (whole_gig, "tea_room_solo"),
}
MEANT = [  # which reader, what stands in its file, what is typed instead, and what the message says of it
    ("gigs", "[gig]", "[Gig]", 'Gig: this key is not known here. Did you mean "gig"? Allowed: gig, venue, crew'),
    ("gigs", "name =", "Name =", 'gig.Name: this key is not known here. Did you mean "name"? Allowed: name, date'),
    ("gigs", "[gig]", "[gig]\n2nd = 1", "gig.2nd: this key is not known here. Allowed: name, date"),
    ("gigs", "format =", "Format =", 'Format: this key is not known here. Did you mean "format"?'),
    ("desks", "[[inputs]]", "[[Inputs]]", 'Inputs: this key is not known here. Did you mean "inputs"? Allowed: desk'),
    ("desks", "[desk]", "[desk]\n\"a-b\" = 1", "desk.a-b: this key is not known here. Allowed: name, kind"),
    ("policy", "[spares]", "[Spares]", 'Spares: this key is not known here. Did you mean "spares"? Allowed: spares'),
    ("worksheets", "[[question]]", "[[Question]]", 'Question: this key is not known here. Did you mean "question"?'),
    ("classes", "[class]", "[Class]", 'Class: this key is not known here. Did you mean "class"? Allowed: class, question'),
    ("classes", "[[question]]", "[[Question]]", 'Question: this key is not known here. Did you mean "question"?'),
    ("problems", "[problem]", "[Problem]", 'Problem: this key is not known here. Did you mean "problem"? Allowed: problem, marks'),
]  # fmt: skip


@pytest.mark.parametrize(("kind", "stands", "typed", "said"), MEANT)
def test_a_key_typed_otherwise_is_named_as_typed_and_as_meant_with_its_line(
    kind, stands, typed, said, tmp_path
):
    read, name = READERS[kind]
    before, found, after = bundled(kind)[name].read_text(encoding="utf-8").partition(f"\n{stands}")
    if not found:
        before, found, after = f"\n{before}".partition(f"\n{stands}")
    line = before.count("\n") + 2 + typed.count("\n")
    with pytest.raises(BadFile) as caught:
        read(written(tmp_path, f"{before}\n{typed}{after}"))
    assert str(caught.value).startswith(f"mine.toml: line {line}: {said}"), caught.value
    assert re.search(r"(or take it out|or write one of these|Begin the file with .*)\.$", str(caught.value))


def test_a_whole_gig_is_known_by_a_capital_too(tmp_path):
    text = bundled("problems")["tea_room_solo"].read_text(encoding="utf-8")
    assert is_whole_gig(written(tmp_path, text.replace("[problem]", "[Problem]")))
    assert not is_whole_gig(written(tmp_path, HEAD))


@pytest.mark.parametrize("kind", READERS)
@pytest.mark.parametrize("number", ["9" * 4301, "0x" + "f" * 4000, "-" + "1_" * 3000 + "1"])
def test_a_number_that_nobody_can_have_meant_is_named_with_its_line(kind, number, tmp_path):
    read, name = READERS[kind]
    text = bundled(kind)[name].read_text(encoding="utf-8") + f"\n# {'7' * 5000}\n[x]\ny = {number}\n"
    with pytest.raises(BadFile) as caught:
        read(written(tmp_path, text))
    line = text.count("\n")
    assert f"mine.toml: line {line}: " in str(caught.value)
    assert "a number of more than 300 digits stands there. Write it in a few figures." in str(caught.value)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("a = " + "[" * 51 + "]" * 51, "brackets are nested more than 50 deep"),
        (".".join("a" * 102) + " = 1", "line 1: a key of more than 100 parts"),
        ("a = '" + "x" * 20_001 + "'", "line 1: a: a text of 20001 letters stands there; at most 20000"),
    ],
)
def test_what_goes_beyond_a_limit_is_refused(text, said, tmp_path):
    with pytest.raises(BadFile, match=f"mine.toml: {said}"):
        load_gig(written(tmp_path, text))


def test_limits_hold_for_what_is_meant_and_not_for_notes_and_texts():
    assert gig(f"notes = '{'[' * 60}{'.' * 200}'  # {'[' * 60}{'.' * 200}{'9' * 400}\n").evening.notes


LINES = """format = 1
[gig]
name = "by = here"  # by = there
notes = '''
by = "not a key"
'''
venue.by = 1
[[performer]]
name = "Ada"
sources = [
  { name = "Kick", by = "mic" },
  { "by" = "DI" },
]
[[performer]]
by = 3
[performer.by.by]
"""


@pytest.mark.parametrize(
    ("path", "line"),
    [
        (("gig",), 2),
        (("gig", "venue", "by"), 7),
        (("performer",), 8),
        (("performer", 0), 9),
        (("performer", 0, "sources", 0, "by"), 11),
        (("performer", 0, "sources", 1, "by"), 12),
        (("performer", 0, "sources", 0, "nothing of the kind"), 11),
        (("gig", "nothing of the kind"), 2),
        (("nothing of the kind",), 0),
    ],
)
def test_a_key_is_found_on_its_line(path, line):
    text = LINES.replace("[performer.by.by]\n", "")
    assert line_at(text, path) == line


def test_a_text_that_is_no_toml_has_no_lines_to_find():
    assert line_at(LINES, ("gig",)) == 0


KEYS = (
    "2nd",
    '"a-b"',
    '""',
    '"[x]"',
    '"a b"',
    '"é"',
    "constrained-int",
    '"\\u0000"',
    "Span",
    "Name",
    "INPUTS",
)
VALUES = (
    "1" * 5000, "0x" + "f" * 5000, "1e999", "1" * 6000 + ".5", "9223372036854775808", "nan", "-inf", "2027-02-30", "25:00:00",
    "0001-01-01", "9999-12-31T23:59:59Z", "2027-09-18T10:00:00+23:59", "[[1, 2], [{}]]", '{ Name = "x" }', "{ 2nd = 1 }",
    '{ "" = 1 }', "true", '""', "[]", "{}", '"""a\nb"""', '"' + "x" * 5000 + '"',
)  # fmt: skip
ANSWERS = """format = 1
trainee = "T"
[counts]
preamps = "12"
[verdict]
word = "fits"
short = ["preamps (stage)"]
[placement]
rows = [
{ item = "Kick", on = "mic input", at = "stage", number = 1 },
]
"""


def mistyped(draw: random.Random, text: str) -> str:
    """A file with a key in capitals, an odd key, or an odd value somewhere in it."""
    lines = text.split("\n")
    for _ in range(draw.choice((1, 1, 2))):
        spots = [n for n, line in enumerate(lines) if re.match(r"[\[a-z].*[\]=]", line)]
        at = draw.choice(spots)
        how = draw.randrange(4)
        if how == 0:
            lines[at] = re.sub(r"[a-z]", lambda found: found[0].upper(), lines[at], count=draw.choice((0, 1)))
        elif how == 1:
            lines[at] += f"\n{draw.choice(KEYS)} = {draw.choice(VALUES)}"
        elif how == 2:
            lines[at] = re.sub(r"=.*", lambda _: f"= {draw.choice(VALUES)}", lines[at])
        else:
            lines[at] = re.sub(r"\w+", lambda _: draw.choice(KEYS), lines[at], count=1)
    return "\n".join(lines)


def read_or_refused(kind: str, seed: int, folder: Path) -> None:
    draw = random.Random(f"{kind} {seed}")
    if kind == "answers":
        readers, text = (read_answers, read_returned), ANSWERS
    else:
        readers, text = (
            READERS[kind][:1],
            draw.choice(list(bundled(kind).values())).read_text(encoding="utf-8"),
        )
    path = written(folder, mistyped(draw, text))
    for read in readers:
        with contextlib.suppress(BadFile, NotAnswers):
            assert read(path) is not None


@pytest.mark.parametrize("kind", [*READERS, "answers"])
def test_whatever_is_mistyped_no_reader_ends_in_another_error(kind, tmp_path):
    for seed in range(40):
        read_or_refused(kind, seed, tmp_path)


@pytest.mark.thorough
@pytest.mark.parametrize("kind", [*READERS, "answers"])
def test_whatever_is_mistyped_no_reader_ends_in_another_error_thousands_of_times(kind, tmp_path):
    for seed in range(40, 1500):
        read_or_refused(kind, seed, tmp_path)


def test_a_semicolon_or_a_curly_quote_inside_a_text_is_just_text():
    assert gig('notes = "ramp; back door, 5,5 m \u201cwet\u201d"\n').evening.notes


@pytest.mark.parametrize("coding", ["utf-16", "utf-16-be"])
def test_utf16_is_named(coding, tmp_path):
    with pytest.raises(BadFile, match=r"not UTF-8 text, but UTF-16.*Save it as plain text in UTF-8"):
        load_gig(written(tmp_path, HEAD.encode(coding)))


def test_line_ends_of_windows_are_read_and_older_ones_named(tmp_path):
    assert load_gig(written(tmp_path, HEAD.replace("\n", "\r\n").encode())).name
    with pytest.raises(BadFile, match="Unix or Windows line ends"):
        load_gig(written(tmp_path, HEAD.replace("\n", "\r").encode()))


def test_a_desk_for_a_gig_and_a_gig_for_a_desk_are_named(tmp_path):
    with pytest.raises(BadFile, match="describes a desk, and a gig is wanted"):
        load_gig(written(tmp_path, DESK))
    with pytest.raises(BadFile, match="describes a gig, and a desk is wanted"):
        load_desk(written(tmp_path, HEAD))


def test_a_gig_may_change_one_figure_of_a_change_and_leave_the_others():
    it, house = gig("[policy.changes.mono]\npoints = 2\n").policy.changes, load_policy().changes
    assert (it.mono.points, it.mono.minutes) == (2, house.mono.minutes)
    assert it.share == house.share


@pytest.mark.parametrize("case", WRONG)
def test_a_wrong_gig_is_one_clear_message(case, tmp_path):
    text, key, words = WRONG[case]
    path = written(tmp_path, text)
    with pytest.raises(BadFile) as caught:
        load_gig(path)
    message = str(caught.value)
    assert message.startswith("mine.toml: ")
    assert key in message, message
    assert words in message, message
    assert "\n" not in message
    assert "pydantic" not in message


WRONG_DESKS = {
    "no inputs": (DESK.replace("mic = 8", "mic = 0"), "inputs", "no input socket"),
    "no outputs": (DESK.replace("line = 8", "line = 0"), "outputs", "no output socket"),
    "pairs that do not divide": (DESK + '[[mix_buses]]\ncount = 3\ntap = "pair"\n', "mix_buses", "do not divide"),
    "pairs that begin even": (DESK + '[[mix_buses]]\ncount = 1\n[[mix_buses]]\ncount = 2\ntap = "pair"\n', "mix_buses.number 2", "pairs"),
    "unknown tap": (DESK + '[[mix_buses]]\ncount = 2\ntap = "post"\n', "mix_buses.number 1.tap", "always post"),
    "effects on no bus": (DESK + '[effects]\ncount = 1\nsend = "takes a bus"\n', "effects.send", "has none"),
    "a brandless word for kind": (DESK.replace('"digital"', '"valve"'), "desk.kind", '"analogue", "digital"'),
    "negative buses": (DESK + "[[mix_buses]]\ncount = -4\n", "mix_buses.number 1.count", "0 or more"),
}  # fmt: skip


@pytest.mark.parametrize("case", WRONG_DESKS)
def test_a_wrong_desk_is_one_clear_message(case, tmp_path):
    text, key, words = WRONG_DESKS[case]
    with pytest.raises(BadFile) as caught:
        load_desk(written(tmp_path, text))
    assert key in str(caught.value), caught.value
    assert words in str(caught.value), caught.value


def test_a_missing_file_says_what_there_is():
    with pytest.raises(BadFile, match=r"no such file.*lantern_night"):
        load_gig("nowhere.toml")


def test_a_folder_is_not_a_file(tmp_path):
    with pytest.raises(BadFile, match="cannot be read"):
        load_gig(tmp_path)


def test_a_ten_megabyte_file_is_refused_unread(tmp_path):
    with pytest.raises(BadFile, match=r"10\.0 MB; at most 1 MB"):
        load_gig(written(tmp_path, b"#" * 10_000_000))


def test_text_that_is_not_utf8_names_its_line(tmp_path):
    with pytest.raises(BadFile, match=r"line 4: this is not UTF-8"):
        load_gig(written(tmp_path, HEAD.encode() + b"# caf\xe9\n"))


def test_a_byte_order_mark_does_no_harm(tmp_path):
    assert load_gig(written(tmp_path, b"\xef\xbb\xbf" + HEAD.encode())).name == "Test gig"


def test_brackets_nested_ten_thousand_deep_are_refused(tmp_path):
    with pytest.raises(BadFile):
        load_gig(written(tmp_path, HEAD + "notes = " + "[" * 10_000 + "]" * 10_000))


def test_a_gigs_own_policy_lies_over_the_house_policy():
    it = gig("[policy.spares]\ninputs_percent = 50\n")
    assert it.policy.spares.inputs_percent == 50
    assert it.policy.spares.outputs_one_in == load_policy().spares.outputs_one_in


def test_a_policy_file_may_leave_out_what_it_does_not_change(tmp_path):
    policy = load_policy(written(tmp_path, "format = 1\n[delay]\noffset_ms = 15\n"))
    assert policy.delay.offset_ms == 15
    assert policy.minutes == load_policy().minutes


@pytest.mark.parametrize("what", ["gig", "desk"])
def test_a_template_reads_as_it_is(what, tmp_path):
    path = tmp_path / "new.toml"
    write_template(what, path)
    assert {"gig": load_gig, "desk": load_desk}[what](path).name


def uncommented(text: str) -> str:
    """The template with every optional key taken into use."""
    return re.sub(r"^(\s*)# (?=(\[|[a-z_]+ = |\{ name))", r"\1", text, flags=re.MULTILINE)


@pytest.mark.parametrize(("what", "load"), [("gig", load_gig), ("desk", load_desk)])
def test_a_template_reads_with_every_note_taken_into_use(what, load, tmp_path):
    path = tmp_path / "new.toml"
    write_template(what, path)
    text = uncommented(path.read_text()).replace('without = ["Remote caller"]', 'without = ["Player"]')
    text = text.replace("sub_send = true", "sub_send = false")
    path.write_text(text)
    tomllib.loads(text)
    assert load(path).name


def keys(kind: type) -> set[str]:
    """Every key a file may hold, by the name it has in the file."""
    found: set[str] = set()
    hints = get_type_hints(kind, include_extras=True)
    for field in fields(kind):
        annotation = hints[field.name]
        alias = [getattr(meta, "alias", None) for meta in getattr(annotation, "__metadata__", ())]
        found.add(next((a for a in alias if a), field.name))
        for inner in _inside(annotation):
            if isinstance(inner, type) and is_dataclass(inner):
                found |= keys(inner)
    return found


def _inside(annotation):
    yield annotation
    if get_origin(annotation) is not None:
        for argument in get_args(annotation):
            yield from _inside(argument)


@pytest.mark.parametrize(("what", "kind"), [("gig", Gig), ("desk", Desk)])
def test_a_template_shows_every_key_there_is(what, kind, tmp_path):
    path = tmp_path / "new.toml"
    write_template(what, path)
    text = path.read_text()
    policy = {"policy"} | keys(__import__("gigsums.gig.policy", fromlist=["Policy"]).Policy)
    wanted = keys(kind) - policy
    assert wanted
    assert [key for key in sorted(wanted) if not re.search(rf"\b{key}\b", text)] == []


def test_a_file_that_is_there_is_not_overwritten(tmp_path):
    path = written(tmp_path, "mine")
    with pytest.raises(BadFile, match="--replace"):
        write_template("gig", path)
    assert path.read_text() == "mine"
    write_template("gig", path, replace=True)
    assert load_gig(path).name == "My gig"


def test_nothing_half_written_stays_behind(tmp_path):
    with pytest.raises(BadFile, match="cannot be written"):
        write_template("gig", tmp_path / "nowhere" / "mine.toml")
    assert list(tmp_path.iterdir()) == []


def test_what_does_not_read_back_replaces_nothing(tmp_path, monkeypatch):
    path = written(tmp_path, "mine")
    opened = os.fdopen

    class Failing:
        """A disk that says that it wrote everything and has lost the end."""

        def __init__(self, *given):
            self.file = opened(*given)

        def __enter__(self):
            return self

        def __exit__(self, *_):
            self.file.close()

        def write(self, content):
            self.file.write(content[:-3])

    monkeypatch.setattr("gigsums.gig.files.os.fdopen", Failing)
    with pytest.raises(BadFile, match=r"does not read back the same\. Nothing was changed"):
        write_whole(path, "something else", replace=True)
    monkeypatch.undo()

    def refused(there: Path) -> None:
        assert there.read_text() == "something else"
        raise ValueError("no")

    with pytest.raises(ValueError, match="no"):
        write_whole(path, "something else", replace=True, check=refused)
    with pytest.raises(BadFile, match="half a character"):
        write_whole(path, "\ud800", replace=True)
    assert path.read_text() == "mine"
    assert [each.name for each in tmp_path.iterdir()] == ["mine.toml"]


toml_values = st.recursive(
    st.booleans() | st.integers(-5, 2000) | st.text(max_size=8) | st.floats(allow_nan=False, width=32),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from(["name", "by", "count", "for", "least", "most"]), inner, max_size=3),
    max_leaves=6,
)  # fmt: skip
tables = st.dictionaries(
    st.sampled_from(["performer", "line", "mix", "effect", "zone", "feed", "venue", "crew", "kit", "policy", "mains", "gig"]),
    toml_values,
    max_size=4,
)  # fmt: skip


@settings(max_examples=150, deadline=None)
@given(tables)
def test_any_table_is_read_or_refused_and_nothing_else(table):
    """Whatever shape a file takes, the answer is a Gig or a BadFile: never another error."""
    import tomlkit

    text = tomlkit.dumps({"format": 1, "gig": {"name": "G"}, **table})
    with contextlib.suppress(BadFile):
        assert gig(text, head="").sources is not None


@pytest.mark.parametrize("count", ["{ least = 1 }", "{ least = 1, most = 2, x = 3 }", "[1]"])
def test_a_count_half_said_is_named_by_its_own_key(count):
    text = f'format = 1\n[gig]\nname = "G"\n[[performer]]\nname = "A"\nsources = [{{ name = "K", by = "mic", count = {count} }}]\n'
    with pytest.raises(BadFile) as refused:
        read_gig(text)
    assert refused.value.key == "performer.A.sources.K.count"
    assert "{ least = 1, most = 2 } where it is not settled" in str(refused.value)
