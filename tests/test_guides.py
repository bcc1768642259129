"""The pages in Markdown: their links lead somewhere, their commands exist, their numbers are the workbook's."""

import contextlib
import io
import json
import re
import tomllib
from pathlib import Path
from urllib.parse import unquote

import pytest

from gigsums.cli import _parser
from gigsums.gig import bundled

ROOT = Path(__file__).resolve().parent.parent
GUIDE = ROOT / "exercises" / "tutors_guide.md"
PAGES = [ROOT / "README.md", ROOT / "DEVELOPERS.md", ROOT / "exercises" / "README.md", GUIDE]
LESSONS = sorted((ROOT / "notebooks").glob("[01][0-9]_*.ipynb"))[1:]
CAP = re.compile(r"(?:caps? the sheet at|capped at|at most) (\w+)(?: percent)?\b(?=[^.]*until)")
READ = [
    *PAGES,
    *(p for top in ("notebooks", "toolkit", "exercises", "tests/reference") for p in (ROOT / top).rglob("*")),
]
NO_SOURCE = re.compile(
    r"nobody\W+ha(?:s|ve)\W+published|no\W+published\W+source"
    r"|(?<![\w@.-])(?:[a-z0-9-]+\.)+(?:com|net|org|info|edu|gov|io|ai|np|uk|de|ch|nl|eu|ca|br|cz|ua)\b(?![(\w])",
    re.IGNORECASE,
)
PUBLIC = {"creativecommons.org", "json-schema.org", "www.w3.org", "python.org"}
BY_NAME = {"ids": lambda path: str(path.relative_to(ROOT))}


@pytest.mark.parametrize("page", PAGES, **BY_NAME)
def test_links_lead_somewhere(page):
    links = re.findall(r"\]\(([^)\s]+)\)", page.read_text(encoding="utf-8"))
    for link in links:
        if not link.startswith(("http:", "https:", "mailto:", "#")):
            assert (page.parent / unquote(link.partition("#")[0])).exists(), link


@pytest.mark.parametrize("page", PAGES, **BY_NAME)
def test_commands_exist(page):
    text = page.read_text(encoding="utf-8")
    found = set(
        re.findall(r"(?:^    |`)(?:gigsums|python3 toolkit/start\.py) ([a-z]+)\b", text, flags=re.MULTILINE)
    )
    for command in found - {"test"}:
        with contextlib.redirect_stdout(io.StringIO()), pytest.raises(SystemExit) as ended:
            _parser().parse_args([command, "--help"])
        assert ended.value.code == 0, command


def test_the_tutors_guide_lists_every_lesson_with_its_minutes():
    rows = re.findall(
        r"^\| (\d+) \| [^|]+ \| (\d+) \|", GUIDE.read_text(encoding="utf-8"), flags=re.MULTILINE
    )
    is_so = []
    for lesson in LESSONS:
        first = "".join(json.loads(lesson.read_text(encoding="utf-8"))["cells"][0]["source"])
        (minutes,) = re.findall(r"\*\*How long:\*\* about (\d+) minutes", first)
        is_so.append((str(int(lesson.name[:2])), minutes))
    assert rows == is_so


def test_the_guides_say_the_marks_and_the_cap_that_are_set():
    marks = tomllib.loads(bundled("policy")["marking"].read_text(encoding="utf-8"))["marks"]
    guide = GUIDE.read_text(encoding="utf-8").partition("## Whole gigs")[2]
    sections = ("counts", "verdict", "remedies", "allocation", "document")
    assert re.findall(r"^\| [a-z ]+ \| (\d+) \|", guide, flags=re.MULTILINE) == [
        str(marks[name]) for name in sections
    ]
    caps = [
        number for page in PAGES for number in CAP.findall(" ".join(page.read_text(encoding="utf-8").split()))
    ]
    assert caps == [str(marks["danger"])] * 2


def test_the_tutors_guide_counts_the_whole_gigs():
    said = re.search(
        r"\*\*?exercises/problems|`exercises/problems` has (\w+)", GUIDE.read_text(encoding="utf-8")
    )
    assert said[1] == "seventeen"
    assert len(bundled("problems")) == 17


def test_habits_are_common_practice_and_no_source_is_a_private_site():
    """That nobody has published a thing is a claim nobody has checked; a private page is gone tomorrow."""
    words = {".py", ".js", ".css", ".html", ".typ", ".json", ".md", ".toml", ".ipynb", ".csv"}
    faults = [
        f"{path.relative_to(ROOT)}: {found}"
        for path in READ
        if path.suffix in words and path.parent.name != "fonts"
        for found in NO_SOURCE.findall(path.read_text(encoding="utf-8"))
        if found.lower() not in PUBLIC
    ]
    assert not faults, "\n".join(faults)
