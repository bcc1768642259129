"""The sizing panel as a served page: on this computer with its files, on a network without them."""

from __future__ import annotations

import json

import pytest
from tornado.httpclient import AsyncHTTPClient, HTTPClientError, HTTPRequest
from tornado.websocket import websocket_connect

from gigsums.views import Sheet
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


def test_it_says_where_it_saves(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)

    async def visit(at, _):
        line = await websocket_connect(f"ws://{at}/size/talk")
        about = (await talk(line))["about"]
        monkeypatch.chdir("/")  # whatever becomes of the process later
        note = (await talk(line, by="page 1", do="save", name="here"))["state"]["note"]
        line.close()
        return about["folder"], note

    folder, note = served(visit)
    assert folder == str(tmp_path.resolve())
    assert note.startswith(f"Saved as here.toml in {tmp_path.resolve()}.")


@pytest.mark.parametrize(
    "headers",
    [
        {"Origin": "http://elsewhere.invalid"},
        {"Origin": "null"},
        {"Origin": "http://127.0.0.1:1"},  # another page of this computer
        {
            "Origin": "http://elsewhere.invalid:80",
            "Host": "elsewhere.invalid:80",
        },  # a name turned to this computer
    ],
)
@pytest.mark.parametrize("token", ["", "key"])
def test_a_page_of_another_site_saves_nothing(tmp_path, monkeypatch, headers, token):
    monkeypatch.chdir(tmp_path)

    async def visit(at, open_pages):
        if "Host" in headers and token:  # who has the key may come by any name
            return None
        with pytest.raises(HTTPClientError, match="403"):
            await websocket_connect(
                HTTPRequest(f"ws://{at}{token and f'/{token}'}/size/talk", headers=headers)
            )
        client = AsyncHTTPClient(force_instance=True)
        for method in ("POST", "PUT"):
            for path in ("/size", "/size/talk"):
                asked = HTTPRequest(
                    f"http://{at}{path}", method=method, headers=headers, body=b'{"do": "save", "name": "x"}'
                )
                assert (await client.fetch(asked, raise_error=False)).code >= 400
        return open_pages

    assert not served(visit, token)
    assert list(tmp_path.iterdir()) == []


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
