"""``loosewell serve``: the page, on this machine only."""

from __future__ import annotations

import socket
import sys
from pathlib import Path
from typing import Annotated

import typer

from loosewell.errors import Refusal
from loosewell.faces.cli.common import WorkshopOption

HOST = "127.0.0.1"


def _door(port: int) -> socket.socket:
    """The listening socket, taken before anything is started; a refusal when it is taken."""
    door = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    if sys.platform != "win32":
        door.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        door.bind((HOST, port))
        # Listening from here on: whoever reads the address may open it at once.
        door.listen(64)
    except OSError as error:
        door.close()
        reason = (error.strerror or str(error)).lower()
        raise Refusal(
            f"Port {port} on this machine cannot be used: {reason}. Close what uses it, or "
            f"choose another: loosewell serve --port {port + 1 if port < 65535 else 8150}.",
            code="port",
        ) from None
    return door


def register(app: typer.Typer) -> None:
    """The command ``serve`` on the command line given."""

    @app.command("serve")
    def serve(
        port: Annotated[
            int, typer.Option(min=0, max=65535, help="Port; 0 takes any that is free.")
        ] = 8149,
        demo: Annotated[
            bool, typer.Option("--demo", help="Show the invented demo camp, in a passing file.")
        ] = False,
        workshop: WorkshopOption = None,
    ) -> None:
        """Show the page in a browser on this machine; nobody else can reach it."""
        import tempfile

        if demo and workshop is not None:
            raise Refusal(
                "Both --demo and --workshop were given. Leave one out: the demo camp lives in a "
                "file of its own.",
                code="contradiction",
            )
        door = _door(port)
        with door, tempfile.TemporaryDirectory(prefix="loosewell-demo-") as folder:
            if demo:
                from loosewell.workshop import demo as camp

                workshop = Path(folder) / "camp.sqlite"
                camp.build(workshop)
            else:
                from loosewell.faces.cli.common import open_workshop

                # A file that cannot be used is refused here, not on the first page.
                open_workshop(workshop).close()
            import uvicorn

            from loosewell.faces.web.app import make_app

            print(
                f"The page is at http://{HOST}:{door.getsockname()[1]}/ (end with Ctrl+C).",
                flush=True,
            )
            settings = uvicorn.Config(make_app(workshop), log_level="warning", access_log=False)
            uvicorn.Server(settings).run(sockets=[door])
