"""The served page without a browser: who is answered, what a line carries, and how the command ends."""

import asyncio
import contextlib
import os
import re
import signal
import socket
import subprocess
import sys
from importlib.resources import files

import pytest
from ipywidgets.widgets.widget import _instances
from tornado.httpclient import AsyncHTTPClient, HTTPClientError, HTTPRequest
from tornado.websocket import websocket_connect

from gigsums.views import show
from gigsums.views.page.handlers import NOT_HERE, ONLY_HERE, WRONG_TOKEN
from gigsums.views.page.serve import serve
from serving import served, talk

PARTS = ("view.js", "view.css", "quick.js", "quick.css")


def fetched(path, token="", **more):
    async def visit(at, _):
        request = HTTPRequest(f"http://{at}{path}", **more)
        return await AsyncHTTPClient(force_instance=True).fetch(request, raise_error=False)

    return served(visit, token)


async def settled(open_pages, number):
    """Wait until so many pages are open, as the server knows it."""
    for _ in range(500):
        if len(open_pages) == number:
            return
        await asyncio.sleep(0.01)
    raise AssertionError(f"{len(open_pages)} pages are open")


def test_the_page_says_what_it_is_and_is_dark_before_anything_else_arrives():
    page = fetched("/").body.decode()
    assert "<title>Quick calculators · gigsums</title>" in page
    assert "<h1>Quick calculators</h1>" in page
    assert re.search(r'<html [^>]*style="background: #1b1d20"', page)
    assert 'name="color-scheme" content="dark light"' in page


@pytest.mark.parametrize("path", ["/", *(f"/{part}" for part in PARTS)])
def test_nothing_in_it_names_another_machine(path):
    answer = fetched(path)
    assert answer.code == 200
    assert answer.headers["Content-Security-Policy"].startswith("default-src 'none'")
    text = re.sub(r"^\s*//.*", "", answer.body.decode(), flags=re.MULTILINE)
    assert "//" not in text
    assert "http" not in text.replace("^http", "")


@pytest.mark.parametrize(
    "path", ["/", "/wrongkey", "/wrongkey/view.js", "/wrongkey/talk", "/a2b3c4d", "/%00"]
)
def test_without_the_right_key_nobody_is_answered(path):
    answer = fetched(path, token="a2b3c4d5")
    assert answer.code == 403
    assert WRONG_TOKEN in answer.body.decode()
    assert "script" not in answer.body.decode()


@pytest.mark.parametrize("path", ["/a2b3c4d5", "/a2b3c4d5/", *(f"/a2b3c4d5/{part}" for part in PARTS)])
def test_with_the_right_key_everybody_is(path):
    assert fetched(path, token="a2b3c4d5", headers={"Host": "192.0.2.7:8794"}).code == 200


def test_a_line_wants_the_key_as_well():
    async def visit(at, open_pages):
        with pytest.raises(HTTPClientError, match="403"):
            await websocket_connect(f"ws://{at}/wrongkey/talk")
        assert not open_pages
        line = await websocket_connect(f"ws://{at}/a2b3c4d5/talk")
        return await talk(line)

    assert served(visit, "a2b3c4d5")["state"]["said"]


def test_a_page_of_another_site_gets_no_line():
    async def visit(at, _):
        with pytest.raises(HTTPClientError, match="403"):
            await websocket_connect(
                HTTPRequest(f"ws://{at}/talk", headers={"Origin": "http://elsewhere.invalid"})
            )

    served(visit)


def test_without_a_key_only_this_computer_is_answered():
    answer = fetched("/", headers={"Host": "elsewhere.invalid:80"})
    assert answer.code == 403
    assert ONLY_HERE in answer.body.decode()


def test_an_address_that_is_none_says_so():
    answer = fetched("/notebooks")
    assert answer.code == 404
    assert NOT_HERE in answer.body.decode()


def test_a_line_calculates_and_sends_only_what_changed():
    async def visit(at, _):
        line = await websocket_connect(f"ws://{at}/talk")
        first = await talk(line)
        assert set(first) == {"sum", "still", "state"}
        chosen = await talk(line, by="v 1", pick="delay for a distance")
        assert chosen["sum"]["key"] == "delay for a distance"
        return await talk(line, by="v 2", texts={"distance_m": "26"}, units={}, nudges={})

    told = served(visit)
    panel = show("delay for a distance")
    panel.type("distance_m", "26")
    assert told["state"]["answer"]["line"] == panel.line
    assert set(told) == {"state"}


def test_each_page_has_values_of_its_own():
    async def visit(at, open_pages):
        one, other = [await websocket_connect(f"ws://{at}/talk") for _ in range(2)]
        for line in (one, other):
            await talk(line, by="v 1", pick="delay for a distance")
        await talk(one, by="v 2", texts={"distance_m": "26"}, units={}, nudges={})
        assert len(open_pages) == 2
        return await talk(other, by="v 2", texts={}, units={"distance_m": "ft"}, nudges={})

    assert served(visit)["state"]["fields"]["distance_m"]["text"] == "82.02"


@pytest.mark.parametrize(
    "sent",
    [
        "what",
        "[1]",
        '{"by": 3}',
        '{"by": "v 1"}',
        '{"by": "v 1", "texts": {"width_m": "3"}, "units": {}, "nudges": {}}',
        '{"by": "v 1", "texts": {"temperature_c": 5}, "units": {}, "nudges": {}}',
        '{"by": "v 1", "texts": {}, "units": {}, "nudges": {"temperature_c": 1000000000}}',
        '{"by": "v 1", "texts": {}, "units": {}, "nudges": {"temperature_c": "1"}}',
        '{"by": "v 1", "texts": 5, "units": 5, "nudges": []}',
        '{"by": "v 1", "pick": []}',
        "[" * 60_000,
    ],
)
def test_what_no_page_sends_ends_that_line_and_no_other(sent):
    async def visit(at, open_pages):
        good, bad = [await websocket_connect(f"ws://{at}/talk") for _ in range(2)]
        for line in (good, bad):
            assert await talk(line)
        await bad.write_message(sent)
        assert await bad.read_message() is None
        assert bad.close_code == 1007
        await settled(open_pages, 1)
        return await talk(good, by="v 1", pick="adding levels")

    assert served(visit)["state"]["key"] == "adding levels"


@pytest.mark.thorough
def test_fifty_pages_opened_and_closed_leave_nothing():
    async def visit(at, open_pages):
        before = len(_instances)
        for _ in range(50):
            line = await websocket_connect(f"ws://{at}/talk")
            await talk(line)
            await talk(line, by="v 1", pick="delay for a distance")
            assert len(open_pages) == 1
            assert len(_instances) > before
            line.close()
            await settled(open_pages, 0)
        return open_pages, len(_instances) - before

    assert served(visit) == (set(), 0)


def test_the_page_travels_with_the_package():
    inside = files("gigsums.views") / "page"
    assert {each.name for each in inside.iterdir()} >= {"quick.html", "refused.html", "quick.js", "quick.css"}


def test_a_port_that_is_taken_is_one_sentence(capsys):
    with socket.create_server(("127.0.0.1", 0)) as held:
        port = held.getsockname()[1]
        assert serve(port=port) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err == (
        f"gigsums quick: port {port} is taken by another program; give another with --port, or leave --port out\n"
    )


@pytest.mark.parametrize("address", ["192.0.2.200", "no such place"])
def test_an_address_that_is_not_this_computers_is_one_sentence(capsys, address):
    assert serve(network=address) == 2
    said = capsys.readouterr().err
    assert said.startswith(f"gigsums quick: this computer has no address {address}; it ")
    assert said.count("\n") == 1


@contextlib.contextmanager
def started(*words):
    """The command as it is run, and the address that it prints."""
    quiet = {name: value for name, value in os.environ.items() if name not in ("DISPLAY", "WAYLAND_DISPLAY")}
    command = [sys.executable, "-m", "gigsums", "quick", *words]
    own = {"creationflags": subprocess.CREATE_NEW_PROCESS_GROUP} if os.name == "nt" else {}
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, env=quiet, **own
    ) as process:
        try:
            told = ""
            while "Press Ctrl-C" not in told:
                line = process.stdout.readline()
                assert line, told
                told += line
            yield process, told, re.search(r"http://\S+", told)[0]
        finally:
            process.kill()


@pytest.mark.skipif(os.name == "nt", reason="signals are sent otherwise on Windows")
@pytest.mark.parametrize("how", [signal.SIGINT, signal.SIGTERM])
def test_it_ends_cleanly(how):
    with started() as (process, told, address):
        assert address.startswith("http://127.0.0.1:")
        assert "Only this computer can reach them" in told
        assert f"opens and saves gig files of {os.getcwd()}" in told
        process.send_signal(how)
        assert process.communicate(timeout=30)[0].strip() == "Closed."
        assert process.returncode == 0


@pytest.mark.thorough
def test_two_of_them_find_ports_of_their_own():
    with started() as (_, _, one), started() as (_, _, other):
        assert one != other


@pytest.mark.thorough
def test_on_a_network_it_says_so_and_prints_a_key():
    with started("--network", "0.0.0.0") as (_, told, address):
        assert "open to this network" in told
        assert "phone" in told
        key = address.rpartition("/")[2]
        assert re.fullmatch("[a-km-np-z2-9]{8}", key)
    with started("--network", "0.0.0.0") as (_, _, again):
        assert not again.endswith(key)
