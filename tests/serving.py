"""A served page without a browser: a visit runs beside its server, and messages are talked over one line."""

from __future__ import annotations

import asyncio
import json

from tornado.httpserver import HTTPServer
from tornado.netutil import bind_sockets

from gigsums.views.page.handlers import application


def served(visit, token=""):
    """What a visit, given the server's address and its open pages, comes back with."""

    async def run():
        offered = application(token)
        server = HTTPServer(offered)
        sockets = bind_sockets(0, "127.0.0.1")
        server.add_sockets(sockets)
        try:
            return await visit(f"127.0.0.1:{sockets[0].getsockname()[1]}", offered.settings["open_pages"])
        finally:
            server.stop()
            await server.close_all_connections()

    return asyncio.run(run())


async def talk(line, **asked):
    """Send one message; what is answered, or None where the line was closed."""
    await line.write_message(json.dumps(asked))
    heard = await line.read_message()
    return heard and json.loads(heard)
