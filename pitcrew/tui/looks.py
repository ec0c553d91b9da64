"""What the roles look like: four looks, each a colour or an emphasis a role; the words carry the meaning in all."""

from __future__ import annotations

import os
from collections.abc import Mapping

from rich.style import Style

LOOKS = ("dark", "light", "16", "mono")

# Sixteen colours keep the terminal's own ground, so they do on dark and on light.
_SIXTEEN = {
    "stop": "bold white on red",
    "go": "bold black on green",
    "owed": "yellow",
    "watch": "cyan",
    "care": "bold magenta",
    "here": "reverse",
    "yours": "bold",
    "quiet": "bright_black",
}
_DARK = {
    "": "#e6e1d6 on #14171a",
    "stop": "bold #fff4ef on #a8322a",
    "go": "bold #0d1a12 on #7fb98a",
    "owed": "#e9b44c on #14171a",
    "watch": "#7fb3c8 on #14171a",
    "care": "bold #f0876a on #14171a",
    "here": "#14171a on #d9cdb4",
    "yours": "bold #ffffff on #14171a",
    "quiet": "#8f8b83 on #14171a",
}
_LIGHT = {
    "": "#1d1f21 on #f7f3ea",
    "stop": "bold #ffffff on #9c2a22",
    "go": "bold #ffffff on #2f6b41",
    "owed": "#7a4a00 on #f7f3ea",
    "watch": "#14566e on #f7f3ea",
    "care": "bold #9a2f12 on #f7f3ea",
    "here": "#f7f3ea on #3a3d40",
    "yours": "bold #000000 on #f7f3ea",
    "quiet": "#66625a on #f7f3ea",
}
_MONO = {
    "stop": "bold reverse",
    "go": "bold reverse",
    "care": "bold",
    "here": "reverse",
    "yours": "bold",
    "quiet": "dim",
}
_TABLES: Mapping[str, Mapping[str, str]] = {"16": _SIXTEEN, "dark": _DARK, "light": _LIGHT, "mono": _MONO}


def styles(look: str) -> dict[str, Style]:
    """The style of every role in a look; a role without one of its own looks like plain text."""
    table = _TABLES[look]
    plain = Style.parse(table.get("", ""))
    return {"": plain, **{role: Style.parse(spec) for role, spec in table.items()}}


def chosen(asked: str | None, environ: Mapping[str, str] = os.environ) -> str:
    """No colours where the terminal asks for none, else the look asked for, else what the terminal can show.

    NO_COLOR and COLORTERM are the usual variables of terminals; a terminal that does not say is given 16 colours.
    """
    if environ.get("NO_COLOR"):
        return "mono"
    if asked:
        return asked
    if environ.get("TERM") in ("dumb", "vt100", "vt220"):
        return "mono"
    return "dark" if environ.get("COLORTERM", "").casefold() in ("truecolor", "24bit") else "16"
