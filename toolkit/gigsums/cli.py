"""The command line: thin commands over the rooms. Exit status 2 means that a file or a word was wrong."""

from __future__ import annotations

import argparse
import json
import os
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

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
    _practice_commands(commands)

    quick = commands.add_parser("quick", help="the quick calculators as a page, here or on a phone")
    quick.add_argument(
        "--network",
        nargs="?",
        const="",
        metavar="ADDRESS",
        help="let phones on the same network reach it, with a key in the address; ADDRESS of this computer "
        "if it has several",
    )
    quick.add_argument("--port", type=_port, help="port to listen on; a free one if left out")
    quick.set_defaults(run=_quick)
    return parser


def _practice_commands(commands: Any) -> None:
    asked = commands.add_parser("problem", help="a problem to solve, or a worksheet in its three forms")
    asked.add_argument(
        "what",
        nargs="?",
        help="topic, or the TOML file of a worksheet or a whole gig; the list of topics if left out",
    )
    asked.add_argument("--seed", help="which problem of the topic: any whole number or word")
    asked.add_argument("--level", type=int, choices=[1, 2, 3], help="1 easy, 2 middling, 3 hard")
    asked.add_argument(
        "--answer",
        metavar="TEXT",
        help="mark this answer, for a whole gig an answer file; with a topic the seed has to be given too",
    )
    asked.add_argument("--workings", action="store_true", help="show the way to the answer")
    asked.add_argument("--to", type=Path, metavar="FOLDER", help="where a worksheet's files go")
    _paper_and_replace(asked)
    asked.set_defaults(run=_problem)

    out = commands.add_parser(
        "handout", help="a class's sheets, one folder a trainee, and the tutor's record"
    )
    out.add_argument("file", help="class file, or the name of a bundled one")
    out.add_argument(
        "--to", type=Path, metavar="FOLDER", help="the class's folder; named like the file if left out"
    )
    out.add_argument(
        "--replace",
        action="store_true",
        help="hand out again: earlier sheets are moved aside, what was returned stays",
    )
    out.set_defaults(run=_handout)

    mark = commands.add_parser("mark", help="mark a folder of returned sheets")
    mark.add_argument("folder", type=Path, help="where returned files were dropped, or the class's folder")
    mark.add_argument(
        "--record", type=Path, metavar="FILE", help="the tutor's record; the one beside if left out"
    )
    mark.add_argument(
        "--to",
        type=Path,
        metavar="FOLDER",
        help="the folder for the results; if left out a new one in results/, named after day and time",
    )
    mark.add_argument(
        "--replace", action="store_true", help="with --to: move the folder that stands there aside"
    )
    mark.set_defaults(run=_mark)

    sheets = commands.add_parser("sheets", help="print what belongs in the van")
    sheets.add_argument("what", choices=["card"], help="card: ten sums for the pocket")
    sheets.add_argument("file", nargs="?", type=Path, help="where to; pocket_card.pdf if left out")
    _paper_and_replace(sheets)
    sheets.set_defaults(run=_sheets)


def _paper_and_replace(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--paper", choices=["a4", "us-letter"], help="a4 if left out")
    parser.add_argument("--replace", action="store_true", help="replace files that are there")


DEMO_GIG = "lantern_night"


def _size(options: argparse.Namespace) -> int:
    from .gig import bundled, load_desk, load_gig
    from .sizing import compare, questions, smallest_changes, what_breaks_next
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
    asked: tuple = ()
    if options.desk:
        answers = smallest_changes(gig, desks[0], desks[1:])
        room = what_breaks_next(gig, desks[0])
        asked = questions(gig, desks[0])
    if options.json:
        print(json.dumps(study_json(compared, answers, room, asked), indent=2, ensure_ascii=False))
    else:
        print(report(compared, answers, room, asked))
    return 0


FEW = 8


def _bar(done: int, all_: int, what: str = "desks") -> None:
    """A progress bar on the terminal, wiped when it is full."""
    width = 40 * done // all_
    end = "\r" + " " * 79 + "\r" if done == all_ else ""
    print(
        f"\r  [{'#' * width}{'.' * (40 - width)}] {done} of {all_} {what}{end}",
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


def _problem(options: argparse.Namespace) -> int:
    from .practice.questions import asked, drawn, marked, topic_list
    from .practice.worksheets import is_worksheet, write_forms
    from .whole_gigs import is_whole_gig

    what, for_topics = options.what, [options.seed, options.level, options.answer, options.workings or None]
    for_sheets = [options.to, options.paper, options.replace or None]
    if what is None:
        print(f"{topic_list()}\n\nThen: {_me()} problem TOPIC, with --level 1 to 3 and --seed if you like.")
        return 0
    if is_whole_gig(what):
        return _whole_gig(options)
    if is_worksheet(what):
        if any(each is not None for each in for_topics):
            return _refuse(
                "--seed, --level, --answer and --workings are for a topic; a worksheet has its own."
            )
        made = write_forms(what, options.to, paper=options.paper or "a4", replace=options.replace)
        print("Wrote " + ", ".join(map(str, made.files)) + ".")
        _say_missing(made.missing)
        return 0
    if any(each is not None for each in for_sheets):
        return _refuse("--to, --paper and --replace are for a worksheet; a topic's problem is only shown.")
    if options.answer is not None and options.seed is None:
        return _refuse("--answer needs --seed: the seed of the problem that is answered.")
    try:
        found = drawn(what, options.seed, options.level)
    except ValueError as fault:
        return _refuse(f"{str(fault).rstrip('?.')}{'?' if str(fault).endswith('?') else '.'}")
    if options.answer is not None:
        print(marked(found, options.answer, options.workings))
    else:
        again = f'--seed "{found.seed}" --level {found.level}'
        print(asked(found, options.workings))
        print(f'\nThen: {_me()} problem "{found.topic}" {again} --answer "..."')
    return 0


def _whole_gig(options: argparse.Namespace) -> int:
    """A whole gig to size: its files, its key, or the marks of an answer file."""
    from .whole_gigs import mark_whole, whole_gig
    from .whole_gigs.problem import write_whole_gig

    if options.seed is not None or options.level is not None:
        return _refuse("--seed and --level are for a topic; a whole gig is the one that its file names.")
    if options.answer is not None:
        print(mark_whole(whole_gig(options.what), options.answer))
    elif options.workings:
        print(whole_gig(options.what).key(), end="")
    else:
        made = write_whole_gig(options.what, options.to, paper=options.paper or "a4", replace=options.replace)
        print("Wrote " + ", ".join(map(str, made.files)) + ".")
        print(f'Then: {_me()} problem "{options.what}" --answer "{made.files[-1]}"')
        _say_missing(made.missing)
    return 0


def _handout(options: argparse.Namespace) -> int:
    from .classes import handout

    made = handout(options.file, options.to, replace=options.replace, tell=_told())
    print(
        f"Handed out {_count(made.questions, 'question')} to {_count(made.trainees, 'trainee')} in {made.folder}:"
    )
    print(f"  {made.handed_out.name + '/':10} one folder for each: give these out")
    print(f'  {made.returned.name + "/":10} drop here what comes back, then: {_me()} mark "{made.folder}"')
    print(f"  {made.record.parent.name + '/':10} yours alone: {made.kept}")
    _say_missing(made.missing)
    return 0


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"


def _mark(options: argparse.Namespace) -> int:
    from .classes import mark_folder, told

    marked = mark_folder(options.folder, options.record, options.to, replace=options.replace, tell=_told())
    print(told(marked))
    return 0


def _told() -> Any:
    """What shows a progress bar on a terminal; nothing elsewhere."""
    return _progress if sys.stderr.isatty() else None


def _progress(what: str, done: int, all_: int) -> None:
    """A progress bar that moves in whole hundredths, so that showing it costs nothing."""
    if done == all_ or 100 * done // all_ != 100 * (done - 1) // all_:
        _bar(done, all_, what)


def _sheets(options: argparse.Namespace) -> int:
    from .gig import write_whole
    from .sheets import print_card

    target = options.file or Path("pocket_card.pdf")
    made = print_card(options.paper or "a4")
    write_whole(target, made.pdf, replace=options.replace)
    print(f"Wrote {target}. Print it at its true size, then hold a ruler to the line of 50 mm.")
    return 0


def _refuse(fault: str) -> int:
    print(f"gigsums: {fault}", file=sys.stderr)
    return 2


def _say_missing(missing: Sequence[str]) -> None:
    """Characters that were printed as their names, because the font lacks them."""
    for each in missing:
        print(f"gigsums: printed by its name, as the font lacks it: {each}", file=sys.stderr)


def _quick(options: argparse.Namespace) -> int:
    from .views.page.serve import serve

    return serve(options.network, options.port)


def _port(text: str) -> int:
    if not text.isdecimal() or not 1 <= int(text) <= 65535:
        raise argparse.ArgumentTypeError(f"{text} is no port; a number from 1 to 65535 is wanted")
    return int(text)


if __name__ == "__main__":
    sys.exit(main())
