"""JupyterLab's line to the browser without a wait: small answers leave at once, not when the last was acknowledged."""

from __future__ import annotations

from typing import Any

from jupyter_server.services.kernels.connection.channels import ZMQChannelsWebsocketConnection


class PromptConnection(ZMQChannelsWebsocketConnection):
    """The server's usual connection to a kernel, with TCP's gathering of small messages switched off.

    A kernel says first that it is busy and then what has changed. With gathering on, the second waits until the
    browser's computer acknowledges the first, which it puts off for some 40 ms.
    """

    def connect(self) -> Any:
        """Open the connection.

        Returns
        -------
        awaitable
            As the usual connection's.
        """
        self.websocket_handler.set_nodelay(True)
        return super().connect()
