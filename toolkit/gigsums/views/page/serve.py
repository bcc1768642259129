"""The served page of the calculators: on this computer alone, or on a network when that is asked for."""

from __future__ import annotations

import asyncio
import contextlib
import errno
import ipaddress
import logging
import os
import secrets
import signal
import socket
import sys
import threading
import webbrowser
from pathlib import Path
from typing import Any

# a browser keeps values by address, port included: the same one every evening, if it is free
USUAL_PORT = 8794
_LETTERS = "abcdefghjkmnpqrstuvwxyz23456789"  # those that are not taken for one another
_KEY_LENGTH = 8  # 8.5e11 keys, and one that is typed on a phone
_FIND = ""


class CannotServe(Exception):
    """The page cannot be offered there; the text says why, and what to do."""


def serve(network: str | None = None, port: int | None = None) -> int:
    """Offer the calculators as a page until Ctrl-C.

    Where it is, and who can reach it, is printed.

    Parameters
    ----------
    network : str, optional
        Address of this computer on a network where others may reach the page with the key that is printed; the
        empty string finds it. Left out, only this computer can.
    port : int, optional
        Port to listen on; a free one if left out.

    Returns
    -------
    int
        Exit status: 2 if the page could not be offered there, 0 otherwise.
    """
    try:
        asyncio.run(_serve(network, port))
    except CannotServe as refused:
        print(f"gigsums quick: {refused}", file=sys.stderr)
        return 2
    except KeyboardInterrupt:
        print()
    print("Closed.")
    return 0


async def _serve(network: str | None, port: int | None) -> None:
    address = "127.0.0.1" if network is None else _own_address() if network == _FIND else network
    token = "" if network is None else "".join(secrets.choice(_LETTERS) for _ in range(_KEY_LENGTH))
    listening = _listen(address, port)
    from tornado.httpserver import HTTPServer

    from ..calculator.panel import Panel
    from .handlers import application

    logging.getLogger("tornado.access").setLevel(logging.CRITICAL)  # who gets an address wrong has been told
    offered = application(token)
    server = HTTPServer(offered, idle_connection_timeout=60)
    server.add_sockets(listening)
    done, loop = asyncio.Event(), asyncio.get_running_loop()
    with contextlib.suppress(ValueError):  # not the main thread: whoever runs it ends it
        signal.signal(signal.SIGTERM, lambda *_: loop.call_soon_threadsafe(done.set))
    Panel(
        "delay for a distance"
    ).close()  # what the first picture takes longest for is done before anyone asks
    at = listening[0].getsockname()[1]
    shown = _own_address() if network is not None and _is_every(address) else address
    url = f"http://{f'[{shown}]' if ':' in shown else shown}:{at}/{token}"
    print(_said(url, bool(token)), flush=True)
    if _has_screen():
        threading.Thread(target=webbrowser.open, args=(url,), daemon=True).start()
    try:
        await done.wait()
    finally:
        server.stop()
        for page in list(offered.settings["open_pages"]):
            page.close(1001)
        await server.close_all_connections()


def _said(url: str, open_to_network: bool) -> str:
    if not open_to_network:
        return (
            f"The quick calculators are at\n\n  {url}\n\nOnly this computer can reach them. For a phone on the same "
            f"network: gigsums quick --network\nSize a gig, on the same page, opens and saves gig files of {Path.cwd()}\n"
            "Press Ctrl-C to close them."
        )
    return (
        f"The quick calculators are open to this network at\n\n  {url}\n\nType that address, to its last letter, into "
        "the browser of a phone that is on the same network\n(the same Wi-Fi). The letters at its end are the key: "
        "whoever has them can calculate, and do\nnothing else on this computer. What is typed is not encrypted on its "
        "way.\nPress Ctrl-C to close them; the next time the key is another."
    )


def _listen(address: str, port: int | None) -> list[socket.socket]:
    from tornado.netutil import bind_sockets

    tried = (USUAL_PORT, 0) if port is None else (port,)
    for each in tried:
        try:
            return bind_sockets(each, address)
        except OSError as refused:
            if refused.errno == errno.EADDRINUSE and each != tried[-1]:
                continue
            raise CannotServe(_why_not(refused, address, each)) from None
    raise AssertionError("a free port was not tried")


def _why_not(refused: OSError, address: str, port: int) -> str:
    if refused.errno == errno.EADDRINUSE:
        return f"port {port} is taken by another program; give another with --port, or leave --port out"
    if refused.errno == errno.EACCES:
        return f"port {port} is not yours to use; give one of 1024 to 65535 with --port, or leave it out"
    if refused.errno == errno.EADDRNOTAVAIL or isinstance(refused, socket.gaierror):
        try:
            own = f"it is {_own_address()} on its network"
        except CannotServe:
            own = "it seems to be on no network"
        return f"this computer has no address {address}; {own}"
    return f"{address}, port {port}: {refused.strerror or refused}"


def _own_address() -> str:
    """Address of this computer on the network it would use. Nothing is sent for it."""
    for kind, far in ((socket.AF_INET, "10.255.255.255"), (socket.AF_INET6, "fd00::1")):
        with contextlib.suppress(OSError), socket.socket(kind, socket.SOCK_DGRAM) as asking:
            asking.connect((far, 9))
            found = asking.getsockname()[0]
            if not ipaddress.ip_address(found).is_loopback:
                return str(found)
    raise CannotServe(
        "no network was found; join one, or say which address of this computer to use: gigsums quick --network ADDRESS"
    )


def _is_every(address: str) -> bool:
    with contextlib.suppress(ValueError):
        return ipaddress.ip_address(address).is_unspecified
    return False


def _has_screen() -> bool:
    """Whether a browser would open in a window of its own, and not over this terminal."""
    if sys.platform in ("win32", "darwin"):
        return True
    known: Any = os.environ
    return bool(known.get("DISPLAY") or known.get("WAYLAND_DISPLAY"))
