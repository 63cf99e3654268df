"""The short code of a record, and the same as a QR code."""

from __future__ import annotations

import io

from loosewell.errors import BoundRefusal

SCHEME = "loosewell:"


def code(kind: str, name: str) -> str:
    """What leads back to a record: "loosewell:shaft/S1"."""
    return f"{SCHEME}{kind}/{name}"


def command(kind: str, name: str) -> str:
    """The command that shows the record."""
    quoted = f'"{name}"' if " " in name else name
    return f"loosewell {kind} show {quoted}"


def name_of(typed: str, *kinds: str) -> str:
    """The name a person gave, typed plainly or pasted as the code of a sheet."""
    if not typed.lower().startswith(SCHEME):
        return typed
    kind, _, name = typed[len(SCHEME) :].partition("/")
    if kind.lower() not in kinds or not name:
        raise BoundRefusal(
            f"The code '{typed[:100]}' was given where a {' or a '.join(kinds)} is wanted. Give "
            f"its name, or a code such as {code(kinds[0], 'NAME')}.",
            code="code-of-another-kind",
        )
    return name


def qr(text: str) -> str:
    """The text as a QR code in SVG, black on white."""
    import segno

    made = io.BytesIO()
    segno.make(text, error="m", micro=False).save(
        made, kind="svg", xmldecl=False, svgclass=None, lineclass=None, border=4, dark="#000000",
        light="#ffffff", omitsize=True,
    )  # fmt: skip
    return made.getvalue().decode("utf-8")
