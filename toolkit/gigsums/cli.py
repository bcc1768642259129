"""The command line: thin commands over the rooms. Exit status 2 means that a file or a word was wrong."""

from __future__ import annotations

import argparse
import json
import os
import sys
from collections.abc import Sequence
from pathlib import Path

from . import __version__


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command.

    Parameters
    ----------
    arguments : sequence of str, optional
        The words after ``gigsums``; the process's own if left out.

    Returns
    -------
    int
        Exit status: 0, or 2 where something given was wrong.
    """
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    parser = _parser()
    options = parser.parse_args(arguments)
    if options.command is None:
        parser.print_help()
        return 0
    from .gig import BadFile

    try:
        return options.run(options)
    except BadFile as fault:
        print(f"gigsums: {fault}", file=sys.stderr)
        return 2
    except BrokenPipeError:
        sys.stderr.close()
        return 0
    except KeyboardInterrupt:
        print("stopped", file=sys.stderr)
        return 130


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="gigsums", description="Sums for gigs: size a gig, and learn to.")
    parser.add_argument("--version", action="version", version=f"gigsums {__version__}")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND")

    size = commands.add_parser("size", help="does this desk carry this gig, and why?")
    size.add_argument(
        "gig", nargs="?", help="gig file, or the name of a bundled one; the demo gig if left out"
    )
    size.add_argument(
        "--desk",
        action="append",
        default=[],
        metavar="DESK",
        help="desk file, or the name of a bundled one; again for others at hand",
    )
    size.add_argument("--json", action="store_true", help="print the results as JSON")
    size.add_argument(
        "--why", metavar="LEDGER", help='print every reason behind one ledger, such as "bus pairs"'
    )
    size.set_defaults(run=_size)

    new = commands.add_parser("new", help="write a commented template to fill in")
    new.add_argument("what", choices=["gig", "desk"])
    new.add_argument("file", nargs="?", type=Path, help="where to; my_gig.toml or my_desk.toml if left out")
    new.add_argument("--replace", action="store_true", help="replace the file if it is there")
    new.set_defaults(run=_new)

    open_ = commands.add_parser(
        "open", help="copy the workbook to a folder of yours and open it in JupyterLab"
    )
    open_.add_argument(
        "--at", type=Path, metavar="FOLDER", help="working folder; gigsums-workbook in your home if left out"
    )
    open_.set_defaults(run=_open)
    return parser


DEMO_GIG = "lantern_night"


def _size(options: argparse.Namespace) -> int:
    from .gig import bundled, load_desk, load_gig
    from .sizing import compare, smallest_changes, what_breaks_next
    from .sizing.report import LedgerUnknown, report, study_json, why

    gig = load_gig(options.gig or DEMO_GIG)
    desks = [load_desk(name) for name in options.desk or bundled("desks")]
    compared = compare(gig, desks, _bar if sys.stderr.isatty() and len(desks) > FEW else None)
    if options.why:
        try:
            print(why([one.fit for one in compared], options.why))
        except LedgerUnknown as fault:
            print(f"gigsums: {fault}", file=sys.stderr)
            return 2
        return 0
    answers: tuple = ()
    room: tuple = ()
    if options.desk:
        answers = smallest_changes(gig, desks[0], desks[1:])
        room = what_breaks_next(gig, desks[0])
    if options.json:
        print(json.dumps(study_json(compared, answers, room), indent=2, ensure_ascii=False))
    else:
        print(report(compared, answers, room))
    return 0


FEW = 8


def _bar(done: int, all_: int) -> None:
    """A progress bar on the terminal, wiped when it is full."""
    width = 40 * done // all_
    end = "\r" + " " * 60 + "\r" if done == all_ else ""
    print(
        f"\r  [{'#' * width}{'.' * (40 - width)}] {done} of {all_} desks{end}",
        end="",
        file=sys.stderr,
        flush=True,
    )


def _new(options: argparse.Namespace) -> int:
    from .gig import write_template

    target = options.file or Path(f"my_{options.what}.toml")
    replace = options.replace
    if target.exists() and not replace and sys.stdin.isatty():
        replace = input(f"{target} is there already. Replace it? [y/N] ").strip().lower() in ("y", "yes")
    write_template(options.what, target, replace=replace)
    print(
        f"Wrote {target}. Fill it in with any text editor, then: {_me()} size {_then(options.what, target)}"
    )
    return 0


def _me() -> str:
    """How this was started: start.py says its own command, since `gigsums` may be on no path."""
    return os.environ.get("GIGSUMS_COMMAND", "gigsums")


def _then(what: str, target: Path) -> str:
    return f'"{target}"' if what == "gig" else f'YOUR_GIG --desk "{target}"'


def _open(options: argparse.Namespace) -> int:
    from .workbook import open_workbook

    return open_workbook(options.at)


if __name__ == "__main__":
    sys.exit(main())
