"""The street door: ``loosewell`` and ``python -m loosewell``."""

from __future__ import annotations


def main() -> None:
    """The command line, started."""
    from loosewell.faces.cli.app import run

    run()


if __name__ == "__main__":
    main()
