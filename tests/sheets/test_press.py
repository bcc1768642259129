"""The press: data is printed as it stands, in the font that travels along, the same bytes every time."""

import json
import subprocess
import sys
from io import BytesIO

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image
from pypdf import PdfReader

from gigsums.sheets import PAPERS, Asked, Box, Grid, Solved, press, print_asked, print_solved, printed
from gigsums.sheets.press import FAMILY, FONTS, fit_to_print, printable
from pages import fonts, off_the_paper, sizes_mm, text, texts

MARKUP = [
    '#import "secret.typ": *',
    "$x^2$",
    "*b*",
    "_i_",
    "<a>",
    "@ref",
    "\\u{41}",
    "`raw`",
    "= Heading",
    "- item",
    "+ item",
    "/ term: it",
    "// gone",
    "/* gone */",
    "a ~ b -- c --- d ...",
    "#{1 + 1}",
    '#eval("1")',
    '#read("/etc/hostname")',
    "\"quoted\" 'and'",
    "https://example.org",
    "\\",
    "]})",
]
FILLED = Asked(scene="A hall.", question="How many?")


def test_what_looks_like_markup_is_printed_as_it_stands():
    asked = Asked(scene="Start", question=MARKUP[0], facts=tuple(MARKUP), caution=MARKUP[2], write=MARKUP[1])
    read = text(print_asked(MARKUP[0], [asked], variant=MARKUP[2], who=MARKUP[4]).pdf)
    for each in MARKUP:
        assert each in read, each


def test_markup_in_boxes_tables_and_keys_is_printed_as_it_stands():
    grid = Grid(("*head*", "$h$"), (("#cell", ""),), title="@title")
    asked = Asked("", "?", boxes=(Box("#label", "$u$"), Box(choices=("*yes*", "_no_"))), grids=(grid,))
    read = text(print_asked("Sheet", [asked]).pdf)
    solved = Solved(
        "#answer", "@within", "$asked$", "<which>", ("*way*",), (grid,), (), (("_v_", "`n`", "#h"),)
    )
    key = text(print_solved("Sheet", [solved]).pdf)
    assert all(
        each in read for each in ("*head*", "$h$", "#cell", "@title", "#label", "$u$", "*yes*", "_no_")
    )
    assert all(
        each in key
        for each in ("#answer", "@within", "$asked$", "<which>", "*way*", "_v_", "`n`", "#h", "#cell")
    )


PLAIN = st.text(st.sampled_from("ab #$*_<>@\\`=-+/~[]{}()\"'&%.;:^|!?0"), min_size=1, max_size=40)


@settings(max_examples=40)
@given(PLAIN)
def test_any_text_of_markup_characters_comes_back_as_it_was(name):
    read = texts(print_asked("Sheet", [Asked(f"[{name}]", "?", lines=0)]).pdf)[0].replace(" ", "")
    assert f"[{name}]".replace(" ", "") in read


@settings(max_examples=40)
@given(st.text(max_size=60), st.text(max_size=30))
def test_any_text_at_all_is_printed_or_named(scene, fact):
    made = print_asked("Sheet", [Asked(scene, "?", facts=(fact,))])
    assert made.pdf.startswith(b"%PDF")
    _, missing = fit_to_print([scene, fact])
    assert len(made.missing) == len(missing)


def test_a_character_the_font_lacks_is_named_where_it_stood():
    made = print_asked("Sheet", [FILLED, Asked("Bring 🎧 and \ue000.", "鼓?")])
    assert made.missing == (
        "U+1F3A7 HEADPHONE in questions 2.scene",
        "U+E000 without a name in questions 2.scene",
        "U+9F13 CJK UNIFIED IDEOGRAPH-9F13 in questions 2.question",
    )
    read = text(made.pdf)
    assert "Bring [HEADPHONE] and [U+E000]." in read
    assert "[CJK UNIFIED IDEOGRAPH-9F13]?" in read
    assert not set("🎧鼓\ue000") & set(read)


@pytest.mark.parametrize("sly", ["\u202e", "\u2066", "\x00", "\x07", "\x1b", "\ud800", "\ufe0f", "\ufeff"])
def test_characters_that_hide_or_turn_text_are_named(sly):
    made = print_asked("Sheet", [Asked(f"left{sly}right", "?")])
    assert len(made.missing) == 1
    assert f"U+{ord(sly):04X}" in made.missing[0]
    assert "left[" in text(made.pdf)


def test_letters_of_many_languages_and_trade_signs_are_printed():
    line = "Zoë Łukasz Ñandú Đặng Ångström Ωμέγα Жанна ğüş ½ × − √ ≤ ≥ ≈ ° → Ω μ “ ” ’ – — …"
    made = print_asked("Sheet", [Asked(line, "?")])
    assert made.missing == ()
    assert line in text(made.pdf)


def test_many_missing_characters_are_not_listed_for_ever():
    _, missing = fit_to_print("".join(map(chr, range(0x4E00, 0x4F00))))
    assert len(missing) == 51
    assert missing[-1] == "and 206 other characters"


LONG = [("question", 10_000), ("title", 10_000)]
LONG += [(where, 2_000) for where in ("scene", "fact", "label", "cell", "choice")]


@pytest.mark.parametrize(("where", "length"), LONG)
@pytest.mark.parametrize("word", ["W", "ab "])
def test_thousands_of_characters_stay_on_the_paper(where, length, word):
    long = word * (length // len(word))
    asked = Asked(
        scene=long if where == "scene" else "s",
        question=long if where == "question" else "?",
        facts=(long if where == "fact" else "f",),
        boxes=(
            Box(long if where == "label" else "b"),
            Box(choices=(long if where == "choice" else "c", "d")),
        ),
        grids=(Grid(("head", "other"), ((long if where == "cell" else "x", ""),)),),
    )
    made = print_asked(long if where == "title" else "t", [asked], variant="V1")
    read = texts(made.pdf)
    assert made.pages == len(read)
    assert sum(page.count("W") + page.count("ab") for page in read) >= len(long) // len(word)
    assert off_the_paper(made.pdf) == []
    assert all("V1" in page for page in read)


@pytest.mark.parametrize(("paper", "size"), [("a4", (210.0, 297.0)), ("us-letter", (215.9, 279.4))])
def test_papers_have_their_sizes(paper, size):
    """ISO 216 for A4; 8.5 in by 11 in for US Letter (ANSI/ASME Y14.1, size A)."""
    assert sizes_mm(print_asked("Sheet", [FILLED], paper=paper).pdf) == {size}
    assert sizes_mm(print_solved("Sheet", [Solved("3")], paper=paper).pdf) == {size}


def test_a_line_off_the_paper_would_be_seen():
    wide = print_asked("t", [Asked("W" * 24 + " " + "\u00a0".join("W" * 300), "?")])
    assert off_the_paper(wide.pdf) == []
    assert off_the_paper(print_asked("t", [FILLED]).pdf) == []
    off = print_asked("t", [Asked("s", "?", grids=(Grid(("W" * 24,) * 9, ()),))])
    assert off_the_paper(off.pdf)


def test_there_are_two_papers():
    assert PAPERS == ("a4", "us-letter")


def test_same_bytes_twice_and_in_another_process():
    code = (
        "import sys; from gigsums.sheets import *;"
        "sys.stdout.buffer.write(print_asked('S', [Asked('A hall.', 'How many?')]).pdf)"
    )
    here = print_asked("S", [FILLED]).pdf
    there = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True, cwd="/").stdout
    assert print_asked("S", [FILLED]).pdf == here == there
    assert print_asked("S", [Asked("A hall.", "How many more?")]).pdf != here


def test_no_page_says_when_it_was_made():
    assert not {"/CreationDate", "/ModDate"} & set(
        PdfReader(BytesIO(print_asked("S", [FILLED]).pdf)).metadata
    )


def test_only_the_font_that_travels_along_is_used():
    asked = Asked("A hall.", "How many?", caution="Mind.", boxes=(Box("mixes"), Box(choices=("yes", "no"))))
    names = {"SourceSans3-Regular", "SourceSans3-Bold"}
    assert fonts(print_asked("Sheet", [asked]).pdf) == names
    assert {path.stem for path in FONTS.glob("*.otf")} == names


def test_the_font_comes_with_its_licence():
    assert "SIL OPEN FONT LICENSE" in (FONTS / "LICENSE.md").read_text(encoding="utf-8").upper()
    assert {"a", "Ω", "−"} <= printable()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("letter", {}), "document is 'letter'; it may be "),
        (("../worksheet", {}), "document is '../worksheet'"),
        (("_page", {}), "document is '_page'"),
        (("worksheet", {}, "a5"), "paper is 'a5'; it may be a4 or us-letter"),
    ],
)
def test_other_documents_and_papers_are_refused(words, said):
    with pytest.raises(ValueError, match=said):
        printed(*words)


GROWN = """
import psutil
from gigsums.sheets import printed

def print_one(n):
    rows = [[{"text": f"{n} {row} {cell}", "share": 0.5} for cell in range(8)] for row in range(300)]
    section = {"title": "A", "prose": "b", "columns": ["c"] * 8, "rows": rows, "widths": [1] * 8}
    printed("overview", {"title": "T", "variant": "", "who": "", "summary": "", "sections": [section]})
    return psutil.Process().memory_info().rss / 1e6

first, *_, last = [print_one(n) for n in range(8)]
print(last - first)
"""


@pytest.mark.thorough
def test_one_large_document_after_another_takes_no_more_memory():
    """Of some 80 MB each, which would be kept for the next ten."""
    done = subprocess.run([sys.executable, "-c", GROWN], capture_output=True, text=True, check=True)
    assert float(done.stdout) < 80


def header_ink(title):
    """How far the running title's ink reaches, in dots of 200 to the inch: left, top, right, bottom."""
    data = {"title": title, "variant": "", "who": "", "summary": "", "sections": []}
    words = {"data": json.dumps(data), "paper": "a4", "font": FAMILY}
    page = press._compiler("overview", words).compile(format="png", ppi=200)
    image = Image.open(BytesIO(page)).convert("L")
    mm = 200 / 25.4
    running = image.crop((round(20 * mm), 0, round(120 * mm), round(17.6 * mm)))
    return running.point(lambda level: 255 * (level < 128)).getbbox()


def test_the_running_title_is_whole_and_one_line():
    """Letters that reach below the line are not cut off, and of a long title the first line is shown."""
    left, top, right, bottom = header_ink("nnnn")
    long = header_ink("nnnn " * 16)
    assert header_ink("gggg")[3] - bottom >= 4
    assert (long[0], long[1], long[3]) == (left, top, bottom)
    assert long[2] > 10 * right
