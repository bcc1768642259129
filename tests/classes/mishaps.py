"""Mishaps on purpose: work that stops at a chosen step of its writing, and work beside other work."""

from __future__ import annotations

import os
import re
import signal
import sys
from contextlib import contextmanager

from gigsums.classes import handout, mark_folder
from gigsums.gig import BadFile

WRITES = {"os.mkdir", "os.rename", "os.remove", "os.rmdir"}
OF_PYTHON = {"__pycache__", "pyc", "null"}
PATIENCE = 60
_stop = None


def _watch(event, arguments):
    """Runs before everything that changes the disk: the interpreter tells of it (audit events, PEP 578)."""
    changes = event in WRITES or (event == "open" and bool(arguments[2] & (os.O_WRONLY | os.O_RDWR)))
    if _stop is not None and changes and not OF_PYTHON & set(re.split(r"[/\\.]", str(arguments[0]))):
        _stop()


@contextmanager
def stopped(at, by, for_good=False):
    """Stop at the step of that number, counted from 1, by raising an error there; for good, all that follows is stopped too."""
    global _stop
    steps = 0

    def step():
        nonlocal steps
        steps += 1
        if steps == at or (for_good and steps > at):
            by()

    if not hasattr(sys, "_mishaps"):
        sys.addaudithook(_watch)
        sys._mishaps = True
    _stop = step
    try:
        yield lambda: steps
    finally:
        _stop = None


def interrupted():
    raise KeyboardInterrupt


def full():
    raise OSError(28, "No space left on device")


def killed():
    os.kill(os.getpid(), signal.SIGKILL)


def killed_at(at, work, *arguments, **more):
    """For a process of its own: do the work, and be killed at that step."""
    with stopped(at, killed):
        WORK[work](*arguments, **more)


WORK = {"handout": handout, "mark": mark_folder}


def waits_inside(inside, other_done, work, *arguments, **more):
    """For a process of its own: in the middle of the work, let another one try."""

    def tell(what, done, of):
        inside.set()
        assert other_done.wait(PATIENCE)

    WORK[work](*arguments, tell=tell, **more)


def tried(work, *arguments, **more):
    """How it went: nothing, or what was said."""
    try:
        WORK[work](*arguments, **more)
    except BadFile as fault:
        return str(fault)
    return ""


def tries(answers, start, work, *arguments, **more):
    """For a process of its own: start with the others, and say how it went."""
    start.wait(PATIENCE)
    answers.put(tried(work, *arguments, **more))
