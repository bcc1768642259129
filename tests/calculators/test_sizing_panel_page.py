"""The sizing panel as a served page: on this computer with its files, on a network without them."""

from __future__ import annotations

import json

import pytest
from tornado.httpclient import AsyncHTTPClient, HTTPRequest
from tornado.websocket import websocket_connect

from gigsums.calculators import Sheet
from serving import served, talk


def said(token, *asked):
    """The last answer to messages on one line."""

    async def visit(at, _):
        line = await websocket_connect(f"ws://{at}{f'/{token}' if token else ''}/size/talk")
        answer = json.loads(json.dumps(await talk(line)))
        for number, each in enumerate(asked):
            answer = await talk(line, by=f"page {number}", **each)
        line.close()
        return answer and answer["state"]

    return served(visit, token)


@pytest.mark.parametrize("path", ["/size", "/sizing_panel.js", "/sizing_panel.css", "/size.js"])
def test_every_part_is_there_and_only_for_who_has_the_key(path):
    async def visit(at, _):
        client = AsyncHTTPClient(force_instance=True)
        return [
            (await client.fetch(HTTPRequest(f"http://{at}{start}{path}"), raise_error=False)).code
            for start in ("/key", "/wrong")
        ]

    assert served(visit, "key") == [200, 403]


def test_what_is_added_on_the_page_is_counted_as_the_sheet_counts_it(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    state = said(
        "",
        {"do": "desk", "name": "desk_c"},
        {"do": "add", "path": ["performer"], "name": "Ada"},
        {"do": "add", "path": ["performer", 0, "sources"], "name": "Vocal"},
    )
    sheet = Sheet(desk="desk_c")
    sheet.add("performer", name="Ada")
    sheet.add("performer.Ada.sources", name="Vocal")
    assert state["text"] == sheet.text
    row = sheet.fit.ledger("preamps")
    assert (
        next(each["count"] for each in state["ledgers"] if each["label"] == "preamps")
        == f"{row.need} of {row.have}"
    )
    assert said("", {"do": "save", "name": "here"})["file"] == "here.toml"
    assert (tmp_path / "here.toml").exists()


def test_over_a_network_no_file_of_this_computer_is_touched(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "mine.toml").write_text('format = 1\n[gig]\nname = "Private"\n', encoding="utf-8")
    for asked in (
        {"do": "save", "name": "theirs"},
        {"do": "open", "name": "mine"},
        {"do": "desk", "name": "mine"},
    ):
        state = said("key", asked)
        assert "no files of this computer" in state["wrong"]
        assert state["files"] == []
    assert [each.name for each in tmp_path.iterdir()] == ["mine.toml"]


@pytest.mark.parametrize("message", ["[]", "nonsense", '{"by": 3}', "[" * 20_000])
def test_what_no_page_sends_closes_its_line_and_no_other(message):
    async def visit(at, _):
        line, other = [await websocket_connect(f"ws://{at}/size/talk") for _ in range(2)]
        await talk(other)
        await line.write_message(message)
        closed = await line.read_message()
        heard = await talk(other, by="page 1", do="add", path=["line"], name="Music")
        other.close()
        return closed, heard["state"]["lists"]["line"][0]["title"]

    assert served(visit) == (None, "Music")
