"""What people write where TOML wants something else: which line, what stands there, and what to write instead."""

from __future__ import annotations

import re
from tomllib import TOMLDecodeError

from .explain import first_lower, short

GENERAL = 'Texts stand in "quotes", times are written 18:30:00, lists in [brackets].'
QUOTED = re.compile(r'"(?:[^"\\]|\\.)*"')
CURLY = re.compile("[\u2018\u2019\u201a\u201c\u201d\u201e\u00ab\u00bb]")

_SLIPS = (
    (r"=\s*(True|False|TRUE|FALSE|Yes|No|YES|NO|yes|no)\b", "Write true or false, small and without quotes."),
    (r"=\s*\d{1,2}(:\d\d\s*$|([:.]\d\d)?\s*[ap]\.?m\b)", "A time is written with its seconds: 19:00:00."),
    (r"=\s*\d{1,4}[./]\d{1,2}[./]\d{1,4}", "A date is written 2027-09-18."),
    (r"[=,{\[]\s*\d+,\d+\b", "Write a point in a number, not a comma: 24.5."),
    (r";", "Put commas between, and every key on a line of its own; a spreadsheet's semicolons are not read."),
    (r"=\s*$", "Something has to stand behind the equals sign."),
    (r"^\s*\[?[\w ]+\]?\s*$", "A key has an equals sign behind it; the head of a table stands in [brackets]."),
    (r"=\s*[A-Za-z]", "A text stands in quotes: \"so\"."),
)  # fmt: skip


def said(text: str, error: TOMLDecodeError) -> tuple[str, str, str]:
    """Where a text is not TOML, what stands there, and what to do.

    Parameters
    ----------
    text : str
        The file as read.
    error : TOMLDecodeError
        What the reader of TOML found.

    Returns
    -------
    tuple of (str, str, str)
        ``"line 4"`` or nothing, the problem, the advice.
    """
    if "\r" in text.replace("\r\n", ""):
        return (
            "",
            "this is not TOML: its lines end in a way that is not read.",
            "Save it with Unix or Windows line ends.",
        )
    what = first_lower(re.sub(r" \(at .*\)$", "", str(error)))
    found = re.search(r"at line (\d+)", str(error))
    if found is None:
        return "", f"this is not TOML: {what} at the end of the file.", GENERAL
    number = int(found[1])
    line = ([*text.split("\n"), ""][number - 1]).strip()
    stood = short(line, quoted=False) or "nothing"
    return f"line {number}", f"this is not TOML: {stood} stands there ({what}).", _advice(line, what)


def _advice(line: str, what: str) -> str:
    head = re.match(r"\[{1,2}\s*([\w.]+)", line)
    if head and ("overwrite" in what or "declare" in what):
        return f"Where there are several, each begins with [[{head[1]}]] in double brackets."
    if "overwrite" in what or "duplicate" in what:
        return "This key stands there twice: take one away, or begin a table of its own."
    if head and ("unclosed array" in what or "invalid value" in what):
        return "A list that is opened with [ above this line is not closed with ]."
    bare = QUOTED.sub('""', line)
    if CURLY.search(bare):
        return 'Type straight quotation marks, "so"; an editor for letters makes curly ones.'
    if bare.count('"') % 2:
        return "A quotation mark is missing on this line."
    if bare.count("{") > bare.count("}"):
        return "A table in { } begins and ends on one line."
    return next((advice for slip, advice in _SLIPS if re.search(slip, bare)), GENERAL)
