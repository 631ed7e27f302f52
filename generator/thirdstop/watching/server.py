"""Serves the preview to this machine: bound to the loopback address, and to a browser that names it so.

A page that is shown asks to be told of changes by loading a script, which the pages' own content policy
allows; the answer comes when the page is another one.
"""

import threading
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from urllib.parse import parse_qs, quote, unquote, urlsplit

from thirdstop.errors import UsageError
from thirdstop.pages import addresses
from thirdstop.watching.preview import Preview, follow, tag_of

HOST = "127.0.0.1"
PATIENCE_S = 20.0
"""How long a page's question is left open before it is asked again."""

_KINDS = {
    "html": "text/html; charset=utf-8",
    "css": "text/css; charset=utf-8",
    "js": "text/javascript; charset=utf-8",
    "txt": "text/plain; charset=utf-8",
    "woff2": "font/woff2",
}
_TOLD = "/told.js"
_ASKING = "/asking.js"
_ASK = """(function () {
  "use strict";
  var query = document.currentScript.src.split("?")[1];
  function ask() {
    var script = document.createElement("script");
    script.src = "/told.js?" + query + "&" + Date.now();
    script.onload = function () { script.remove(); ask(); };
    script.onerror = function () { script.remove(); window.setTimeout(ask, 1000); };
    document.head.appendChild(script);
  }
  window.addEventListener("load", ask);
})();
"""


class Watcher:
    """A server of one preview, on a port of this machine. Raises UsageError where the port is taken."""

    def __init__(self, preview: Preview, port: int) -> None:
        handler = type("Handler", (_Handler,), {"preview": preview})
        try:
            self._server = _Server((HOST, port), handler)
        except (OSError, OverflowError) as error:
            raise UsageError(f"port {port} can't be had on this machine; name another with --port") from error
        self._preview = preview
        self._ended = threading.Event()

    @property
    def address(self) -> str:
        """What to open."""
        return f"http://{HOST}:{self._server.server_address[1]}/"

    def run(self) -> None:
        """Serve and follow the files until `stop`, or until somebody interrupts."""
        serving = threading.Thread(target=self._server.serve_forever, daemon=True)
        serving.start()
        try:
            follow(self._preview, self._ended.wait)
        finally:
            self._server.shutdown()
            self._server.server_close()
            self._preview.close()

    def stop(self) -> None:
        """End `run` from another thread."""
        self._ended.set()


class _Server(ThreadingHTTPServer):
    daemon_threads = True
    block_on_close = False


class _Handler(BaseHTTPRequestHandler):
    preview: Preview
    protocol_version = "HTTP/1.1"

    def do_GET(self) -> None:
        if not self._is_for_us():
            self._answer(403, "txt", b"This preview is for this machine alone.\n")
            return
        asked = urlsplit(self.path)
        path = unquote(asked.path).lstrip("/") or addresses.INDEX
        if asked.path == _ASKING:
            self._answer(200, "js", _ASK.encode())
        elif asked.path == _TOLD:
            query = parse_qs(asked.query)
            page, tag = query.get("page", [""])[0], query.get("tag", [""])[0]
            changed = self.preview.wait(page, tag, PATIENCE_S)
            self._answer(200, "js", b"location.reload();\n" if changed else b"")
        elif (data := self.preview.page(path)) is None:
            self._answer(404, "txt", b"The book has no such page.\n")
        else:
            kind = path.rpartition(".")[2]
            self._answer(200, kind, _asking(path, data) if kind == "html" else data)

    def _is_for_us(self) -> bool:
        """Another site's name that was made to lead here, or another site's page that asks, is refused."""
        port = self.connection.getsockname()[1]
        ours = {f"{name}:{port}" for name in (HOST, "localhost")}
        origin = self.headers.get("Sec-Fetch-Site", "same-origin")
        return self.headers.get("Host") in ours and origin in ("same-origin", "none")

    def _answer(self, status: int, kind: str, data: bytes) -> None:
        self.send_response(status)
        self.send_header("Content-Type", _KINDS.get(kind, "application/octet-stream"))
        self.send_header("Content-Length", str(len(data)))
        self.send_header("Cache-Control", "no-store")
        self.send_header("X-Content-Type-Options", "nosniff")
        self.end_headers()
        self.wfile.write(data)

    def log_message(self, format: str, *args: object) -> None:
        """Nothing is printed for each request."""


def _asking(path: str, data: bytes) -> bytes:
    """The page with the script that asks for changes, where the page's policy lets one in."""
    if b"script-src 'self'" not in data:
        return data
    script = f'<script src="{_ASKING}?page={quote(path)}&amp;tag={tag_of(data)}"></script>'
    return data.replace(b"</head>", script.encode() + b"\n</head>", 1)
